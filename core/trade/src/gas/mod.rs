//! Gas at the site: air, combustion, input at altitude, orifice, meter, pressure test, piping.

pub mod derate_rule;
pub mod fuel_gas;
pub mod gas_weight;
pub mod pipe_size;
pub mod pipe_sizes;
pub mod site;

pub mod air;
pub mod combustion;
pub mod derate;
pub mod flue_gas;
pub mod gas_line;
pub mod meter_clock;
pub mod orifice;
pub mod pressure_test;

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[
    Entry::of::<air::Air>(),
    Entry::of::<combustion::Combustion>(),
    Entry::of::<derate::Derate>(),
    Entry::of::<orifice::Orifice>(),
    Entry::of::<meter_clock::MeterClock>(),
    Entry::of::<pressure_test::PressureTest>(),
    Entry::of::<gas_line::GasLine>(),
    Entry::of::<flue_gas::FlueGas>(),
];
