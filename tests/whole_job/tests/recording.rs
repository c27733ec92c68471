//! What a device writes down when something is recorded, whatever the clocks, and what of it is shown.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use wythe_app::guide::screen::Block;
use wythe_app::job::{Address, Body, Chain, Draft, Facts, JobId, Keeper, Moment, PersonId, Stamp, fold};
use wythe_app::store::{Log as _, MemoryLog, Originals, Storage};
use wythe_app::{
    App, JobProjector, NewDevice, NewJob, OpenBox, Recording, SeededChance, Services, TimeSource,
};

const PROGRAMME: &str = include_str!("../../../fixtures/programmes/larkspur.toml");
const WIDTH: &str = "survey.tile_inside_a@tile_section:1";
const YEAR_MS: i64 = 365 * 24 * 3_600_000;

type Device = App<MemoryLog>;

/// A clock that may be off, and moves a second each time it is asked.
struct Hand(Arc<AtomicI64>);

impl TimeSource for Hand {
    fn now(&self) -> Moment {
        Moment {
            utc_ms: self.0.fetch_add(1_000, Ordering::SeqCst),
            offset_min: -420,
        }
    }
}

/// An office and a phone with one job, each with a clock of its own.
struct Two {
    office: Device,
    phone: Device,
    clocks: [Arc<AtomicI64>; 2],
    job: JobId,
    folder: tempfile::TempDir,
}

impl Two {
    fn new() -> Self {
        let clocks = [1_772_464_000_000; 2].map(|at| Arc::new(AtomicI64::new(at)));
        let [mut office, mut phone] = [0, 1].map(|n| device(&clocks[n], u64::try_from(n).unwrap()));
        let named = |person: &str, role: &str| NewDevice {
            person_name: person.into(),
            role: role.into(),
            device_name: person.into(),
        };
        office
            .begin_business("Ninefold Hearth", &named("Odalys Inkwell", "office"))
            .unwrap();
        office.add_programme("larkspur.toml", PROGRAMME).unwrap();
        let lead = named("Bram Copperkettle", "lead");
        phone
            .join(&lead, |id, key, name| office.enrol(id, key, name))
            .unwrap();
        let job = office
            .open_job(&NewJob {
                label: "Featherstep".into(),
                address: vec!["12 Nowhere Lane".into()],
                zone: "America/Denver".into(),
                position: None,
                programme: "larkspur".into(),
            })
            .unwrap();
        let folder = tempfile::tempdir().unwrap();
        let mut two = Self {
            office,
            phone,
            clocks,
            job,
            folder,
        };
        two.carry_to_phone();
        two
    }

    fn carry_to_phone(&mut self) {
        let path = self.folder.path().join("to-phone.wythe");
        self.office.carry_out(&path).unwrap();
        assert_eq!(self.phone.carry_in(&path).unwrap().set_aside, []);
    }

    fn carry_to_office(&mut self) {
        let path = self.folder.path().join("to-office.wythe");
        self.phone.carry_out(&path).unwrap();
        assert_eq!(self.office.carry_in(&path).unwrap().set_aside, []);
    }
}

fn device(clock: &Arc<AtomicI64>, seed: u64) -> Device {
    let log = MemoryLog::with(Arc::new(JobProjector), Originals::in_memory().unwrap(), true);
    let services = Services {
        time: Box::new(Hand(Arc::clone(clock))),
        chance: Box::new(SeededChance::new(seed)),
        keys: Box::new(OpenBox),
    };
    App::open(log, services).unwrap()
}

fn at(text: &str) -> Address {
    text.parse().unwrap()
}

fn answer(device: &mut Device, job: JobId, typed: &str) -> wythe_app::job::FactId {
    let recorded = device.answer(job, &at(WIDTH), typed, &Recording::default());
    recorded.unwrap().fact
}

fn stamp(device: &Device, fact: wythe_app::job::FactId) -> Stamp {
    device.log().fact(fact).unwrap().unwrap().envelope().stamp
}

#[test]
fn a_clock_years_ahead_hides_no_other_clock() {
    let mut two = Two::new();
    let job = two.job;
    // The office's clock is two minutes ahead, then ten years for one entry.
    two.clocks[0].fetch_add(120_000, Ordering::SeqCst);
    let near = answer(&mut two.office, job, "6 1/2 in");
    two.clocks[0].fetch_add(10 * YEAR_MS, Ordering::SeqCst);
    two.office
        .note(job, "The clock of this one is ten years ahead.")
        .unwrap();
    two.carry_to_phone();
    let after = answer(&mut two.phone, job, "6 3/8 in");
    let (near, after) = (stamp(&two.phone, near), stamp(&two.phone, after));
    assert!(after > near, "shown after what it answers: {near:?}, {after:?}");
    assert!(after.ms < near.ms + YEAR_MS, "and not ten years later");
}

#[test]
fn the_same_words_twice_have_digests_that_tell_nothing() {
    let mut two = Two::new();
    let job = two.job;
    let digests = [(); 2].map(|()| {
        let fact = answer(&mut two.phone, job, "6 1/2 in");
        two.phone.log().fact(fact).unwrap().unwrap().envelope().payload
    });
    assert_ne!(digests[0], digests[1]);
}

#[test]
fn an_answer_keeps_what_was_typed_by_whom_it_was_measured_when_and_with_what() {
    let mut two = Two::new();
    let (job, measurer) = (two.job, PersonId([9; 16]));
    let measured_at = Moment {
        utc_ms: 1_772_460_000_000,
        offset_min: -420,
    };
    let how = Recording {
        by: Some(measurer),
        at: Some(measured_at),
        instrument: Some("tape 3".into()),
        anyway: None,
    };
    let recorded = two.phone.answer(job, &at(WIDTH), "6 1/2 in", &how).unwrap();
    let fact = two.phone.log().fact(recorded.fact).unwrap().unwrap();
    let Some(Body::Answered(body)) = fact.body() else {
        panic!("no answer");
    };
    assert_eq!(body.address, at(WIDTH));
    let wythe_app::job::Value::Quantity { dimension, si } = body.value else {
        panic!("no quantity");
    };
    assert_eq!((dimension.as_str(), si.0), ("length", 0.1651));
    let measured = body.measured;
    assert_eq!(measured.typed.as_deref(), Some("6 1/2 in"), "letter for letter");
    assert_eq!(measured.unit.as_deref(), Some("in"));
    assert_eq!(measured.locale.as_deref(), Some("en"));
    assert_eq!(measured.by, Some(measurer));
    assert_eq!(measured.at, Some(measured_at));
    assert_eq!(measured.instrument.as_deref(), Some("tape 3"));
    let (typist, _) = two.phone.person().unwrap();
    assert_eq!(fact.envelope().person, typist, "who typed it is in the envelope");
    assert!(fact.envelope().at.utc_ms > measured_at.utc_ms, "and when");
}

#[test]
fn an_unknown_critical_kind_closes_the_sign_off_and_another_does_not() {
    let mut two = Two::new();
    let job = two.job;
    let identity = two.office.log().identity().unwrap().unwrap();
    let keeper = Keeper {
        business: two.office.business().unwrap().0,
        chain: Chain {
            device: identity.device,
            epoch: identity.epoch,
        },
        key: ed25519_dalek::SigningKey::from_bytes(&identity.wrapped_key.try_into().unwrap()),
    };
    let mut needs = Vec::new();
    for critical in [false, true] {
        let held: Arc<Facts> = two.office.log().facts(job.into()).unwrap();
        let draft = Draft {
            stream: job.into(),
            person: PersonId([1; 16]),
            at: Moment {
                utc_ms: 1_772_464_500_000,
                offset_min: 0,
            },
            stamp: Stamp::default(),
            replaces: Vec::new(),
            body: Body::Unknown {
                kind: format!("of_a_newer_program_{critical}"),
                critical,
                bytes: vec![0x80],
            },
            salt: [3; 16],
        };
        let fact = keeper.sign(draft, held.last(keeper.chain), held.seen_by(keeper.chain));
        let fact = fact.unwrap();
        two.office.log_mut().append(std::slice::from_ref(&fact)).unwrap();
        two.carry_to_phone();
        assert_eq!(
            two.phone.log().fact(fact.id()).unwrap(),
            Some(fact),
            "carried as it is"
        );
        let look = two.phone.look(job, None).unwrap();
        let known = look.known();
        let readiness = look.readiness(&known);
        assert!(!critical || !readiness.sign_off_is_open());
        needs.push(readiness.needs_newer_program);
    }
    assert_eq!(needs, [false, true]);
}

#[test]
fn a_job_moves_to_newer_rules_by_a_fact_and_keeps_its_own_until_then() {
    let mut two = Two::new();
    let job = two.job;
    let pinned = two.office.look(job, None).unwrap().programme.digest;
    let newer = PROGRAMME.replacen("3500.00", "3000.00", 1);
    let newest = two.office.add_programme("larkspur.toml", &newer).unwrap();
    assert_ne!(pinned, newest);
    assert_eq!(
        two.office.look(job, None).unwrap().programme.digest,
        pinned,
        "rules are pinned"
    );
    assert!(
        two.office.move_rules(job, "larkspur", " ").is_err(),
        "with a reason"
    );
    assert!(two.office.move_rules(job, "nowhere", "for a try").is_err());
    let changes = two
        .office
        .move_rules(job, "larkspur", "The grant became less.")
        .unwrap();
    assert_eq!(changes.len(), 1, "{changes:?}");
    two.carry_to_phone();
    let look = two.phone.look(job, None).unwrap();
    assert_eq!(look.programme.digest, newest);
    assert_eq!(
        (look.job.rules.len(), look.job.rules_record.len()),
        (1, 2),
        "the first stays in the record"
    );
    let again = two.office.move_rules(job, "larkspur", "Once more.").unwrap();
    assert!(again.is_empty());
    assert_eq!(two.office.look(job, None).unwrap().job.rules_record.len(), 2);
}

#[test]
fn another_job_of_the_house_is_found_however_its_address_is_written() {
    let mut two = Two::new();
    let open = |office: &mut Device, address: &str| {
        office
            .open_job(&NewJob {
                label: address.into(),
                address: vec![address.into()],
                zone: "America/Denver".into(),
                position: None,
                programme: "larkspur".into(),
            })
            .unwrap()
    };
    let again = open(&mut two.office, "12 nowhere ln.");
    open(&mut two.office, "12 Nowhere Lane, apartment 3");
    open(&mut two.office, "112 Nowhere Lane");
    let same = |office: &Device| office.look(two.job, None).unwrap().elsewhere.same_house;
    assert_eq!(same(&two.office), [again]);
    two.office
        .move_job(again, "cancelled", "Opened twice.", Vec::new())
        .unwrap();
    assert_eq!(same(&two.office), []);
}

#[test]
fn a_screen_says_what_is_not_yet_safe_at_the_office_and_that_room_is_short() {
    let mut two = Two::new();
    let job = two.job;
    answer(&mut two.phone, job, "6 1/2 in");
    let note = |device: &Device, look: &wythe_app::Look, wanted: &str| {
        let blocks = look.screen("job", device.words()).unwrap().blocks;
        blocks.into_iter().find_map(|block| match block {
            Block::Note { id, text, .. } if id == wanted => Some(text),
            _ => None,
        })
    };
    let mut look = two.phone.look(job, None).unwrap();
    let waiting = two.phone.log().waiting().unwrap();
    assert!(waiting.facts > 0);
    let told = note(&two.phone, &look, "not-yet-safe").unwrap();
    assert!(told.contains(&waiting.facts.to_string()), "{told}");
    assert_eq!(note(&two.phone, &look, "storage-low"), None);
    look.storage = Storage {
        free: Some(1_000_000),
    };
    assert!(note(&two.phone, &look, "storage-low").is_some());
    two.carry_to_office();
    let office = two.office.look(job, None).unwrap();
    assert_eq!(
        note(&two.office, &office, "not-yet-safe"),
        None,
        "it waits for nobody"
    );
    assert_eq!(fold(&office.facts).heads_of(&at(WIDTH)).len(), 1);
}
