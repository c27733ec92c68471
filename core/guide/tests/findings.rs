//! What the reckonings find is told in the reader's language: every kind of finding has its message, and
//! every text that comes up is read whole.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a test that cannot go on stops, and reads the files it speaks of"
)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::Value as Json;
use wythe_guide::screen::{finding_text, read_finding, refusal_text};
use wythe_guide::{Language, Words};
use wythe_trade::form::RefusalCode;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name)
}

/// The codes of all findings, as the sources of the reckonings declare them.
fn declared() -> BTreeSet<String> {
    let mut codes = BTreeSet::new();
    let mut folders = vec![folder("core/trade/src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ext| ext == "rs") && !path.ends_with("form/tests.rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                for (at, _) in text.match_indices("FindingKind::") {
                    let rest = &text[at..];
                    let call = rest.split(')').next().unwrap();
                    let is_new = ["stop(", "caution(", "info("]
                        .iter()
                        .any(|name| call.contains(name));
                    let code = call.split('"').nth(1);
                    codes.extend(code.filter(|_| is_new).map(str::to_owned));
                }
            }
        }
    }
    codes
}

#[test]
fn every_kind_of_finding_has_its_message() {
    let codes = declared();
    assert!(codes.len() > 120, "{}", codes.len());
    for language in Language::ALL {
        let words = Words::of(language);
        let lacking: Vec<&String> = codes
            .iter()
            .filter(|code| words.find(&format!("finding-{code}"), &[]).is_none())
            .collect();
        assert!(lacking.is_empty(), "{language:?} lacks {lacking:#?}");
    }
    // And no message is of a finding that there is not.
    let (ids, _) = Words::ids(Language::En);
    for id in ids {
        let Some(rest) = id
            .strip_prefix("finding-")
            .filter(|rest| !rest.starts_with("word-"))
        else {
            continue;
        };
        let code = rest.split('-').next().unwrap();
        assert!(codes.contains(code), "{id} is of no finding");
    }
}

/// Inputs of a reckoning: its sample, the inputs of its published cases, and the sample with each of its
/// figures made smaller and larger.
fn inputs(name: &str) -> Vec<String> {
    let sample = std::fs::read_to_string(folder(&format!("core/trade/samples/{name}.json"))).unwrap();
    let sample: Json = serde_json::from_str(&sample).unwrap();
    let mut inputs = vec![sample.to_string()];
    let published = folder(&format!("fixtures/published/{name}.toml"));
    if let Ok(text) = std::fs::read_to_string(published) {
        let file: toml::Table = text.parse().unwrap();
        for check in file
            .get("check")
            .and_then(toml::Value::as_array)
            .into_iter()
            .flatten()
        {
            let input = check.get("input").and_then(toml::Value::as_str);
            inputs.extend(input.map(str::to_owned));
        }
    }
    for pointer in pointers(&sample, String::new()) {
        for factor in [0.05, 0.3, 0.7, 0.9, 1.2, 1.6, 3.0, 12.0] {
            let mut other = sample.clone();
            let place = other.pointer_mut(&pointer).unwrap();
            if let Some(scaled) = scaled(place, factor) {
                *place = scaled;
                inputs.push(other.to_string());
            }
        }
        for word in ["none", "oxygen", "natural_gas"] {
            let mut other = sample.clone();
            *other.pointer_mut(&pointer).unwrap() = word.into();
            inputs.push(other.to_string());
        }
    }
    inputs
}

fn pointers(value: &Json, at: String) -> Vec<String> {
    match value {
        Json::Object(parts) => {
            let parts = parts.iter();
            parts
                .flat_map(|(key, part)| pointers(part, format!("{at}/{key}")))
                .collect()
        }
        Json::Array(items) => {
            let items = items.iter().enumerate();
            items
                .flat_map(|(key, part)| pointers(part, format!("{at}/{key}")))
                .collect()
        }
        _ => vec![at],
    }
}

fn scaled(value: &Json, factor: f64) -> Option<Json> {
    match value {
        Json::Number(number) => Some((number.as_f64()? * factor).into()),
        Json::String(text) => {
            let (figure, unit) = text.split_once(' ')?;
            let figure: f64 = figure.replace(',', "").parse().ok()?;
            Some(format!("{} {unit}", figure * factor).into())
        }
        _ => None,
    }
}

#[test]
fn every_finding_that_comes_up_is_told_in_the_readers_language() {
    let spanish = Words::of(Language::Es);
    let french = Words::of(Language::Fr);
    let english = Words::of(Language::En);
    let (mut met, mut texts, mut unread) = (BTreeSet::new(), 0, BTreeSet::new());
    for entry in wythe_trade::list() {
        for input in inputs(entry.name) {
            let Ok(result) = wythe_trade::reckon(entry.name, &input) else {
                continue;
            };
            for finding in result["findings"].as_array().into_iter().flatten() {
                let (code, message) = (
                    finding["code"].as_str().unwrap(),
                    finding["message"].as_str().unwrap(),
                );
                let read = read_finding(code, message);
                let Some((id, figures)) = read else {
                    unread.insert(format!("{} says of {code}: {message}", entry.name));
                    continue;
                };
                let given: Vec<(&str, &str)> = figures
                    .iter()
                    .map(|(name, text)| (name.as_str(), text.as_str()))
                    .collect();
                assert_eq!(english.with(&id, &given), message, "{id}");
                assert_eq!(finding_text(code, message, &english), message);
                for words in [&spanish, &french] {
                    let told = finding_text(code, message, words);
                    assert!(told != message && !told.contains(['{', '[']), "{code}: {told}");
                    for (_, figure) in &figures {
                        let digits = |text: &str| {
                            let digits = text.chars().filter(char::is_ascii_digit);
                            digits.collect::<String>()
                        };
                        let kept = digits(&told).contains(&digits(figure));
                        let may_go = figure.contains('_') || !figure.chars().any(|c| c.is_ascii_digit());
                        assert!(kept || may_go, "{code}: {figure} is not in {told}");
                    }
                }
                texts += 1;
                met.insert(code.to_owned());
            }
        }
    }
    assert!(unread.is_empty(), "no message finding-CODE reads {unread:#?}");
    let missed: Vec<String> = declared().difference(&met).cloned().collect();
    println!("{texts} texts of {} codes; not met: {missed:?}", met.len());
    assert!(met.len() > 60, "{} codes only: {met:?}", met.len());
}

#[test]
fn figures_are_read_off_and_written_as_the_language_writes_them() {
    let message = "The burner takes 35,000 Btu/h (10.26 kW) to 36,000 Btu/h (10.55 kW), more than the 30,000 Btu/h \
                   (8.79 kW) it may take at this site. Turn it off and check manifold pressure and orifice as the manual says.";
    let told = finding_text("over_plate", message, &Words::of(Language::Es));
    assert_eq!(
        told,
        "El quemador toma de 35000 Btu/h (10,26 kW) a 36000 Btu/h (10,55 kW), más de los 30000 Btu/h (8,79 kW) que \
         puede tomar en este sitio. Apáguelo y revise la presión del múltiple y el inyector como dice el manual."
    );
    // Words among the figures are told too.
    let message = "Rear: 1 3/4 in (44 mm) is lacking of the 4 in (102 mm) required. Move the stove, or protect the \
                   surface as the table and the manual show.";
    let told = finding_text("clearance_short", message, &Words::of(Language::Fr));
    assert!(
        told.starts_with("Arrière : il manque 1 3/4 in (44 mm) des 4 in"),
        "{told}"
    );
    // A text that no message reads is shown as it is, and nothing is lost.
    let told = finding_text("over_plate", "Something else.", &Words::of(Language::Fr));
    assert_eq!(told, "Something else.");
}

#[test]
fn every_refusal_is_told_in_the_readers_language() {
    const ALL: [RefusalCode; 15] = [
        RefusalCode::UnitMissing,
        RefusalCode::UnitWrongKind,
        RefusalCode::UnitUnknown,
        RefusalCode::NumberUnreadable,
        RefusalCode::NotFinite,
        RefusalCode::OutOfRange,
        RefusalCode::Missing,
        RefusalCode::UnknownKey,
        RefusalCode::UnknownChoice,
        RefusalCode::EmptyList,
        RefusalCode::TooMany,
        RefusalCode::Inconsistent,
        RefusalCode::NotConverged,
        RefusalCode::NotJson,
        RefusalCode::UnknownReckoning,
    ];
    for code in ALL {
        for language in [Language::Es, Language::Fr] {
            let told = refusal_text(code.as_str(), "English", &Words::of(language));
            assert!(!told.contains("English") && told.len() > 20, "{code:?}: {told}");
        }
        let told = refusal_text(code.as_str(), "English", &Words::of(Language::En));
        assert_eq!(told, "English");
    }
}
