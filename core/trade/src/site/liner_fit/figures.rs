//! What the sum gives.

use serde::Serialize;
use uom::si::f64::{Area, Length};

use crate::form::Figure;

/// What comes out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// Whether the liners go down, the offset included; geometry alone.
    pub fits: bool,
    /// Least inside size along a.
    pub governing_a: Figure<Length>,
    /// Least inside size along b.
    pub governing_b: Figure<Length>,
    /// Inside area of the governing section.
    pub tile_area: Figure<Area>,
    /// Inside area of the exhaust liner.
    pub exhaust_area: Figure<Area>,
    /// Free area of the way in.
    pub intake_area: Figure<Area>,
    /// Way in over way out.
    pub intake_to_exhaust: f64,
    /// Four times the area over the wetted perimeter.
    pub intake_hydraulic_diameter: Figure<Length>,
    /// The round opening of the same area.
    pub intake_equivalent_diameter: Figure<Length>,
    /// Room beside a centred liner along a (annulus).
    pub gap_a: Option<Figure<Length>>,
    /// Room beside a centred liner along b (annulus).
    pub gap_b: Option<Figure<Length>>,
    /// Whether two liners fit side by side along a.
    pub fits_along_a: Option<bool>,
    /// Whether two liners fit side by side along b.
    pub fits_along_b: Option<bool>,
    /// Whether two liners fit corner to corner.
    pub fits_diagonal: Option<bool>,
    /// What is left over along a.
    pub spare_along_a: Option<Figure<Length>>,
    /// What is left over along b.
    pub spare_along_b: Option<Figure<Length>>,
    /// What is left over corner to corner.
    pub spare_diagonal: Option<Figure<Length>>,
    /// The offset, when there is one.
    pub offset: Option<OffsetFigures>,
    /// The section with the liners in it, for a drawing.
    #[serde(skip)]
    pub layout: Layout,
}

/// What an offset leaves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OffsetFigures {
    /// Angle from the vertical, degrees.
    pub angle_deg: f64,
    /// What a straight rigid pipe has left.
    pub straight_clear_width: Figure<Length>,
    /// What a liner that follows the slant has left.
    pub slant_clear_width: Figure<Length>,
    /// Whether the liners go through it.
    pub passes: bool,
}

/// The governing section with the liners in it, seen from above; the origin is the corner of low a and low b.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Size along a.
    pub a: Length,
    /// Size along b.
    pub b: Length,
    /// Radius of the corners (half the size for a round tile).
    pub corner_radius: Length,
    /// The liners, exhaust first.
    pub liners: Vec<PlacedLiner>,
}

/// A liner in the section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedLiner {
    /// Centre along a.
    pub a: Length,
    /// Centre along b.
    pub b: Length,
    /// Outside diameter.
    pub diameter: Length,
}
