//! Inputs of the gas and heat reckonings that are not taken, each with its code and where it points.
//!
//! Every case is the sample input with one thing changed: a JSON merge patch, in which `"absent"` takes a key out.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod gas;
mod heat;
mod line_and_flue;

use serde_json::Value;

fn patched(mut base: Value, patch: &Value) -> Value {
    let Value::Object(changes) = patch else {
        return patch.clone();
    };
    let map = match &mut base {
        Value::Object(map) => map,
        Value::Array(list) => {
            for (place, change) in changes {
                let place: usize = place.parse().unwrap();
                list[place] = patched(list[place].take(), change);
            }
            return base;
        }
        _ => return patch.clone(),
    };
    for (key, change) in changes {
        if change == "absent" {
            map.remove(key);
        } else {
            let before = map.remove(key).unwrap_or(Value::Null);
            map.insert(key.clone(), patched(before, change));
        }
    }
    base
}

fn check(name: &str, base: &Value, cases: &[(Value, &str, &str)]) {
    let taken = wythe_trade::reckon(name, &base.to_string());
    assert!(taken.is_ok(), "{name}: the base is not taken: {taken:?}");
    for (patch, code, field) in cases {
        let input = patched(base.clone(), patch);
        match wythe_trade::reckon(name, &input.to_string()) {
            Ok(answer) => panic!("{name} {patch}: taken: {answer}"),
            Err(refusal) => {
                assert_eq!(
                    (refusal.code.as_str(), refusal.field.as_str()),
                    (*code, *field),
                    "{name} {patch}: {refusal}"
                );
                assert!(refusal.message.ends_with('.'), "{name} {patch}: {refusal}");
            }
        }
    }
}

#[test]
fn nothing_but_an_object_is_taken() {
    for entry in wythe_trade::list() {
        for text in [
            "",
            "[]",
            "7",
            "null",
            "NaN",
            r#"{"altitude": Infinity}"#,
            "{",
            r#"{"a":1}{}"#,
        ] {
            let refusal = entry.run_text(text).unwrap_err();
            assert_eq!(refusal.code.as_str(), "not_json", "{} {text}", entry.name);
        }
        let refusal = entry.run_text(r#"{"zz top": 1}"#).unwrap_err();
        assert_eq!(
            (refusal.code.as_str(), refusal.field.as_str()),
            ("unknown_key", "/zz top"),
            "{}",
            entry.name
        );
    }
    assert_eq!(
        wythe_trade::reckon("smoke_ring", "{}").unwrap_err().code.as_str(),
        "unknown_reckoning"
    );
}
