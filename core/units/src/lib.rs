//! Reads what a person types as a quantity, and shows what a person reads.
//!
//! Invariant: a number never travels without its unit, and what is shown reads back to the same
//! value within its shown precision.
