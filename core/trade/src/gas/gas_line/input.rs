//! What gas_line is asked with.

use serde_json::{Value, json};

use crate::form::{Field, Flat, Pointer, Refusal, Rule, any, choice, input, items, over, within};
use crate::gas::gas_weight::GasWeight;
use crate::gas::pipe_size::SizeText;
use crate::gas::site::Site;
use crate::quantities::{HeatingValue, Length, Power, Pressure, VolumeRate};

choice! {
    /// Which flow equation.
    pub enum EquationChoice {
        /// High from 1.5 psi at the inlet, low below.
        Auto = "auto",
        /// The low-pressure equation.
        Low = "low",
        /// The high-pressure equation.
        High = "high",
    }
}

choice! {
    /// How sizes are found and judged.
    pub enum MethodChoice {
        /// By the longest path of all.
        LongestLength = "longest_length",
        /// By the longest path of the appliances a segment serves.
        BranchLength = "branch_length",
        /// By the pressure left at each appliance.
        PressureDrop = "pressure_drop",
    }
}

choice! {
    /// What a segment is made of.
    pub enum MaterialChoice {
        /// Schedule 40 steel pipe.
        Schedule40 = "schedule_40",
        /// Copper tube, type K or L.
        CopperKL = "copper_k_l",
        /// Tubing by its own listing.
        ListedTube = "listed_tube",
    }
}

/// A trade size, or the word `find`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SizeOrFind {
    /// To be found.
    Find,
    /// Given.
    Given(SizeText),
}

impl Field for SizeOrFind {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        if value.as_str().is_some_and(|text| text.trim() == "find") {
            return Ok(Self::Find);
        }
        SizeText::read(value, at, rule).map(Self::Given)
    }

    fn schema(rule: &Rule) -> Value {
        json!({ "anyOf": [{ "const": "find" }, SizeText::schema(rule)] })
    }
}

input! {
    /// The supply, the pipe and the appliances.
    pub struct Input {
        /// The gas.
        pub gas: Flat<GasWeight>,
        /// Viscosity, centipoise.
        pub viscosity_cp: Option<f64> = within(0.001, 0.1),
        /// Super-expansion factor Y of the high-pressure equation.
        pub super_expansion: Option<f64> = within(0.8, 1.2),
        /// Heat per standard volume of gas.
        pub heating_value: HeatingValue = within(1e6, 200e6),
        /// Gauge pressure at the supply.
        pub inlet_pressure: Pressure = over(0.0, 1e6),
        /// Drop that is allowed from the supply to any appliance.
        pub allowed_drop: Pressure = over(0.0, 1e6),
        /// Which flow equation.
        pub equation: EquationChoice = any().or("auto"),
        /// How sizes are found and judged.
        pub method: MethodChoice,
        /// Where the site lies.
        pub site: Flat<Site>,
        /// Whether flows are raised for the thinner gas of the site.
        pub adjust_flow_for_altitude: bool = any().or(false),
        /// Runs of pipe between branchings.
        pub segments: Vec<SegmentInput> = items(1, 200),
        /// Burners.
        pub appliances: Vec<ApplianceInput> = items(1, 50),
    }
}

input! {
    /// One run of pipe.
    pub struct SegmentInput {
        /// Its name.
        pub id: String,
        /// The segment it hangs on; left out at the supply.
        pub parent: Option<String>,
        /// Length of the run.
        pub length: Length = within(0.0, 100.0),
        /// Length added for valves and the like.
        pub extra_length: Length = within(0.0, 100.0).or("0 m"),
        /// What it is made of.
        pub material: MaterialChoice = any().or("schedule_40"),
        /// Trade size, or find.
        pub size: Option<SizeOrFind>,
        /// Inside diameter, when the size is not in the table.
        pub inside_diameter: Option<Length> = over(0.0, 0.3),
        /// Its fittings.
        pub fittings: Option<FittingsInput>,
        /// Flow of a point of the listed tube's own table.
        pub listed_capacity: Option<VolumeRate> = over(0.0, 10.0),
        /// Pressure drop of that point.
        pub listed_drop: Option<Pressure> = over(0.0, 1e6),
        /// Length of that point.
        pub listed_length: Option<Length> = over(0.0, 1000.0),
        /// Exponent of the flow between points; 2.0 unless given.
        pub listed_exponent: Option<f64> = within(1.5, 2.2),
    }
}

input! {
    /// Fittings of a segment.
    pub struct FittingsInput {
        /// 45 degree elbows.
        pub ell45: u32 = within(0.0, 100.0).or(0_u32),
        /// 90 degree elbows.
        pub ell90: u32 = within(0.0, 100.0).or(0_u32),
        /// Return bends.
        pub return180: u32 = within(0.0, 100.0).or(0_u32),
        /// Tees with flow into the branch.
        pub tee_branch: u32 = within(0.0, 100.0).or(0_u32),
    }
}

input! {
    /// A burner at the far end of a segment.
    pub struct ApplianceInput {
        /// Its name.
        pub id: String,
        /// The segment at whose far end it hangs.
        pub node: String,
        /// Input as it burns at the site.
        pub input: Power = within(0.0, 200e3),
        /// Least gauge pressure it needs.
        pub minimum_pressure: Option<Pressure> = within(0.0, 1e6),
    }
}
