//! What goes on beside the work itself, without the command line: visits, newer rules, the life of a claim,
//! the same house twice, one ticket for several jobs.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use wythe_app::guide::readiness::State;
use wythe_app::guide::screen::{Block, BlockState, Screen};
use wythe_app::guide::{Date, read_date};
use wythe_app::job::{Address, ClaimMoved, JobId, Moment, Value};
use wythe_app::media::made::{MadePhoto, make};
use wythe_app::store::{MemoryLog, Originals, Page};
use wythe_app::{
    App, JobProjector, NewDevice, NewJob, OpenBox, PhotoOptions, Recording, SeededChance, Services,
    TimeSource, VisitMoment,
};

const LARKSPUR: &str = include_str!("../../../fixtures/programmes/larkspur.toml");

struct Hand(Arc<AtomicI64>);

impl TimeSource for Hand {
    fn now(&self) -> Moment {
        Moment {
            utc_ms: self.0.fetch_add(1_000, Ordering::SeqCst),
            offset_min: -420,
        }
    }
}

type Device = App<MemoryLog>;

/// 2026-03-02, a little after eight in the morning at the site.
fn office() -> Device {
    let log = MemoryLog::with(Arc::new(JobProjector), Originals::in_memory().unwrap(), true);
    let services = Services {
        time: Box::new(Hand(Arc::new(AtomicI64::new(1_772_464_000_000)))),
        chance: Box::new(SeededChance::new(7)),
        keys: Box::new(OpenBox),
    };
    let mut office = App::open(log, services).unwrap();
    let device = NewDevice {
        person_name: "Odalys Inkwell".into(),
        role: "office".into(),
        device_name: "desk".into(),
    };
    office.begin_business("Ninefold Hearth", &device).unwrap();
    office.add_programme("larkspur.toml", LARKSPUR).unwrap();
    office
}

fn open(office: &mut Device, label: &str, address: &str) -> JobId {
    let new = NewJob {
        label: label.into(),
        address: vec![address.into(), "Larkspur Basin".into()],
        zone: "America/Denver".into(),
        position: None,
        programme: "larkspur".into(),
    };
    office.open_job(&new).unwrap()
}

fn at(address: &str) -> Address {
    address.parse().unwrap()
}

fn say(phone: &mut Device, job: JobId, address: &str, typed: &str) {
    phone
        .answer(job, &at(address), typed, &Recording::default())
        .unwrap();
}

fn day(text: &str) -> Option<Date> {
    read_date(text)
}

fn screen(phone: &Device, job: JobId, id: &str) -> Screen {
    let look = phone.look(job, day("2026-03-25")).unwrap();
    look.screen(id, phone.words()).unwrap()
}

fn text_of(screen: &Screen, wanted: &str) -> String {
    let text = screen.blocks.iter().find_map(|block| match block {
        Block::Text { id, text, .. } if id == wanted => Some(text.clone()),
        _ => None,
    });
    text.unwrap_or_default()
}

fn list_of(screen: &Screen, wanted: &str) -> Vec<(String, BlockState)> {
    let items = screen.blocks.iter().find_map(|block| match block {
        Block::List { id, items } if id == wanted => Some(items),
        _ => None,
    });
    let items = items.into_iter().flatten();
    items.map(|item| (item.title.clone(), item.state)).collect()
}

fn moment(sort: &str, moment: &str) -> VisitMoment {
    VisitMoment {
        sort: sort.into(),
        moment: moment.into(),
        ..VisitMoment::default()
    }
}

#[test]
fn a_visit_is_opened_paused_left_safe_and_closed() {
    let mut office = office();
    let job = open(&mut office, "Featherstep", "12 Nowhere Lane");
    let before = screen(&office, job, "visit/day_1");
    assert_eq!(before.next.as_deref(), Some("visit-moment-arrived"));
    assert!(office.visit(job, &moment("day_1", "paused")).is_err());
    assert!(office.visit(job, &moment("day_9", "arrived")).is_err());

    office.visit(job, &moment("day_1", "arrived")).unwrap();
    let there = screen(&office, job, "visit/day_1");
    assert_eq!(there.next.as_deref(), Some("removal.gas_smell"));
    assert!(text_of(&there, "visit-now").contains("Odalys Inkwell"));
    assert!(text_of(&there, "visit-needs").starts_with("Before the truck leaves, "));

    // Paused with some of it done: what nobody said was done is told, and nothing is refused.
    let mut pause = moment("day_1", "paused");
    pause.left_safe = vec!["gas_capped".into(), "top_covered".into()];
    let told = office.visit(job, &pause).unwrap();
    assert_eq!(
        told.not_left_safe,
        ["thimble_covered", "house_has_heat", "owner_told"]
    );
    assert!(told.still_needs.unwrap().starts_with("Before the truck leaves, "));
    let paused = screen(&office, job, "visit/day_1");
    let safe = list_of(&paused, "left-safe");
    assert_eq!(safe[0], ("Gas capped".to_owned(), BlockState::Filled));
    assert_eq!(safe[2], ("Thimble covered".to_owned(), BlockState::Empty));
    assert_eq!(paused.next.as_deref(), Some("visit-moment-resumed"));

    // Who goes on starts anew: what was capped may be open again.
    office.visit(job, &moment("day_1", "resumed")).unwrap();
    let resumed = screen(&office, job, "visit/day_1");
    assert!(
        list_of(&resumed, "left-safe")
            .iter()
            .all(|item| item.1 == BlockState::Empty)
    );
    let left = office.visit(job, &moment("day_1", "left")).unwrap();
    assert_eq!(left.not_left_safe.len(), 5);
    let mut wrong = moment("day_1", "arrived");
    wrong.left_safe = vec!["the cat was fed".into()];
    assert!(office.visit(job, &wrong).is_err());
    let visits = screen(&office, job, "visits");
    let first = list_of(&visits, "visits");
    assert!(first.iter().any(|(title, _)| title == "Day 1"));
}

#[test]
fn person_licence_and_instrument_are_told_once_a_visit() {
    let mut office = office();
    let person =
        r#"{"name":"Quill Brasswhistle","role":"fitter","licence":"GF-3071","licence_until":"2027-01-31"}"#;
    office.keep_in_library("person", "quill", person).unwrap();
    let meter = r#"{"measures":["ppm"],"calibrated":"2026-02-02"}"#;
    office.keep_in_library("instrument", "CO meter 4", meter).unwrap();
    let papers = r#"{"insurance_until":"2026-12-31","enrolment_until":"2026-11-30","tax_form":"yes"}"#;
    office.keep_in_library("business", "papers", papers).unwrap();
    let job = open(&mut office, "Featherstep", "12 Nowhere Lane");
    let mut arrive = moment("day_2", "arrived");
    arrive.with = vec!["Nobody Known".into()];
    assert_eq!(office.visit(job, &arrive).unwrap_err().code(), "not_one_of");
    arrive.with = vec!["Quill Brasswhistle".into()];
    arrive.instruments = vec![("CO meter 4".into(), None)];
    let filled = office.visit(job, &arrive).unwrap().filled;
    let filled: Vec<String> = filled.iter().map(ToString::to_string).collect();
    assert_eq!(
        filled,
        [
            "gas.fitter",
            "gas.fitter_licence",
            "claim.licence_until",
            "claim.insurance_until",
            "claim.enrolment_until",
            "claim.tax_form",
        ]
    );
    let look = office.look(job, day("2026-03-25")).unwrap();
    let licence = &look.job.heads_of(&at("gas.fitter_licence"))[0].body.value;
    assert_eq!(*licence, Value::Text("GF-3071".into()));
    // What is measured in ppm was measured with the meter of this visit; a length was not.
    say(&mut office, job, "start_up.co_before", "0 ppm");
    say(&mut office, job, "setting.clearance_rear", "6 in");
    let look = office.look(job, day("2026-03-25")).unwrap();
    let with = |address: &str| {
        look.job.heads_of(&at(address))[0]
            .body
            .measured
            .instrument
            .clone()
    };
    assert_eq!(with("start_up.co_before").as_deref(), Some("CO meter 4"));
    assert_eq!(with("setting.clearance_rear"), None);
    let now = text_of(&screen(&office, job, "visit/day_2"), "visit-now");
    assert!(now.contains("CO meter 4 (calibrated February 2, 2026)"), "{now}");
    // To arrive again is to come to the same visit, and nothing that was answered is answered anew.
    assert!(office.visit(job, &arrive).unwrap().filled.is_empty());
    assert_eq!(office.look(job, None).unwrap().job.visits.len(), 1);
}

#[test]
fn newer_rules_are_shown_before_they_are_accepted() {
    let mut office = office();
    let job = open(&mut office, "Featherstep", "12 Nowhere Lane");
    let old = office.look(job, None).unwrap().programme.digest;
    let shown = office.rules_of(job, None).unwrap();
    assert!(shown.newer.is_none() && shown.screen.next.is_none());
    assert_eq!(
        office.accept_rules(job, old, "Because.").unwrap_err().code(),
        "rules_not_shown"
    );

    let newer = LARKSPUR
        .replacen("rules of 2026, first edition", "rules of 2026, second edition", 1)
        .replacen("3500.00", "3000.00", 1)
        .replacen("days = 30", "days = 45", 1)
        .replacen("id = \"tax_form\"", "id = \"tax_form_on_file\"\nwords = { en = \"Tax form on file\", es = \"Formulario fiscal en archivo\", fr = \"Formulaire fiscal au dossier\" }", 1);
    office.add_programme("larkspur.toml", &newer).unwrap();
    // The job keeps its rules until somebody takes the newer ones.
    assert_eq!(office.look(job, None).unwrap().programme.digest, old);
    let shown = office.rules_of(job, day("2026-03-25")).unwrap();
    let changes = list_of(&shown.screen, "rule-changes");
    let titles: Vec<&str> = changes.iter().map(|(title, _)| title.as_str()).collect();
    assert!(
        titles.contains(&"Grant") && titles.contains(&"Tax form on file"),
        "{titles:?}"
    );
    let details: Vec<String> = shown
        .screen
        .blocks
        .iter()
        .filter_map(|block| match block {
            Block::List { id, items } if id == "rule-changes" => Some(items),
            _ => None,
        })
        .flatten()
        .map(|item| item.detail.clone())
        .collect();
    assert!(details.contains(&"3500.00 → 3000.00".to_owned()), "{details:?}");
    assert!(details.contains(&"30 days → 45 days".to_owned()), "{details:?}");
    let effect = list_of(&shown.screen, "rule-effect");
    assert!(
        effect.iter().any(|(title, _)| title == "Tax form on file"),
        "{effect:?}"
    );
    assert_eq!(shown.screen.next.as_deref(), Some("accept-rules"));

    let newer = shown.newer.unwrap();
    assert_eq!(
        office.accept_rules(job, newer, " ").unwrap_err().code(),
        "no_reason"
    );
    office
        .accept_rules(job, newer, "The programme says they hold for open jobs.")
        .unwrap();
    let look = office.look(job, None).unwrap();
    assert_eq!((look.programme.digest, look.job.rules.len()), (newer, 1));
    assert_eq!(look.job.rules_record.len(), 2);
    assert!(office.rules_of(job, None).unwrap().newer.is_none());
}

fn moved(to: &str, on: &str, text: Option<&str>, amount: Option<&str>) -> ClaimMoved {
    ClaimMoved {
        to: to.into(),
        on: on.into(),
        pack: None,
        version: 0,
        text: text.map(str::to_owned),
        amount: amount.map(str::to_owned),
        currency: amount.map(|_| "USD".to_owned()),
    }
}

#[test]
fn a_claim_is_sent_queried_answered_sent_again_refused_and_paid_in_parts() {
    let mut office = office();
    let job = open(&mut office, "Featherstep", "12 Nowhere Lane");
    let next = |office: &Device| text_of(&screen(office, job, "claim_life"), "life-next");
    assert!(next(&office).starts_with("Not sent yet."));
    let refused = office.move_claim(job, moved("paid", "2026-05-01", None, Some("10.00")));
    assert_eq!(refused.unwrap_err().code(), "claim_move");

    office
        .move_claim(job, moved("sent", "2026-04-08", None, None))
        .unwrap();
    assert!(next(&office).starts_with("With the programme."));
    let silent = office.move_claim(job, moved("queried", "2026-04-20", None, None));
    assert_eq!(silent.unwrap_err().code(), "claim_move");
    let early = office.move_claim(job, moved("queried", "2026-04-01", Some("Which ticket?"), None));
    assert_eq!(early.unwrap_err().code(), "claim_move");
    office
        .move_claim(job, moved("queried", "2026-04-20", Some("Which ticket?"), None))
        .unwrap();
    assert_eq!(next(&office), "Answer the query: Which ticket?");
    office
        .move_claim(job, moved("answered", "2026-04-22", Some("T-88214."), None))
        .unwrap();
    office
        .move_claim(
            job,
            moved("refused", "2026-04-29", Some("No line for the stove."), None),
        )
        .unwrap();
    assert!(next(&office).starts_with("Refused: No line for the stove."));
    let mut third = moved("sent", "2026-05-02", None, None);
    third.version = 3;
    assert_eq!(office.move_claim(job, third).unwrap_err().code(), "claim_move");
    office
        .move_claim(job, moved("sent", "2026-05-02", None, None))
        .unwrap();
    office
        .move_claim(job, moved("short_paid", "2026-05-11", None, Some("1000.00")))
        .unwrap();
    assert!(next(&office).starts_with("Still to come: 2500.00 USD."));
    office
        .move_claim(job, moved("paid", "2026-05-20", None, Some("2500.00")))
        .unwrap();
    assert!(next(&office).starts_with("Paid in full."));
    let life = list_of(&screen(&office, job, "claim_life"), "claim-life");
    let titles: Vec<&str> = life.iter().map(|(title, _)| title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "Sent, version 1",
            "Queried, version 1",
            "Answered, version 1",
            "Refused, version 1",
            "Sent, version 2",
            "Paid short, version 2",
            "Paid, version 2",
        ]
    );
    // The deadline counts from the first sending.
    let look = office.look(job, day("2026-05-20")).unwrap();
    let known = look.known();
    let claim = look
        .readiness(&known)
        .deadlines
        .into_iter()
        .find(|due| due.id == "claim")
        .unwrap();
    assert_eq!(claim.met, day("2026-04-08"));
}

fn notes(screen: &Screen) -> Vec<String> {
    let notes = screen.blocks.iter().filter_map(|block| match block {
        Block::Note { id, text, .. } if id.starts_with("house-") => Some(text.clone()),
        _ => None,
    });
    notes.collect()
}

#[test]
fn the_same_house_is_warned_of_by_address_and_by_serial_and_linked_by_a_fact() {
    let mut office = office();
    let one = open(&mut office, "Featherstep", "12 Nowhere Lane");
    let two = open(&mut office, "Featherstep again", "12 nowhere ln.");
    let far = open(&mut office, "Elsewhere", "9 Other Road");
    let warned = notes(&screen(&office, one, "job"));
    assert!(
        warned.len() == 1 && warned[0].contains("same address: Featherstep again"),
        "{warned:?}"
    );
    assert!(notes(&screen(&office, far, "job")).is_empty());

    say(&mut office, one, "setting.serial", "HN30-004417");
    say(&mut office, far, "plan.crate_serial", "hn30 004417");
    let warned = notes(&screen(&office, far, "job"));
    assert!(
        warned.len() == 1 && warned[0].contains("same serial HN30004417: Featherstep"),
        "{warned:?}"
    );

    // One claim a household; the link says that somebody looked, on both jobs.
    let once = |office: &Device, job: JobId| {
        let look = office.look(job, None).unwrap();
        let known = look.known();
        let readiness = look.readiness(&known);
        readiness
            .rows
            .into_iter()
            .find(|row| row.id == "one_claim")
            .unwrap()
            .state
    };
    assert_eq!(once(&office, one), State::DoesNotCount);
    assert_eq!(office.link_job(two, one, "").unwrap_err().code(), "no_reason");
    office
        .link_job(two, one, "Opened twice by mistake; this one is cancelled.")
        .unwrap();
    let warned = notes(&screen(&office, one, "job"));
    assert!(
        warned
            .iter()
            .any(|note| note.starts_with("Linked with another job")),
        "{warned:?}"
    );
    office
        .move_job(two, "cancelled", "Opened twice by mistake.", Vec::new())
        .unwrap();
    assert_eq!(once(&office, one), State::Met);
    let cancelled = text_of(&screen(&office, two, "job"), "job-state");
    assert!(
        cancelled.starts_with("Cancelled on March 2, 2026 by Odalys Inkwell"),
        "{cancelled}"
    );
}

#[test]
fn a_job_is_paused_left_safe_and_handed_to_another_crew() {
    let mut office = office();
    let job = open(&mut office, "Featherstep", "12 Nowhere Lane");
    let safe = vec!["gas_capped".to_owned(), "house_has_heat".to_owned()];
    office
        .move_job(job, "paused", "Waiting for the permit.", safe)
        .unwrap();
    let state = text_of(&screen(&office, job, "job"), "job-state");
    assert!(
        state.contains("Waiting for the permit. Left safe: Gas capped, House has heat."),
        "{state}"
    );
    let unknown = office.move_job(job, "paused", "x", vec!["all good".into()]);
    assert_eq!(unknown.unwrap_err().code(), "not_one_of");
    office
        .move_job(job, "resumed", "The permit is here.", Vec::new())
        .unwrap();
    assert_eq!(text_of(&screen(&office, job, "job"), "job-state"), "");
    office
        .move_job(
            job,
            "handed_over",
            "To the second crew: Moss and Wren.",
            Vec::new(),
        )
        .unwrap();
    let state = text_of(&screen(&office, job, "job"), "job-state");
    assert!(state.starts_with("Handed over on ") && state.ends_with("To the second crew: Moss and Wren."));
    // What the second crew records goes on in the same job.
    say(&mut office, job, "survey.fuel", "natural gas");
}

#[test]
fn one_ticket_serves_several_jobs_and_one_photo_does_not() {
    let mut office = office();
    let folder = tempfile::tempdir().unwrap();
    let ticket = folder.path().join("ticket.jpg");
    let made: MadePhoto = serde_json::from_str(r#"{"scene": "paper", "text": ["T-88214"]}"#).unwrap();
    std::fs::write(&ticket, make(&made).unwrap()).unwrap();
    let jobs = [
        open(&mut office, "Featherstep", "12 Nowhere Lane"),
        open(&mut office, "Lodgerly", "9 Other Road"),
    ];
    for job in jobs {
        office.add_paper(job, &at("destruction.ticket"), &ticket).unwrap();
        say(&mut office, job, "destruction.ticket_number", "T-88214");
        say(&mut office, job, "destruction.ticket_date", "2026-03-02");
        let options = PhotoOptions::default();
        office
            .add_photo(job, &at("survey.stove_in_place@old_stove:1"), &ticket, &options)
            .unwrap();
    }
    for job in jobs {
        let look = office.look(job, None).unwrap();
        let known = look.known();
        let readiness = look.readiness(&known);
        let state = |id: &str| readiness.rows.iter().find(|row| row.id == id).unwrap().state;
        assert_eq!(state("weight_ticket"), State::Met);
        assert_eq!(state("photos_of_this_job"), State::DoesNotCount);
    }
}

#[test]
fn the_list_of_jobs_shows_each_wall_and_says_the_same_in_words() {
    let mut office = office();
    open(&mut office, "Featherstep", "12 Nowhere Lane");
    open(&mut office, "Lodgerly", "9 Other Road");
    let lines = office
        .job_lines(&Page::default(), day("2026-03-25"))
        .unwrap()
        .lines;
    assert_eq!(lines.len(), 2);
    for line in lines {
        let wall = line.wall.unwrap();
        assert_eq!(wall.alt, line.words);
        assert!(line.words.contains(" missing: "), "{}", line.words);
    }
}
