//! A number drill as it stands in an input.

use serde_json::{Value, json};

use super::drills::{self, Drill};
use crate::form::{Field, Pointer, Refusal, Rule};

/// A number drill by its number: `"42"` or `"#42"`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillName(pub Drill);

impl DrillName {
    /// The drill of a text.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let text = text.trim();
        let digits = text.strip_prefix('#').unwrap_or(text).trim_start();
        let plain = !digits.starts_with(['0', '+']);
        let number = digits.parse().ok().filter(|_| plain)?;
        drills::by_number(number).map(Self)
    }
}

impl Field for DrillName {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        value.as_str().and_then(Self::of).ok_or_else(|| {
            Refusal::unknown_choice(
                at,
                "This is no number drill. Write one from \"1\" to \"80\", in quotes.",
            )
        })
    }

    fn schema(_: &Rule) -> Value {
        json!({ "type": "string", "pattern": "^#?([1-9]|[1-7][0-9]|80)$", "examples": ["42"] })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drills_are_named_with_and_without_the_sign() {
        let number = |text| DrillName::of(text).map(|name| name.0.number);
        assert_eq!(
            [number("42"), number("#42"), number(" 1 "), number("80")],
            [Some(42), Some(42), Some(1), Some(80)]
        );
        for wrong in ["0", "81", "042", "+4", "-4", "4.0", "A", "", "#", "1/8"] {
            assert_eq!(number(wrong), None, "{wrong}");
        }
    }
}
