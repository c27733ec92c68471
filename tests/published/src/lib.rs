//! Runs the checks of `fixtures/published/*.toml`: reckonings against figures from outside.
//!
//! A file holds `[[check]]` entries:
//! - `claim`: what is checked, as a sentence; `source`: where the figure comes from (an address or a name);
//!   `mark`: how sure that is (`looked up`, `from memory`, `common practice`, `computed`, `geometry`).
//! - `input`: the JSON text of the input.
//! - `gives`: JSON pointer -> figure. A text with a unit is compared in that figure's base unit, a bare number
//!   with a number, `"null"` with a figure that does not exist, any other text with a text.
//! - `tolerance`: relative, 1e-6 unless given; or `within`: absolute, in the unit written.
//! - `findings`: all codes in their order, when they are checked.
//! - `refused`: `{ code, field }` instead of `gives`.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;
use serde_json::Value;
use wythe_units::{Dimension, Reading, read};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Checks {
    check: Vec<Check>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Check {
    claim: String,
    source: String,
    mark: String,
    input: String,
    #[serde(default)]
    gives: BTreeMap<String, toml::Value>,
    tolerance: Option<f64>,
    within: Option<f64>,
    findings: Option<Vec<String>>,
    refused: Option<Refused>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Refused {
    code: String,
    field: String,
}

const MARKS: [&str; 5] = [
    "looked up",
    "from memory",
    "common practice",
    "computed",
    "geometry",
];

/// Runs every check of a reckoning's file, and fails naming the claims that do not hold.
pub fn check(name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../fixtures/published/{name}.toml"));
    let text =
        std::fs::read_to_string(&path).unwrap_or_else(|trouble| panic!("{}: {trouble}", path.display()));
    let checks: Checks =
        toml::from_str(&text).unwrap_or_else(|trouble| panic!("{}: {trouble}", path.display()));
    assert!(!checks.check.is_empty(), "{name} has no checks");
    let wrong: Vec<String> = checks.check.iter().flat_map(|check| run(name, check)).collect();
    assert!(wrong.is_empty(), "{name}:\n{}", wrong.join("\n"));
}

fn run(name: &str, check: &Check) -> Vec<String> {
    let claim = &check.claim;
    assert!(
        MARKS.contains(&check.mark.as_str()),
        "{claim}: mark {:?} is none of {MARKS:?}",
        check.mark
    );
    assert!(!check.source.trim().is_empty(), "{claim}: no source");
    assert!(
        check.refused.is_some() || check.findings.is_some() || !check.gives.is_empty(),
        "{claim}: checks nothing"
    );
    match (wythe_trade::reckon(name, &check.input), &check.refused) {
        (Err(refusal), Some(refused)) => {
            let (code, field) = (refusal.code.as_str(), refusal.field.as_str());
            let same = code == refused.code && field == refused.field;
            if same {
                vec![]
            } else {
                vec![format!(
                    "- {claim}: refused as {code} at {field}: {}",
                    refusal.message
                )]
            }
        }
        (Err(refusal), None) => vec![format!("- {claim}: refused: {} {refusal}", refusal.code.as_str())],
        (Ok(answer), Some(_)) => vec![format!("- {claim}: not refused: {answer}")],
        (Ok(answer), None) => differences(check, &answer),
    }
}

fn differences(check: &Check, answer: &Value) -> Vec<String> {
    let mut wrong: Vec<String> = check
        .gives
        .iter()
        .filter_map(|(pointer, wanted)| {
            let found = answer.pointer(pointer).unwrap_or(&Value::Null);
            if !pointer.is_empty() && answer.pointer(pointer).is_none() {
                return Some(format!("- {}: nothing at {pointer}", check.claim));
            }
            (!same(check, wanted, found))
                .then(|| format!("- {}: {pointer} is {found}, not {wanted:?}", check.claim))
        })
        .collect();
    if let Some(wanted) = &check.findings {
        let found: Vec<&str> = answer
            .get("findings")
            .and_then(Value::as_array)
            .map(|list| {
                list.iter()
                    .filter_map(|finding| finding.get("code")?.as_str())
                    .collect()
            })
            .unwrap_or_default();
        if found != *wanted {
            wrong.push(format!(
                "- {}: findings are {found:?}, not {wanted:?}",
                check.claim
            ));
        }
    }
    wrong
}

fn same(check: &Check, wanted: &toml::Value, found: &Value) -> bool {
    let number = match wanted {
        toml::Value::Float(number) => Some(*number),
        toml::Value::Integer(number) => i32::try_from(*number).ok().map(f64::from),
        _ => None,
    };
    match (wanted, found) {
        (_, Value::Number(found)) => match (number, found.as_f64()) {
            (Some(wanted), Some(found)) => near(check, wanted, found, 1.0),
            _ => false,
        },
        (toml::Value::Boolean(wanted), Value::Bool(found)) => wanted == found,
        (toml::Value::String(wanted), Value::Null) => wanted == "null",
        (toml::Value::String(wanted), Value::String(found)) => wanted == found,
        (toml::Value::String(wanted), Value::Object(figure)) => {
            let unit = figure.get("unit").and_then(Value::as_str).unwrap_or_default();
            let Some(found) = figure.get("value").and_then(Value::as_f64) else {
                return false;
            };
            wanted_in(unit, wanted).is_some_and(|wanted| near(check, wanted.si, found, wanted.unit.size()))
        }
        (toml::Value::Array(wanted), Value::Array(found)) => {
            wanted.len() == found.len()
                && wanted
                    .iter()
                    .zip(found)
                    .all(|(wanted, found)| same(check, wanted, found))
        }
        _ => false,
    }
}

/// The wanted figure, read as a quantity whose base unit is the one found.
fn wanted_in(base_unit: &str, wanted: &str) -> Option<Reading> {
    Dimension::ALL
        .into_iter()
        .filter(|dimension| dimension.base_unit() == base_unit)
        .find_map(|dimension| read(dimension, wanted).ok())
}

fn near(check: &Check, wanted: f64, found: f64, unit: f64) -> bool {
    let slack = match (check.within, check.tolerance) {
        (Some(within), _) => within * unit,
        (None, tolerance) => tolerance.unwrap_or(1e-6) * wanted.abs() + 1e-9,
    };
    (wanted - found).abs() <= slack
}
