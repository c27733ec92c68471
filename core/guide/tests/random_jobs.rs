//! A thousand jobs by chance under three programmes: how each stands is read a second time, simply, from
//! the programme's own file and from the table of stops.
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

use support::chance::Chance;
use support::deeds::{answer, play};
use support::dice::Dice;
use support::reading::Reader;
use support::stops::{BLOCKS, closes_sign_off, raised};
use support::whole::deeds;
use support::{Stand, ZONE, programmes, stand};
use wythe_guide::figures::Library;
use wythe_guide::readiness::State;
use wythe_guide::{Elsewhere, Guide};
use wythe_job::Facts;

const SEED: u64 = 20_260_302;
const JOBS: u64 = 1_000;

fn state(state: State) -> &'static str {
    match state {
        State::Met => "met",
        State::Doubtful => "doubtful",
        State::NotNeeded => "not_needed",
        State::Waiting => "waiting",
        State::Missing => "missing",
        State::Disagreeing => "disagreeing",
        State::DoesNotCount => "does_not_count",
    }
}

fn told(stand: &Stand) -> BTreeMap<String, (&'static str, Option<String>)> {
    let rows = stand.rows.iter().filter(|row| row.required);
    rows.map(|row| {
        let number = row.path.first().map(|(_, number)| format!(":{number}"));
        let id = format!("{}{}", row.id, number.unwrap_or_default());
        (
            id,
            (state(row.state), row.why.as_ref().map(|why| why.code.clone())),
        )
    })
    .collect()
}

#[test]
fn a_thousand_jobs_stand_as_a_simple_reading_says() {
    let guide = Guide::embedded().unwrap();
    let programmes = programmes(&guide);
    let blocks: BTreeMap<&str, &[&str]> = BLOCKS.into_iter().collect();
    let (mut ready, mut states, mut reasons, mut stops) =
        (0, BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for number in 0..JOBS {
        let seed = SEED + number;
        let mut dice = Dice::new(seed);
        let (programme, file) = &programmes[usize::try_from(number).unwrap() % programmes.len()];
        let grant = format!("{} USD", programme.grant);
        let chance = Chance::new(&mut dice, &grant);
        let book = chance.book();
        let facts = chance.facts(&guide);
        let elsewhere = chance.elsewhere();
        let library = Library::new();
        let found = stand(&guide, &facts, programme, &library, &elsewhere, &chance.today);

        let read = Reader {
            book: &book,
            programme: file,
        };
        let rows = told(&found);
        for (id, (state, why)) in read.rows() {
            let told = &rows[&id];
            assert_eq!(
                (told.0, told.1.as_deref()),
                (state, why),
                "seed {seed}, {}, {id}",
                programme.id
            );
        }
        let standing: BTreeSet<&str> = found.stops.keys().map(String::as_str).collect();
        let expected = raised(&book);
        assert_eq!(standing, expected, "seed {seed}, {}", programme.id);
        for (code, does_block) in &found.stops {
            assert_eq!(does_block, blocks[code.as_str()], "{code}");
        }
        let whole = read
            .rows()
            .values()
            .all(|(state, _)| ["met", "doubtful", "not_needed"].contains(state));
        assert_eq!(
            found.ready,
            whole && !closes_sign_off(&expected),
            "seed {seed}, {}",
            programme.id
        );
        ready += usize::from(found.ready);
        for (state, why) in rows.values() {
            states.insert(*state);
            reasons.extend(why.clone());
        }
        stops.extend(found.stops.keys().cloned());

        if number % 25 == 0 {
            let mut shuffled: Vec<_> = facts.iter().cloned().collect();
            for place in (1..shuffled.len()).rev() {
                shuffled.swap(place, dice.below(place + 1));
            }
            let twice = shuffled.clone();
            let again: Facts = shuffled.into_iter().chain(twice).collect();
            let other = stand(&guide, &again, programme, &library, &elsewhere, &chance.today);
            assert_eq!(found, other, "seed {seed}: from another order of facts");
        }
    }
    println!("{ready} of {JOBS} are ready; states {states:?}");
    println!("reasons {reasons:#?}");
    println!("stops {stops:#?}");
    // Chance has to have reached what it is there for.
    assert!(ready > 60 && ready < 500, "{ready}");
    assert_eq!(states.len(), 7, "{states:?}");
    assert!(reasons.len() > 25, "{reasons:?}");
    assert!(stops.len() > 36, "{stops:?}");
}

#[test]
fn the_whole_job_is_ready_under_each_programme() {
    let guide = Guide::embedded().unwrap();
    for (programme, _) in programmes(&guide) {
        let mut all = deeds();
        all.push(answer(
            "claim.invoice_discount",
            &format!("{} USD", programme.grant),
        ));
        let phone = play(&guide, &all, &Library::new());
        let found = stand(
            &guide,
            &phone.facts,
            &programme,
            &Library::new(),
            &Elsewhere::default(),
            "2026-04-08",
        );
        assert!(
            found.ready,
            "{}: {:?} {:?}",
            programme.id, found.missing, found.stops
        );
        assert_eq!(ZONE, "America/Denver");
    }
}

#[test]
fn the_programmes_use_every_kind_of_rule() {
    let guide = Guide::embedded().unwrap();
    let mut kinds = BTreeSet::new();
    let mut keys = BTreeSet::new();
    for (_, file) in programmes(&guide) {
        for require in file["require"].as_array().unwrap() {
            let require = require.as_table().unwrap();
            keys.extend(require.keys().cloned());
            let shows = require["shows"].as_table().unwrap();
            let kind = shows["kind"].as_str().unwrap();
            kinds.insert(match shows.get("of").and_then(toml::Value::as_str) {
                Some(of) => format!("{kind} {of}"),
                None => kind.to_owned(),
            });
            keys.extend(shows.keys().map(|key| format!("shows.{key}")));
        }
        for deadline in file["deadline"].as_array().unwrap() {
            keys.extend(
                deadline
                    .as_table()
                    .unwrap()
                    .keys()
                    .map(|key| format!("deadline.{key}")),
            );
        }
    }
    let all = [
        "photo",
        "paper",
        "signature",
        "answer",
        "same",
        "alike",
        "order",
        "within",
        "valid",
        "calibrated",
        "held_for",
        "figures",
        "mentions",
        "grant",
        "once household",
        "once photos",
    ];
    assert_eq!(kinds, all.into_iter().map(str::to_owned).collect());
    for key in [
        "each",
        "when",
        "due",
        "waits_since",
        "stage",
        "words",
        "shows.before",
        "shows.after",
        "shows.grade",
        "shows.tag",
        "shows.as_many_as",
        "shows.fields",
        "shows.must",
        "shows.not_only",
        "shows.lapse",
        "deadline.weeks",
        "deadline.days",
    ] {
        assert!(keys.contains(key), "{key} is in no programme");
    }
}
