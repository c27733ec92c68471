//! Whole flues against a separate program for the same formulas.

use serde_json::Value;

/// Kelvins, and shares of flow, air ratio and pressure, within which both must agree.
const KELVINS: f64 = 0.1;
const FLOW: f64 = 1e-3;
const PRESSURE: f64 = 2e-3;
/// Small pressures are compared in pascals.
const PASCALS: f64 = 0.02;

#[test]
fn whole_flues_agree_with_a_separate_program() {
    let text = include_str!("../../../fixtures/published/flue_cases.json");
    let file: Value = serde_json::from_str(text).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 4);
    let mut wrong = Vec::new();
    for case in cases {
        let id = case["id"].as_str().unwrap();
        let answer = wythe_trade::reckon("flue", &case["input"].to_string())
            .unwrap_or_else(|refusal| panic!("{id} is refused: {refusal}"));
        let wanted = case["expect"].as_object().unwrap();
        assert!(wanted.len() > 20, "{id} compares too little");
        wrong.extend(
            wanted
                .iter()
                .filter_map(|(key, wanted)| difference(id, key, wanted, &answer[key])),
        );
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn difference(id: &str, key: &str, wanted: &Value, found: &Value) -> Option<String> {
    let said = || Some(format!("{id} {key}: {found}, not {wanted}"));
    let Some(wanted_number) = wanted.as_f64() else {
        return if wanted == found { None } else { said() };
    };
    let figure = match found.as_f64() {
        Some(number) => Some((number, "1")),
        None => found["value"].as_f64().zip(found["unit"].as_str()),
    };
    let Some((number, unit)) = figure else {
        return said();
    };
    let slack = match unit {
        "degC" | "K" => KELVINS,
        "Pa" => (PRESSURE * wanted_number.abs()).max(PASCALS),
        _ => FLOW * wanted_number.abs(),
    };
    if (number - wanted_number).abs() <= slack {
        None
    } else {
        said()
    }
}
