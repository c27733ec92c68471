//! The use cases of a phone, the office and the command line, over any log of facts.
//!
//! Invariant: nothing is acknowledged before the log has it; every refusal has a code and a way out.
