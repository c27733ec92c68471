//! The reckoning `flue` by its JSON: what it refuses, what it answers, what it says.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot go on has failed"
)]

use serde_json::{Value, json};
use wythe_trade::form::Refusal;
use wythe_trade::reckon;

/// An exterior chimney at altitude, 6.4 m above the collar, 8 x 12 tile, 4 in liner.
fn base() -> Value {
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
fn with(pointer: &str, value: Value) -> Value {
    let mut input = base();
    set(&mut input, pointer, value);
    input
}

fn set(input: &mut Value, pointer: &str, value: Value) {
    let (parent, key) = pointer.rsplit_once('/').unwrap();
    let parent = input
        .pointer_mut(parent)
        .unwrap_or_else(|| panic!("nothing at {pointer}"));
    match parent {
        Value::Array(list) => list[key.parse::<usize>().unwrap()] = value,
        _ => parent[key] = value,
    }
}

fn run(input: &Value) -> Result<Value, Refusal> {
    reckon("flue", &input.to_string())
}

fn answer(input: &Value) -> Value {
    run(input).unwrap_or_else(|refusal| panic!("{refusal} for {input}"))
}

fn codes(answer: &Value) -> Vec<String> {
    let found = answer["findings"].as_array().unwrap();
    found
        .iter()
        .map(|finding| finding["code"].as_str().unwrap().to_owned())
        .collect()
}

fn value(answer: &Value, key: &str) -> f64 {
    let figure = &answer[key];
    figure
        .as_f64()
        .or_else(|| figure["value"].as_f64())
        .unwrap_or_else(|| panic!("{key} is {figure}"))
}

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

#[test]
fn every_task_answers_with_its_status() {
    let plain = answer(&base());
    assert_eq!(plain["status"], "ok");
    assert!(value(&plain, "balance").abs() < 1e-6);
    assert!(plain.get("restrictor_loss_coefficient").is_none() && plain.get("pressure_drop").is_none());
    assert!(plain.get("band").is_none());

    let at = answer(&with("/solve", json!({"mode": "at", "air_ratio": 2.0})));
    assert_eq!(at["status"], "fixed");
    assert!((value(&at, "air_ratio") - 2.0).abs() < 1e-12 && value(&at, "balance") > 1.0);

    let sized = answer(&with(
        "/solve",
        json!({"mode": "restrictor_for", "air_ratio": 2.0}),
    ));
    assert_eq!(sized["status"], "restrictor_sized");
    let mut fitted = base();
    set(
        &mut fitted,
        "/restrictor",
        json!({"loss_coefficient": value(&sized, "restrictor_loss_coefficient")}),
    );
    assert!((value(&answer(&fitted), "air_ratio") - 2.0).abs() < 1e-6);
    let hole = value(&sized, "restrictor_hole");
    assert!((hole - 0.1016 * value(&sized, "restrictor_open_fraction").sqrt()).abs() < 1e-9);

    let mut calibrating = with("/solve", json!({"mode": "pressure_drop_for", "air_ratio": 2.2}));
    set(&mut calibrating, "/appliance/pressure_drop", Value::Null);
    let found = answer(&calibrating);
    assert_eq!(found["status"], "pressure_drop_found");
    let mut calibrated = base();
    set(
        &mut calibrated,
        "/appliance/pressure_drop",
        found["pressure_drop"].clone(),
    );
    assert!((value(&answer(&calibrated), "air_ratio") - 2.2).abs() < 1e-6);
}

#[test]
fn bad_news_is_an_answer() {
    let flat = with("/segments/0/rise", json!("0 m"));
    let none = answer(&flat);
    assert_eq!(
        (&none["status"], &none["verdict"]),
        (&json!("insufficient_draft"), &json!("fail"))
    );
    assert_eq!(codes(&none).first().unwrap(), "insufficient_draft");
    assert!((value(&none, "air_ratio") - 1.0).abs() < 1e-9);

    let mut unsized_ = flat.clone();
    set(
        &mut unsized_,
        "/solve",
        json!({"mode": "restrictor_for", "air_ratio": 2.0}),
    );
    let none = answer(&unsized_);
    assert_eq!(none["status"], "insufficient_draft");
    assert!(none["restrictor_loss_coefficient"].is_null() && none["restrictor_hole"].is_null());

    let mut storm = with("/site/wind", json!("60 m/s"));
    set(&mut storm, "/site/wind_coefficient", json!(5.0));
    set(&mut storm, "/appliance/input", json!("1 kW"));
    let too_much = answer(&storm);
    assert_eq!(
        (&too_much["status"], &too_much["verdict"]),
        (&json!("out_of_range"), &json!("fail"))
    );
    assert!((value(&too_much, "air_ratio") - 40.0).abs() < 1e-9);
    assert_eq!(codes(&too_much)[..2], ["draft_out_of_range", "air_ratio_high"]);
}

#[test]
fn findings_stand_in_their_order_and_the_manual_governs_always() {
    let order = [
        "insufficient_draft",
        "draft_out_of_range",
        "air_ratio_low",
        "air_ratio_high",
        "freezing",
        "start_sensitive",
        "condensing",
        "no_band",
        "manual_governs",
    ];
    let mut cold = with("/site/outdoor_temperature", json!("-35 degC"));
    set(&mut cold, "/segments/0/ambient", json!("-35 degC"));
    set(&mut cold, "/restrictor", json!({"open_fraction": 0.15}));
    set(&mut cold, "/appliance/input", json!("3 kW"));
    for input in [base(), cold.clone(), with("/segments/0/rise", json!("0.1 m"))] {
        let found = codes(&answer(&input));
        let ranks: Vec<usize> = found
            .iter()
            .map(|code| order.iter().position(|o| o == code).unwrap())
            .collect();
        assert!(ranks.windows(2).all(|pair| pair[0] < pair[1]), "{found:?}");
        assert_eq!(found.last().unwrap(), "manual_governs");
        assert!(found.contains(&"no_band".to_owned()));
    }
    let wet = answer(&cold);
    assert_eq!(
        (&wet["condensing"], &wet["freezing"]),
        (&json!(true), &json!(true))
    );
    assert!(codes(&wet).contains(&"freezing".to_owned()) && value(&wet, "wet_length") > 0.0);
    assert!(value(&wet, "condensation_margin") < 0.0 && value(&wet, "wall_temperature_top") <= 0.0);
    let given = answer(&with("/solve", json!({"mode": "at", "air_ratio": 1.0})));
    assert!(
        !codes(&given).contains(&"air_ratio_low".to_owned()),
        "a given air ratio is not judged"
    );
}

#[test]
fn the_profile_covers_both_ends_of_every_segment() {
    let mut input = base();
    let mut connector = input["segments"][0].clone();
    set(&mut input, "/segments/0/length", json!("0.9 m"));
    connector["name"] = Value::Null;
    connector["length"] = json!("5.5 m");
    connector["rise"] = json!("5 m");
    input["segments"].as_array_mut().unwrap().push(connector);
    let answer = answer(&input);
    let profile = answer["profile"].as_array().unwrap();
    let along: Vec<f64> = profile.iter().map(|point| value(point, "along")).collect();
    assert!(
        along
            .windows(2)
            .all(|pair| pair[1] - pair[0] <= 0.25 + 1e-9 && pair[1] >= pair[0])
    );
    assert_eq!(along.iter().filter(|a| (**a - 0.9).abs() < 1e-9).count(), 2);
    assert!((along.last().unwrap() - 6.4).abs() < 1e-9);
    let top = profile.last().unwrap();
    assert!((value(top, "height") - 5.9).abs() < 1e-9);
    assert_eq!(top["wall_temperature"], answer["wall_temperature_top"]);
    assert_eq!(answer["segments"][1]["name"], "segment 2");
    assert_eq!(
        answer["segments"][0]["exhaust_temperature"]["top"],
        answer["segments"][1]["exhaust_temperature"]["bottom"]
    );
    let drafts: f64 = (0..2).map(|i| value(&answer["segments"][i], "draft")).sum();
    assert!((drafts - value(&answer, "draft")).abs() < 1e-6);
}

#[test]
fn a_band_gives_the_verdict() {
    let wide = with("/band", json!({"draws": 200, "seed": 7}));
    let first = answer(&wide);
    assert_eq!(first, answer(&wide), "the same seed gives the same band");
    let band = &first["band"];
    let p = |figure: &str, point: &str| {
        let point = &band[figure][point];
        point.as_f64().or_else(|| point["value"].as_f64()).unwrap()
    };
    for figure in [
        "air_ratio",
        "draft",
        "wall_temperature_top",
        "condensation_margin",
        "wet_length",
    ] {
        assert!(
            p(figure, "p5") <= p(figure, "p50") && p(figure, "p50") <= p(figure, "p95"),
            "{figure}"
        );
    }
    assert!(
        p("air_ratio", "p5") < value(&first, "air_ratio")
            && value(&first, "air_ratio") < p("air_ratio", "p95")
    );
    let statuses: f64 = band["statuses"]
        .as_object()
        .unwrap()
        .values()
        .map(|share| share.as_f64().unwrap())
        .sum();
    assert!((statuses + band["unsettled"].as_f64().unwrap() - 1.0).abs() < 1e-9);
    assert_eq!(band["moves_most"], "appliance_pressure_drop");
    assert!(!codes(&first).contains(&"no_band".to_owned()));
    let other = answer(&with("/band", json!({"draws": 200, "seed": 8})));
    assert_ne!(first["band"]["air_ratio"], other["band"]["air_ratio"]);

    // Without a restrictor the air ratio is too high in nearly every draw; with one it is not.
    assert_eq!(first["verdict"], "fail");
    let mut sized = wide.clone();
    set(
        &mut sized,
        "/solve",
        json!({"mode": "restrictor_for", "air_ratio": 2.2}),
    );
    let sized = answer(&sized);
    assert!(
        ["pass", "caution"].contains(&sized["verdict"].as_str().unwrap()),
        "{}",
        sized["verdict"]
    );
    assert!(sized["band"]["good"].as_f64().unwrap() >= 0.95);

    // A limit in the middle of the band cannot be told, and it is said what to find out.
    let mut narrow = wide.clone();
    set(
        &mut narrow,
        "/appliance/air_ratio_max",
        json!(value(&first, "air_ratio")),
    );
    let narrow = answer(&narrow);
    assert_eq!(narrow["verdict"], "cannot_tell");
    assert!(
        narrow["band"]["advice"]
            .as_str()
            .unwrap()
            .contains("pressure drop")
    );
}

#[test]
fn losses_add_up_with_the_safety_factor() {
    let answer = answer(&with("/options", json!({"flow_safety": 1.2})));
    let sum = |keys: &[&str]| keys.iter().map(|key| value(&answer, key)).sum::<f64>();
    let factored = sum(&[
        "exhaust_loss",
        "intake_loss",
        "cap_exhaust_loss",
        "cap_intake_loss",
    ]);
    let rest = sum(&[
        "acceleration_exhaust",
        "acceleration_intake",
        "appliance_loss",
        "restrictor_loss",
    ]);
    let left = sum(&["draft", "wind_pressure"]) - 1.2 * factored - rest;
    assert!((left - value(&answer, "balance")).abs() < 1e-6);
}

#[test]
fn what_lies_outside_the_models_is_said() {
    let notes = |input: &Value| answer(input)["notes"].to_string();
    assert!(!notes(&base()).contains("exchanger") && !notes(&base()).contains("indicative"));
    assert!(notes(&with("/segments/0/exhaust/roughness", json!("6 mm"))).contains("indicative"));
    let mut far = with("/appliance/outlet", json!("exchanger"));
    set(&mut far, "/solve", json!({"mode": "at", "air_ratio": 6.0}));
    assert!(notes(&far).contains("exchanger"));
}

#[test]
fn a_derate_rule_takes_from_the_input_once() {
    let plain = answer(&base());
    let derated = answer(&with(
        "/appliance/derate_rule",
        json!("four_percent_from_sea_level"),
    ));
    let factor = 1.0 - 0.04 * (1864.0 / 0.3048) / 1000.0;
    assert!((value(&derated, "input") / value(&plain, "input") - factor).abs() < 1e-8);
    assert!(value(&derated, "air_ratio") > value(&plain, "air_ratio"));
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

#[test]
fn the_schema_names_every_key() {
    let schema = wythe_trade::schema("flue").unwrap().to_string();
    for key in [
        "outdoor_temperature",
        "radiation_factor",
        "restrictor_for",
        "held_at",
        "area_factor",
        "seed",
    ] {
        assert!(schema.contains(&format!("\"{key}\"")), "{key}");
    }
}
