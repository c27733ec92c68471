//! What stands around the stove.

use uom::si::f64::Length;

use crate::form::{any, choice, input, within};

choice! {
    /// What the appliance burns.
    pub enum Appliance {
        /// Wood, pellets or coal.
        SolidFuel = "solid_fuel",
        /// Gas.
        Gas = "gas",
    }
}

choice! {
    /// Whose table of reductions is used.
    pub enum Edition {
        /// NFPA 211.
        Nfpa211 = "nfpa211",
        /// IRC table G2409.2, for gas.
        IrcG2409 = "irc_g2409",
        /// IMC table 308.6.
        Imc308 = "imc_308",
    }
}

choice! {
    /// What is on the wall or ceiling.
    pub enum Protection {
        /// Nothing.
        None = "none",
        /// 3 1/2 in masonry without air space.
        MasonryNoGap = "masonry_no_gap",
        /// 1/2 in noncombustible board on 1 in mineral batts.
        BoardOnBatts = "board_on_batts",
        /// 24 ga sheet on 1 in wired batts, with air space.
        MetalOnBattsGap = "metal_on_batts_gap",
        /// 3 1/2 in masonry with air space.
        MasonryGap = "masonry_gap",
        /// 24 ga sheet with air space.
        MetalGap = "metal_gap",
        /// 1/2 in noncombustible board with air space.
        BoardGap = "board_gap",
        /// Two 24 ga sheets, both with air space.
        TwoMetalGap = "two_metal_gap",
        /// 1 in batts between two 24 ga sheets, with air space.
        BattsBetweenMetalGap = "batts_between_metal_gap",
    }
}

input! {
    /// One side of the stove.
    pub struct Side {
        /// Measured to what stands there.
        pub measured: Option<Length> = within(0.0, 20.0),
        /// What the appliance's listing wants there.
        pub listing_required: Option<Length> = within(0.0, 5.0),
        /// What is on the wall or ceiling.
        pub protection: Protection = any().or("none"),
        /// Whether what stands there burns.
        pub combustible: bool = any().or(true),
    }
}

input! {
    /// The sides that are looked at; at least one.
    pub struct Sides {
        /// Behind.
        pub rear: Option<Side>,
        /// To the left.
        pub left: Option<Side>,
        /// To the right.
        pub right: Option<Side>,
        /// Before.
        pub front: Option<Side>,
        /// Above.
        pub top: Option<Side>,
        /// Around the smoke pipe.
        pub connector: Option<Side>,
    }
}

impl Sides {
    /// Each side that is given, by name, in order.
    pub(super) fn given(&self) -> impl Iterator<Item = (&'static str, &Side)> {
        [
            ("rear", &self.rear),
            ("left", &self.left),
            ("right", &self.right),
            ("front", &self.front),
            ("top", &self.top),
            ("connector", &self.connector),
        ]
        .into_iter()
        .filter_map(|(name, side)| Some((name, side.as_ref()?)))
    }
}

input! {
    /// The pad beyond the stove, as measured.
    pub struct PadMeasured {
        /// Before the stove.
        pub front: Option<Length> = within(0.0, 5.0),
        /// Behind it.
        pub rear: Option<Length> = within(0.0, 5.0),
        /// To the left.
        pub left: Option<Length> = within(0.0, 5.0),
        /// To the right.
        pub right: Option<Length> = within(0.0, 5.0),
    }
}

input! {
    /// The pad beyond the stove, as the listing wants it.
    pub struct PadListed {
        /// Before the stove.
        pub front: Option<Length> = within(0.0, 3.0),
        /// Behind it.
        pub rear: Option<Length> = within(0.0, 3.0),
        /// To the left.
        pub left: Option<Length> = within(0.0, 3.0),
        /// To the right.
        pub right: Option<Length> = within(0.0, 3.0),
    }
}

input! {
    /// The floor under and around the stove.
    pub struct Floor {
        /// Whether the floor burns.
        pub combustible: bool = any().or(true),
        /// Width of the stove.
        pub appliance_width: Option<Length> = within(0.05, 3.0),
        /// Depth of the stove.
        pub appliance_depth: Option<Length> = within(0.05, 3.0),
        /// The pad beyond the stove, as measured.
        pub measured: PadMeasured = any().or_empty(),
        /// The pad beyond the stove, as the listing wants it.
        pub listing_required: PadListed = any().or_empty(),
    }
}

input! {
    /// The stove and what stands around it.
    pub struct Input {
        /// What it burns.
        pub appliance: Appliance,
        /// Whether it is listed.
        pub listed: bool,
        /// Whose table of reductions is used.
        pub edition: Edition = any().or("nfpa211"),
        /// Whether the listing allows reduced clearances.
        pub reduction_allowed_by_listing: bool = any().or(false),
        /// The sides that are looked at.
        pub sides: Sides,
        /// The floor.
        pub floor: Option<Floor>,
    }
}
