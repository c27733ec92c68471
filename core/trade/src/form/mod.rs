//! The one form of every reckoning: how its input is read, refused and described, and how its answer is
//! written.
//!
//! Invariant: an input is refused at the first thing that is wrong, by a stable code and a JSON pointer:
//! not JSON, then unknown keys, then the keys in their declared order. `null` is the same as leaving a key
//! out. A quantity never comes without its unit.

mod answer;
mod choice;
mod field;
mod findings;
mod object;
mod parse;
mod pointer;
mod quantity;
mod refusal;
mod registry;
mod rule;
#[cfg(test)]
mod tests;

pub use answer::{Answer, Check, Figure, NumberCheck, Step, Trace, Verdict};
pub use choice::{ChoiceText, read_choice};
pub use field::{Field, OrNone};
pub use findings::{Finding, FindingKind, Findings, Severity};
pub use object::{Described, Flat, Object, Record, described, exactly_one};
pub use parse::{LARGEST_TEXT, parse};
pub use pointer::Pointer;
pub use refusal::{Refusal, RefusalCode};
pub use registry::{Entry, Reckoning, read_input};
pub use rule::{Fallback, Rule, any, items, over, within};

pub(crate) use choice::{choice, tagged};
pub(crate) use object::input;
