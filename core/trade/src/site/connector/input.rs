//! What the pipe has to span, and what is on the truck.

use serde_json::{Value, json};
use uom::si::f64::Length;

use crate::form::{Field, Pointer, Refusal, Rule, any, choice, input, items, within};

choice! {
    /// The way a pipe leaves or enters.
    pub enum Direction {
        /// Upwards.
        Up = "up",
        /// Level, away from the appliance's face.
        Back = "back",
    }
}

choice! {
    /// How pieces and elbows follow one another from the collar.
    pub enum Arrangement {
        /// Straight up.
        StraightUp = "straight_up",
        /// Up, elbow, leg, elbow.
        Offset = "offset",
        /// Up, elbow, level leg.
        TurnBack = "turn_back",
        /// Level leg, elbow, up.
        TurnUp = "turn_up",
        /// Level, straight back.
        StraightBack = "straight_back",
    }
}

/// The angle an elbow turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ElbowAngle {
    /// 90 degrees.
    Square,
    /// 45 degrees.
    Half,
    /// 30 degrees.
    Third,
}

impl Field for ElbowAngle {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        let degrees = f64::read(value, at, &any())?;
        [(90.0, Self::Square), (45.0, Self::Half), (30.0, Self::Third)]
            .into_iter()
            .find(|(known, _)| (degrees - known).abs() < 1e-9)
            .map(|(_, angle)| angle)
            .ok_or_else(|| {
                Refusal::unknown_choice(at, "Elbows of this angle are not known here. Write 90, 45 or 30.")
            })
    }

    fn schema(_: &Rule) -> Value {
        json!({ "enum": [90, 45, 30] })
    }
}

/// The dearest piece that is taken.
const DEAREST: f64 = 1_000_000.0;

input! {
    /// A pipe section of the stock.
    pub struct Section {
        /// Its name in the stock list.
        pub id: String,
        /// Length over all.
        pub length: Length = within(0.01, 3.0),
        /// Length lost in its joint; the common one when it is not given.
        pub insertion: Option<Length> = within(0.0, 0.15),
        /// What one costs, with cents.
        pub cost: f64 = within(0.0, DEAREST).or(0.0),
        /// How many there are; as many as wanted when it is not given.
        pub on_hand: Option<u32> = within(0.0, 1_000.0),
    }
}

input! {
    /// An elbow of the stock, centre to centre as installed.
    pub struct Elbow {
        /// Its name in the stock list.
        pub id: String,
        /// 90, 45 or 30 degrees.
        pub angle: ElbowAngle,
        /// Along the way in.
        pub rise: Length = within(0.0, 1.0),
        /// Across the way in.
        pub run: Length = within(0.0, 1.0),
        /// What one costs, with cents.
        pub cost: f64 = within(0.0, DEAREST).or(0.0),
        /// How many there are; as many as wanted when it is not given.
        pub on_hand: Option<u32> = within(0.0, 1_000.0),
    }
}

input! {
    /// One telescoping section.
    pub struct Adjustable {
        /// Its name in the stock list.
        pub id: String,
        /// Shortest as installed.
        pub min: Length = within(0.0, 3.0),
        /// Longest as installed.
        pub max: Length = within(0.0, 3.0),
        /// What it costs, with cents.
        pub cost: f64 = within(0.0, DEAREST).or(0.0),
    }
}

input! {
    /// The span, stop to stop, and the stock: one maker's listed pieces.
    pub struct Input {
        /// The way the pipe leaves the collar.
        pub collar_direction: Direction,
        /// The way it enters the adapter or wall thimble.
        pub end_direction: Direction,
        /// Vertical distance.
        pub rise: Length = within(0.0, 10.0),
        /// Horizontal distance.
        pub run: Length = within(0.0, 10.0),
        /// Arrangements that may be used; all when it is not given.
        pub allowed: Option<Vec<Arrangement>> = items(1, 5),
        /// Sections of the stock.
        pub sections: Vec<Section> = items(1, 8),
        /// Length lost per section in its joint.
        pub insertion: Length = within(0.0, 0.15),
        /// Elbows of the stock.
        pub elbows: Option<Vec<Elbow>> = items(1, 6),
        /// A telescoping section.
        pub adjustable: Option<Adjustable>,
        /// Whether the manual lets a section be cut.
        pub cut_allowed: bool = any().or(false),
        /// Least length over all that is left of a cut section (common practice, no source).
        pub min_remaining: Length = within(0.0, 1.0).or("6 in"),
        /// What rise and run may miss, each way (common practice, no source).
        pub tolerance: Length = within(0.0, 0.025).or("1/4 in"),
        /// Slope at which level legs are set, inches per foot, as the manual says.
        pub leg_slope_in_per_ft: f64 = within(0.0, 3.0).or(0.25),
        /// Least slope allowed, inches per foot, as the manual says.
        pub min_slope_in_per_ft: f64 = within(0.0, 3.0).or(0.25),
        /// Most elbows.
        pub max_elbows: u32 = within(0.0, 4.0).or(2_u32),
        /// Most sections, the telescoping one included.
        pub max_pieces: u32 = within(1.0, 8.0).or(6_u32),
        /// Screws in each joint, only where the manual asks for screws.
        pub screws_per_joint: Option<u32> = within(0.0, 12.0),
        /// Outside diameter of the pipe, for the seal.
        pub outside_diameter: Option<Length> = within(0.025, 1.0),
    }
}
