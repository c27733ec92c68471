//! Why an input is not taken.

use serde::Serialize;

use super::pointer::Pointer;

/// The stable code of a refusal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RefusalCode {
    /// A number without its unit.
    UnitMissing,
    /// A unit of another kind of quantity.
    UnitWrongKind,
    /// A word that is no unit.
    UnitUnknown,
    /// No number that can be read.
    NumberUnreadable,
    /// Infinite, or too large to hold.
    NotFinite,
    /// Outside the bounds.
    OutOfRange,
    /// A needed key is absent.
    Missing,
    /// A key that is not known here.
    UnknownKey,
    /// A text that is none of the choices.
    UnknownChoice,
    /// A list without items.
    EmptyList,
    /// A list with more items than are taken.
    TooMany,
    /// Two inputs that can't both be true.
    Inconsistent,
    /// A sum that does not settle within the bounds of its method.
    NotConverged,
    /// No JSON object.
    NotJson,
    /// No reckoning of that name.
    UnknownReckoning,
}

impl RefusalCode {
    /// The code as text.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::UnitMissing => "unit_missing",
            Self::UnitWrongKind => "unit_wrong_kind",
            Self::UnitUnknown => "unit_unknown",
            Self::NumberUnreadable => "number_unreadable",
            Self::NotFinite => "not_finite",
            Self::OutOfRange => "out_of_range",
            Self::Missing => "missing",
            Self::UnknownKey => "unknown_key",
            Self::UnknownChoice => "unknown_choice",
            Self::EmptyList => "empty_list",
            Self::TooMany => "too_many",
            Self::Inconsistent => "inconsistent",
            Self::NotConverged => "not_converged",
            Self::NotJson => "not_json",
            Self::UnknownReckoning => "unknown_reckoning",
        }
    }
}

/// An input that is not taken: what is so, where, and the way out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{field}: {message}")]
pub struct Refusal {
    /// The stable code.
    pub code: RefusalCode,
    /// JSON pointer to the value (or to where it is missing); empty for the whole input.
    pub field: String,
    /// What is so, then what to do.
    pub message: String,
}

impl Refusal {
    /// A refusal of any code.
    #[must_use]
    pub fn new(code: RefusalCode, at: impl Into<Pointer>, message: impl Into<String>) -> Self {
        Self {
            code,
            field: at.into().as_str().to_owned(),
            message: message.into(),
        }
    }

    /// Two inputs that can't both be true; `at` is the one to look at first.
    #[must_use]
    pub fn inconsistent(at: impl Into<Pointer>, message: impl Into<String>) -> Self {
        Self::new(RefusalCode::Inconsistent, at, message)
    }

    /// A needed key is absent.
    #[must_use]
    pub fn missing(at: impl Into<Pointer>, message: impl Into<String>) -> Self {
        Self::new(RefusalCode::Missing, at, message)
    }

    /// A value outside its bounds.
    #[must_use]
    pub fn out_of_range(at: impl Into<Pointer>, message: impl Into<String>) -> Self {
        Self::new(RefusalCode::OutOfRange, at, message)
    }

    /// A text that is none of the choices.
    #[must_use]
    pub fn unknown_choice(at: impl Into<Pointer>, message: impl Into<String>) -> Self {
        Self::new(RefusalCode::UnknownChoice, at, message)
    }

    /// A key that is not known here.
    #[must_use]
    pub fn unknown_key(at: impl Into<Pointer>, message: impl Into<String>) -> Self {
        Self::new(RefusalCode::UnknownKey, at, message)
    }
}
