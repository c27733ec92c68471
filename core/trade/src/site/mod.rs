//! On the site: whether liners go down the flue, the cap fits, the pipe spans, the clearances are kept, the
//! outlet may stand where it does, and how a load and a ladder are handled.

pub mod cap_fit;
pub mod connector;
pub mod lift;
pub mod liner_fit;
pub mod stove_clearance;
pub mod vent_terminal;

use uom::si::f64::Length;
use uom::si::length::{foot, inch};

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[
    Entry::of::<cap_fit::CapFit>(),
    Entry::of::<connector::Connector>(),
    Entry::of::<lift::LiftAndLadder>(),
    Entry::of::<liner_fit::LinerFit>(),
    Entry::of::<stove_clearance::StoveClearance>(),
    Entry::of::<vent_terminal::VentTerminal>(),
];

fn inches(value: f64) -> Length {
    Length::new::<inch>(value)
}

fn feet(value: f64) -> Length {
    Length::new::<foot>(value)
}
