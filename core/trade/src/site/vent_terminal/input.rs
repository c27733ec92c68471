//! Where the cap is to stand, and what is near.

use uom::si::f64::{Length, Power};

use crate::form::{OrNone, any, choice, input, within};

choice! {
    /// Through what the vent leaves.
    pub enum Kind {
        /// Through a wall.
        Wall = "wall",
        /// On the roof, by way of the chimney.
        Roof = "roof",
    }
}

choice! {
    /// Whose distances are used.
    pub enum Edition {
        /// 6, 9 or 12 in to an opening, without upper limit.
        UsOlder = "us_older",
        /// The same up to 150,000 Btu/h; 3 ft to a regulator vent.
        UsNewer = "us_newer",
        /// Canadian distances.
        Canada = "canada",
    }
}

choice! {
    /// Whether the cap stands above or below an inlet.
    pub enum TerminalIs {
        /// Above it.
        Above = "above",
        /// Below it.
        Below = "below",
    }
}

choice! {
    /// Which roof table.
    pub enum RoofTable {
        /// As printed now.
        Newer = "newer",
        /// 1 ft up to 7 in 12.
        Older = "older",
    }
}

input! {
    /// A mechanical air inlet.
    pub struct Inlet {
        /// Level distance.
        pub horizontal: Length = within(0.0, 100.0),
        /// Distance in height.
        pub vertical: Length = within(0.0, 100.0),
        /// Whether the cap stands above or below it.
        pub terminal_is: TerminalIs,
    }
}

input! {
    /// A gas meter or regulator set.
    pub struct Meter {
        /// Level distance.
        pub horizontal: Length = within(0.0, 100.0),
        /// Height of the cap above it.
        pub height: Length = within(0.0, 100.0),
    }
}

input! {
    /// A way people walk.
    pub struct Walkway {
        /// Height of the cap above it.
        pub height: Length = within(0.0, 100.0),
        /// Whether the public walks there.
        pub public: bool,
    }
}

input! {
    /// A porch, deck or balcony above the cap.
    pub struct Overhang {
        /// Distance to it.
        pub distance: Length = within(0.0, 100.0),
        /// How many of its sides are open.
        pub open_sides: u32 = within(0.0, 4.0),
    }
}

input! {
    /// What is near; an item left out is not measured, `none` says there is no such thing near.
    pub struct Distances {
        /// Above the ground.
        pub grade: Option<Length> = within(0.0, 100.0),
        /// To a door or a window that opens.
        pub opening: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To a mechanical air inlet.
        pub mechanical_inlet: Option<OrNone<Inlet>>,
        /// To the vent of a gas regulator.
        pub regulator_vent: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To a gas meter.
        pub meter: Option<OrNone<Meter>>,
        /// To a walkway below.
        pub walkway: Option<OrNone<Walkway>>,
        /// To a porch, deck or balcony above.
        pub overhang: Option<OrNone<Overhang>>,
        /// To an inside corner.
        pub inside_corner: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To an outside corner.
        pub outside_corner: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To a soffit.
        pub soffit: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To a window that stays closed.
        pub closed_window: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To another appliance's outlet.
        pub other_terminal: Option<OrNone<Length>> = within(0.0, 100.0),
        /// To the property line.
        pub property_line: Option<OrNone<Length>> = within(0.0, 100.0),
        /// From the cap's air intake straight to the nearest outlet of another live flue (roof).
        pub other_flue: Option<OrNone<Length>> = within(0.0, 100.0),
    }
}

input! {
    /// Least distances by the listing or the local rule.
    pub struct OwnMinimum {
        /// Above the ground.
        pub grade: Option<Length> = within(0.0, 20.0),
        /// To a door or a window that opens.
        pub opening: Option<Length> = within(0.0, 20.0),
        /// To a mechanical air inlet.
        pub mechanical_inlet: Option<Length> = within(0.0, 20.0),
        /// To the vent of a gas regulator.
        pub regulator_vent: Option<Length> = within(0.0, 20.0),
        /// To a gas meter.
        pub meter: Option<Length> = within(0.0, 20.0),
        /// Height above a walkway.
        pub walkway: Option<Length> = within(0.0, 20.0),
        /// To a porch, deck or balcony above.
        pub overhang: Option<Length> = within(0.0, 20.0),
        /// To an inside corner.
        pub inside_corner: Option<Length> = within(0.0, 20.0),
        /// To an outside corner.
        pub outside_corner: Option<Length> = within(0.0, 20.0),
        /// To a soffit.
        pub soffit: Option<Length> = within(0.0, 20.0),
        /// To a window that stays closed.
        pub closed_window: Option<Length> = within(0.0, 20.0),
        /// To another appliance's outlet.
        pub other_terminal: Option<Length> = within(0.0, 20.0),
        /// To the property line.
        pub property_line: Option<Length> = within(0.0, 20.0),
        /// To another live flue (roof).
        pub other_flue: Option<Length> = within(0.0, 20.0),
    }
}

input! {
    /// The roof under the cap.
    pub struct Roof {
        /// From the roof to the lowest outlet.
        pub height: Option<Length> = within(0.0, 30.0),
        /// Rise of the roof in inches per 12 inches.
        pub pitch_in_12: f64 = within(0.0, 36.0),
        /// To the nearest wall that stands up beside it, or `none`.
        pub wall_distance: Option<OrNone<Length>> = within(0.0, 100.0),
        /// Diameter of the cap.
        pub terminal_diameter: Length = within(0.025, 1.0),
        /// The highest part of the building within 10 ft, above the same point of the roof.
        pub highest_within_10_ft: Option<Length> = within(0.0, 50.0),
        /// Least height the listing or manual gives.
        pub listing_min_height: Option<Length> = within(0.0, 10.0),
        /// Which roof table.
        pub table: RoofTable = any().or("newer"),
    }
}

input! {
    /// Where the cap is to stand.
    pub struct Input {
        /// Through a wall, or on the roof.
        pub kind: Kind,
        /// Whose distances are used.
        pub edition: Edition,
        /// Input of the appliance.
        pub input: Power = within(300.0, 200_000.0),
        /// Snow that lies.
        pub snow_depth: Length = within(0.0, 5.0).or("0 in"),
        /// What is near.
        pub distances: Distances,
        /// Least distances by the listing or the local rule.
        pub own_minimum: OwnMinimum = any().or_empty(),
        /// Whether another live flue or chimney outlet is near (roof).
        pub other_flue_present: Option<bool>,
        /// The roof under the cap; needed for a roof.
        pub roof: Option<Roof>,
    }
}
