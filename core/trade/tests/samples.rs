//! Every reckoning has a sample input that it takes, which is also what its bench runs on.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a test reads the samples and fails by panicking; the crate itself has no file"
)]

use std::fs;
use std::path::Path;

use serde_json::Value;

fn samples() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut samples: Vec<(String, String)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| {
            let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
            (name, fs::read_to_string(path).unwrap())
        })
        .collect();
    samples.sort();
    samples
}

#[test]
fn every_reckoning_takes_its_sample() {
    let samples = samples();
    for entry in wythe_trade::list() {
        let (_, text) = samples
            .iter()
            .find(|(name, _)| name == entry.name)
            .unwrap_or_else(|| panic!("add a sample input of {} to the samples", entry.name));
        let answer = entry
            .run_text(text)
            .unwrap_or_else(|refusal| panic!("{}: {refusal}", entry.name));
        assert!(
            !answer["trace"].as_array().unwrap().is_empty(),
            "{} has no trace",
            entry.name
        );
    }
}

/// Each key of a sample, however deep, is known to the schema beside it.
#[test]
fn the_schema_knows_every_key_of_the_sample() {
    for (name, text) in samples() {
        let Ok(schema) = wythe_trade::schema(&name) else {
            continue;
        };
        let sample: Value = serde_json::from_str(&text).unwrap();
        let written = schema.to_string();
        for key in sample.as_object().unwrap().keys() {
            assert!(
                written.contains(&format!("\"{key}\":")),
                "{name}: {key} is not in the schema"
            );
        }
    }
}

#[test]
fn nothing_a_reckoning_says_promises_more_than_advice() {
    for (name, text) in samples() {
        let Ok(answer) = wythe_trade::reckon(&name, &text) else {
            continue;
        };
        let messages = answer["findings"]
            .as_array()
            .unwrap()
            .iter()
            .map(|finding| &finding["message"]);
        let said: String = messages
            .chain(answer["notes"].as_array().unwrap())
            .map(|text| text.as_str().unwrap().to_lowercase() + "\n")
            .collect();
        for word in ["approved", "error", "invalid", "please", "oops"] {
            assert!(!said.contains(word), "{name} says {word}");
        }
        let mut words = said.split(|letter: char| !letter.is_alphanumeric());
        assert!(!words.any(|word| word == "safe"), "{name} says safe");
    }
}
