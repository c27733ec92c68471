//! How often the demonstration's crew touches a phone, visit by visit: printed, and held against what
//! DEVELOPERS.md says of it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::collections::BTreeMap;

use toml::{Table, Value};
use wythe_app::guide::{AskKind, Guide};

const JOB: &str = include_str!("../../../fixtures/scenarios/larkspur.toml");
const FOR_CONTRIBUTORS: &str = include_str!("../../../DEVELOPERS.md");

/// What was done on phones during a visit.
#[derive(Debug, Default, PartialEq, Eq)]
struct Touched {
    /// Choices, figures and texts entered, photos and papers taken, taps on a timer, signatures, moments of
    /// the visit.
    touches: usize,
    /// Figures among them that were read on the roof.
    roof_figures: usize,
    /// Signatures of the owner among them.
    owner_signs: usize,
    /// What went in by itself, because it was known of who came.
    saved: usize,
}

/// A touch is one deliberate act. A timer is a tap at its start, one at each turn, and one at its end.
fn touches_of(kind: &AskKind, typed: &str) -> usize {
    match kind {
        AskKind::Span => 2 + typed.matches(" +").count().saturating_sub(1),
        _ => 1,
    }
}

fn played() -> BTreeMap<String, Touched> {
    let guide = Guide::embedded().unwrap();
    let file: Table = JOB.parse().unwrap();
    let known_to_library = known_to_library(&file);
    let mut visits: BTreeMap<String, Touched> = BTreeMap::new();
    let mut now: Option<String> = None;
    for act in file["act"].as_array().unwrap() {
        let text = |key: &str| act.get(key).and_then(Value::as_str);
        if let Some(visit) = text("visit") {
            now = (text("moment") != Some("left")).then(|| visit.to_owned());
            let here = visits.entry(visit.to_owned()).or_default();
            let with = act.get("with").and_then(Value::as_array).into_iter().flatten();
            let with: Vec<&str> = with.filter_map(Value::as_str).collect();
            let instruments = act
                .get("instruments")
                .and_then(Value::as_array)
                .map_or(0, Vec::len);
            here.touches += 1 + with.len() + instruments;
            here.saved += with
                .iter()
                .map(|name| known_to_library.get(*name).copied().unwrap_or_default())
                .sum::<usize>();
            continue;
        }
        let Some(here) = now.as_ref().and_then(|visit| visits.get_mut(visit)) else {
            continue;
        };
        let answers = act.get("answers").and_then(Value::as_array).into_iter().flatten();
        for answer in answers {
            let address = answer[0].as_str().unwrap().split('@').next().unwrap();
            let ask = guide.ask(address).unwrap();
            here.touches += touches_of(&ask.kind, answer[1].as_str().unwrap());
            here.roof_figures += usize::from(ask.roof && ask.kind.is_figure());
        }
        if text("timer").is_some() {
            let taps = act.get("taps").and_then(Value::as_array).map_or(0, Vec::len);
            here.touches += 2 + taps;
        }
        let taken = ["photo", "paper", "agree", "sign", "again"]
            .iter()
            .filter(|key| text(key).is_some());
        here.touches += taken.count();
        let refused = act.get("refused").is_some();
        here.owner_signs += usize::from(text("sign").is_some_and(|at| at.contains("owner")) && !refused);
    }
    visits
}

/// How many answers are known of each person of the library.
fn known_to_library(file: &Table) -> BTreeMap<String, usize> {
    let entries = file["library"].as_array().unwrap().iter();
    let people = entries.filter(|entry| entry["sort"].as_str() == Some("person"));
    let told = people.map(|entry| {
        let content = entry["content"].as_table().unwrap();
        let keys = ["name", "licence", "licence_until"];
        let told = keys.iter().filter(|key| content.contains_key(**key)).count();
        (content["name"].as_str().unwrap().to_owned(), told)
    });
    told.collect()
}

#[test]
fn touches_are_counted_and_the_aims_are_met_or_explained() {
    const AIMS: [(&str, usize); 4] = [("survey", 40), ("day_1", 30), ("day_2", 40), ("recycler", 8)];
    let played = played();
    for (visit, touched) in &played {
        println!("{visit}: {touched:?}");
    }
    for (visit, aim) in AIMS {
        let touches = played[visit].touches;
        let row = format!("| {visit} | {aim} | {touches} |");
        assert!(
            FOR_CONTRIBUTORS.contains(&row),
            "DEVELOPERS.md has no row \"{row}\": the demonstration's crew touched its phones {touches} times"
        );
    }
    let signs: usize = played.values().map(|touched| touched.owner_signs).sum();
    assert!(signs <= 3, "the owner signs {signs} times");
    let climbs = ["survey", "day_1", "day_2"].map(|visit| played[visit].roof_figures);
    let row = format!(
        "| figures read on the roof, a climb | 8 | {} |",
        climbs.iter().max().unwrap()
    );
    assert!(
        FOR_CONTRIBUTORS.contains(&row),
        "DEVELOPERS.md has no row \"{row}\"; climbs {climbs:?}"
    );
    assert!(played["day_2"].saved >= 3, "licences are typed on day 2");
}
