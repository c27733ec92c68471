//! An exterior chimney, and how to change one thing about it. Not every test uses every way.
#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot be set up has failed; each file takes what it needs"
)]

use serde_json::{Value, json};
use wythe_trade::form::Refusal;
use wythe_trade::reckon;

/// An exterior chimney at altitude, 6.4 m above the collar, 8 x 12 tile, 4 in liner.
pub fn base() -> Value {
    json!({
        "site": {"altitude": "1864 m", "outdoor_temperature": "-12 degC", "relative_humidity": 0.75},
        "fuel": "natural_gas",
        "appliance": {
            "input": "26,400 Btu/h", "flue_temperature": "230 degC", "air_ratio": 2.2, "pressure_drop": "6 Pa",
        },
        "segments": [{
            "name": "chimney", "length": "6.4 m",
            "exhaust": {"inside_diameter": "4 in", "outside_diameter": "104.6 mm", "loss_coefficient": 0.6},
            "intake": {
                "kind": "coaxial",
                "tile": {"shape": "rectangle", "a": "6 1/2 in", "b": "10 1/2 in", "area_factor": 0.932},
                "loss_coefficient": 0.5,
            },
            "wall": {
                "layers": [
                    {"thickness": "16 mm", "conductivity": "1.1 W/mK"},
                    {"thickness": "20 mm", "resistance": "0.15 m2K/W"},
                    {"thickness": "95 mm", "conductivity": "0.8 W/mK"},
                ],
                "outside_coefficient": "23 W/m2K",
            },
            "ambient": "-12 degC",
        }],
    })
}

/// The base with one value set; `null` takes a key away.
pub fn with(pointer: &str, value: Value) -> Value {
    let mut input = base();
    set(&mut input, pointer, value);
    input
}

pub fn set(input: &mut Value, pointer: &str, value: Value) {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    let parent = input
        .pointer_mut(parent)
        .unwrap_or_else(|| panic!("nothing at {pointer}"));
    match parent {
        Value::Array(list) => list[key.parse::<usize>().unwrap()] = value,
        _ => parent[key] = value,
    }
}

pub fn run(input: &Value) -> Result<Value, Refusal> {
    reckon("flue", &input.to_string())
}

pub fn answer(input: &Value) -> Value {
    run(input).unwrap_or_else(|refusal| panic!("{refusal} for {input}"))
}

pub fn codes(answer: &Value) -> Vec<String> {
    let found = answer["findings"].as_array().unwrap();
    found
        .iter()
        .map(|finding| finding["code"].as_str().unwrap().to_owned())
        .collect()
}

pub fn value(answer: &Value, key: &str) -> f64 {
    let figure = &answer[key];
    figure
        .as_f64()
        .or_else(|| figure["value"].as_f64())
        .unwrap_or_else(|| panic!("{key} is {figure}"))
}
