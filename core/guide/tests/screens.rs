//! Screens in three languages: every word is a message, one next action, no stop before its time.
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
use support::{Look, Phone, programmes, stand};
use wythe_guide::figures::{Library, run};
use wythe_guide::readiness::readiness;
use wythe_guide::screen::{Block, BlockState, Make, Screen, why_in_words};
use wythe_guide::{Elsewhere, Guide, Known, Language, Words, read_date, row_label};
use wythe_job::{Address, PersonId};

/// All screens of a job in a language.
fn screens(guide: &Guide, phone: &Phone<'_>, library: &Library, language: Language) -> Vec<Screen> {
    let words = Words::of(language);
    let (programme, _) = programmes(guide).swap_remove(0);
    let look = Look::of(&phone.facts);
    let today = read_date("2026-03-25").unwrap();
    let mut known = Known::new(guide, &look.job, &look.causality).on(today);
    let figures = run(&known, library);
    for figures in &figures {
        known.note_findings(figures);
    }
    let nowhere = Elsewhere::default();
    let readiness = readiness(&known, &programme, &figures, &nowhere, today);
    let make = Make {
        known: &known,
        words: &words,
        readiness: &readiness,
        figures: &figures,
        drafts: &|_: &Address| None,
        name: &|_: PersonId| "Bram Copperkettle".to_owned(),
    };
    let mut all = vec![make.job(&[]), make.missing(), make.visits()];
    all.extend(guide.stages.iter().map(|stage| make.stage(&stage.id)));
    all.extend(guide.visits.iter().map(|visit| make.visit(&visit.id)));
    all
}

/// Every text of a screen that a person reads.
fn texts(screen: &Screen) -> Vec<String> {
    let mut texts = vec![screen.title.clone()];
    for block in &screen.blocks {
        match block {
            Block::Text { text, .. } => texts.push(text.clone()),
            Block::Ask {
                label,
                help,
                choices,
                value,
                remark,
                ..
            } => {
                texts.push(label.clone());
                texts.extend(help.clone());
                texts.extend(value.clone());
                texts.extend(remark.clone());
                texts.extend(choices.iter().map(|choice| choice.label.clone()));
            }
            Block::Note {
                word,
                text,
                lifted_by,
                ..
            } => {
                texts.extend([word.clone(), text.clone()]);
                texts.extend(lifted_by.clone());
            }
            Block::Figures {
                title,
                lines,
                missing,
                ..
            } => {
                texts.push(title.clone());
                texts.extend(
                    lines
                        .iter()
                        .flat_map(|(name, value)| [name.clone(), value.clone()]),
                );
                texts.extend(missing.clone());
            }
            Block::List { items, .. } => {
                texts.extend(
                    items
                        .iter()
                        .flat_map(|item| [item.title.clone(), item.detail.clone()]),
                );
            }
            Block::Drawing { .. } => {}
            Block::Action { label, .. } => texts.push(label.clone()),
        }
    }
    texts
}

#[test]
fn no_screen_shows_an_id_in_any_language() {
    let guide = Guide::embedded().unwrap();
    let mut begun = Phone::new(&guide, 1);
    begun.open("America/Denver");
    begun.answer("gas.test_passed", "no");
    begun.answer("survey.rented", "yes");
    let library = library();
    let whole = play(&guide, &deeds(), &library);
    for language in Language::ALL {
        for (phone, library) in [(&begun, &Library::new()), (&whole, &library)] {
            for screen in screens(&guide, phone, library, language) {
                for text in texts(&screen) {
                    let strange = text.contains(['[', '{', '#']) || text.contains("  ");
                    assert!(!strange, "{language:?} {}: {text}", screen.id);
                }
            }
        }
    }
}

#[test]
fn one_next_action_and_none_when_all_is_there() {
    let guide = Guide::embedded().unwrap();
    let mut begun = Phone::new(&guide, 1);
    begun.open("America/Denver");
    for screen in screens(&guide, &begun, &Library::new(), Language::En) {
        let asks = screen.blocks.iter().filter(|block| {
            matches!(
                block,
                Block::Ask {
                    state: BlockState::Empty,
                    optional: false,
                    ..
                }
            )
        });
        if screen.id.starts_with("stage/") {
            assert_eq!(screen.next.is_some(), asks.count() > 0, "{}", screen.id);
        } else {
            assert!(screen.next.is_some(), "{}", screen.id);
        }
    }
}

fn stops(screen: &Screen) -> Vec<&str> {
    let stops = screen.blocks.iter().filter_map(|block| match block {
        Block::Note { id, .. } => id.strip_prefix("stop-"),
        _ => None,
    });
    stops.collect()
}

#[test]
fn a_stop_is_shown_when_it_says_something() {
    let guide = Guide::embedded().unwrap();
    let mut begun = Phone::new(&guide, 1);
    begun.open("America/Denver");
    let of = |phone: &Phone<'_>, id: &str| -> Vec<String> {
        let all = screens(&guide, phone, &Library::new(), Language::En);
        let screen = all.iter().find(|screen| screen.id == id).unwrap();
        stops(screen).into_iter().map(str::to_owned).collect()
    };
    // At the survey nobody hears of a cap that does not stand yet.
    assert_eq!(of(&begun, "job"), [""; 0]);
    // In its own stage it is told.
    assert_eq!(
        of(&begun, "stage/removal"),
        ["approval_missing", "before_photos_missing"]
    );
    assert!(of(&begun, "stage/walk_through").contains(&"no_safety_screen".to_owned()));
    // What is wrong is told at once, wherever one is.
    begun.answer("gas.leak_check", "no");
    assert_eq!(of(&begun, "job"), ["leak_found"]);
    assert_eq!(of(&begun, "missing"), ["leak_found"]);
}

#[test]
fn usual_bounds_follow_the_fuel() {
    let guide = Guide::embedded().unwrap();
    for (fuel, pressure, state) in [
        ("natural gas", "3.5 in wc", BlockState::Filled),
        ("natural gas", "10 in wc", BlockState::Doubtful),
        ("propane", "10 in wc", BlockState::Filled),
        ("propane", "3.5 in wc", BlockState::Doubtful),
    ] {
        let phone = play(
            &guide,
            &[
                answer("survey.fuel", fuel),
                answer("start_up.manifold_high", pressure),
            ],
            &Library::new(),
        );
        let all = screens(&guide, &phone, &Library::new(), Language::En);
        let screen = all.iter().find(|screen| screen.id == "stage/start_up").unwrap();
        let found = screen.blocks.iter().find_map(|block| match block {
            Block::Ask { id, state, .. } if id == "start_up.manifold_high" => Some(*state),
            _ => None,
        });
        assert_eq!(found, Some(state), "{fuel} {pressure}");
    }
}

#[test]
fn dates_are_written_as_each_language_writes_them() {
    let date = read_date("2026-04-01").unwrap();
    for (language, text) in [
        (Language::En, "April 1, 2026"),
        (Language::Es, "1 de abril de 2026"),
        (Language::Fr, "1er avril 2026"),
    ] {
        assert_eq!(Words::of(language).date(date), text);
    }
}

#[test]
fn what_is_missing_is_named_in_three_languages() {
    let guide = Guide::embedded().unwrap();
    let mut begun = Phone::new(&guide, 1);
    begun.open("America/Denver");
    for (programme, _) in programmes(&guide) {
        let nowhere = Elsewhere::default();
        let found = stand(
            &guide,
            &begun.facts,
            &programme,
            &Library::new(),
            &nowhere,
            "2026-03-02",
        );
        for language in Language::ALL {
            let words = Words::of(language);
            for row in &found.rows {
                let label = row_label(row, &words);
                assert!(
                    !label.contains('[') && !label.contains('_'),
                    "{}: {label}",
                    row.id
                );
                if let Some(why) = &row.why {
                    let told = why_in_words(why, &words);
                    assert!(!told.contains(['[', '#', '{']), "{}: {told}", row.id);
                }
            }
        }
    }
}
