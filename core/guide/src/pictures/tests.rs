use serde_json::json;
use wythe_drawing::{Estimate, Fit, Lay, lay};

use super::*;
use crate::words::Language;

macro_rules! samples {
    ($($name:literal => $drawings:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../../../trade/samples/", $name, ".json")), $drawings)),*]
    };
}

/// The drawn reckonings with their samples and how many drawings each gives.
const SAMPLES: &[(&str, &str, usize)] = samples! {
    "appliance_match" => 1,
    "cap_fit" => 1,
    "connector" => 1,
    "flue" => 4,
    "flue_conditions" => 1,
    "gas_line" => 1,
    "heat_loss" => 1,
    "liner_fit" => 1,
    "pressure_test" => 1,
    "vent_terminal" => 1,
};

fn drawn(reckoning: &str, input: &Json, language: Language) -> Vec<Drawing> {
    let figures = Figures {
        id: format!("test.{reckoning}"),
        reckoning: reckoning.to_owned(),
        input: input.clone(),
        result: Some(wythe_trade::reckon(reckoning, &input.to_string())),
        ..Figures::default()
    };
    assert!(figures.good().is_some(), "{:?}", figures.result);
    pictures(&figures, &Words::of(language))
}

fn sample(name: &str) -> Json {
    let (_, text, _) = SAMPLES.iter().find(|(known, ..)| *known == name).unwrap();
    serde_json::from_str(text).unwrap()
}

/// Every word a drawing says, as it is laid on a page.
fn said(drawing: &Drawing) -> String {
    let how = Lay::new(Fit::Into {
        width: 490.0,
        height: 400.0,
    });
    let laid = lay(drawing, &how, &Estimate).unwrap();
    let texts = laid.marks.iter().filter_map(|mark| match mark {
        wythe_drawing::Mark::Text { text, .. } => Some(text.as_str()),
        wythe_drawing::Mark::Path { .. } => None,
    });
    texts.collect::<Vec<_>>().join("\n")
}

#[test]
fn every_sample_is_drawn_with_all_its_words_in_every_language() {
    for language in Language::ALL {
        for (name, _, count) in SAMPLES {
            let drawings = drawn(name, &sample(name), language);
            assert_eq!(drawings.len(), *count, "{language:?} {name}");
            for drawing in drawings {
                drawing.check().unwrap();
                let said = format!("{}\n{}", drawing.alt, said(&drawing));
                assert!(!said.contains("[picture"), "{language:?} {name}: {said}");
            }
        }
    }
}

#[test]
fn the_other_languages_are_not_english() {
    let english = Words::of(Language::En);
    for language in [Language::Es, Language::Fr] {
        for (name, ..) in SAMPLES {
            let alts = |language| {
                drawn(name, &sample(name), language)
                    .into_iter()
                    .map(|d| d.alt)
                    .collect::<Vec<_>>()
            };
            assert_ne!(alts(language), alts(english.language()), "{language:?} {name}");
        }
    }
}

#[test]
fn a_flue_is_drawn_co_axial_and_impossible() {
    let colinear = sample("flue");
    let mut coaxial = colinear.clone();
    *coaxial.pointer_mut("/segments/0/intake").unwrap() = json!({
        "kind": "coaxial", "loss_coefficient": 0.5,
        "tile": {"shape": "rectangle", "a": "6 1/2 in", "b": "10 1/2 in", "area_factor": 0.932},
    });
    assert_eq!(drawn("flue", &coaxial, Language::En).len(), 4);
    let mut impossible = colinear;
    *impossible.pointer_mut("/appliance/pressure_drop").unwrap() = json!("300 Pa");
    let drawings = drawn("flue", &impossible, Language::En);
    assert_eq!(drawings.len(), 4);
    let budget = said(&drawings[2]);
    assert!(
        budget.contains("does not draw") && budget.contains("lacking"),
        "{budget}"
    );
    let wet = said(&drawings[0]);
    assert!(wet.contains("wet: 13.2 ft"), "{wet}");
}

#[test]
fn the_operating_point_shows_its_band_once_it_is_there() {
    let mut flue = sample("flue");
    let alone = said(&drawn("flue", &flue, Language::En)[3]);
    assert!(alone.contains("without its band"), "{alone}");
    flue["band"] = json!({"draws": 40, "seed": 7});
    let with = said(&drawn("flue", &flue, Language::En)[3]);
    let result = wythe_trade::reckon("flue", &flue.to_string()).unwrap();
    for point in ["p5", "p95"] {
        let figure = result["band"]["air_ratio"][point].as_f64().unwrap();
        let figure = wythe_drawing::plain_number(figure, 0.01);
        assert!(with.contains(&figure), "{figure} is missing in {with}");
    }
}

#[test]
fn each_condition_has_its_bar() {
    let run = sample("flue_conditions");
    let said = said(&drawn("flue_conditions", &run, Language::En)[0]);
    let result = wythe_trade::reckon("flue_conditions", &run.to_string()).unwrap();
    let conditions = result["conditions"].as_array().unwrap();
    assert_eq!(conditions.len(), 13);
    for name in ["coldest day, low fire", "77 °F, high fire", "lit from cold"] {
        assert!(said.contains(name), "{name} is missing in {said}");
    }
}

#[test]
fn a_piece_that_leans_is_drawn_with_its_offset() {
    let mut flue = sample("flue");
    flue["segments"][0]["rise"] = json!("6.3 m");
    let text = said(&drawn("flue", &flue, Language::En)[0]);
    // The root of 6.4 m squared less 6.3 m squared is 1.127 m.
    assert!(text.contains("44 3/8 in"), "{text}");
    assert!(text.contains("6 1/2 in × 10 1/2 in"), "{text}");
}

#[test]
fn the_pieces_are_named_in_order_and_end_where_the_span_ends() {
    let connector = sample("connector");
    let said = said(&drawn("connector", &connector, Language::En)[0]);
    let result = wythe_trade::reckon("connector", &connector.to_string()).unwrap();
    for (id, number) in result["ids"].as_array().unwrap().iter().zip(1..) {
        let named = format!("{number}  {}", id.as_str().unwrap());
        assert!(said.contains(&named), "{named:?} is missing in {said}");
    }
}

#[test]
fn a_short_distance_at_the_cap_says_by_how_much() {
    let mut near = sample("vent_terminal");
    *near.pointer_mut("/distances/opening").unwrap() = json!("6 in");
    let drawing = &drawn("vent_terminal", &near, Language::En)[0];
    assert!(said(drawing).contains("short by 3 in"), "{}", said(drawing));
}

#[test]
fn the_gaps_beside_one_liner_are_those_of_the_reckoning() {
    let mut fit = sample("liner_fit");
    let parts = fit.as_object_mut().unwrap();
    parts.insert("arrangement".to_owned(), json!("annulus"));
    parts.remove("intake_outside");
    parts.remove("intake_inside");
    // 6 1/2 and 10 1/2 in with a liner of 4 1/8 in in the middle.
    let said = said(&drawn("liner_fit", &fit, Language::En)[0]);
    assert!(said.contains("1 3/16 in") && said.contains("3 3/16 in"), "{said}");
}
