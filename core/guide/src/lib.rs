//! Stages, visits, asks, programmes, readiness, figures and screens, read from data files.
//!
//! Invariant: what is asked and what a programme wants is data; words that people read are messages.
