//! The log of facts: in memory, and in SQLite with projections and originals beside it.
//!
//! Invariant: what was acknowledged is never lost, and nothing is changed or deleted.
