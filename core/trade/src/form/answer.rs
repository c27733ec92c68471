//! The answer of a reckoning, and the pieces its figures are made of.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use serde_json::{Number, Value};
use wythe_units::{Quantity, nine_digits};

use super::findings::Finding;

/// How a check came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// It is met.
    Pass,
    /// It is not met.
    Fail,
    /// Somebody has to look.
    Caution,
    /// A figure is lacking.
    CannotTell,
}

/// What a reckoning gives: verdict where there is a check, its figures, findings, and the sum to follow.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer<F> {
    /// The verdict of the whole, where there is a check.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<Verdict>,
    /// The figures, each under its own key.
    #[serde(flatten)]
    pub figures: F,
    /// What there is to say, in a fixed order.
    pub findings: Vec<Finding>,
    /// The intermediate figures.
    pub trace: Vec<Step>,
    /// What every sheet of this reckoning says, whatever the figures.
    pub notes: Vec<&'static str>,
}

/// A quantity in an answer: written as `{"value", "unit"}` in the base unit.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Figure<Q>(pub Q);

impl<Q: Quantity> Figure<Q> {
    /// From a value in the base unit.
    #[must_use]
    pub fn from_base(base: f64) -> Self {
        Self(Q::from_base(base))
    }

    /// The value in the base unit.
    #[must_use]
    pub fn base(&self) -> f64 {
        self.0.to_base()
    }
}

impl<Q> From<Q> for Figure<Q> {
    fn from(quantity: Q) -> Self {
        Self(quantity)
    }
}

impl<Q: Quantity> Serialize for Figure<Q> {
    fn serialize<S: Serializer>(&self, writer: S) -> Result<S::Ok, S::Error> {
        // Rounded with every other number when the whole answer is written.
        let value = self.0.to_base();
        if !value.is_finite() {
            return writer.serialize_none();
        }
        let mut map = writer.serialize_map(Some(2))?;
        map.serialize_entry("value", &value)?;
        map.serialize_entry("unit", Q::DIMENSION.base_unit())?;
        map.end()
    }
}

/// A check: what is required, what was measured, the margin, and how it came out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Check<T> {
    /// What is required, where anything is.
    pub required: Option<T>,
    /// What was measured, where it was.
    pub measured: Option<T>,
    /// How much is to spare (negative: lacking).
    pub margin: Option<T>,
    /// How it came out.
    pub verdict: Verdict,
}

/// A check of bare numbers.
pub type NumberCheck = Check<f64>;

/// One line of the sum.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What the figure is.
    pub name: String,
    /// The figure in the base unit; none when it does not exist.
    pub value: Option<f64>,
    /// The base unit; `1` for a bare number, `deg` for an angle.
    pub unit: &'static str,
}

/// The lines of the sum while it is done.
#[derive(Clone, Debug, Default)]
pub struct Trace(Vec<Step>);

impl Trace {
    /// Adds a quantity.
    pub fn quantity<Q: Quantity>(&mut self, name: impl Into<String>, quantity: Q) {
        self.line(name, quantity.to_base(), Q::DIMENSION.base_unit());
    }

    /// Adds a bare number.
    pub fn number(&mut self, name: impl Into<String>, number: f64) {
        self.line(name, number, "1");
    }

    /// Adds a figure in a unit that has no quantity of its own, such as `deg` or `lb`.
    pub fn line(&mut self, name: impl Into<String>, value: f64, unit: &'static str) {
        self.0.push(Step {
            name: name.into(),
            value: value.is_finite().then_some(value),
            unit,
        });
    }

    /// The lines.
    #[must_use]
    pub fn finish(self) -> Vec<Step> {
        self.0
    }
}

/// Rounds every number with a fraction to nine digits: kept figures are the same on every machine.
pub(crate) fn round_numbers(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            if let Some(rounded) = number.as_f64().map(nine_digits).and_then(Number::from_f64) {
                *number = rounded;
            }
        }
        Value::Array(list) => list.iter_mut().for_each(round_numbers),
        Value::Object(map) => map.values_mut().for_each(round_numbers),
        _ => {}
    }
}
