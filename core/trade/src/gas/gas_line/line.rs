//! The gas pipe tree: does every segment carry its appliances, what size would, and what
//! pressure is left at each appliance?

use super::equations::Equation;
use crate::gas::pipe_sizes::{PipeMaterial, PipeSize};
use crate::quantities::{HeatingValue, Length, Power, Pressure, VolumeRate};

/// How sizes are found and judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Every segment by the longest path of all.
    LongestLength,
    /// Every segment by the longest path among the appliances it serves.
    BranchLength,
    /// By the pressure that is left at each appliance.
    PressureDrop,
}

/// Fittings of one segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Fittings {
    /// 45 degree elbows.
    pub ell45: u32,
    /// 90 degree elbows.
    pub ell90: u32,
    /// Return bends.
    pub return180: u32,
    /// Tees with flow into the branch.
    pub tee_branch: u32,
}

impl Fittings {
    /// Straight pipe of the same loss, in inside diameters: 14, 30, 67 and 60 each. The ratios
    /// reproduce every cell of the code's table (online.flipbuilder.com/mewf/mima page847).
    #[must_use]
    pub fn diameters(&self) -> f64 {
        14.0 * f64::from(self.ell45)
            + 30.0 * f64::from(self.ell90)
            + 67.0 * f64::from(self.return180)
            + 60.0 * f64::from(self.tee_branch)
    }
}

/// What one segment is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bore {
    /// A pipe of a trade size; `find` lets it grow from the smallest.
    Sized {
        /// Material.
        material: PipeMaterial,
        /// Place in the material's sizes; where `find` starts it is 0.
        size: usize,
        /// Whether the size is to be found.
        find: bool,
    },
    /// A pipe whose inside was measured.
    Measured {
        /// Material, for the record.
        material: PipeMaterial,
        /// Inside diameter.
        inside_diameter: Length,
    },
    /// Tubing by its own listing.
    Listed(ListedTube),
}

/// A point of a listed tube's own capacity table, and the law between points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ListedTube {
    /// Flow of that point.
    pub capacity: VolumeRate,
    /// Pressure drop of that point.
    pub drop: Pressure,
    /// Length of that point.
    pub length: Length,
    /// Exponent of the flow, 1.5 to 2.2.
    pub exponent: f64,
}

/// One run of pipe between two branchings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// The segment it hangs on; `None` at the supply.
    pub parent: Option<usize>,
    /// Run of pipe and any length to add to it.
    pub length: Length,
    /// What it is made of.
    pub bore: Bore,
    /// Its fittings; none for a listed tube.
    pub fittings: Fittings,
}

impl Segment {
    /// Inside diameter, `None` for a listed tube.
    #[must_use]
    pub fn inside_diameter(&self) -> Option<Length> {
        match self.bore {
            Bore::Sized { .. } => self.trade_size().map(|size| size.inside_diameter),
            Bore::Measured { inside_diameter, .. } => Some(inside_diameter),
            Bore::Listed(_) => None,
        }
    }

    /// Trade size, where it has one.
    #[must_use]
    pub fn trade_size(&self) -> Option<&'static PipeSize> {
        match self.bore {
            Bore::Sized { material, size, .. } => material.sizes().get(size),
            _ => None,
        }
    }

    /// Length with its fittings.
    #[must_use]
    pub fn equivalent_length(&self) -> Length {
        match self.inside_diameter() {
            Some(diameter) => self.length + diameter * self.fittings.diameters(),
            None => self.length,
        }
    }

    pub(crate) fn finds(&self) -> bool {
        matches!(self.bore, Bore::Sized { find: true, .. })
    }

    /// Makes a found segment one size larger; says whether there was a larger one.
    pub(crate) fn grow(&mut self) -> bool {
        if let Bore::Sized {
            material,
            size,
            find: true,
        } = &mut self.bore
            && *size + 1 < material.sizes().len()
        {
            *size += 1;
            return true;
        }
        false
    }

    pub(crate) fn can_grow(&self) -> bool {
        { *self }.grow()
    }
}

/// A burner at the far end of a segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Appliance {
    /// The segment it hangs on.
    pub node: usize,
    /// Input as it burns at the site.
    pub input: Power,
    /// Least gauge pressure it needs, where known.
    pub minimum_pressure: Option<Pressure>,
}

/// The whole line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The flow equation and the gas in it.
    pub equation: Equation,
    /// How sizes are found and judged.
    pub method: Method,
    /// Gauge pressure at the supply.
    pub inlet: Pressure,
    /// Drop that is allowed from the supply to any appliance.
    pub allowed_drop: Pressure,
    /// Heat per volume of gas.
    pub heating_value: HeatingValue,
    /// Factor on every flow: 101,325 Pa over the site's pressure where asked for, else 1.
    pub flow_factor: f64,
    /// Segments, in any order.
    pub segments: Vec<Segment>,
    /// Appliances.
    pub appliances: Vec<Appliance>,
}

/// One segment as it came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SegmentAnswer {
    /// The segment with its final size.
    pub segment: Segment,
    /// Input of all appliances it serves.
    pub load: Power,
    /// Flow for that, as used.
    pub flow: VolumeRate,
    /// Length with its fittings.
    pub equivalent_length: Length,
    /// Pressure lost along it.
    pub drop: Pressure,
    /// Gauge pressure at its far end.
    pub pressure_end: Pressure,
    /// Capacity by the longest path of all; `None` when that is 0.
    pub capacity_longest: Option<VolumeRate>,
    /// Longest path among the appliances it serves, 0 when it serves none.
    pub length_branch: Length,
    /// Capacity by that path; `None` when it is 0.
    pub capacity_branch: Option<VolumeRate>,
    /// It does not carry its flow by the method's capacity.
    pub undersized: bool,
    /// It was to be found and no size carries its flow.
    pub no_size_fits: bool,
}

/// One appliance as it came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ApplianceAnswer {
    /// Gauge pressure that is left.
    pub pressure: Pressure,
    /// Pressure lost from the supply.
    pub drop: Pressure,
    /// Equivalent length from the supply.
    pub path_length: Length,
    /// Whether the drop is allowed.
    pub within_allowed_drop: bool,
    /// Whether its least pressure is there, where one is known.
    pub above_minimum: Option<bool>,
    /// Whether no gauge pressure is left.
    pub exhausted: bool,
}

/// The line as it came out.
#[derive(Debug, Clone, PartialEq)]
pub struct LineAnswer {
    /// Longest path of all.
    pub longest_length: Length,
    /// Segments, in the order given.
    pub segments: Vec<SegmentAnswer>,
    /// Appliances, in the order given.
    pub appliances: Vec<ApplianceAnswer>,
}
