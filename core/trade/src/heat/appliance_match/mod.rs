//! Appliance match: the stove against the load.

pub mod fit;
