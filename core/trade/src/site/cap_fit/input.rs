//! What was measured on the roof.

use uom::si::f64::{Length, Volume};

use crate::form::{choice, input, items, within};

choice! {
    /// What the plate lies on.
    pub enum Mount {
        /// On the tile's rim, its edges bent down as a skirt.
        OverTile = "over_tile",
        /// Flat on the crown.
        OnCrown = "on_crown",
    }
}

input! {
    /// How far the tile stands above the crown, at each of its four faces.
    pub struct Projection {
        /// At the low face along a.
        pub a_low: Length = within(0.0, 2.0),
        /// At the high face along a.
        pub a_high: Length = within(0.0, 2.0),
        /// At the low face along b.
        pub b_low: Length = within(0.0, 2.0),
        /// At the high face along b.
        pub b_high: Length = within(0.0, 2.0),
    }
}

input! {
    /// A part of the building near the chimney.
    pub struct Part {
        /// How far away, level.
        pub distance: Length = within(0.0, 100.0),
        /// How high above the highest point where the chimney passes the roof.
        pub above_penetration: Length = within(0.0, 50.0),
    }
}

input! {
    /// The roof around the chimney.
    pub struct Roof {
        /// The top above the highest point where the chimney passes the roof.
        pub top_above_penetration: Length = within(0.0, 20.0),
        /// Rise of the roof in inches per 12 inches.
        pub pitch_in_12: f64 = within(0.0, 36.0),
        /// Level distance to the ridge, from the same face.
        pub distance_to_ridge: Length = within(0.0, 50.0),
        /// Other parts of the building.
        pub other_parts: Option<Vec<Part>> = items(1, 20),
        /// Least height the appliance's listing or manual gives.
        pub listing_min_height: Option<Length> = within(0.0, 10.0),
    }
}

input! {
    /// What was measured, what was delivered, and what is wanted.
    pub struct Input {
        /// What the plate lies on.
        pub mount: Mount,
        /// Outside size of the tile along a, measured once or twice.
        pub tile_a: Vec<Length> = within(0.05, 2.0).items(1, 2),
        /// Outside size of the tile along b, measured once or twice.
        pub tile_b: Vec<Length> = within(0.05, 2.0).items(1, 2),
        /// One diagonal across the tile's outside.
        pub diagonal_1: Option<Length> = within(0.05, 3.0),
        /// The other diagonal.
        pub diagonal_2: Option<Length> = within(0.05, 3.0),
        /// The tile above the crown at its four faces.
        pub projection: Projection,
        /// Crown over all, along a.
        pub crown_a: Option<Length> = within(0.05, 10.0),
        /// Crown over all, along b.
        pub crown_b: Option<Length> = within(0.05, 10.0),
        /// Brick outside, along a.
        pub chimney_a: Option<Length> = within(0.05, 10.0),
        /// Brick outside, along b.
        pub chimney_b: Option<Length> = within(0.05, 10.0),
        /// How much the crown falls.
        pub crown_rise: Option<Length> = within(0.0, 2.0),
        /// Over what level distance it falls.
        pub crown_run: Option<Length> = within(0.01, 5.0),
        /// The plate as delivered, along a.
        pub plate_a: Length = within(0.05, 3.0),
        /// The plate as delivered, along b.
        pub plate_b: Length = within(0.05, 3.0),
        /// The plate's liner hole from its low edge along a; the middle when it is not given.
        pub hole_centre_a: Option<Length> = within(0.0, 3.0),
        /// The plate's liner hole from its low edge along b; the middle when it is not given.
        pub hole_centre_b: Option<Length> = within(0.0, 3.0),
        /// The liner from the tile's low face along a; the middle when it is not given.
        pub liner_centre_a: Option<Length> = within(0.0, 2.0),
        /// The liner from the tile's low face along b; the middle when it is not given.
        pub liner_centre_b: Option<Length> = within(0.0, 2.0),
        /// Between tile and skirt or opening (common practice, no source).
        pub gap: Length = within(0.0, 0.05).or("6 mm"),
        /// Length bent down; needed over the tile, refused on the crown.
        pub skirt_depth: Option<Length> = within(0.005, 0.5),
        /// Wanted over the tile's face, or over the crown (common practice, no source).
        pub overlap: Length = within(0.0, 0.5).or("1 in"),
        /// Width of the sealant bead (common practice, no source).
        pub bead_width: Length = within(0.001, 0.1).or("3/8 in"),
        /// Height of the sealant bead (common practice, no source).
        pub bead_height: Length = within(0.001, 0.1).or("1/4 in"),
        /// How often the bead goes round.
        pub bead_passes: u32 = within(1.0, 5.0).or(1_u32),
        /// Sealant in one cartridge.
        pub cartridge_volume: Volume = within(1e-5, 0.01).or("0.3 L"),
        /// Sealant bought over sealant needed (common practice, no source).
        pub waste_factor: f64 = within(1.0, 2.0).or(1.1),
        /// The roof around the chimney.
        pub roof: Option<Roof>,
        /// On the cap: the outlet above the intake.
        pub outlet_above_intake: Option<Length> = within(0.0, 5.0),
        /// Least separation the listing or manual gives.
        pub listing_min_separation: Option<Length> = within(0.0, 5.0),
    }
}

impl Input {
    /// Whether the plate's edges are bent down over the tile.
    #[must_use]
    pub fn has_skirt(&self) -> bool {
        self.mount == Mount::OverTile
    }
}
