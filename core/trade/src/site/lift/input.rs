//! What is lifted, and how the ladder stands.

use uom::si::f64::{Length, Mass};

use crate::form::{any, choice, input, within};

choice! {
    /// In which units the lifting equation's constants are taken.
    pub enum Constants {
        /// Inches and pounds.
        Inch = "inch",
        /// Centimetres and kilograms.
        Metric = "metric",
    }
}

choice! {
    /// How well the hands hold it.
    pub enum Grip {
        /// Handles.
        Good = "good",
        /// Something to hold on to.
        Fair = "fair",
        /// Bulky, slippery or sharp.
        Poor = "poor",
    }
}

choice! {
    /// Which quarter the ladder's foot stands out.
    pub enum LadderRule {
        /// A quarter of the length along the rail.
        WorkingLength = "working_length",
        /// A quarter of the height.
        Height = "height",
    }
}

choice! {
    /// The ladder's duty by ANSI A14 (from memory).
    pub enum Duty {
        /// 200 lb.
        Three = "III",
        /// 225 lb.
        Two = "II",
        /// 250 lb.
        One = "I",
        /// 300 lb.
        OneA = "IA",
        /// 375 lb.
        OneAA = "IAA",
    }
}

input! {
    /// Where the hands are.
    pub struct Hands {
        /// Level distance from between the ankles.
        pub horizontal: Length = within(0.0, 2.0),
        /// Height above the floor.
        pub vertical: Length = within(0.0, 3.0),
        /// How far the body twists, degrees.
        pub twist_deg: f64 = within(0.0, 180.0).or(0.0),
    }
}

input! {
    /// A lift.
    pub struct Lift {
        /// In which units the constants are taken.
        pub constants: Constants = any().or("inch"),
        /// What is lifted.
        pub load: Mass = within(0.1, 2_000.0),
        /// How many lift.
        pub lifters: u32 = within(1.0, 12.0).or(1_u32),
        /// Where the hands begin.
        pub origin: Hands,
        /// Where the hands end.
        pub destination: Option<Hands>,
        /// How far it goes up or down, when the end is not described.
        pub travel: Option<Length> = within(0.0, 3.0),
        /// How often, per minute.
        pub lifts_per_min: f64 = within(0.0, 60.0).or(0.2),
        /// For how many hours.
        pub hours: f64 = within(0.01, 8.0).or(1.0),
        /// How well the hands hold it.
        pub grip: Grip = any().or("poor"),
    }
}

/// Usual extension ladders by nominal length.
const USUAL_LADDERS: &[&str] = &["16 ft", "20 ft", "24 ft", "28 ft", "32 ft", "36 ft", "40 ft"];

input! {
    /// A ladder.
    pub struct Ladder {
        /// The top support above the foot.
        pub support_height: Length = within(0.5, 20.0),
        /// Whether somebody steps off onto the roof.
        pub landing: bool = any().or(true),
        /// Which quarter the foot stands out.
        pub rule: LadderRule = any().or("working_length"),
        /// How far the foot stands out, as measured.
        pub base_measured: Option<Length> = within(0.05, 10.0),
        /// How far the rails stand above the support, as measured.
        pub rails_above_measured: Option<Length> = within(0.0, 5.0),
        /// Whether the top is tied and there is a rail to hold.
        pub tied_and_grab_rail: bool = any().or(false),
        /// Ladders there are, by nominal length.
        pub ladder_lengths: Vec<Length> = within(1.0, 25.0).items(1, 20).or(USUAL_LADDERS),
        /// Who climbs.
        pub user_mass: Option<Mass> = within(20.0, 300.0),
        /// The ladder's duty.
        pub duty: Option<Duty>,
        /// What is carried.
        pub carried_mass: Mass = within(0.0, 300.0).or("0 kg"),
    }
}

input! {
    /// A lift, a ladder, or both.
    pub struct Input {
        /// A lift.
        pub lift: Option<Lift>,
        /// A ladder.
        pub ladder: Option<Ladder>,
    }
}
