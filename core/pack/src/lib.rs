//! The claim pack: a PDF, the originals, the facts and the means to check them.
//!
//! Invariant: the same facts, date, language and versions give the same bytes.

pub mod paper;
