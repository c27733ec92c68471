//! Stops over time: what raises them, what ends them, and who.
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

use support::{Phone, Shot, ZONE, programmes, stand};
use wythe_guide::figures::Library;
use wythe_guide::{Elsewhere, Guide, open_stops};
use wythe_job::{Causality, fold};

fn phone(guide: &Guide, name: u8) -> Phone<'_> {
    let mut phone = Phone::new(guide, name);
    phone.at("2026-03-25T08:00-06:00");
    phone.open(ZONE);
    phone
}

fn standing(guide: &Guide, phone: &Phone<'_>) -> Vec<String> {
    let (programme, _) = programmes(guide).swap_remove(0);
    let nowhere = Elsewhere::default();
    let found = stand(
        guide,
        &phone.facts,
        &programme,
        &Library::new(),
        &nowhere,
        "2026-03-25",
    );
    found.stops.into_keys().collect()
}

fn stands(guide: &Guide, phone: &Phone<'_>, code: &str) -> bool {
    standing(guide, phone).iter().any(|standing| standing == code)
}

/// The steps of the trade: 9, 36 and 100 ppm, each bound from below.
#[test]
fn room_co_has_three_steps() {
    let guide = Guide::embedded().unwrap();
    for (ppm, code) in [
        ("8.9 ppm", None),
        ("9 ppm", Some("room_co_cause")),
        ("35.9 ppm", Some("room_co_cause")),
        ("36 ppm", Some("room_co_stop")),
        ("99.9 ppm", Some("room_co_stop")),
        ("100 ppm", Some("room_co_leave")),
        ("1200 ppm", Some("room_co_leave")),
    ] {
        for ask in [
            "survey.room_co",
            "removal.co_on_arrival",
            "start_up.co_before",
            "start_up.co_after",
        ] {
            let mut phone = phone(&guide, 1);
            phone.answer(ask, ppm);
            let open: Vec<String> = standing(&guide, &phone)
                .into_iter()
                .filter(|code| code.starts_with("room_co"))
                .collect();
            assert_eq!(open, code.into_iter().collect::<Vec<_>>(), "{ask} {ppm}");
        }
    }
}

#[test]
fn a_rise_above_outdoors_and_above_before_is_a_cause_to_find() {
    let guide = Guide::embedded().unwrap();
    for (outdoors, before, after, stop) in [
        ("1 ppm", "0 ppm", "1 ppm", false),
        ("1 ppm", "0 ppm", "2 ppm", true),
        // It was so before lighting: no rise.
        ("1 ppm", "3 ppm", "3 ppm", false),
        // Higher than before, and not higher than outdoors: the street.
        ("4 ppm", "2 ppm", "4 ppm", false),
    ] {
        let mut phone = phone(&guide, 1);
        phone.answer("start_up.co_outdoors", outdoors);
        phone.answer("start_up.co_before", before);
        phone.answer("start_up.co_after", after);
        assert_eq!(
            stands(&guide, &phone, "room_co_cause"),
            stop,
            "{outdoors} {before} {after}"
        );
    }
}

#[test]
fn a_cause_and_a_new_reading_end_it_and_neither_alone_does() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    phone.answer("start_up.co_after", "14 ppm");
    phone.answer("start_up.co_after", "1 ppm");
    assert!(stands(&guide, &phone, "room_co_cause"), "no cause is told");
    phone.answer("start_up.co_cause", "Break-in smoke; aired out.");
    assert!(!stands(&guide, &phone, "room_co_cause"));
    phone.answer("start_up.co_after", "11 ppm");
    assert!(stands(&guide, &phone, "room_co_cause"), "it came back");
    phone.answer("start_up.co_cause", "A neighbour's car.");
    assert!(stands(&guide, &phone, "room_co_cause"), "nothing new was read");
}

#[test]
fn a_later_reading_of_the_same_air_counts_wherever_it_was_asked() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    phone.answer("removal.co_on_arrival", "48 ppm");
    assert!(stands(&guide, &phone, "room_co_stop"));
    phone.answer("start_up.co_before", "0 ppm");
    assert!(!stands(&guide, &phone, "room_co_stop"));
    // The failed reading stays where it was.
    let job = fold(&phone.facts);
    let kept = &job.record[&"removal.co_on_arrival".parse().unwrap()];
    assert_eq!(kept.len(), 1);
}

#[test]
fn striking_a_failed_reading_out_does_not_end_the_stop() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    let failed = phone.answer("gas.test_passed", "no");
    phone.strike(failed);
    assert!(stands(&guide, &phone, "pressure_test_failed"));
    phone.answer("gas.test_passed", "yes");
    assert!(!stands(&guide, &phone, "pressure_test_failed"));
}

#[test]
fn two_phones_that_disagree_do_not_end_a_stop() {
    let guide = Guide::embedded().unwrap();
    let mut room = phone(&guide, 1);
    let mut cellar = Phone::new(&guide, 2);
    cellar.meet(&room);
    room.answer("gas.leak_check", "no");
    cellar.at("2026-03-25T09:00-06:00");
    cellar.answer("gas.leak_check", "yes");
    room.meet(&cellar);
    assert!(
        stands(&guide, &room, "leak_found"),
        "neither had seen the other's"
    );
    room.at("2026-03-25T09:30-06:00");
    room.answer("gas.leak_check", "yes");
    assert!(!stands(&guide, &room, "leak_found"), "now one has");
}

#[test]
fn what_was_seen_counts_more_than_a_clock_that_is_ahead() {
    let guide = Guide::embedded().unwrap();
    let mut ahead = phone(&guide, 1);
    ahead.at("2026-03-25T18:00-06:00");
    ahead.answer("start_up.boom", "yes");
    let mut right = Phone::new(&guide, 2);
    right.at("2026-03-25T10:00-06:00");
    right.meet(&ahead);
    right.answer("start_up.boom", "no");
    assert!(
        !stands(&guide, &right, "boom_at_light_up"),
        "it was answered knowing the boom"
    );
}

#[test]
fn a_paper_lifts_what_a_paper_may_lift_and_words_do_not() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    let answer = phone.answer("survey.other_on_flue", "yes");
    phone.lift("other_on_flue", Vec::new());
    assert!(stands(&guide, &phone, "other_on_flue"), "no evidence");
    phone.lift("other_on_flue", vec![answer]);
    assert!(stands(&guide, &phone, "other_on_flue"), "an answer is no paper");
    let paper = phone.paper("plan.authority_agrees");
    phone.lift("other_on_flue", vec![paper]);
    assert!(!stands(&guide, &phone, "other_on_flue"));
    phone.strike(paper);
    assert!(
        stands(&guide, &phone, "other_on_flue"),
        "the paper was taken back"
    );
}

#[test]
fn the_makers_letter_and_the_authority_both_are_needed() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    phone.answer("plan.in_vent_table", "no");
    let letter = phone.paper("plan.maker_letter");
    phone.lift("outside_vent_table", vec![letter]);
    assert!(stands(&guide, &phone, "outside_vent_table"));
    phone.paper("plan.authority_agrees");
    assert!(!stands(&guide, &phone, "outside_vent_table"));
}

#[test]
fn nobody_lifts_what_nobody_may_lift() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    phone.answer("start_up.boom", "yes");
    let paper = phone.paper("plan.maker_letter");
    phone.lift("boom_at_light_up", vec![paper]);
    assert!(stands(&guide, &phone, "boom_at_light_up"));
    phone.lift("no_safety_screen", vec![paper]);
    assert!(stands(&guide, &phone, "no_safety_screen"));
}

#[test]
fn only_who_called_the_roof_off_resumes_and_the_end_of_the_visit_ends_it() {
    let guide = Guide::embedded().unwrap();
    let mut juniper = phone(&guide, 1);
    juniper.arrive("day_1");
    juniper.answer("chimney_top.wind", "31 mph");
    assert!(stands(&guide, &juniper, "roof_weather"));
    let mut bram = Phone::new(&guide, 2);
    bram.at("2026-03-25T09:00-06:00");
    bram.meet(&juniper);
    bram.answer("chimney_top.wind", "5 mph");
    assert!(stands(&guide, &bram, "roof_weather"), "somebody else resumes");
    juniper.meet(&bram);
    juniper.at("2026-03-25T10:00-06:00");
    let mut resumed = Phone::new(&guide, 1);
    resumed.meet(&juniper);
    resumed.at("2026-03-25T10:30-06:00");
    resumed.answer("chimney_top.wind", "6 mph");
    assert!(
        !stands(&guide, &resumed, "roof_weather"),
        "the same person resumes"
    );
    juniper.moment("day_1", "left");
    assert!(!stands(&guide, &juniper, "roof_weather"), "the visit is over");
}

#[test]
fn an_approval_that_has_run_out_holds_the_removal() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    phone.paper("plan.approval_paper");
    phone.answer("plan.approval_number", "LB-0417");
    phone.answer("plan.approval_expires", "2026-03-25");
    assert!(!stands(&guide, &phone, "approval_missing"), "its last day");
    phone.answer("plan.approval_expires", "2026-03-24");
    assert!(stands(&guide, &phone, "approval_missing"));
    phone.answer("removal.removed_on", "2026-03-20");
    assert!(!stands(&guide, &phone, "approval_missing"), "it was out in time");
}

#[test]
fn a_stop_blocks_the_asks_of_its_stages_and_steps() {
    let guide = Guide::embedded().unwrap();
    let ask = |id: &str| guide.ask(id).unwrap();
    let stop = |code: &str| guide.stops.iter().find(|stop| stop.code == code).unwrap();
    let weather = stop("roof_weather");
    assert!(weather.blocks_ask(ask("chimney_top.cap_right_way")));
    assert!(weather.blocks_ask(ask("lining.dropped")));
    assert!(!weather.blocks_ask(ask("lining.exhaust_bottom")));
    assert!(!weather.blocks_ask(ask("setting.serial")));
    assert!(!weather.blocks_sign_off());
    let smell = stop("gas_smell");
    assert!(guide.asks.iter().all(|ask| smell.blocks_ask(ask)));
    assert!(smell.blocks_sign_off());
}

#[test]
fn what_is_only_not_recorded_yet_is_told_from_what_is_wrong() {
    let guide = Guide::embedded().unwrap();
    let mut phone = phone(&guide, 1);
    phone.answer("gas.appliances_off", "2");
    phone.answer("lining.trial_passed", "no");
    phone.answer("survey.suspect_material", "yes");
    let job = fold(&phone.facts);
    let causality = Causality::of(&phone.facts);
    let known = wythe_guide::Known::new(&guide, &job, &causality);
    let not_yet: Vec<String> = open_stops(&known)
        .into_iter()
        .filter(|open| open.not_yet)
        .map(|open| open.stop.code.clone())
        .collect();
    for code in [
        "approval_missing",
        "permit_missing",
        "before_photos_missing",
        "not_relit",
        "cap_wrong",
    ] {
        assert!(not_yet.iter().any(|known| known == code), "{code}");
    }
    for code in ["liner_will_not_pass", "trial_piece_first", "suspect_material"] {
        assert!(!not_yet.iter().any(|known| known == code), "{code}");
    }
    phone.photo("removal.before_with_tag@old_stove:1", &Shot::good(1), "");
    assert!(!stands(&guide, &phone, "before_photos_missing"));
}

#[test]
fn a_climb_takes_down_eight_figures_at_most() {
    let guide = Guide::embedded().unwrap();
    for visit in &guide.visits {
        let on_roof = guide
            .asks_of_visit(&visit.id)
            .filter(|ask| ask.roof && ask.kind.is_figure());
        let least = |group: &Option<String>| {
            let group = group
                .as_ref()
                .and_then(|of| guide.groups.iter().find(|known| known.id == *of));
            group.map_or(1, |group| group.least)
        };
        let figures: u32 = on_roof.map(|ask| least(&ask.each)).sum();
        // At the survey the tile's inside is called down from the top as well.
        let called = if visit.id == "survey" { 2 } else { 0 };
        assert!(figures + called <= 8, "{}: {figures}", visit.id);
    }
}
