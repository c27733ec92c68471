//! Intake of photographs and papers: hash, metadata, preview, grade.
//!
//! Invariant: an original is copied byte for byte before anything is read from it.
