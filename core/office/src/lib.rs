//! The office server.
//!
//! Invariant: one business never sees what belongs to another.
