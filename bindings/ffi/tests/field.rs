//! A `Field` as a shell uses and misuses it.

use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, Weak};

use wythe_ffi::{
    Block, Canvas, ChangeSignal, Device, Field, Fix, How, KeyBox, Locator, NewJob, PhoneClock, PhoneTime,
    Told, Trouble,
};

const PROGRAMME: &str = include_str!("../../../fixtures/programmes/larkspur.toml");
const CANVAS: Canvas = Canvas {
    width: 380.0,
    paper: 1.5,
};
const TILE: &str = "survey.tile_inside_a@tile_section:1";

struct PlainBox;

impl KeyBox for PlainBox {
    fn wrap(&self, key: Vec<u8>) -> Vec<u8> {
        key
    }

    fn open(&self, wrapped: Vec<u8>) -> Option<Vec<u8>> {
        Some(wrapped)
    }
}

/// A clock that goes on by a second at each look, and can be made to fail.
struct Clock {
    seconds: AtomicUsize,
    broken: AtomicBool,
}

impl Clock {
    fn new() -> Arc<Self> {
        Arc::new(Self {
            seconds: AtomicUsize::new(1),
            broken: AtomicBool::new(false),
        })
    }
}

impl PhoneClock for Clock {
    fn now(&self) -> PhoneTime {
        assert!(!self.broken.load(Ordering::SeqCst), "the clock is broken");
        let seconds = i64::try_from(self.seconds.fetch_add(1, Ordering::SeqCst)).unwrap();
        PhoneTime {
            utc_ms: 1_772_460_000_000 + seconds * 1_000,
            offset_min: -420,
        }
    }
}

struct Nowhere;

impl Locator for Nowhere {
    fn here(&self) -> Option<Fix> {
        None
    }
}

fn open(folder: &Path) -> Arc<Field> {
    open_with(folder, Clock::new()).unwrap()
}

fn open_with(folder: &Path, clock: Arc<Clock>) -> Result<Arc<Field>, Trouble> {
    let folder = folder.to_str().unwrap();
    Field::open(folder, None, Arc::new(PlainBox), clock, Arc::new(Nowhere))
}

/// A store with one job. Gives the job.
fn begun(field: &Field) -> String {
    let device = Device {
        person: "Bram Copperkettle".to_owned(),
        role: "lead".to_owned(),
        name: "room".to_owned(),
    };
    field.begin_business("Ninefold Hearth", &device).unwrap();
    field.record_programme("larkspur.toml", PROGRAMME).unwrap();
    field.record_job(new_job("Featherstep")).unwrap()
}

fn new_job(label: &str) -> NewJob {
    NewJob {
        label: label.to_owned(),
        address: vec!["12 Nowhere Lane".to_owned()],
        zone: "America/Denver".to_owned(),
        place: None,
        programme: "larkspur".to_owned(),
    }
}

fn told<T: std::fmt::Debug>(done: Result<T, Trouble>) -> Told {
    match done {
        Ok(done) => panic!("taken: {done:?}"),
        Err(Trouble::Refused { told }) => told,
    }
}

fn code<T: std::fmt::Debug>(done: Result<T, Trouble>) -> String {
    told(done).code
}

fn draft_of(field: &Field, job: &str, address: &str) -> Option<String> {
    let screen = field.screen(job, "stage/survey", CANVAS).unwrap();
    screen.blocks.into_iter().find_map(|block| match block {
        Block::Ask { id, draft, .. } if id == address => Some(draft),
        _ => None,
    })?
}

#[test]
fn what_was_typed_outlives_a_refusal_and_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    field.keep_draft(&job, TILE, "11 3/").unwrap();
    field.shut().unwrap();

    let field = open(folder.path());
    assert_eq!(draft_of(&field, &job, TILE).as_deref(), Some("11 3/"));
    let refused = told(field.record_answer(&job, TILE, "900 in", How::default()));
    assert_eq!(
        (refused.code.as_str(), refused.field.as_deref()),
        ("out_of_range", Some(TILE))
    );
    assert_eq!(draft_of(&field, &job, TILE).as_deref(), Some("900 in"));

    let recorded = field
        .record_answer(&job, TILE, "11 3/8 in", How::default())
        .unwrap();
    assert!(recorded.read_back.contains("289 mm"), "{}", recorded.read_back);
    assert_eq!(draft_of(&field, &job, TILE), None);
}

#[test]
fn every_call_after_shutting_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    field.shut().unwrap();
    field.shut().unwrap();
    assert_eq!(code(field.state()), "closed");
    assert_eq!(code(field.screen(&job, "job", CANVAS)), "closed");
    assert_eq!(
        code(field.record_answer(&job, TILE, "11 in", How::default())),
        "closed"
    );
    assert_eq!(code(field.standing(vec![job], CANVAS)), "closed");
    assert_eq!(code(field.pause()), "closed");
    // What was closed can be opened again in the same program.
    assert!(open(folder.path()).state().unwrap().business.is_some());
}

#[test]
fn a_store_that_rests_says_so_and_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    field.pause().unwrap();
    assert_eq!(code(field.screen(&job, "job", CANVAS)), "store_paused");
    assert_eq!(code(field.standing(vec![job.clone()], CANVAS)), "store_paused");
    field.resume().unwrap();
    assert!(field.screen(&job, "job", CANVAS).is_ok());
}

/// Calls the field from inside the signal, as a shell does that refreshes its screen.
struct Refreshes {
    field: Mutex<Weak<Field>>,
    job: String,
    seen: AtomicUsize,
}

impl ChangeSignal for Refreshes {
    fn changed(&self, job: Option<String>) {
        assert_eq!(job.as_deref(), Some(self.job.as_str()));
        let field = self.field.lock().unwrap().upgrade().unwrap();
        assert!(field.screen(&self.job, "job", CANVAS).is_ok());
        self.seen.fetch_add(1, Ordering::SeqCst);
    }
}

#[test]
fn the_signal_of_a_change_may_call_back() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    let signal = Arc::new(Refreshes {
        field: Mutex::new(Arc::downgrade(&field)),
        job: job.clone(),
        seen: AtomicUsize::new(0),
    });
    field.listen(Some(signal.clone()));
    field.record_answer(&job, TILE, "11 in", How::default()).unwrap();
    assert_eq!(
        code(field.record_answer(&job, TILE, "nonsense", How::default())),
        "number_unreadable"
    );
    assert_eq!(signal.seen.load(Ordering::SeqCst), 1, "a refusal is no change");
    field.listen(None);
    field.record_answer(&job, TILE, "12 in", How::default()).unwrap();
    assert_eq!(signal.seen.load(Ordering::SeqCst), 1);
}

/// A key box that calls the field from inside a call.
struct CallsBack(Mutex<Weak<Field>>, Mutex<Option<String>>);

impl KeyBox for CallsBack {
    fn wrap(&self, key: Vec<u8>) -> Vec<u8> {
        if let Some(field) = self.0.lock().unwrap().upgrade() {
            *self.1.lock().unwrap() = Some(code(field.state()));
        }
        key
    }

    fn open(&self, wrapped: Vec<u8>) -> Option<Vec<u8>> {
        Some(wrapped)
    }
}

#[test]
fn a_call_from_inside_a_call_is_refused_and_not_waited_for() {
    let folder = tempfile::tempdir().unwrap();
    let keys = Arc::new(CallsBack(Mutex::new(Weak::new()), Mutex::new(None)));
    let path = folder.path().to_str().unwrap();
    let field = Field::open(path, None, keys.clone(), Clock::new(), Arc::new(Nowhere)).unwrap();
    *keys.0.lock().unwrap() = Arc::downgrade(&field);
    begun(&field);
    assert_eq!(keys.1.lock().unwrap().as_deref(), Some("nested"));
}

#[test]
fn a_panic_inside_is_told_and_what_was_recorded_stays() {
    let folder = tempfile::tempdir().unwrap();
    let clock = Clock::new();
    let field = open_with(folder.path(), clock.clone()).unwrap();
    let job = begun(&field);
    field.record_answer(&job, TILE, "11 in", How::default()).unwrap();
    clock.broken.store(true, Ordering::SeqCst);
    let fault = told(field.record_answer(&job, TILE, "12 in", How::default()));
    assert_eq!(fault.code, "fault");
    assert!(fault.detail.contains("the clock is broken"), "{}", fault.detail);
    clock.broken.store(false, Ordering::SeqCst);
    assert_eq!(draft_of(&field, &job, TILE).as_deref(), Some("12 in"));
    field.record_answer(&job, TILE, "12 in", How::default()).unwrap();
}

#[test]
fn threads_take_turns() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    std::thread::scope(|scope| {
        for number in 1..=4_u32 {
            let (field, job) = (&field, &job);
            scope.spawn(move || {
                let address = format!("survey.tile_inside_a@tile_section:{number}");
                for _ in 0..3 {
                    field
                        .record_instance(job, "tile_section", number, true, None)
                        .unwrap();
                    field
                        .record_answer(job, &address, "11 in", How::default())
                        .unwrap();
                    field.screen(job, "stage/survey", CANVAS).unwrap();
                }
            });
        }
    });
    let screen = field.screen(&job, "stage/survey", CANVAS).unwrap();
    let filled = screen.blocks.iter().filter(|block| {
        matches!(block, Block::Ask { id, value: Some(_), .. } if id.starts_with("survey.tile_inside_a@"))
    });
    assert_eq!(filled.count(), 4);
}

#[test]
fn jobs_come_by_pages_and_are_found() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let first = begun(&field);
    for number in 0..4 {
        field.record_job(new_job(&format!("House {number}"))).unwrap();
    }
    let mut seen = Vec::new();
    let mut after = None;
    loop {
        let page = field.jobs(after, None, 2).unwrap();
        assert!(page.rows.len() <= 2);
        seen.extend(page.rows.into_iter().map(|row| row.label));
        after = page.next;
        if after.is_none() {
            break;
        }
    }
    seen.sort();
    assert_eq!(seen, ["Featherstep", "House 0", "House 1", "House 2", "House 3"]);
    let found = field.jobs(None, Some("  HOUSE 2".to_owned()), 10).unwrap().rows;
    assert_eq!(found.len(), 1);

    // An approval sets a day by which the job presses: it comes first once that is weighed.
    field
        .record_answer(&first, "plan.approval_date", "2026-02-20", How::default())
        .unwrap();
    field
        .record_answer(&first, "plan.approval_expires", "2026-03-20", How::default())
        .unwrap();
    let mut rounds = 0;
    while field.weigh(2).unwrap() > 0 {
        rounds += 1;
        assert!(rounds < 10);
    }
    assert_eq!(field.weigh(2).unwrap(), 0);
    let page = field.jobs(None, None, 10).unwrap();
    let due = field.standing(vec![first.clone()], CANVAS).unwrap();
    let labels: Vec<_> = page.rows.iter().map(|row| row.label.as_str()).collect();
    assert_eq!(labels[0], "Featherstep", "due {:?}", due[0].due);
    assert!(!due[0].wall.marks.is_empty() && !due[0].words.is_empty());
}

#[test]
fn what_is_missing_leads_to_where_it_is_asked() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    let missing = field.screen(&job, "missing", CANVAS).unwrap();
    let items = missing.blocks.iter().find_map(|block| match block {
        Block::Items { id, items } if id == "missing" => Some(items),
        _ => None,
    });
    for item in items.unwrap() {
        let opening = field.opening(&job, &item.id).unwrap();
        let opening = opening.unwrap_or_else(|| panic!("{} leads nowhere", item.id));
        let screen = field.screen(&job, &opening.screen, CANVAS).unwrap();
        if let Some(ask) = opening.ask {
            let there = screen
                .blocks
                .iter()
                .any(|block| matches!(block, Block::Ask { id, .. } if *id == ask));
            assert!(there, "{} is not on {}", ask, opening.screen);
        }
    }
    let head = field.screen(&job, "job", CANVAS).unwrap();
    let touches = head.blocks.iter().find_map(|block| match block {
        Block::Drawing { picture, .. } => Some(&picture.touches),
        _ => None,
    });
    for touch in touches.unwrap() {
        assert!(
            field.opening(&job, &touch.id).unwrap().is_some(),
            "{} leads nowhere",
            touch.id
        );
    }
    assert_eq!(field.opening(&job, "no such thing").unwrap(), None);
}

#[test]
fn bad_input_is_refused_with_a_code() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    let answer = |address: &str, typed: &str| code(field.record_answer(&job, address, typed, How::default()));
    assert_eq!(answer("", ""), "address");
    assert_eq!(answer("survey.tile_inside_a@@", "1"), "address");
    assert_eq!(answer(TILE, ""), "missing");
    let huge = "9".repeat(3_000_000);
    assert_ne!(answer(TILE, &huge), "");
    assert_eq!(
        code(field.record_photo(
            &job,
            "survey.stove_in_place@old_stove:1",
            "/no/such/file",
            true,
            None
        )),
        "file"
    );
    assert_eq!(
        code(field.record_paper(&job, TILE, "/no/such/file")),
        "not_one_of"
    );
    assert_eq!(code(field.screen(&job, "stage/nowhere", CANVAS)), "not_one_of");
    assert_eq!(code(field.screen("", "job", CANVAS)), "no_job");
    assert_eq!(code(field.preview(&job, "xyz")), "not_one_of");
    assert_eq!(code(field.carry_in("/no/such/file")), "file");
    assert_eq!(code(field.set_language("tlh")), "not_one_of");
    let nowhere = Canvas {
        width: f64::NAN,
        paper: 1.0,
    };
    assert_eq!(code(field.screen(&job, "job", nowhere)), "drawing_not_finite");
}

#[test]
fn words_change_with_the_language() {
    let folder = tempfile::tempdir().unwrap();
    let field = open(folder.path());
    let job = begun(&field);
    field.set_language("es").unwrap();
    let screen = field.screen(&job, "missing", CANVAS).unwrap();
    assert_eq!(screen.title, "Qué falta");
    assert_eq!(field.state().unwrap().language, "es");
    let all = wythe_ffi::words("fr");
    assert_eq!(all.get("phone-jobs").map(String::as_str), Some("Chantiers"));
    assert!(
        all.values()
            .all(|word| !word.is_empty() && !word.starts_with('['))
    );
    let of = wythe_ffi::sentence("en", "phone-of", vec!["2".to_owned(), "9".to_owned()]);
    assert_eq!(of, "2 of 9");
}

#[test]
fn a_reckoning_is_refused_with_its_place() {
    assert!(wythe_ffi::reckonings().contains(&"liner_fit".to_owned()));
    let refused = told(wythe_ffi::reckon("liner_fit", r#"{"surprise": 1}"#));
    assert_eq!(
        (refused.code.as_str(), refused.field.as_deref()),
        ("unknown_key", Some("/surprise"))
    );
}

#[test]
fn what_is_no_pack_is_refused() {
    assert_eq!(code(wythe_ffi::check_pack("no/such/file", None)), "file");
    assert_eq!(
        code(wythe_ffi::check_pack("no/such/file", Some("xyz".to_owned()))),
        "fingerprint"
    );
}
