//! Exchange of facts between a phone and the office as state machines without I/O.
//!
//! Invariant: events in, commands out; every step may be repeated.
