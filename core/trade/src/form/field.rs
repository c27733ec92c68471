//! What may stand behind a key: numbers, counts, true or false, text, lists, and things left out.

use serde_json::{Map, Value, json};

use super::object::Described;
use super::pointer::Pointer;
use super::refusal::{Refusal, RefusalCode};
use super::rule::Rule;

/// The longest text that is taken as an id or a name, in bytes.
const LONGEST_NAME: usize = 200;

/// A type that may stand behind a key of an input.
pub trait Field: Sized {
    /// Reads a value that is there (never `null`).
    ///
    /// # Errors
    /// The first thing that is wrong with it.
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal>;

    /// The JSON Schema of a value that is there.
    fn schema(rule: &Rule) -> Value;

    /// What an absent key (or `null`) becomes: the rule's fallback, else a refusal.
    ///
    /// # Errors
    /// `missing` without a fallback.
    fn absent(at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        match rule.fallback {
            Some(fallback) => Self::read(&fallback.value(), at, rule),
            None => Err(Refusal::missing(at, "This is needed and not given. Add it.")),
        }
    }

    /// Whether an input without the key is complete.
    fn may_be_absent(rule: &Rule) -> bool {
        rule.fallback.is_some()
    }

    /// Takes the field from its object.
    ///
    /// # Errors
    /// As [`Field::read`] and [`Field::absent`].
    fn take(map: &Map<String, Value>, key: &str, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        let at = at.key(key);
        match map.get(key) {
            None | Some(Value::Null) => Self::absent(&at, rule),
            Some(value) => Self::read(value, &at, rule),
        }
    }

    /// Adds the keys this field answers to: its own, or those of a group that lies flat in the object.
    fn keys(key: &'static str, keys: &mut Vec<&'static str>) {
        keys.push(key);
    }

    /// Adds the field to the schema of its object.
    fn describe(key: &'static str, words: &str, rule: &Rule, object: &mut Described) {
        let mut schema = Self::schema(rule);
        if let Value::Object(schema) = &mut schema {
            schema.insert("description".to_owned(), Value::from(words.trim()));
            if let Some(fallback) = rule.fallback {
                schema.insert("default".to_owned(), fallback.value());
            }
        }
        object.add(key, schema, Self::may_be_absent(rule));
    }
}

impl<T: Field> Field for Option<T> {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        T::read(value, at, rule).map(Some)
    }

    fn schema(rule: &Rule) -> Value {
        T::schema(rule)
    }

    fn absent(_: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        Ok(None)
    }

    fn take(map: &Map<String, Value>, key: &str, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        match map.get(key) {
            None | Some(Value::Null) => Ok(None),
            Some(value) => Self::read(value, &at.key(key), rule),
        }
    }

    fn may_be_absent(_: &Rule) -> bool {
        true
    }
}

impl<T: Field> Field for Vec<T> {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        let Value::Array(list) = value else {
            return Err(Refusal::missing(at, "A list in square brackets is needed here."));
        };
        let (least, most) = rule.items.unwrap_or((0, usize::MAX));
        if list.len() < least {
            let code = if list.is_empty() {
                RefusalCode::EmptyList
            } else {
                RefusalCode::OutOfRange
            };
            return Err(Refusal::new(
                code,
                at,
                format!("The list needs at least {least}. Add what is measured."),
            ));
        }
        if list.len() > most {
            let message = format!(
                "The list has {} items, and at most {most} are taken. Leave some out.",
                list.len()
            );
            return Err(Refusal::new(RefusalCode::TooMany, at, message));
        }
        let item_rule = Rule {
            items: None,
            fallback: None,
            ..*rule
        };
        let read = |(place, item): (usize, &Value)| {
            let at = at.item(place);
            if item.is_null() {
                T::absent(&at, &item_rule)
            } else {
                T::read(item, &at, &item_rule)
            }
        };
        list.iter().enumerate().map(read).collect()
    }

    fn schema(rule: &Rule) -> Value {
        let mut schema = json!({ "type": "array", "items": T::schema(&Rule { items: None, ..*rule }) });
        if let (Some((least, most)), Value::Object(schema)) = (rule.items, &mut schema) {
            schema.insert("minItems".to_owned(), Value::from(least));
            schema.insert("maxItems".to_owned(), Value::from(most));
        }
        schema
    }
}

impl Field for f64 {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        let number = bare(value, at)?;
        refuse_outside(number, at, rule)?;
        Ok(number)
    }

    fn schema(rule: &Rule) -> Value {
        bounded(json!({ "type": "number" }), rule)
    }
}

impl Field for u32 {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        let number = bare(value, at)?;
        refuse_outside(number, at, rule)?;
        if number.fract() != 0.0 || number < 0.0 || number > f64::from(Self::MAX) {
            return Err(Refusal::out_of_range(
                at,
                "A whole number is counted here. Give a count without a fraction.",
            ));
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole and within the type, as just checked"
        )]
        Ok(number as Self)
    }

    fn schema(rule: &Rule) -> Value {
        bounded(json!({ "type": "integer" }), rule)
    }
}

/// The largest whole number that every JSON reader holds exactly.
const LARGEST_WHOLE: u64 = 1 << 53;

impl Field for u64 {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        refuse_outside(bare(value, at)?, at, rule)?;
        value
            .as_u64()
            .filter(|whole| *whole <= LARGEST_WHOLE)
            .ok_or_else(|| {
                Refusal::out_of_range(
                    at,
                    format!("A whole number from 0 to {LARGEST_WHOLE} is needed here, without a fraction."),
                )
            })
    }

    fn schema(rule: &Rule) -> Value {
        let mut schema = json!({ "type": "integer", "minimum": 0, "maximum": LARGEST_WHOLE });
        if rule.bounds.is_some() {
            schema = bounded(schema, rule);
        }
        schema
    }
}

fn bare(value: &Value, at: &Pointer) -> Result<f64, Refusal> {
    value.as_f64().filter(|number| number.is_finite()).ok_or_else(|| {
        Refusal::new(
            RefusalCode::NumberUnreadable,
            at,
            "A bare number is needed here, without quotes or unit.",
        )
    })
}

fn refuse_outside(number: f64, at: &Pointer, rule: &Rule) -> Result<(), Refusal> {
    match rule.bounds {
        Some(bounds) if bounds.exclude(number) => {
            let from = if bounds.over { "above" } else { "from" };
            Err(Refusal::out_of_range(
                at,
                format!(
                    "{number} is outside what is taken here: {from} {} to {}. Look at the figure again.",
                    bounds.least, bounds.greatest
                ),
            ))
        }
        _ => Ok(()),
    }
}

fn bounded(mut schema: Value, rule: &Rule) -> Value {
    if let (Some(bounds), Value::Object(schema)) = (rule.bounds, &mut schema) {
        let least = if bounds.over {
            "exclusiveMinimum"
        } else {
            "minimum"
        };
        schema.insert(least.to_owned(), Value::from(bounds.least));
        schema.insert("maximum".to_owned(), Value::from(bounds.greatest));
    }
    schema
}

impl Field for bool {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        value
            .as_bool()
            .ok_or_else(|| Refusal::unknown_choice(at, "Write true or false, without quotes."))
    }

    fn schema(_: &Rule) -> Value {
        json!({ "type": "boolean" })
    }
}

impl Field for String {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        let text = value.as_str().map(str::trim).filter(|text| !text.is_empty());
        let Some(text) = text else {
            return Err(Refusal::missing(
                at,
                "A text in quotes is needed here, and it is not blank.",
            ));
        };
        if text.len() > LONGEST_NAME {
            return Err(Refusal::out_of_range(
                at,
                format!("The text is longer than {LONGEST_NAME} bytes. Shorten it."),
            ));
        }
        Ok(text.to_owned())
    }

    fn schema(_: &Rule) -> Value {
        json!({ "type": "string", "minLength": 1, "maxLength": LONGEST_NAME })
    }
}

/// Something measured, or the word `none`: there is no such thing near.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OrNone<T> {
    /// There is no such thing near.
    NoSuch,
    /// What was measured.
    At(T),
}

impl<T: Field> Field for OrNone<T> {
    fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
        if value.as_str().is_some_and(|text| text.trim() == "none") {
            return Ok(Self::NoSuch);
        }
        T::read(value, at, rule).map(Self::At)
    }

    fn schema(rule: &Rule) -> Value {
        json!({ "anyOf": [T::schema(rule), { "const": "none" }] })
    }
}
