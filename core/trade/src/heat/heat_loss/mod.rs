//! Heat loss: the design heat loss of a room or a house.

pub mod assembly;
pub mod envelope;
