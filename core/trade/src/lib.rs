//! The reckonings a hearth crew and its office need, each a pure function with a JSON form.
//!
//! Invariant: a reckoning advises and records; it never says "safe" or "approved", and names the
//! listing, the manual and the adopted code as what governs.

pub mod compare;
pub mod customary;
pub mod quantities;

pub mod pipe_sizes;

pub mod appliance_match;
pub mod emissions_avoided;
pub mod gas_line;
pub mod heat_loss;
pub mod meter_clock;
pub mod orifice;
pub mod pressure_test;
