//! What the reckoning `flue` answers, and what it says.

mod flue_input;

use flue_input::{answer, base, codes, set, value, with};
use serde_json::{Value, json};

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
