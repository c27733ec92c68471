//! What a visit's screen carries beside its asks: figures, the loading list, timers, and what did not hold.
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

use support::deeds::{answer, play};
use support::whole::{deeds, library};
use support::{Look, Phone, programmes};
use wythe_guide::figures::{Library, run};
use wythe_guide::readiness::readiness;
use wythe_guide::screen::{Block, BlockState, ListItem, Make, Screen, TimerState};
use wythe_guide::{Elsewhere, Guide, Known, Language, Words, read_date};
use wythe_job::{Address, PersonId};

/// A screen of a visit, with drafts.
fn visit(guide: &Guide, phone: &Phone<'_>, library: &Library, visit: &str, draft: Option<&str>) -> Screen {
    let words = Words::of(Language::En);
    let (programme, _) = programmes(guide).swap_remove(0);
    let look = Look::of(&phone.facts);
    let today = read_date("2026-03-25").unwrap();
    let mut known = Known::new(guide, &look.job, &look.causality).on(today);
    let figures = run(&known, library);
    for figures in &figures {
        known.note_findings(figures);
    }
    let readiness = readiness(&known, &programme, &figures, &Elsewhere::default(), today);
    let make = Make {
        known: &known,
        words: &words,
        readiness: &readiness,
        figures: &figures,
        drafts: &|_: &Address| draft.map(str::to_owned),
        name: &|_: PersonId| "Bram Copperkettle".to_owned(),
    };
    make.visit(visit)
}

fn loaded(screen: &Screen) -> Vec<&ListItem> {
    let list = screen.blocks.iter().find_map(|block| match block {
        Block::List { id, items } if id == "load" => Some(items),
        _ => None,
    });
    list.into_iter().flatten().collect()
}

fn actions(screen: &Screen) -> Vec<&str> {
    let actions = screen.blocks.iter().filter_map(|block| match block {
        Block::Action { id, .. } => Some(id.as_str()),
        _ => None,
    });
    actions.collect()
}

fn timer<'s>(screen: &'s Screen, ask: &str) -> &'s TimerState {
    let timer = screen.blocks.iter().find_map(|block| match block {
        Block::Ask { id, timer, .. } if id == ask => timer.as_ref(),
        _ => None,
    });
    timer.unwrap()
}

#[test]
fn every_figure_of_the_crew_is_met_on_a_visit() {
    let guide = Guide::embedded().unwrap();
    let phone = play(&guide, &deeds(), &library());
    // Only the claim's annex and the desk want these.
    let annex = ["plan.air", "plan.combustion"];
    for plan in guide
        .figures
        .iter()
        .filter(|plan| !annex.contains(&plan.id.as_str()))
    {
        assert!(!plan.visits.is_empty(), "{} is on no visit's screen", plan.id);
    }
    let screen = visit(&guide, &phone, &library(), "day_2", None);
    let figures = screen.blocks.iter().filter_map(|block| match block {
        Block::Figures { id, .. } => Some(id.as_str()),
        _ => None,
    });
    let figures: Vec<&str> = figures.collect();
    for wanted in ["setting.connector", "gas.pressure_test", "start_up.meter_clock"] {
        assert!(figures.contains(&wanted), "{wanted} is not in {figures:?}");
    }
}

#[test]
fn the_connectors_pieces_are_counted_on_the_loading_list() {
    let guide = Guide::embedded().unwrap();
    let mut all = deeds();
    // Three sections of 25 in and one of 7 in: 3 · 24 + 6 in.
    all.push(answer("setting.collar_rise", "78 in"));
    let phone = play(&guide, &all, &library());
    let screen = visit(&guide, &phone, &library(), "day_2", None);
    let items: Vec<(&str, &str)> = loaded(&screen)
        .iter()
        .map(|item| (item.title.as_str(), item.detail.as_str()))
        .collect();
    assert!(items.contains(&("3 × c", "25 in · 635 mm")), "{items:?}");
    assert!(items.contains(&("1 × a", "7 in · 178 mm")), "{items:?}");
    assert!(actions(&screen).contains(&"print/loading_list/day_2"));
}

#[test]
fn what_is_not_measured_yet_is_named_on_the_loading_list() {
    let guide = Guide::embedded().unwrap();
    let mut begun = Phone::new(&guide, 1);
    begun.open("America/Denver");
    let screen = visit(&guide, &begun, &Library::new(), "day_2", None);
    let items = loaded(&screen);
    assert!(items.len() >= 2, "{items:?}");
    assert!(
        items
            .iter()
            .all(|item| item.state == BlockState::Waiting && !item.detail.is_empty()),
        "{items:?}"
    );
    // Where the pieces do not span, none are loaded, and it says why.
    let mut all = deeds();
    all.push(answer("setting.collar_rise", "50 1/8 in"));
    all.push(answer("setting.collar_run", "1 in"));
    let phone = play(&guide, &all, &library());
    let screen = visit(&guide, &phone, &library(), "day_2", None);
    let pieces = loaded(&screen).into_iter().next_back().unwrap();
    assert_eq!(pieces.state, BlockState::Waiting);
    assert!(pieces.detail.contains("span"), "{}", pieces.detail);
}

#[test]
fn a_measured_cap_can_be_printed_and_one_that_does_not_fit_cannot() {
    let guide = Guide::embedded().unwrap();
    let phone = play(&guide, &deeds(), &library());
    let screen = visit(&guide, &phone, &library(), "day_1", None);
    assert!(actions(&screen).contains(&"print/trim_sheet"));
    let mut all = deeds();
    all.push(answer("chimney_top.tile_outside_a@reading:1", "15 in"));
    all.push(answer("chimney_top.tile_outside_a@reading:2", "15 in"));
    all.push(answer("chimney_top.diagonal_1", "19 7/8 in"));
    all.push(answer("chimney_top.diagonal_2", "19 7/8 in"));
    let phone = play(&guide, &all, &library());
    let screen = visit(&guide, &phone, &library(), "day_1", None);
    assert!(!actions(&screen).contains(&"print/trim_sheet"));
}

#[test]
fn a_timer_can_be_started_and_a_running_one_tapped_and_stopped() {
    let guide = Guide::embedded().unwrap();
    let phone = play(&guide, &deeds(), &library());
    let deeds = |timer: &TimerState| -> Vec<String> {
        let deed = |(id, label): &(String, String)| {
            assert!(!label.contains('['), "{label}");
            id.rsplit('/').next().unwrap().to_owned()
        };
        timer.actions.iter().map(deed).collect()
    };
    let still = visit(&guide, &phone, &library(), "day_2", None);
    assert_eq!(deeds(timer(&still, "start_up.meter_turns")), ["start"]);
    assert_eq!(timer(&still, "gas.test_time").call_after, Some(600.0));
    let draft = "2026-03-25T13:10:00.000-06:00/… +155.0";
    let running = visit(&guide, &phone, &library(), "day_2", Some(draft));
    let turns = timer(&running, "start_up.meter_turns");
    assert_eq!(deeds(turns), ["tap", "stop", "drop"]);
    assert_eq!(turns.taps, [155.0]);
    assert!(turns.started_ms.is_some());
    // The pressure test is not tapped.
    assert_eq!(deeds(timer(&running, "gas.test_time")), ["stop", "drop"]);
}

#[test]
fn who_stops_the_clock_late_has_not_measured_longer() {
    let guide = Guide::embedded().unwrap();
    let mut all = deeds();
    all.push(answer(
        "start_up.meter_turns",
        "2026-03-25T13:10:00-06:00/2026-03-25T13:30:00-06:00 +155.0 +310.0",
    ));
    let phone = play(&guide, &all, &library());
    let look = Look::of(&phone.facts);
    let figures = run(&Known::new(&guide, &look.job, &look.causality), &library());
    let clock = figures
        .iter()
        .find(|figures| figures.id == "start_up.meter_clock")
        .unwrap();
    assert_eq!(clock.input["time"]["value"].as_f64(), Some(310.0));
}

#[test]
fn the_businesss_presets_go_into_the_figures_with_their_source() {
    let guide = Guide::embedded().unwrap();
    let phone = play(&guide, &deeds(), &library());
    let look = Look::of(&phone.facts);
    let known = Known::new(&guide, &look.job, &look.causality);
    let of = |library: &Library, id: &str| {
        let all = run(&known, library);
        all.into_iter().find(|figures| figures.id == id).unwrap()
    };
    let clock = of(&library(), "start_up.meter_clock");
    assert_eq!(clock.input["base_pressure"], "14.65 psi");
    assert!(
        clock.sources().contains(&"the state's rule"),
        "{:?}",
        clock.editions
    );
    assert_eq!(
        of(&library(), "chimney_top.vent_terminal").input["edition"],
        "us_older"
    );
    assert_eq!(of(&library(), "start_up.orifice").input["specific_gravity"], 0.59);
    // A business that has settled nothing gets what each sum takes otherwise.
    let mut plain = library();
    plain.retain(|(sort, _), _| sort != "preset");
    assert_eq!(
        of(&plain, "start_up.meter_clock").input.get("base_pressure"),
        None
    );
    assert_eq!(
        of(&plain, "chimney_top.vent_terminal").input["edition"],
        "us_newer"
    );
}
