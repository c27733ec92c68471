//! Pressure test: is the gas piping tight?

pub mod gas_law;
pub mod hold_check;
pub mod meter_dial;
