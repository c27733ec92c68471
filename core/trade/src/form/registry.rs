//! The table of reckonings, and how one is run on text.

use serde::Serialize;
use serde_json::{Value, json};

use super::answer::{Answer, round_numbers};
use super::field::Field;
use super::parse::parse;
use super::pointer::Pointer;
use super::refusal::{Refusal, RefusalCode};
use super::rule::any;

/// A reckoning: a name, a purpose, and a pure function from its input to its answer.
pub trait Reckoning {
    /// The name, snake_case.
    const NAME: &'static str;
    /// One line: what it answers.
    const PURPOSE: &'static str;
    /// What goes in.
    type Input: Field;
    /// What comes out besides verdict, findings and trace.
    type Figures: Serialize;

    /// Does the sum.
    ///
    /// # Errors
    /// A refusal when inputs can't both be true, or one is lacking that only others make needed.
    fn reckon(input: &Self::Input) -> Result<Answer<Self::Figures>, Refusal>;
}

/// One line of the table.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The name.
    pub name: &'static str,
    /// One line: what it answers.
    pub purpose: &'static str,
    schema: fn() -> Value,
    run: fn(&Value) -> Result<Value, Refusal>,
}

impl Entry {
    /// The line of a reckoning.
    #[must_use]
    pub const fn of<R: Reckoning>() -> Self {
        Self {
            name: R::NAME,
            purpose: R::PURPOSE,
            schema: schema::<R>,
            run: run::<R>,
        }
    }

    /// The JSON Schema of the input.
    #[must_use]
    pub fn schema(&self) -> Value {
        (self.schema)()
    }

    /// Runs it on a JSON value.
    ///
    /// # Errors
    /// The first thing that is wrong with the input.
    pub fn run(&self, input: &Value) -> Result<Value, Refusal> {
        (self.run)(input)
    }

    /// Runs it on JSON text.
    ///
    /// # Errors
    /// The first thing that is wrong with the input.
    pub fn run_text(&self, text: &str) -> Result<Value, Refusal> {
        (self.run)(&parse(text)?)
    }
}

/// Reads the typed input of a reckoning from a JSON value, for callers that go on in Rust.
///
/// # Errors
/// The first thing that is wrong with the input.
pub fn read_input<R: Reckoning>(input: &Value) -> Result<R::Input, Refusal> {
    if !input.is_object() {
        let message = "The input is not one JSON object. Write it like {\"key\": \"value\"}.";
        return Err(Refusal::new(RefusalCode::NotJson, "", message));
    }
    R::Input::read(input, &Pointer::root(), &any())
}

fn run<R: Reckoning>(input: &Value) -> Result<Value, Refusal> {
    let answer = R::reckon(&read_input::<R>(input)?)?;
    // Figures are structs of numbers, texts and lists with text keys: this can't fail for them.
    let mut written = serde_json::to_value(answer)
        .map_err(|trouble| Refusal::new(RefusalCode::NotJson, "", trouble.to_string()))?;
    round_numbers(&mut written);
    Ok(written)
}

fn schema<R: Reckoning>() -> Value {
    let mut schema = R::Input::schema(&any());
    if let Value::Object(schema) = &mut schema {
        schema.insert(
            "$schema".to_owned(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        schema.insert("title".to_owned(), json!(R::NAME));
        schema.insert("description".to_owned(), json!(R::PURPOSE));
    }
    schema
}
