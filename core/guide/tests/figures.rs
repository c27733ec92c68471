//! Every plan is filled from a made job and gives a result: nothing is missing, nothing is refused.
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

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use serde_json::Value as Json;
use support::deeds::{Deed, answer, play};
use support::whole::{deeds, library};
use support::{Look, Phone};
use wythe_guide::figures::{Figures, Library, run};
use wythe_guide::screen::figure_text;
use wythe_guide::{Guide, Known, Language, Words};

fn worked_out(guide: &Guide, phone: &Phone<'_>, library: &Library) -> Vec<Figures> {
    let look = Look::of(&phone.facts);
    run(&Known::new(guide, &look.job, &look.causality), library)
}

/// The whole job with some answers given otherwise.
fn otherwise(answers: &[(&str, &str)]) -> Vec<Deed> {
    let mut all = deeds();
    all.extend(answers.iter().map(|(address, typed)| answer(address, typed)));
    all
}

/// The usual job, and one in which everything that can be otherwise is.
fn variants() -> Vec<(&'static str, Vec<Deed>)> {
    vec![
        ("a stove on natural gas, air in the tile", deeds()),
        (
            "two liners in a round tile, an offset, propane by listed tube, an inside chimney",
            otherwise(&[
                ("plan.arrangement", "two_liners"),
                ("plan.exhaust_outside", "3 1/8 in"),
                ("plan.exhaust_inside", "3 in"),
                ("plan.intake_outside", "3 1/8 in"),
                ("plan.intake_inside", "3 in"),
                ("survey.tile_shape", "round"),
                ("survey.tile_diameter@tile_section:1", "10 in"),
                ("survey.tile_diameter@tile_section:2", "9 3/4 in"),
                ("survey.offset", "2 in"),
                ("survey.offset_height", "6 ft"),
                ("survey.chimney_place", "interior"),
                ("survey.fuel", "propane"),
                ("survey.delivered_pressure", "eleven_in_wc"),
                ("plan.run_material", "listed_tube"),
                ("plan.tube_capacity", "82 cfh"),
                ("plan.tube_length", "30 ft"),
                ("survey.other_flue", "yes"),
                ("survey.other_flue_distance", "40 in"),
                ("chimney_top.other_flue_by_manual", "24 in"),
                ("chimney_top.clear_of_openings", "no"),
                ("chimney_top.opening_distance", "12 ft"),
                ("start_up.manifold_high", "10 in wc"),
                ("start_up.inlet_static", "11.5 in wc"),
                ("survey.room_below@room:1", "slab_ground"),
                ("survey.room_slab_edge@room:1", "28 ft"),
                ("survey.room_above@room:1", "heated_above"),
                ("survey.room_floor@room:2", "90 ft2"),
                ("survey.room_height@room:2", "8 ft"),
                ("survey.room_wall@room:2", "120 ft2"),
                ("survey.room_wall_sort@room:2", "wall_bare"),
                ("survey.room_window@room:2", "0 ft2"),
                ("survey.room_window_sort@room:2", "glass_single"),
                ("survey.room_above@room:2", "vaulted_r30"),
                ("survey.room_below@room:2", "over_crawl_space"),
                ("survey.room_air@room:2", "tight"),
            ]),
        ),
        (
            "a meter without a dial, the input by the maker's paper, nobody knows the gas",
            otherwise(&[
                ("start_up.meter_sort", "index_only"),
                ("start_up.counted_volume", "2 ft3"),
                ("start_up.index_digit", "0.1 ft3"),
                ("plan.model", "unlisted-30"),
                ("plan.site_input", "23,500 Btu/h"),
                ("plan.gas_supplier", "nobody"),
                ("survey.delivered_pressure", "two_psi"),
            ]),
        ),
    ]
}

/// The library, with a model whose papers hold no altitude table.
fn wide_library() -> Library {
    let mut library = library();
    let mut plain = library[&("model".to_owned(), "halcyon-30".to_owned())].clone();
    plain.as_object_mut().unwrap().remove("listing");
    library.insert(("model".to_owned(), "unlisted-30".to_owned()), plain);
    library
}

#[test]
fn every_plan_is_filled_and_gives_a_result() {
    let guide = Guide::embedded().unwrap();
    let library = wide_library();
    let mut met: BTreeSet<String> = BTreeSet::new();
    for (name, deeds) in variants() {
        let phone = play(&guide, &deeds, &library);
        for figures in worked_out(&guide, &phone, &library) {
            assert!(
                figures.missing.is_empty(),
                "{name}: {} lacks {:?}",
                figures.id,
                figures.missing
            );
            let result = figures.result.as_ref().unwrap();
            assert!(
                result.is_ok(),
                "{name}: {} was refused: {:?}, given {}",
                figures.id,
                result,
                figures.input
            );
            met.insert(figures.id.clone());
        }
    }
    let all: BTreeSet<String> = guide.figures.iter().map(|plan| plan.id.clone()).collect();
    assert_eq!(met, all, "plans that no variant reaches");
}

#[test]
fn every_reckoning_has_a_plan() {
    let guide = Guide::embedded().unwrap();
    let planned: BTreeSet<&str> = guide.figures.iter().map(|plan| plan.reckoning.as_str()).collect();
    let all: BTreeSet<&str> = wythe_trade::list().map(|entry| entry.name).collect();
    assert_eq!(planned, all);
}

#[test]
fn what_is_shown_is_in_some_result() {
    let guide = Guide::embedded().unwrap();
    let library = wide_library();
    let mut seen: BTreeMap<(String, String), bool> = BTreeMap::new();
    for (_, deeds) in variants() {
        let phone = play(&guide, &deeds, &library);
        for figures in worked_out(&guide, &phone, &library) {
            let plan = guide.figures.iter().find(|plan| plan.id == figures.id).unwrap();
            let result = figures.good().unwrap();
            for at in &plan.show {
                let value = result.pointer(at);
                let there = value.is_some_and(|value| !value.is_null());
                *seen.entry((figures.id.clone(), at.clone())).or_default() |= value.is_some();
                if let Some(value) = value.filter(|_| there) {
                    for language in Language::ALL {
                        let text = figure_text(value, &Words::of(language));
                        assert!(!text.contains(['{', '[']), "{} {at}: {text}", figures.id);
                    }
                }
            }
        }
    }
    // The offset is there in one variant only, the cut in none: both stand for what is there at times.
    let never: Vec<_> = seen
        .iter()
        .filter(|(key, there)| !**there && !key.1.starts_with("/cut/") && key.1 != "/offset/passes")
        .collect();
    assert!(never.is_empty(), "in no result: {never:?}");
}

#[test]
fn one_site_input_feeds_what_needs_it() {
    let guide = Guide::embedded().unwrap();
    let library = library();
    let phone = play(&guide, &deeds(), &library);
    let all = worked_out(&guide, &phone, &library);
    let of = |id: &str| all.iter().find(|figures| figures.id == id).unwrap();
    let settled = of("plan.derate").good().unwrap()["input"].clone();
    // The listing's row for up to 7,000 ft.
    let watts = settled["value"].as_f64().unwrap();
    assert!(
        (watts - 24_000.0 * 1055.05585262 / 3600.0).abs() < 1e-3,
        "{watts}"
    );
    for (id, at) in [
        ("plan.flue", "/appliance/input"),
        ("plan.appliance_match", "/site_input"),
        ("start_up.orifice", "/input"),
        ("gas.gas_line", "/appliances/0/input"),
        ("chimney_top.vent_terminal", "/input"),
    ] {
        assert_eq!(of(id).input.pointer(at), Some(&settled), "{id}");
    }
    let clock = of("start_up.meter_clock");
    let limit = clock.good().unwrap()["limit"]["value"].as_f64().unwrap();
    assert!(
        (limit - watts).abs() < 1e-6 * watts,
        "the meter's limit is the settled input"
    );
}

#[test]
fn an_answer_that_does_not_apply_is_not_used() {
    let guide = Guide::embedded().unwrap();
    let library = library();
    let first = otherwise(&[
        ("plan.arrangement", "two_liners"),
        ("plan.intake_outside", "3 1/8 in"),
    ]);
    let back = [first, vec![answer("plan.arrangement", "annulus")]].concat();
    let phone = play(&guide, &back, &library);
    let all = worked_out(&guide, &phone, &library);
    let fit = all
        .iter()
        .find(|figures| figures.id == "lining.liner_fit")
        .unwrap();
    assert!(fit.good().is_some(), "{:?}", fit.result);
    assert_eq!(fit.input.get("intake_outside"), None);
}

#[test]
fn what_is_missing_is_named_and_what_stands_in_for_it_is_not() {
    let guide = Guide::embedded().unwrap();
    let without = |address: &str| -> Vec<Deed> {
        let all = deeds().into_iter();
        all.filter(|deed| deed.address() != Some(address) && !matches!(deed, Deed::Keep(_)))
            .collect()
    };
    let missing = |address: &str, id: &str, library: &Library| {
        let phone = play(&guide, &without(address), library);
        let all = worked_out(&guide, &phone, library);
        all.iter()
            .find(|figures| figures.id == id)
            .unwrap()
            .missing
            .clone()
    };
    let known = library();
    assert_eq!(
        missing("survey.collar_to_top", "plan.flue", &known),
        ["survey.collar_to_top"]
    );
    assert_eq!(
        missing("plan.exhaust_inside", "plan.flue", &known),
        ["plan.exhaust_inside"],
        "the figures behind are not named beside what they wait for"
    );
    // The business does not know the gas supplier: the usual heating value stands in.
    assert_eq!(missing("plan.gas_supplier", "start_up.orifice", &known), [""; 0]);
    // It does not know the stove: the entry is named.
    let unknown = Library::new();
    let lacks = missing("survey.reach", "plan.combustion", &unknown);
    assert_eq!(lacks, ["model halcyon-30/air_ratio"]);
}

#[test]
fn taps_count_the_turns_of_the_meter() {
    let guide = Guide::embedded().unwrap();
    let phone = play(&guide, &deeds(), &library());
    let all = worked_out(&guide, &phone, &library());
    let clock = all
        .iter()
        .find(|figures| figures.id == "start_up.meter_clock")
        .unwrap();
    assert_eq!(clock.input["revolutions"], Json::from(2));
    assert_eq!(clock.input["time"]["value"], Json::from(310.0));
}

/// Stops refer to findings by their code: each is one that the reckoning can have.
#[test]
fn stops_name_findings_that_there_are() {
    let guide = Guide::embedded().unwrap();
    let mut code = String::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("../trade/src")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                code.push_str(&std::fs::read_to_string(path).unwrap());
            }
        }
    }
    fn findings<'c>(condition: &'c wythe_guide::Condition, found: &mut Vec<&'c str>) {
        found.extend(condition.finding.as_deref());
        for part in condition
            .all
            .iter()
            .chain(&condition.any)
            .chain(condition.not.as_deref())
        {
            findings(part, found);
        }
    }
    let mut met = 0;
    for stop in &guide.stops {
        let mut named = Vec::new();
        findings(&stop.raise, &mut named);
        for finding in named {
            assert!(
                code.contains(&format!("\"{finding}\"")),
                "{}: {finding}",
                stop.code
            );
            met += 1;
        }
    }
    assert!(met > 12);
}
