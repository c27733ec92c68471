//! Is the gas piping tight: the standing pressure test, the meter's dial, the hold check.
//!
//! A gauge that visibly fell never passes: what temperature and barometer explain is a test to
//! do again once it has settled, what they do not explain is a leak.

pub mod hold_check;
pub mod meter_dial;
pub mod standing_pressure;
