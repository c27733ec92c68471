//! The reckonings a hearth crew and its office need, each a pure function with a JSON form.
//!
//! Invariant: a reckoning advises and records; it never says "safe" or "approved", and names the
//! listing, the manual and the adopted code as what governs.
//!
//! - [`list`], [`schema`] and [`reckon`] serve the command line: names, JSON Schema, text in and value out.
//! - [`form::Reckoning`] is what each is: call `LinerFit::reckon(&input)` with typed quantities from Rust.
//! - [`form`] reads inputs, refuses them, describes them, and writes answers.
//!
//! # Adding a reckoning
//! 1. One file (or folder) in the group it belongs to: [`site`], [`gas`], [`heat`] or [`flue`].
//! 2. Declare the input with `input!` (and `choice!`, `tagged!`), keys in their order: reading, bounds,
//!    fallbacks, refusals and schema come from that one declaration. `Option<T>` may be left out.
//! 3. Derive `Serialize` for the figures; quantities are `Figure<Length>`, a figure that does not exist is
//!    `None`, bare numbers are rounded to nine digits on the way out.
//! 4. One `const FindingKind` per code, ranked in the order findings stand in; messages say what is so, then
//!    what to do.
//! 5. `impl Reckoning` and add its line to the group's `TABLE`.
//! 6. Published check values in `tests/published/tests/NAME.rs`, properties beside the sum.

pub mod compare;
pub mod customary;
mod data;
pub mod flue;
pub mod form;
pub mod gas;
pub mod heat;
pub mod notes;
pub mod quantities;
pub mod site;
pub mod words;

use form::{Entry, Refusal, RefusalCode};
use serde_json::Value;

/// Every reckoning, by group.
pub fn list() -> impl Iterator<Item = &'static Entry> {
    [site::TABLE, gas::TABLE, heat::TABLE, flue::TABLE]
        .into_iter()
        .flatten()
}

/// The reckoning of a name.
///
/// # Errors
/// `unknown_reckoning`, listing the names.
pub fn find(name: &str) -> Result<&'static Entry, Refusal> {
    list().find(|entry| entry.name == name).ok_or_else(|| {
        let names: Vec<&str> = list().map(|entry| entry.name).collect();
        let message = format!(
            "There is no reckoning of that name. Write one of: {}.",
            names.join(", ")
        );
        Refusal::new(RefusalCode::UnknownReckoning, "", message)
    })
}

/// The JSON Schema of a reckoning's input.
///
/// # Errors
/// `unknown_reckoning`.
pub fn schema(name: &str) -> Result<Value, Refusal> {
    find(name).map(Entry::schema)
}

/// Runs a reckoning on JSON text.
///
/// # Errors
/// `unknown_reckoning`, or the first thing that is wrong with the input.
pub fn reckon(name: &str, text: &str) -> Result<Value, Refusal> {
    find(name)?.run_text(text)
}
