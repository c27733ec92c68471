//! What the sum is told.

use uom::si::f64::Length;

use crate::form::{any, choice, input, items, within};

choice! {
    /// How the liners carry exhaust and air.
    pub enum Arrangement {
        /// One exhaust liner, the air around it in the tile.
        Annulus = "annulus",
        /// Exhaust and intake liner side by side.
        TwoLiners = "two_liners",
    }
}

choice! {
    /// The tile's shape.
    pub enum TileShape {
        /// Four sides, with or without rounded corners.
        Rectangular = "rectangular",
        /// Round.
        Round = "round",
    }
}

choice! {
    /// One of the flue's two directions.
    pub enum Axis {
        /// Along `inside_a`.
        A = "a",
        /// Along `inside_b`.
        B = "b",
    }
}

choice! {
    /// Whether a liner can follow a slant.
    pub enum LinerKind {
        /// A straight pipe.
        Rigid = "rigid",
        /// A liner that bends.
        Flexible = "flexible",
    }
}

input! {
    /// The tile at the top, measured inside.
    pub struct Tile {
        /// Rectangular or round.
        pub shape: TileShape,
        /// Inside size along a (rectangular).
        pub inside_a: Option<Length> = within(0.05, 2.0),
        /// Inside size along b (rectangular).
        pub inside_b: Option<Length> = within(0.05, 2.0),
        /// Inside radius of the corners (rectangular); 0 when neither this nor a factor is given.
        pub corner_radius: Option<Length> = within(0.0, 1.0),
        /// Net area over a times b (rectangular), instead of a radius.
        pub area_factor: Option<f64> = within(0.5, 1.0),
        /// Inside diameter (round).
        pub inside_diameter: Option<Length> = within(0.05, 2.0),
    }
}

input! {
    /// A measured place along the flue; of the same shape as the tile.
    pub struct Section {
        /// Height of the place.
        pub height: Option<Length> = within(0.0, 100.0),
        /// Inside size along a (rectangular).
        pub inside_a: Option<Length> = within(0.05, 2.0),
        /// Inside size along b (rectangular).
        pub inside_b: Option<Length> = within(0.05, 2.0),
        /// Inside radius of the corners (rectangular).
        pub corner_radius: Option<Length> = within(0.0, 1.0),
        /// Net area over a times b (rectangular), instead of a radius.
        pub area_factor: Option<f64> = within(0.5, 1.0),
        /// Inside diameter (round).
        pub inside_diameter: Option<Length> = within(0.05, 2.0),
    }
}

input! {
    /// A place where the flue steps aside.
    pub struct Offset {
        /// How far it steps aside.
        pub shift: Length = within(0.0, 2.0),
        /// Over what height.
        pub height: Length = within(0.01, 20.0),
        /// The direction it steps in.
        pub axis: Axis = any().or("a"),
        /// Whether the liner can follow the slant.
        pub liner_kind: LinerKind = any().or("rigid"),
    }
}

input! {
    /// What goes down which flue.
    pub struct Input {
        /// One liner with the air around it, or two side by side.
        pub arrangement: Arrangement,
        /// The tile, measured inside.
        pub tile: Tile,
        /// Further measured places; the smallest of all governs.
        pub sections: Option<Vec<Section>> = items(1, 60),
        /// Outside diameter of the exhaust liner.
        pub exhaust_outside: Length = within(0.025, 0.6),
        /// Inside diameter of the exhaust liner; the outside one when it is not given.
        pub exhaust_inside: Option<Length> = within(0.025, 0.6),
        /// Outside diameter of the intake liner; needed for two liners.
        pub intake_outside: Option<Length> = within(0.025, 0.6),
        /// Inside diameter of the intake liner; the outside one when it is not given.
        pub intake_inside: Option<Length> = within(0.025, 0.6),
        /// Length all round each liner (common practice, no source).
        pub clearance: Length = within(0.0, 0.1).or("13 mm"),
        /// Length between two liners; the clearance when it is not given.
        pub clearance_between: Option<Length> = within(0.0, 0.1),
        /// A place where the flue steps aside.
        pub offset: Option<Offset>,
        /// Whether the appliance's instructions let the tile itself carry the air.
        pub air_space_listed: bool = any().or(false),
    }
}
