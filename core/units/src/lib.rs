//! Reads what a person types as a quantity, and shows what a person reads.
//!
//! Invariant: a number never travels without its unit, and what is shown reads back to the same
//! value within its shown precision.
//!
//! - [`read`] takes text as a tradesperson types it (`11-3/8"`, `7 in wc`, `35 MBH`), [`read_entry`]
//!   a number with its unit beside it; both give a [`Reading`] or say what to write instead.
//! - [`show`] writes a quantity in a [`Style`]; [`read_back`] writes what was typed together with
//!   the other system ("11 3/8 in · 289 mm").
//! - [`Quantity`] ties a [`Dimension`] to a typed quantity of `uom`.
//! - [`nine_digits`] is how kept figures are rounded.
//!
//! No file, clock, thread, network or chance.

mod dimension;
mod number;
mod quantity;
mod read;
mod round;
mod show;
mod table;
mod unit;

pub use dimension::Dimension;
pub use quantity::{AbsolutePressure, HeatingValue, LinearConductance, Quantity, ThermalInsulance};
pub use read::{LONGEST_TEXT, ReadError, Reading, read, read_entry};
pub use round::nine_digits;
pub use show::{DecimalSign, Form, Style, System, read_back, show};
pub use unit::{Reference, Unit};
