//! Quantities in an input: text as typed, or a number with its unit beside it.

use serde_json::{Value, json};
use uom::si::f64::{
    Area, Energy, HeatTransfer, Length, Mass, Power, Pressure, TemperatureInterval, ThermalConductance,
    ThermalConductivity, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};
use wythe_units::{
    AbsolutePressure, Dimension, HeatingValue, LinearConductance, Quantity, ReadError, Reading,
    ThermalInsulance, Unit, read, read_entry,
};

use super::field::Field;
use super::pointer::Pointer;
use super::refusal::{Refusal, RefusalCode};
use super::rule::{Bounds, Rule};

macro_rules! quantity_fields {
    ($($type:ty),* $(,)?) => {$(
        impl Field for $type {
            fn read(value: &Value, at: &Pointer, rule: &Rule) -> Result<Self, Refusal> {
                let reading = reading(<$type as Quantity>::DIMENSION, value, at)?;
                refuse_outside(&reading, at, rule)?;
                Ok(<$type as Quantity>::from_base(reading.si))
            }

            fn schema(rule: &Rule) -> Value {
                schema(<$type as Quantity>::DIMENSION, rule)
            }
        }
    )*};
}

quantity_fields! {
    Length, Area, Volume, Mass, Time, Velocity, Pressure, AbsolutePressure, Power, Energy, VolumeRate,
    HeatingValue, ThermodynamicTemperature, TemperatureInterval, ThermalConductivity, HeatTransfer,
    ThermalInsulance, LinearConductance, ThermalConductance,
}

fn reading(dimension: Dimension, value: &Value, at: &Pointer) -> Result<Reading, Refusal> {
    let refused = |trouble: ReadError| Refusal::new(code(&trouble), at, trouble.to_string());
    match value {
        Value::String(text) => read(dimension, text).map_err(refused),
        Value::Number(_) | Value::Bool(_) => Err(refused(ReadError::UnitMissing(dimension))),
        Value::Object(entry) => {
            if let Some(key) = entry
                .keys()
                .find(|key| !["value", "unit"].contains(&key.as_str()))
            {
                return Err(Refusal::unknown_key(
                    at.key(key),
                    "This key is not known in a quantity. It holds value and unit.",
                ));
            }
            let Some(number) = entry.get("value").and_then(Value::as_f64) else {
                return Err(unreadable(dimension, at));
            };
            match entry.get("unit") {
                Some(Value::String(unit)) => read_entry(dimension, number, unit).map_err(refused),
                _ => Err(refused(ReadError::UnitMissing(dimension))),
            }
        }
        Value::Null | Value::Array(_) => Err(unreadable(dimension, at)),
    }
}

fn unreadable(dimension: Dimension, at: &Pointer) -> Refusal {
    let message = format!(
        "{} is needed here. Write it like \"{}\", or as {{\"value\": number, \"unit\": \"{}\"}}.",
        capital(dimension.in_words()),
        dimension.example(),
        dimension.base_unit()
    );
    Refusal::new(RefusalCode::NumberUnreadable, at, message)
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn code(trouble: &ReadError) -> RefusalCode {
    match trouble {
        ReadError::UnitMissing(_) => RefusalCode::UnitMissing,
        ReadError::UnitWrongKind { .. } => RefusalCode::UnitWrongKind,
        ReadError::UnitUnknown { .. } => RefusalCode::UnitUnknown,
        ReadError::NumberUnreadable { .. } => RefusalCode::NumberUnreadable,
        ReadError::NotFinite => RefusalCode::NotFinite,
    }
}

fn refuse_outside(reading: &Reading, at: &Pointer, rule: &Rule) -> Result<(), Refusal> {
    match rule.bounds {
        Some(bounds) if bounds.exclude(reading.si) => Err(outside(reading, at, bounds)),
        _ => Ok(()),
    }
}

fn outside(reading: &Reading, at: &Pointer, bounds: Bounds) -> Refusal {
    let unit = reading.unit;
    let from = if bounds.over { "above" } else { "from" };
    let message = format!(
        "{} {} is outside what is taken here: {from} {} to {} {} ({} to {} {}). Measure again, or look at the unit.",
        brief(reading.value),
        unit.label(),
        brief(unit.from_base(bounds.least)),
        brief(unit.from_base(bounds.greatest)),
        unit.label(),
        brief(bounds.least),
        brief(bounds.greatest),
        unit.dimension.base_unit(),
    );
    Refusal::out_of_range(at, message)
}

/// Four significant digits, for messages.
fn brief(value: f64) -> f64 {
    format!("{value:.3e}").parse().unwrap_or(value)
}

fn schema(dimension: Dimension, rule: &Rule) -> Value {
    let units: Vec<&str> = Unit::all(dimension).map(|unit| unit.code).collect();
    let mut schema = json!({
        "anyOf": [
            { "type": "string", "examples": [dimension.example()] },
            {
                "type": "object",
                "properties": {
                    "value": { "type": "number" },
                    "unit": { "type": "string", "examples": units },
                },
                "required": ["value", "unit"],
                "additionalProperties": false,
            },
        ],
        "x-quantity": dimension.code(),
        "x-base-unit": dimension.base_unit(),
    });
    if let (Some(bounds), Value::Object(schema)) = (rule.bounds, &mut schema) {
        let least = if bounds.over {
            "x-exclusive-minimum"
        } else {
            "x-minimum"
        };
        schema.insert(least.to_owned(), Value::from(bounds.least));
        schema.insert("x-maximum".to_owned(), Value::from(bounds.greatest));
    }
    schema
}
