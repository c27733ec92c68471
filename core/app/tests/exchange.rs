//! Phones that join an office and exchange with it, without a network: the office's machine is at the
//! other end of the line.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that cannot go on stops"
)]

use std::sync::Arc;

use ed25519_dalek::SigningKey;
use wythe_app::job::{
    Address, BusinessId, Certificate, Chain, DeviceId, JobId, Keeper, Moment, PersonId, Stream,
};
use wythe_app::store::{Log, MemoryLog, Originals, Plain};
use wythe_app::sync::{
    Call, House, Houses, InviteCode, MemoryObjects, MemoryOffice, NewInvite, Office, Token, Trouble,
};
use wythe_app::{App, AppError, Line, NewDevice, NewJob, OpenBox, SeededChance, Services, TimeSource};

const BUSINESS: BusinessId = BusinessId([7; 16]);
const NOW: Moment = Moment {
    utc_ms: 1_764_000_000_000,
    offset_min: -420,
};

struct Clock;

impl TimeSource for Clock {
    fn now(&self) -> Moment {
        NOW
    }
}

fn services(seed: u64) -> Services {
    Services {
        time: Box::new(Clock),
        chance: Box::new(SeededChance::new(seed)),
        keys: Box::new(OpenBox),
    }
}

fn phone(seed: u64) -> App<MemoryLog> {
    let log = MemoryLog::with(Arc::new(Plain), Originals::in_memory().unwrap(), true);
    App::open(log, services(seed)).unwrap()
}

fn crew(name: &str) -> NewDevice {
    NewDevice {
        person_name: name.into(),
        role: "installer".into(),
        device_name: format!("phone of {name}"),
    }
}

struct One(House);

impl Houses for One {
    fn house(&self, business: BusinessId) -> Result<Option<House>, Trouble> {
        Ok((business == BUSINESS).then(|| self.0.clone()))
    }
}

/// An office at the other end of a line that can be cut.
struct Desk {
    house: One,
    books: MemoryOffice,
    objects: MemoryObjects,
    chance: u8,
    now_ms: u64,
    /// Calls that get through, and then none.
    calls_left: u32,
    /// The next answer is lost.
    loses_answer: bool,
}

impl Desk {
    fn new() -> Self {
        let business_key = SigningKey::from_bytes(&[9; 32]);
        let chain = Chain {
            device: DeviceId([1; 16]),
            epoch: 1,
        };
        let key = SigningKey::from_bytes(&[1; 32]);
        let public = key.verifying_key();
        let certificate = Certificate::issue(BUSINESS, &business_key, chain, &public, NOW, "office").unwrap();
        let keeper = Keeper {
            business: BUSINESS,
            chain,
            key,
        };
        let mut books = MemoryOffice::new();
        books.open(BUSINESS);
        let mut desk = Self {
            house: One(House {
                name: "Ninefold Hearth".into(),
                business_key,
                keeper,
                certificate,
                person: PersonId([2; 16]),
            }),
            books,
            objects: MemoryObjects::new(),
            chance: 0,
            now_ms: 0,
            calls_left: u32::MAX,
            loses_answer: false,
        };
        desk.act(|office| office.begin_epoch(BUSINESS)).unwrap();
        desk
    }

    fn act<T>(&mut self, work: impl FnOnce(&mut Office<'_>) -> T) -> T {
        let chance = &mut self.chance;
        work(&mut Office {
            houses: &self.house,
            storage: &mut self.books,
            objects: &mut self.objects,
            now: NOW,
            chance: &mut |bytes| {
                *chance += 1;
                bytes.fill(*chance);
            },
        })
    }

    fn invite(&mut self, person: u8) -> InviteCode {
        let invite = NewInvite {
            person: PersonId([person; 16]),
            replaces: None,
            lasts_ms: 1_000,
        };
        self.act(|office| office.invite(BUSINESS, invite)).unwrap()
    }
}

impl Line for Desk {
    fn send(&mut self, token: Option<&Token>, request: &[u8]) -> Option<Vec<u8>> {
        self.calls_left = self.calls_left.checked_sub(1)?;
        let answer = self.act(|office| {
            office.answer(Call {
                token,
                bytes: request,
            })
        });
        (!std::mem::take(&mut self.loses_answer)).then_some(answer.bytes)
    }

    fn now_ms(&mut self) -> u64 {
        self.now_ms
    }

    fn wait_until(&mut self, ms: u64) -> bool {
        self.now_ms = ms;
        self.calls_left > 0
    }
}

/// Two phones of one office, and a job on the first, where the second's person works too.
fn at_work() -> (Desk, App<MemoryLog>, App<MemoryLog>, JobId) {
    let mut desk = Desk::new();
    let (mut room, mut roof) = (phone(1), phone(2));
    let codes = [desk.invite(11), desk.invite(12)];
    room.join_office(&crew("Ada Testperson"), codes[0], &mut desk)
        .unwrap();
    roof.join_office(&crew("Bo Testperson"), codes[1], &mut desk)
        .unwrap();
    room.exchange(&mut desk).unwrap();
    roof.exchange(&mut desk).unwrap();
    let programme = include_str!("../../../fixtures/programmes/larkspur.toml");
    room.add_programme("larkspur", programme).unwrap();
    let job = room
        .open_job(&NewJob {
            label: "Test house".into(),
            address: vec!["1 Invented Road".into()],
            zone: "America/Denver".into(),
            position: None,
            programme: "larkspur".into(),
        })
        .unwrap();
    room.note(job, "The cap is loose.").unwrap();
    (desk, room, roof, job)
}

/// A paper of one page and many bytes.
fn paper(phone: &mut App<MemoryLog>, job: JobId) {
    let page = "%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n\
        2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n\
        3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 200 200]>>endobj\n";
    let filling = "% as it was scanned\n".repeat(35_000);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("certificate.pdf");
    std::fs::write(&file, format!("{page}{filling}trailer<</Root 1 0 R>>\n%%EOF\n")).unwrap();
    let address = Address::of("destruction.certificate");
    phone.add_paper(job, &address, &file).unwrap();
}

fn same(one: &App<MemoryLog>, other: &App<MemoryLog>, stream: Stream) {
    let [one, other] = [one, other].map(|app| app.log().facts(stream).unwrap());
    let ids = |facts: &wythe_app::job::Facts| facts.iter().map(wythe_app::job::Fact::id).collect::<Vec<_>>();
    assert!(!one.is_empty());
    assert_eq!(ids(&one), ids(&other));
}

#[test]
fn what_one_phone_records_another_of_the_job_gets() {
    let (mut desk, mut room, mut roof, job) = at_work();
    let done = room.exchange(&mut desk).unwrap();
    assert!(done.quiet && done.safe_facts > 0);
    assert!(room.log().waiting().unwrap().is_none());
    roof.exchange(&mut desk).unwrap();
    assert!(
        roof.log().facts(job.into()).unwrap().is_empty(),
        "it is not of this job yet"
    );
    let device = roof.log().identity().unwrap().unwrap().device;
    desk.act(|office| office.give(BUSINESS, device, job.into()))
        .unwrap();
    let done = roof.exchange(&mut desk).unwrap();
    assert!(done.received > 0);
    same(&room, &roof, job.into());
    same(&room, &roof, BUSINESS.into());
    let noted = room.note(job, "Measured again.").unwrap();
    room.exchange(&mut desk).unwrap();
    assert!(room.office_arrivals().unwrap().of(noted).is_some());
    roof.exchange(&mut desk).unwrap();
    same(&room, &roof, job.into());
}

#[test]
fn an_exchange_that_is_cut_or_killed_anywhere_goes_on_later() {
    for calls in 0..3 {
        let (mut desk, mut room, _, job) = at_work();
        paper(&mut room, job);
        desk.calls_left = calls;
        let done = room.exchange(&mut desk).unwrap();
        assert!(!done.quiet, "one exchange and two pieces are needed");
        // The process is killed: only what is in the log is left.
        let log = room.log().clone();
        let mut room = App::open(log, services(90 + u64::from(calls))).unwrap();
        desk.calls_left = u32::MAX;
        assert!(room.exchange(&mut desk).unwrap().quiet);
        assert!(room.log().waiting().unwrap().is_none(), "after {calls} calls");
    }
}

#[test]
fn a_code_whose_answer_was_lost_works_again_for_the_same_phone() {
    let mut desk = Desk::new();
    let code = desk.invite(11);
    let mut room = phone(1);
    desk.loses_answer = true;
    let lost = room.join_office(&crew("Ada Testperson"), code, &mut desk);
    assert!(matches!(lost, Err(AppError::NoAnswer)));
    let mut room = App::open(room.log().clone(), services(5)).unwrap();
    room.join_office(&crew("Ada Testperson"), code, &mut desk)
        .unwrap();
    assert_eq!(
        room.person().unwrap().0,
        PersonId([11; 16]),
        "whose phone it is, the office says"
    );
    let mut thief = phone(3);
    let refused = thief
        .join_office(&crew("Cy Testperson"), code, &mut desk)
        .unwrap_err();
    assert_eq!(refused.code(), "bad_code");
    assert!(room.exchange(&mut desk).unwrap().quiet);
}

#[test]
fn a_phone_that_the_office_forgot_shows_its_certificate() {
    let (mut desk, mut room, _, job) = at_work();
    let before = Desk::new();
    room.exchange(&mut desk).unwrap();
    // The office is put back from a copy that knew no phone.
    desk.books = before.books;
    let key = SigningKey::from_bytes(&[3; 32]);
    let house = &mut desk.house.0;
    house.keeper.chain.epoch = 2;
    house.keeper.key = key.clone();
    let certificate = Certificate::issue(
        BUSINESS,
        &house.business_key,
        house.keeper.chain,
        &key.verifying_key(),
        NOW,
        "office",
    );
    house.certificate = certificate.unwrap();
    desk.act(|office| office.begin_epoch(BUSINESS)).unwrap();
    let done = room.exchange(&mut desk).unwrap();
    assert!(done.quiet);
    let at_office: Vec<_> = desk
        .books
        .facts(BUSINESS)
        .into_iter()
        .map(|(_, fact)| fact.id())
        .collect();
    for fact in room.log().facts(job.into()).unwrap().iter() {
        assert!(at_office.contains(&fact.id()), "everything was offered again");
    }
}

#[test]
fn a_phone_without_an_office_says_so() {
    let mut desk = Desk::new();
    let mut alone = phone(1);
    alone
        .begin_business("Ninefold Hearth", &crew("Ada Testperson"))
        .unwrap();
    assert!(matches!(alone.exchange(&mut desk), Err(AppError::NotEnrolled)));
}
