//! What a field may hold besides its type: bounds, number of items, and what an absent key stands for.

use serde_json::Value;

/// Bounds, number of items and fallback of one field.
#[derive(Clone, Copy, Debug, Default)]
pub struct Rule {
    pub(crate) bounds: Option<Bounds>,
    pub(crate) items: Option<(usize, usize)>,
    pub(crate) fallback: Option<Fallback>,
}

/// Least and greatest value, in base units.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    pub(crate) least: f64,
    pub(crate) greatest: f64,
    /// Whether the least value itself is refused.
    pub(crate) over: bool,
}

/// What an absent key stands for, as it would be written in the input.
#[derive(Clone, Copy, Debug)]
pub enum Fallback {
    /// A quantity as typed, a choice, a text.
    Text(&'static str),
    /// A bare number.
    Number(f64),
    /// A count.
    Count(u32),
    /// True or false.
    Flag(bool),
    /// A list of quantities as typed.
    Texts(&'static [&'static str]),
    /// An object whose keys are all left out.
    Empty,
}

impl From<&'static str> for Fallback {
    fn from(text: &'static str) -> Self {
        Self::Text(text)
    }
}

impl From<&'static [&'static str]> for Fallback {
    fn from(texts: &'static [&'static str]) -> Self {
        Self::Texts(texts)
    }
}

impl From<f64> for Fallback {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<u32> for Fallback {
    fn from(count: u32) -> Self {
        Self::Count(count)
    }
}

impl From<bool> for Fallback {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

impl Fallback {
    pub(crate) fn value(self) -> Value {
        match self {
            Self::Text(text) => Value::from(text),
            Self::Number(number) => Value::from(number),
            Self::Count(count) => Value::from(count),
            Self::Flag(flag) => Value::from(flag),
            Self::Texts(texts) => Value::from(texts.to_vec()),
            Self::Empty => Value::Object(serde_json::Map::new()),
        }
    }
}

/// No bounds and no fallback.
#[must_use]
pub fn any() -> Rule {
    Rule::default()
}

/// From `least` to `greatest` in base units, both allowed.
#[must_use]
pub fn within(least: f64, greatest: f64) -> Rule {
    Rule {
        bounds: Some(Bounds {
            least,
            greatest,
            over: false,
        }),
        ..Rule::default()
    }
}

/// Above `least` (itself refused) and up to `greatest`, in base units.
#[must_use]
pub fn over(least: f64, greatest: f64) -> Rule {
    Rule {
        bounds: Some(Bounds {
            least,
            greatest,
            over: true,
        }),
        ..Rule::default()
    }
}

/// A list of so many items.
#[must_use]
pub fn items(least: usize, most: usize) -> Rule {
    Rule {
        items: Some((least, most)),
        ..Rule::default()
    }
}

impl Rule {
    /// What an absent key stands for.
    #[must_use]
    pub fn or(self, fallback: impl Into<Fallback>) -> Self {
        Self {
            fallback: Some(fallback.into()),
            ..self
        }
    }

    /// An absent object stands for one whose keys are all left out.
    #[must_use]
    pub fn or_empty(self) -> Self {
        Self {
            fallback: Some(Fallback::Empty),
            ..self
        }
    }

    /// How many items the list has; the bounds are those of each item.
    #[must_use]
    pub fn items(self, least: usize, most: usize) -> Self {
        Self {
            items: Some((least, most)),
            ..self
        }
    }
}

impl Bounds {
    /// Whether a value lies outside, with a slack of 1e-9 of the larger bound.
    pub(crate) fn exclude(&self, value: f64) -> bool {
        let slack = 1e-9 * self.least.abs().max(self.greatest.abs());
        let below = if self.over {
            value <= self.least
        } else {
            value < self.least - slack
        };
        below || value > self.greatest + slack
    }
}
