//! Every checked input of every reckoning, in other units and damaged in every way: the same figures, and never
//! a panic.

use std::path::Path;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};
use wythe_trade::{list, reckon};
use wythe_units::{Dimension, read};

/// Every input of the fixture files, with the reckoning it is for.
fn inputs() -> Vec<(String, Value)> {
    let mut inputs = vec![];
    for entry in list() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("../../fixtures/published/{}.toml", entry.name));
        let Ok(text) = std::fs::read_to_string(path) else {
            continue;
        };
        let file: toml::Table = toml::from_str(&text).unwrap();
        for check in file["check"].as_array().unwrap() {
            let input = check["input"].as_str().unwrap();
            inputs.push((entry.name.to_owned(), serde_json::from_str(input).unwrap()));
        }
    }
    assert!(inputs.len() > 100, "the fixtures are there");
    inputs
}

#[test]
fn the_base_unit_gives_the_same_figures_as_what_was_typed() {
    for (name, input) in inputs() {
        let mut in_base_units = input.clone();
        to_base_units(&mut in_base_units);
        let (typed, base) = (
            reckon(&name, &input.to_string()),
            reckon(&name, &in_base_units.to_string()),
        );
        match (typed, base) {
            (Ok(mut typed), Ok(mut base)) => {
                for answer in [&mut typed, &mut base] {
                    // Messages of another unit may round another way; codes and figures may not.
                    for finding in answer["findings"].as_array_mut().unwrap() {
                        finding.as_object_mut().unwrap().remove("message");
                    }
                }
                assert!(alike(&typed, &base), "{name} {input}\n{typed}\n{base}");
            }
            (Err(typed), Err(base)) => {
                assert_eq!((typed.code, typed.field), (base.code, base.field), "{input}")
            }
            (typed, base) => panic!("{name} {input}: {typed:?} {base:?}"),
        }
    }
}

/// Every quantity as a number in the base unit.
fn to_base_units(value: &mut Value) {
    match value {
        Value::String(text) => {
            let reading = Dimension::ALL
                .into_iter()
                .find_map(|dimension| read(dimension, text).ok());
            // A kelvin is a temperature or a difference: it stays as typed.
            if let Some(reading) = reading.filter(|reading| reading.unit.code != "K") {
                *value = json!({ "value": reading.si, "unit": reading.dimension().base_unit() });
            }
        }
        Value::Array(list) => list.iter_mut().for_each(to_base_units),
        Value::Object(map) if !map.contains_key("unit") => map.values_mut().for_each(to_base_units),
        _ => {}
    }
}

fn alike(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            (one - other).abs() <= 2e-9 * one.abs().max(other.abs()) + 1e-12
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| alike(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one
                    .iter()
                    .all(|(key, one)| other.get(key).is_some_and(|other| alike(one, other)))
        }
        (one, other) => one == other,
    }
}

/// Anything that may stand where something else should.
fn anything() -> impl Strategy<Value = Value> {
    proptest::sample::select(vec![
        json!(null),
        json!(true),
        json!(0),
        json!(-1),
        json!(1.5),
        json!(1e308),
        json!(u64::MAX),
        json!(""),
        json!("none"),
        json!("11 3/8 in"),
        json!("1e308 ft"),
        json!("-40 F"),
        json!("0 m"),
        json!("7 in wc"),
        json!("35 MBH"),
        json!("½″"),
        json!([]),
        json!([[]]),
        json!([null, "1 m", {}]),
        json!({}),
        json!({"value": 1, "unit": "in"}),
        json!({"value": -1e300, "unit": "m"}),
        json!({"unit": 5}),
    ])
}

/// Puts something at one of the places of a value, counted through.
fn put(value: &mut Value, place: &mut usize, thing: &Value) {
    if *place == 0 {
        *value = thing.clone();
    }
    *place = place.wrapping_sub(1);
    match value {
        Value::Array(list) => list.iter_mut().for_each(|item| put(item, place, thing)),
        Value::Object(map) => map.values_mut().for_each(|item| put(item, place, thing)),
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, failure_persistence: None, rng_seed: RngSeed::Fixed(4), ..ProptestConfig::default() })]

    #[test]
    fn a_damaged_input_is_answered_or_refused(
        which in any::<prop::sample::Index>(),
        damages in proptest::collection::vec((0_usize..60, anything()), 1..4),
    ) {
        static INPUTS: std::sync::OnceLock<Vec<(String, Value)>> = std::sync::OnceLock::new();
        let (name, mut input) = which.get(INPUTS.get_or_init(inputs)).clone();
        for (place, thing) in damages {
            let mut place = place;
            put(&mut input, &mut place, &thing);
        }
        match reckon(&name, &input.to_string()) {
            Ok(answer) => prop_assert!(answer.is_object()),
            Err(refusal) => {
                prop_assert!(refusal.field.is_empty() || refusal.field.starts_with('/'), "{refusal}");
                prop_assert!(!refusal.message.is_empty());
            }
        }
    }

    #[test]
    fn no_bytes_make_a_reckoning_panic(which in any::<prop::sample::Index>(), text in any::<String>()) {
        let names: Vec<&str> = list().map(|entry| entry.name).collect();
        prop_assert!(reckon(names[which.index(names.len())], &text).is_err());
    }

    #[test]
    fn no_signs_of_json_make_a_reckoning_panic(
        which in any::<prop::sample::Index>(),
        text in r#"[{}\[\]",:0-9a-z_ .eE+-]{0,60}"#,
    ) {
        let names: Vec<&str> = list().map(|entry| entry.name).collect();
        let _ = reckon(names[which.index(names.len())], &text);
    }
}
