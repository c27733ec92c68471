//! The same figures on every machine: 200 flues, the worked cases and a flue in all its conditions, their kept
//! figures hashed, against hashes that are frozen.
//!
//! Debug and release builds, phones and office must agree on all of them. When the formulas change on purpose,
//! run the test with `WYTHE_FREEZE` set: it prints the new `fixtures/bits/flue.txt`.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on has failed"
)]

use std::fmt::Write;

use serde_json::{Value, json};
use sha2::{Digest, Sha256};

const FLUES: u32 = 200;

#[test]
fn kept_figures_are_the_same_bits_everywhere() {
    let frozen: Vec<&str> = include_str!("../../../fixtures/bits/flue.txt").lines().collect();
    let found: Vec<String> = (0..FLUES).map(line).chain(worked()).collect();
    if freezing() {
        found.iter().for_each(|line| println!("{line}"));
        return;
    }
    assert_eq!(frozen.len(), found.len());
    let differ: Vec<&String> = found
        .iter()
        .zip(&frozen)
        .filter(|(new, old)| new != *old)
        .map(|(n, _)| n)
        .collect();
    assert!(
        differ.is_empty(),
        "{} flues differ, first {:?}",
        differ.len(),
        differ.first()
    );
    let statuses = ["ok", "insufficient_draft", "restrictor_sized", "fixed"];
    assert!(
        statuses
            .iter()
            .all(|status| found.iter().any(|line| line.contains(status)))
    );
}

#[expect(
    clippy::disallowed_methods,
    reason = "set from outside when the figures change on purpose"
)]
fn freezing() -> bool {
    std::env::var("WYTHE_FREEZE").is_ok()
}

/// The worked cases, one of them with its band, and a flue in all its conditions.
fn worked() -> Vec<String> {
    let file = include_str!("../../../fixtures/published/flue_cases.json");
    let file: Value = serde_json::from_str(file).unwrap();
    let cases = file["cases"].as_array().unwrap();
    let mut lines: Vec<String> = cases
        .iter()
        .map(|case| told(case["id"].as_str().unwrap(), "flue", &case["input"]))
        .collect();
    let mut banded = cases[0]["input"].clone();
    banded["band"] = json!({"draws": 40, "seed": 7});
    lines.push(told("band", "flue", &banded));
    let conditions = include_str!("../samples/flue_conditions.json");
    let conditions = serde_json::from_str(conditions).unwrap();
    lines.push(told("conditions", "flue_conditions", &conditions));
    lines
}

/// Number, status or refusal, and hash of one flue.
fn line(number: u32) -> String {
    told(&number.to_string(), "flue", &input(number))
}

fn told(name: &str, reckoning: &str, input: &Value) -> String {
    match wythe_trade::reckon(reckoning, &input.to_string()) {
        Ok(answer) => {
            let mut figures = String::new();
            write_numbers(&answer, "", &mut figures);
            let hash = Sha256::digest(figures.as_bytes());
            let short: String = hash.iter().take(12).map(|byte| format!("{byte:02x}")).collect();
            format!("{name} {} {short}", answer["status"].as_str().unwrap_or("all"))
        }
        Err(refusal) => format!("{name} refused {} {}", refusal.code.as_str(), refusal.field),
    }
}

/// Every number with its place, in the order of the keys.
fn write_numbers(value: &Value, at: &str, out: &mut String) {
    match value {
        Value::Number(number) => writeln!(out, "{at} {:016x}", number.as_f64().unwrap().to_bits()).unwrap(),
        Value::Array(list) => {
            list.iter()
                .enumerate()
                .for_each(|(place, value)| write_numbers(value, &format!("{at}/{place}"), out));
        }
        Value::Object(map) => {
            let mut keys: Vec<&String> = map.keys().collect();
            keys.sort();
            keys.into_iter()
                .for_each(|key| write_numbers(&map[key], &format!("{at}/{key}"), out));
        }
        _ => {}
    }
}

/// Whole numbers from a fixed recipe; nothing here depends on the machine.
struct Recipe(u64);

impl Recipe {
    fn up_to(&mut self, most: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % (most + 1)
    }

    /// A decimal text with `places` after the point.
    fn decimal(&mut self, low: i64, high: i64, places: u32) -> String {
        let span = u64::try_from(high - low).unwrap();
        let whole = low + i64::try_from(self.up_to(span)).unwrap();
        let scale = 10_i64.pow(places);
        let sign = if whole < 0 { "-" } else { "" };
        let width = places as usize;
        format!("{sign}{}.{:0width$}", whole.abs() / scale, whole.abs() % scale)
    }

    fn number(&mut self, low: i64, high: i64, places: u32) -> Value {
        serde_json::from_str(&self.decimal(low, high, places)).unwrap()
    }

    fn text(&mut self, low: i64, high: i64, places: u32, unit: &str) -> Value {
        json!(format!("{} {unit}", self.decimal(low, high, places)))
    }
}

fn input(number: u32) -> Value {
    let mut r = Recipe(u64::from(number) * 7919 + 1);
    let count = [1, 1, 2, 3][usize::try_from(r.up_to(3)).unwrap()];
    let segments: Vec<Value> = (0..count).map(|_| segment(&mut r)).collect();
    let target = r.number(15, 40, 1);
    let outlet = if r.up_to(2) == 0 { "exchanger" } else { "fixed" };
    let mut input = json!({
        "site": {
            "altitude": r.text(0, 3000, 0, "m"),
            "outdoor_temperature": r.text(-350, 300, 1, "degC"),
            "relative_humidity": r.number(30, 100, 2),
            "wind": r.text(0, 80, 1, "m/s"),
            "wind_coefficient": r.number(-20, 20, 2),
        },
        "fuel": if r.up_to(2) == 0 { "propane" } else { "natural_gas" },
        "appliance": {
            "input": r.text(30, 150, 1, "kW"),
            "outlet": outlet,
            "flue_temperature": r.text(120, 350, 0, "degC"),
            "air_ratio": r.number(15, 30, 1),
            "pressure_drop": r.text(30, 120, 1, "Pa"),
        },
        "segments": segments,
        "cap": {"exhaust_loss": r.number(5, 15, 1), "intake_loss": r.number(5, 30, 1)},
        "options": {"closure": if r.up_to(3) == 0 { "physical" } else { "floor2300" }},
    });
    match r.up_to(5) {
        0 => input["solve"] = json!({"mode": "restrictor_for", "air_ratio": target}),
        1 => input["solve"] = json!({"mode": "at", "air_ratio": target}),
        2 => input["restrictor"] = json!({"open_fraction": r.number(15, 90, 2)}),
        _ => {}
    }
    if number.is_multiple_of(10) {
        input["band"] = json!({"draws": 12, "seed": number});
    }
    input
}

fn segment(r: &mut Recipe) -> Value {
    let inside = r.up_to(60) + 65;
    let around = inside + 12 + r.up_to(120);
    let tile = if r.up_to(2) == 0 {
        json!({"shape": "round", "diameter": format!("{} mm", 2 * around)})
    } else {
        let area_factor = r.number(900, 1000, 3);
        json!({
            "shape": "rectangle", "a": format!("{} mm", 2 * around), "b": format!("{} mm", 2 * around + r.up_to(60)),
            "area_factor": area_factor,
        })
    };
    let intake = if r.up_to(2) == 0 {
        json!({"kind": "colinear", "inside_diameter": format!("{} mm", inside - 10), "tile": tile})
    } else {
        json!({"kind": "coaxial", "tile": tile, "loss_coefficient": r.number(0, 15, 1)})
    };
    let wall = if r.up_to(5) == 0 {
        json!({"held_at": r.text(-100, 200, 1, "degC")})
    } else {
        json!({
            "layers": [
                {"thickness": r.text(10, 25, 0, "mm"), "conductivity": "1.1 W/mK"},
                {"thickness": "20 mm", "resistance": "0.15 m2K/W"},
                {"thickness": r.text(90, 200, 0, "mm"), "conductivity": r.text(60, 120, 2, "W/mK")},
            ],
            "outside_coefficient": r.text(8, 23, 0, "W/m2K"),
        })
    };
    json!({
        "length": r.text(30, 700, 2, "m"),
        "exhaust": {
            "inside_diameter": format!("{inside} mm"),
            "outside_diameter": format!("{} mm", inside + 3),
            "roughness": r.text(5, 50, 1, "mm"),
            "loss_coefficient": r.number(0, 20, 1),
        },
        "intake": intake,
        "wall": wall,
        "ambient": r.text(-200, 250, 1, "degC"),
    })
}
