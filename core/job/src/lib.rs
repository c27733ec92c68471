//! Facts, their canonical bytes, hashes and signatures, and the folding of facts into a job.
//!
//! Invariant: folding is a pure function of the set of facts; order and duplicates change nothing.
