//! What the reckoning `flue` refuses, and where.

mod flue_input;

use flue_input::{base, run, with};
use serde_json::{Value, json};
use wythe_trade::reckon;

#[test]
fn what_cannot_be_is_refused_where_it_stands() {
    let many: Vec<Value> = vec![base()["segments"][0].clone(); 51];
    let long: Vec<Value> = vec![with("/segments/0/length", json!("51 m"))["segments"][0].clone(); 2];
    let cases = [
        (
            "/appliance/input",
            json!(8800),
            "unit_missing",
            "/appliance/input",
        ),
        (
            "/appliance/input",
            json!("8.8 m"),
            "unit_wrong_kind",
            "/appliance/input",
        ),
        (
            "/appliance/input",
            json!("8.8 horses"),
            "unit_unknown",
            "/appliance/input",
        ),
        (
            "/appliance/input",
            json!("much kW"),
            "number_unreadable",
            "/appliance/input",
        ),
        (
            "/appliance/input",
            json!("0 kW"),
            "out_of_range",
            "/appliance/input",
        ),
        (
            "/appliance/input",
            json!("-3 kW"),
            "out_of_range",
            "/appliance/input",
        ),
        (
            "/appliance/input",
            json!("201 kW"),
            "out_of_range",
            "/appliance/input",
        ),
        ("/appliance/input", Value::Null, "missing", "/appliance/input"),
        (
            "/appliance/flue_temperature",
            json!("601 degC"),
            "out_of_range",
            "/appliance/flue_temperature",
        ),
        (
            "/appliance/flue_temperature",
            json!("-13 degC"),
            "out_of_range",
            "/appliance/flue_temperature",
        ),
        (
            "/appliance/air_ratio",
            json!(0.9),
            "out_of_range",
            "/appliance/air_ratio",
        ),
        (
            "/appliance/air_ratio",
            json!("2.2"),
            "number_unreadable",
            "/appliance/air_ratio",
        ),
        (
            "/appliance/pressure_drop",
            Value::Null,
            "missing",
            "/appliance/pressure_drop",
        ),
        (
            "/appliance/pressure_drop",
            json!("-1 Pa"),
            "out_of_range",
            "/appliance/pressure_drop",
        ),
        (
            "/appliance/air_ratio_max",
            json!(1.2),
            "inconsistent",
            "/appliance/air_ratio_max",
        ),
        (
            "/appliance/colour",
            json!("black"),
            "unknown_key",
            "/appliance/colour",
        ),
        (
            "/appliance/outlet",
            json!("guessed"),
            "unknown_choice",
            "/appliance/outlet",
        ),
        (
            "/appliance/derate_rule",
            json!("ten_percent_2000_to_4500_ft"),
            "inconsistent",
            "/appliance/derate_rule",
        ),
        (
            "/site/altitude",
            json!("-501 m"),
            "out_of_range",
            "/site/altitude",
        ),
        (
            "/site/altitude",
            json!("9001 m"),
            "out_of_range",
            "/site/altitude",
        ),
        (
            "/site/outdoor_temperature",
            json!("-61 degC"),
            "out_of_range",
            "/site/outdoor_temperature",
        ),
        (
            "/site/outdoor_temperature",
            Value::Null,
            "missing",
            "/site/outdoor_temperature",
        ),
        (
            "/site/relative_humidity",
            json!(75),
            "out_of_range",
            "/site/relative_humidity",
        ),
        ("/site/wind", json!("-1 m/s"), "out_of_range", "/site/wind"),
        ("/site", Value::Null, "missing", "/site"),
        ("/site", json!("here"), "missing", "/site"),
        ("/fuel", json!("wood"), "unknown_choice", "/fuel"),
        ("/fuel", json!("mixture"), "missing", "/fractions"),
        ("/segments", json!([]), "empty_list", "/segments"),
        ("/segments", json!(many), "too_many", "/segments"),
        ("/segments", json!(long), "out_of_range", "/segments"),
        (
            "/segments/0/length",
            json!("0 m"),
            "out_of_range",
            "/segments/0/length",
        ),
        (
            "/segments/0/rise",
            json!("7 m"),
            "inconsistent",
            "/segments/0/rise",
        ),
        (
            "/segments/0/exhaust/inside_diameter",
            json!("0 in"),
            "out_of_range",
            "/segments/0/exhaust/inside_diameter",
        ),
        (
            "/segments/0/exhaust/outside_diameter",
            json!("3 in"),
            "inconsistent",
            "/segments/0/exhaust/outside_diameter",
        ),
        (
            "/segments/0/exhaust/outside_diameter",
            json!("7 in"),
            "inconsistent",
            "/segments/0/exhaust/outside_diameter",
        ),
        (
            "/segments/0/exhaust/roughness",
            json!("-1 mm"),
            "out_of_range",
            "/segments/0/exhaust/roughness",
        ),
        (
            "/segments/0/exhaust/insulation",
            json!("0 m2K/W"),
            "out_of_range",
            "/segments/0/exhaust/insulation",
        ),
        (
            "/segments/0/intake/kind",
            json!("window"),
            "unknown_choice",
            "/segments/0/intake/kind",
        ),
        (
            "/segments/0/intake/kind",
            Value::Null,
            "missing",
            "/segments/0/intake/kind",
        ),
        (
            "/segments/0/intake/inside_diameter",
            json!("3 in"),
            "unknown_key",
            "/segments/0/intake/inside_diameter",
        ),
        (
            "/segments/0/intake/tile/shape",
            json!("oval"),
            "unknown_choice",
            "/segments/0/intake/tile/shape",
        ),
        (
            "/segments/0/intake/tile/area_factor",
            json!(1.2),
            "out_of_range",
            "/segments/0/intake/tile/area_factor",
        ),
        (
            "/segments/0/wall",
            json!({}),
            "missing",
            "/segments/0/wall/layers",
        ),
        (
            "/segments/0/wall/layers",
            json!([]),
            "empty_list",
            "/segments/0/wall/layers",
        ),
        (
            "/segments/0/wall/held_at",
            json!("5 degC"),
            "inconsistent",
            "/segments/0/wall/held_at",
        ),
        (
            "/segments/0/wall/layers/1/conductivity",
            json!("1 W/mK"),
            "inconsistent",
            "/segments/0/wall/layers/1/resistance",
        ),
        (
            "/segments/0/wall/layers/1/resistance",
            Value::Null,
            "missing",
            "/segments/0/wall/layers/1/conductivity",
        ),
        (
            "/segments/0/ambient",
            Value::Null,
            "missing",
            "/segments/0/ambient",
        ),
        (
            "/restrictor",
            json!({}),
            "missing",
            "/restrictor/loss_coefficient",
        ),
        (
            "/restrictor",
            json!({"open_fraction": 0}),
            "out_of_range",
            "/restrictor/open_fraction",
        ),
        (
            "/restrictor",
            json!({"open_fraction": 1.1}),
            "out_of_range",
            "/restrictor/open_fraction",
        ),
        (
            "/restrictor",
            json!({"open_fraction": 0.5, "loss_coefficient": 3}),
            "inconsistent",
            "/restrictor/open_fraction",
        ),
        (
            "/options",
            json!({"closure": "guess"}),
            "unknown_choice",
            "/options/closure",
        ),
        (
            "/options",
            json!({"radiation": "yes"}),
            "unknown_choice",
            "/options/radiation",
        ),
        (
            "/options",
            json!({"radiation_factor": 2}),
            "inconsistent",
            "/options/radiation_factor",
        ),
        ("/solve", json!({"mode": "hope"}), "unknown_choice", "/solve/mode"),
        ("/solve", json!({"mode": "at"}), "missing", "/solve/air_ratio"),
        (
            "/solve",
            json!({"mode": "at", "air_ratio": 0.5}),
            "out_of_range",
            "/solve/air_ratio",
        ),
        (
            "/solve",
            json!({"mode": "operating_point", "air_ratio": 2}),
            "unknown_key",
            "/solve/air_ratio",
        ),
        (
            "/solve",
            json!({"mode": "pressure_drop_for", "air_ratio": 2.2}),
            "inconsistent",
            "/appliance/pressure_drop",
        ),
        (
            "/band",
            json!({"draws": 0, "seed": 7}),
            "out_of_range",
            "/band/draws",
        ),
        (
            "/band",
            json!({"draws": 10.5, "seed": 7}),
            "out_of_range",
            "/band/draws",
        ),
        (
            "/band",
            json!({"draws": 10, "seed": -7}),
            "out_of_range",
            "/band/seed",
        ),
        (
            "/band",
            json!({"draws": 10, "seed": 0.5}),
            "out_of_range",
            "/band/seed",
        ),
        ("/extra", json!(1), "unknown_key", "/extra"),
    ];
    for (pointer, value, code, field) in cases {
        let refusal = run(&with(pointer, value.clone())).expect_err(&format!("{pointer} {value}"));
        assert_eq!(
            (refusal.code.as_str(), refusal.field.as_str()),
            (code, field),
            "{pointer} {value}: {refusal}"
        );
        assert!(
            refusal.message.ends_with('.') && !refusal.message.contains("NaN"),
            "{}",
            refusal.message
        );
    }
}

#[test]
fn text_that_is_no_object_is_refused() {
    for text in ["", "[]", "7", "{", "{\"site\": NaN}", "null", "{} {}"] {
        assert_eq!(
            reckon("flue", text).unwrap_err().code.as_str(),
            "not_json",
            "{text}"
        );
    }
    let huge = base()
        .to_string()
        .replace("\"air_ratio\":2.2", "\"air_ratio\":1e999");
    assert_eq!(reckon("flue", &huge).unwrap_err().code.as_str(), "not_finite");
}

/// Every value of the base in turn becomes something hostile; every outcome is an answer in numbers or a refusal
/// with a known code.
#[test]
fn hostile_values_are_answered_or_refused() {
    let hostile = [
        Value::Null,
        json!(true),
        json!([]),
        json!({}),
        json!(""),
        json!("NaN"),
        json!(-1),
        json!(0),
        json!(1e308),
        json!("1e308 m"),
        json!("0.000001 mm"),
        json!("1e-300 m"),
        json!("99 m"),
        json!({"value": 1, "unit": "m", "x": 1}),
        json!("∞ in"),
        json!("-40 degF"),
        json!("0 K"),
        json!("' or 1=1"),
        json!("1/0 in"),
        json!(["1 m"]),
    ];
    let mut places = Vec::new();
    collect(&base(), String::new(), &mut places);
    assert!(places.len() > 30);
    let (mut answers, mut refusals) = (0, 0);
    for place in &places {
        for value in &hostile {
            match run(&with(place, value.clone())) {
                Ok(answer) => {
                    answers += 1;
                    assert!(
                        answer["air_ratio"].is_number() && answer["draft"]["value"].is_number(),
                        "{place} {value}"
                    );
                }
                Err(refusal) => {
                    refusals += 1;
                    assert!(refusal.code.as_str() != "not_json", "{place} {value}: {refusal}");
                    assert!(refusal.field.starts_with('/') || refusal.code.as_str() == "not_converged");
                }
            }
        }
    }
    assert!(
        answers > 20 && refusals > 400,
        "{answers} answers, {refusals} refusals"
    );
}

fn collect(value: &Value, at: String, places: &mut Vec<String>) {
    match value {
        Value::Object(map) => map
            .iter()
            .for_each(|(key, value)| collect(value, format!("{at}/{key}"), places)),
        Value::Array(list) => {
            list.iter()
                .enumerate()
                .for_each(|(place, value)| collect(value, format!("{at}/{place}"), places));
        }
        _ => {}
    }
    if !at.is_empty() {
        places.push(at);
    }
}
