//! Mutated inputs never bring a reckoning down: it answers, or says what is wrong and where.
//!
//! Every reckoning's sample is mutated as JSON and as bytes from a fixed seed. An input that ever brought one
//! down is kept in `fixtures/reckonings/found` and tried first.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "a test reads its samples, makes chance from a seed, and fails by panicking"
)]

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};
use serde_json::{Map, Value, json};

const SEED: u64 = 40_961;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn sample(name: &str) -> Option<String> {
    fs::read_to_string(folder("samples").join(format!("{name}.json"))).ok()
}

/// How many mutants, so that the slow ones do not hold up the rest.
fn mutants(name: &str) -> usize {
    match name {
        "flue" => 60,
        "connector" => 150,
        _ => 600,
    }
}

/// Runs one input and looks at what comes back.
fn try_one(name: &str, text: &str) -> Result<(), String> {
    let outcome = catch_unwind(AssertUnwindSafe(|| wythe_trade::reckon(name, text)))
        .map_err(|_| "it panicked".to_owned())?;
    match outcome {
        Ok(answer) => sound_answer(&answer),
        Err(refusal) => {
            let points = refusal.field.is_empty() || refusal.field.starts_with('/');
            let says = refusal.message.ends_with('.') && refusal.message.len() > 10;
            (points && says)
                .then_some(())
                .ok_or_else(|| format!("the refusal is not sound: {refusal:?}"))
        }
    }
}

fn sound_answer(answer: &Value) -> Result<(), String> {
    let verdict = answer
        .get("verdict")
        .map_or("pass", |verdict| verdict.as_str().unwrap_or("none"));
    if !["pass", "fail", "caution", "cannot_tell"].contains(&verdict) {
        return Err(format!("the verdict is {verdict}"));
    }
    let list = |key: &str| {
        answer
            .get(key)
            .and_then(Value::as_array)
            .cloned()
            .ok_or_else(|| format!("no {key}"))
    };
    for finding in list("findings")? {
        let message = finding["message"].as_str().unwrap_or_default();
        let sound = message.ends_with('.')
            && message.len() > 20
            && !message.contains("NaN")
            && !message.contains("inf ");
        if !sound || finding["source"].as_str().unwrap_or_default().is_empty() {
            return Err(format!("the finding is not sound: {finding}"));
        }
    }
    for step in list("trace")? {
        if step["name"].as_str().unwrap_or_default().is_empty()
            || step["unit"].as_str().unwrap_or_default().is_empty()
        {
            return Err(format!("the step is not sound: {step}"));
        }
    }
    Ok(())
}

struct Chance(ChaCha8Rng);

impl Chance {
    fn below(&mut self, limit: usize) -> usize {
        (self.0.next_u64() % limit.max(1) as u64) as usize
    }

    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// Values that inputs go wrong with.
fn strange(chance: &mut Chance) -> Value {
    let numbers = [
        0.0, -0.0, 1.0, -1.0, 0.5, 1e-300, 1e300, 1e-9, 3.0, 1e9, -273.15, 0.2095, 41.0, 2e5,
    ];
    let texts = [
        "",
        " ",
        "0 m",
        "-1 m",
        "1e-320 m",
        "1e300 m",
        "30 m",
        "1/2",
        "find",
        "none",
        "4500 m",
        "-500 m",
        "0.0001 in",
        "60 degC",
        "-60 degC",
        "200 kW",
        "1e-9 W",
        "0 W",
        "10 bar",
        "1e-12 Pa",
        "6 ft 3 1/2 in",
        "½ in",
        "R-0",
        "R-50",
        "own",
        "42",
        "1 t",
        "natural_gas",
        "propane",
        "other",
        "mixture",
        "0 s",
        "2 h",
        "1 cfh",
        "1e-30 m3/s",
        "1e6 J/m3",
        "200 MJ/m3",
        "50 kPa",
        "110 kPa",
        "main",
        "to stove",
        "\u{2033}",
        "11 3/8 in",
        "9 9/0 in",
        "1,2,3 ft",
        "∞ m",
        "NaN m",
        "0x10 m",
        "１ m",
    ];
    match chance.below(8) {
        0 => Value::Null,
        1 => json!(chance.below(2) == 0),
        2 | 3 => json!(chance.of(&numbers)),
        4 => json!([]),
        5 => json!({}),
        6 => {
            json!({"value": chance.of(&numbers), "unit": *chance.of(&["m", "Pa", "W", "degC", "K", "s", "m3", "m3/s", "J/m3", "kg", "x", ""])})
        }
        _ => json!(chance.of(&texts)),
    }
}

/// Changes one thing somewhere in a value; the keys come from the whole input.
fn mutate(value: &mut Value, keys: &[String], chance: &mut Chance) {
    let deeper = chance.below(4) > 0;
    match value {
        Value::Object(map) if deeper && !map.is_empty() => {
            let place = chance.below(map.len());
            if let Some((_, inner)) = map.iter_mut().nth(place) {
                mutate(inner, keys, chance);
            }
        }
        Value::Array(list) if deeper && !list.is_empty() => {
            let place = chance.below(list.len());
            mutate(&mut list[place], keys, chance);
        }
        Value::Object(map) => mutate_map(map, keys, chance),
        Value::Array(list) => match chance.below(4) {
            0 => list.clear(),
            1 => list.push(strange(chance)),
            2 => list.reverse(),
            _ => {
                let again = list.clone();
                for _ in 0..chance.below(40) {
                    list.extend(again.iter().take(40).cloned());
                }
                list.truncate(300);
            }
        },
        Value::Number(number) if chance.below(2) == 0 => {
            let scale = chance.of(&[0.0, 0.5, 0.99, 1.01, 2.0, 10.0, -1.0]);
            *value = json!(number.as_f64().unwrap_or(1.0) * scale);
        }
        other => *other = strange(chance),
    }
}

fn mutate_map(map: &mut Map<String, Value>, keys: &[String], chance: &mut Chance) {
    match chance.below(3) {
        0 if !map.is_empty() => {
            let key = map.keys().nth(chance.below(map.len())).cloned().unwrap();
            map.remove(&key);
        }
        1 if !map.is_empty() => {
            let from = map.keys().nth(chance.below(map.len())).cloned().unwrap();
            let moved = map[&from].clone();
            map.insert(chance.of(keys).clone(), moved);
        }
        _ => {
            map.insert(chance.of(keys).clone(), strange(chance));
        }
    }
}

fn mutate_bytes(text: &str, chance: &mut Chance) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=chance.below(4) {
        let place = chance.below(bytes.len());
        match chance.below(4) {
            0 => bytes[place] = *chance.of(b"{}[]\",:0123456789eE.-+ /\\\x00\x7f"),
            1 => drop(bytes.remove(place)),
            2 => bytes.insert(place, chance.below(256) as u8),
            _ => bytes.truncate(place + 1),
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// The top keys of a reckoning's schema and those deeper in the sample.
fn keys(name: &str) -> Vec<String> {
    fn gather(value: &Value, keys: &mut Vec<String>) {
        if let Some(Value::Object(properties)) = value.get("properties") {
            keys.extend(
                properties
                    .keys()
                    .filter(|key| !["value", "unit"].contains(&key.as_str()))
                    .cloned(),
            );
        }
        match value {
            Value::Object(map) => map.values().for_each(|inner| gather(inner, keys)),
            Value::Array(list) => list.iter().for_each(|inner| gather(inner, keys)),
            _ => {}
        }
    }
    let mut keys = vec!["zz".to_owned()];
    gather(&wythe_trade::schema(name).unwrap(), &mut keys);
    keys.sort();
    keys.dedup();
    keys
}

#[test]
fn inputs_that_once_brought_one_down_are_answered() {
    let found = folder("../../fixtures/reckonings/found");
    for entry in fs::read_dir(found).unwrap() {
        let path = entry.unwrap().path();
        let file = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let name = file.split('.').next().unwrap();
        let text = fs::read_to_string(&path).unwrap();
        try_one(name, &text).unwrap_or_else(|trouble| panic!("{}: {trouble}", path.display()));
    }
}

#[test]
fn no_mutant_of_a_sample_brings_a_reckoning_down() {
    for (place, entry) in wythe_trade::list().enumerate() {
        let Some(text) = sample(entry.name) else {
            continue;
        };
        let seed = SEED + place as u64;
        let mut chance = Chance(ChaCha8Rng::seed_from_u64(seed));
        let keys = keys(entry.name);
        let base: Value = serde_json::from_str(&text).unwrap();
        let mut answered = 0;
        for turn in 0..mutants(entry.name) {
            let mutant = if chance.below(5) == 0 {
                mutate_bytes(&text, &mut chance)
            } else {
                let mut value = base.clone();
                for _ in 0..=chance.below(3) {
                    mutate(&mut value, &keys, &mut chance);
                }
                value.to_string()
            };
            if let Err(trouble) = try_one(entry.name, &mutant) {
                panic!("{} of seed {seed}, turn {turn}: {trouble}\n{mutant}", entry.name);
            }
            answered += usize::from(wythe_trade::reckon(entry.name, &mutant).is_ok());
        }
        assert!(
            answered > 0,
            "{}: no mutant of seed {seed} was taken, so nothing was tried",
            entry.name
        );
    }
}

#[test]
fn random_json_and_random_bytes_are_refused_in_peace() {
    let mut chance = Chance(ChaCha8Rng::seed_from_u64(SEED));
    for entry in wythe_trade::list() {
        let keys = keys(entry.name);
        for _ in 0..200 {
            let mut value = json!({});
            for _ in 0..chance.below(12) {
                mutate(&mut value, &keys, &mut chance);
            }
            let text = value.to_string();
            try_one(entry.name, &text).unwrap_or_else(|trouble| panic!("{}: {trouble}\n{text}", entry.name));
            let bytes: Vec<u8> = (0..chance.below(80)).map(|_| chance.below(256) as u8).collect();
            let text = String::from_utf8_lossy(&bytes).into_owned();
            try_one(entry.name, &text).unwrap_or_else(|trouble| panic!("{}: {trouble}\n{text}", entry.name));
        }
    }
}
