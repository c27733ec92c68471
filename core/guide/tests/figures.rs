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

use serde_json::{Value as Json, json};
use support::deeds::{Deed, answer, play};
use support::whole::{deeds, library};
use support::{Look, Phone};
use wythe_guide::figures::{Figures, Library, Worked, run, run_with};
use wythe_guide::screen::{figure_remarks, figure_text};
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

/// The library, with a model whose papers hold no altitude table and no pressure drop, but a flue that its
/// manual approves.
fn wide_library() -> Library {
    let mut library = library();
    let mut plain = library[&("model".to_owned(), "halcyon-30".to_owned())].clone();
    plain.as_object_mut().unwrap().remove("listing");
    plain.as_object_mut().unwrap().remove("pressure_drop");
    plain["approved"] = json!({"source": "manual, page 14 (invented)", "segments": [{
        "length": "5 m", "exhaust": {"inside_diameter": "4 in", "loss_coefficient": 0.6},
        "intake": {"kind": "coaxial", "tile": {"shape": "round", "diameter": "6 5/8 in"}},
        "wall": {"layers": [{"thickness": "1 mm", "conductivity": "50 W/mK"}]}, "ambient": "20 degC",
    }]});
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
        // The band is worked out in the background.
        .filter(|(key, _)| !key.1.starts_with("/band/"))
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
    let mut silent = library();
    for entry in silent.values_mut() {
        entry.as_object_mut().unwrap().remove("pressure_drop");
    }
    let lacks = missing("survey.reach", "plan.flue", &silent);
    assert_eq!(lacks, ["model halcyon-30/pressure_drop"]);
}

fn flue<'f>(all: &'f [Figures], id: &str) -> &'f Figures {
    all.iter().find(|figures| figures.id == id).unwrap()
}

/// The pressure drop of the papers is at the plate's input; here it goes with the square of what is left of it.
#[test]
fn the_pressure_drop_goes_with_the_square_of_the_input() {
    let guide = Guide::embedded().unwrap();
    let phone = play(&guide, &deeds(), &library());
    let all = worked_out(&guide, &phone, &library());
    let factor = flue(&all, "plan.derate").good().unwrap()["factor"]
        .as_f64()
        .unwrap();
    let drop = flue(&all, "plan.flue").input["appliance"]["pressure_drop"]["value"].as_f64();
    assert!(
        (drop.unwrap() - 4.0 * factor * factor).abs() < 1e-9,
        "{factor} {drop:?}"
    );
}

#[test]
fn a_flue_that_the_manual_approves_stands_in_for_the_pressure_drop() {
    let guide = Guide::embedded().unwrap();
    let library = wide_library();
    let phone = play(&guide, &otherwise(&[("plan.model", "unlisted-30")]), &library);
    let all = worked_out(&guide, &phone, &library);
    let found = flue(&all, "plan.flue_calibration").good().unwrap()["pressure_drop"]["value"].as_f64();
    let factor = flue(&all, "plan.derate").good().unwrap()["factor"]
        .as_f64()
        .unwrap();
    let drop = flue(&all, "plan.flue").input["appliance"]["pressure_drop"]["value"].as_f64();
    assert!((drop.unwrap() - found.unwrap() * factor * factor).abs() < 1e-9);
    let said = &flue(&all, "plan.flue").taken;
    let source = said.iter().find(|taken| taken.part == "approved").unwrap();
    assert_eq!(source.source, "manual, page 14 (invented)");
    // Where the papers say the drop, nothing is calibrated, and nobody is asked for an approved flue.
    let phone = play(&guide, &deeds(), &library);
    let all = worked_out(&guide, &phone, &library);
    assert!(all.iter().all(|figures| figures.id != "plan.flue_calibration"));
}

#[test]
fn the_band_is_pending_until_it_was_worked_out_or_kept() {
    let guide = Guide::embedded().unwrap();
    let library = library();
    let mut phone = play(&guide, &deeds(), &library);
    let words = Words::of(Language::En);
    let look = |phone: &Phone<'_>, worked: &Worked| {
        let look = Look::of(&phone.facts);
        run_with(&Known::new(&guide, &look.job, &look.causality), &library, worked)
    };
    let says = |figures: &Figures, what: &str| {
        figure_remarks(figures, &words)
            .iter()
            .any(|remark| remark.message.contains(what))
    };
    let mut worked = Worked::default();
    let all = look(&phone, &worked);
    let now = flue(&all, "plan.flue");
    let waiting = now.pending.clone().unwrap();
    assert!(says(now, "Band pending") && !says(now, "one middle value; the inputs"));
    assert!(now.good().unwrap().get("band").is_none() && now.input.get("band").is_none());
    worked.keep(&waiting, waiting.work());
    let all = look(&phone, &worked);
    let now = flue(&all, "plan.flue");
    assert!(now.pending.is_none() && !says(now, "Band pending"));
    let band = &now.good().unwrap()["band"];
    assert_eq!(band["draws"], 1000);
    let text = figure_text(&band["air_ratio"], &words);
    assert!(text.contains(" to ") && text.contains("middle"), "{text}");
    assert!(
        now.input.get("band").is_some(),
        "what is kept says that it has its band"
    );
    // Kept as a fact, it is there for a device that worked nothing out.
    phone.keep_as(now);
    let all = look(&phone, &Worked::default());
    let kept = flue(&all, "plan.flue");
    assert!(kept.pending.is_none() && kept.good() == now_of(&look(&phone, &worked)).as_ref());
    // What it was relied upon for changes: pending again.
    phone.answer("survey.collar_to_top", "22 ft");
    assert!(flue(&look(&phone, &worked), "plan.flue").pending.is_some());
}

fn now_of(all: &[Figures]) -> Option<Json> {
    flue(all, "plan.flue").good().cloned()
}

#[test]
fn the_makers_table_is_named_before_the_physics() {
    let guide = Guide::embedded().unwrap();
    for (answer, id) in [("yes", "flue-table-covers"), ("no", "flue-table-covers-not")] {
        let phone = play(&guide, &otherwise(&[("plan.in_vent_table", answer)]), &library());
        let all = worked_out(&guide, &phone, &library());
        assert_eq!(flue(&all, "plan.flue").said, [id]);
    }
}

#[test]
fn a_flue_that_does_not_draw_is_a_stop_unless_the_makers_table_covers_it() {
    let guide = Guide::embedded().unwrap();
    let mut library = library();
    for entry in library
        .values_mut()
        .filter(|entry| entry.get("pressure_drop").is_some())
    {
        entry["pressure_drop"] = json!("90 Pa");
    }
    for (answer, stands) in [("yes", false), ("no", true)] {
        let phone = play(&guide, &otherwise(&[("plan.in_vent_table", answer)]), &library);
        let look = Look::of(&phone.facts);
        let mut known = Known::new(&guide, &look.job, &look.causality);
        for figures in run(&known.clone(), &library) {
            known.note_findings(&figures);
        }
        let open = wythe_guide::open_stops(&known);
        let raised = open.iter().any(|open| open.stop.code == "flue_does_not_suit");
        assert_eq!(raised, stands, "in the maker's table: {answer}");
    }
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
