//! Emissions avoided: the wood smoke a change-out avoids.

pub mod change_out;
pub mod factors;
pub mod firewood;
