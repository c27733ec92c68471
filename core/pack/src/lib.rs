//! The claim pack: a PDF, the originals, the facts and the means to check them.
//!
//! Invariant: the same facts, date, language and versions give the same bytes, and every byte of a
//! pack matters to its check. `fixtures/formats/pack.md` describes the file byte by byte.
//!
//! [`claim::claim`] makes the PDF's content and the evidence table of a job; [`paper`] prints it;
//! [`write`] makes a pack of a [`PackInput`]; [`check`] says what is in one, or the first thing that
//! is wrong with it.

mod archive;
mod check;
pub mod claim;
mod claims;
mod fault;
mod manifest;
mod members;
pub mod paper;
mod writing;

pub use check::{Report, check, check_bytes};
pub use claims::{Row, State};
pub use fault::PackFault;
pub use manifest::{PackReader, WhyLeftOut};
pub use members::original_name;
pub use writing::{Originals, PackError, PackInput, READ_ME_FIRST, write};
