//! From text to a JSON value, strictly.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use serde_path_to_error::{Path, Segment, Track};

use super::pointer::Pointer;
use super::refusal::{Refusal, RefusalCode};

/// The longest input that is looked at, in bytes. The largest sensible pipe tree has a tenth of it.
pub const LARGEST_TEXT: usize = 1 << 20;

const TWICE: &str = "the key stands twice";

/// Reads text as one JSON object.
///
/// # Errors
/// `not_json` for anything that is no JSON object (`NaN` included) or is too long; `not_finite` for a
/// number too large to hold; `inconsistent` for a key that stands twice in one object.
pub fn parse(text: &str) -> Result<Value, Refusal> {
    if text.len() > LARGEST_TEXT {
        let message = format!("The input is longer than {LARGEST_TEXT} bytes. Give one reckoning at a time.");
        return Err(Refusal::new(RefusalCode::NotJson, "", message));
    }
    let mut reader = serde_json::Deserializer::from_str(text);
    let mut track = Track::new();
    let tracked = serde_path_to_error::Deserializer::new(&mut reader, &mut track);
    let value = match Strict.deserialize(tracked) {
        Ok(value) => value,
        Err(trouble) => return Err(refusal(&trouble, &track.path())),
    };
    reader.end().map_err(|trouble| not_json(&trouble.to_string()))?;
    if value.is_object() {
        Ok(value)
    } else {
        Err(not_json("it is no object in braces"))
    }
}

fn refusal(trouble: &serde_json::Error, path: &Path) -> Refusal {
    let words = trouble.to_string();
    if words.starts_with(TWICE) {
        return Refusal::inconsistent(
            pointer(path),
            "The key stands twice in one object. Keep one of the two.",
        );
    }
    if words.starts_with("number out of range") {
        let message = "The number is too large to hold. Write the figure that was measured.";
        return Refusal::new(RefusalCode::NotFinite, pointer(path), message);
    }
    not_json(&words)
}

fn not_json(reason: &str) -> Refusal {
    let message =
        format!("The input is not one JSON object: {reason}. Write it like {{\"key\": \"value\"}}.");
    Refusal::new(RefusalCode::NotJson, "", message)
}

fn pointer(path: &Path) -> Pointer {
    path.iter().fold(Pointer::root(), |at, segment| match segment {
        Segment::Seq { index } => at.item(*index),
        Segment::Map { key } => at.key(key),
        Segment::Enum { .. } | Segment::Unknown => at,
    })
}

/// Any JSON value, but no key twice in one object.
struct Strict;

impl<'de> DeserializeSeed<'de> for Strict {
    type Value = Value;
    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Value, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value)
            .map(Value::Number)
            .ok_or_else(|| E::custom("number out of range"))
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(Self)? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            let twice = map.contains_key(&key);
            let value = entries.next_value_seed(Once { twice })?;
            map.insert(key, value);
        }
        Ok(Value::Object(map))
    }
}

/// The value behind a key: refused here, where the path still ends with the key.
struct Once {
    twice: bool,
}

impl<'de> DeserializeSeed<'de> for Once {
    type Value = Value;
    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Value, D::Error> {
        if self.twice {
            Err(D::Error::custom(TWICE))
        } else {
            Strict.deserialize(reader)
        }
    }
}
