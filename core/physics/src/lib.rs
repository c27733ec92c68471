//! The physics of a sealed gas stove on a balanced flue: air, combustion, gas properties, derate
//! rules and the direct-vent flue.
//!
//! Invariant: pure functions of their arguments, the same bits on every platform. All transcendental
//! functions come from `libm`, square roots are the correctly rounded ones of IEEE 754, and nothing
//! is left to the order in which a compiler would like to add.
//!
//! What crosses this crate's border carries its unit (`uom`). Inside, the kernel works on plain
//! `f64` in SI units: metres, kilograms, seconds, kelvins, pascals, watts; molar masses in g/mol.
//!
//! Start with [`flue::Flue`]: it is made from a [`flue::FlueInput`], and then being one is the proof
//! that the arrangement can be computed. Of every answer: this is a plausibility check for the crew.
//! The appliance's listed vent tables, the listed cap and the adopted code govern.

pub mod constants;
pub mod error;
pub mod quantities;

mod roots;

pub mod atmosphere;
pub mod saturation;

pub mod combustion;
pub mod fuel;
pub mod gas;

pub mod derate;

pub mod convection;
pub mod friction;
pub mod geometry;
pub mod masonry;
pub mod restrictor;

mod network;
pub mod two_stream;

pub mod flue;

pub mod chimney;

pub use error::PhysicsError;
