//! Figures in a job's life: kept with the signature that relies on them, measured again when they do not
//! hold, printed for the crew.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use wythe_app::guide::figures::Figures;
use wythe_app::job::{Address, Digest, JobId, Moment, StrokePoint, Value};
use wythe_app::pack::paper::PageSize;
use wythe_app::store::{MemoryLog, Originals};
use wythe_app::{
    App, AppError, JobProjector, NewDevice, NewJob, OpenBox, Recording, SeededChance, Services, Signing,
    TimeSource, TimerDeed,
};

const PROGRAMME: &str = include_str!("../../../fixtures/programmes/larkspur.toml");
/// The morning of the work, in milliseconds since 1970.
const MORNING: i64 = 1_774_443_600_000;

struct Hand(Arc<AtomicI64>);

impl TimeSource for Hand {
    fn now(&self) -> Moment {
        Moment {
            utc_ms: self.0.load(Ordering::SeqCst),
            offset_min: -360,
        }
    }
}

struct Site {
    office: App<MemoryLog>,
    job: JobId,
    time: Arc<AtomicI64>,
}

impl Site {
    fn new() -> Self {
        let time = Arc::new(AtomicI64::new(MORNING));
        let log = MemoryLog::with(Arc::new(JobProjector), Originals::in_memory().unwrap(), true);
        let services = Services {
            time: Box::new(Hand(Arc::clone(&time))),
            chance: Box::new(SeededChance::new(7)),
            keys: Box::new(OpenBox),
        };
        let mut office = App::open(log, services).unwrap();
        let device = NewDevice {
            person_name: "Odalys Inkwell".into(),
            role: "office".into(),
            device_name: "office".into(),
        };
        office.begin_business("Ninefold Hearth", &device).unwrap();
        office.add_programme("larkspur.toml", PROGRAMME).unwrap();
        let listing = r#"{"source": "Halcyon 30, manual", "listing": [{"altitude": "7,000 ft", "input": "24,000 Btu/h"}]}"#;
        office.keep_in_library("model", "halcyon-30", listing).unwrap();
        let cap =
            r#"{"mount": "over_tile", "plate_a": "14 in", "plate_b": "18 in", "skirt_depth": "1 1/2 in"}"#;
        office.keep_in_library("cap", "highcap-8", cap).unwrap();
        let job = NewJob {
            label: "Featherstep".into(),
            address: vec!["12 Nowhere Lane".into()],
            zone: "America/Denver".into(),
            position: None,
            programme: "larkspur".into(),
        };
        let job = office.open_job(&job).unwrap();
        Self { office, job, time }
    }

    fn answers(&mut self, answers: &[(&str, &str)]) {
        for (address, typed) in answers {
            self.pass(1.0);
            let how = Recording::default();
            self.office.answer(self.job, &at(address), typed, &how).unwrap();
        }
    }

    /// What the signer is shown now.
    fn shown(&self, address: &str) -> Digest {
        let look = self.office.look(self.job, None).unwrap();
        self.office.to_sign(&look, &at(address)).unwrap().shown
    }

    fn pass(&self, seconds: f64) {
        let ms = format!("{:.0}", seconds * 1000.0).parse::<i64>().unwrap();
        self.time.fetch_add(ms, Ordering::SeqCst);
    }

    fn figures(&self, id: &str) -> Option<Figures> {
        let look = self.office.look(self.job, None).unwrap();
        look.figures.into_iter().find(|figures| figures.id == id)
    }

    fn stands(&self, stop: &str) -> bool {
        let look = self.office.look(self.job, None).unwrap();
        let known = look.known();
        let readiness = look.readiness(&known);
        readiness.stops.iter().any(|open| open.stop.code == stop)
    }

    /// A test of fifteen minutes, from ten pounds to what the gauge shows then.
    fn pressure_test(&mut self, end: &str) {
        self.answers(&[("gas.gauge_start", "10 psi")]);
        let (job, clock) = (self.job, at("gas.test_time"));
        self.office.timer(job, &clock, TimerDeed::Start, None).unwrap();
        self.pass(900.0);
        self.office.timer(job, &clock, TimerDeed::Stop, None).unwrap();
        self.answers(&[("gas.gauge_end", end)]);
    }
}

fn at(text: &str) -> Address {
    text.parse().unwrap()
}

const DERATED: [(&str, &str); 4] = [
    ("survey.fuel", "natural gas"),
    ("plan.model", "halcyon-30"),
    ("plan.plate_input", "30,000 Btu/h"),
    ("plan.altitude", "1864 m"),
];

const TESTED: [(&str, &str); 5] = [
    ("survey.delivered_pressure", "seven_in_wc"),
    ("survey.run_length", "34 ft"),
    ("plan.run_size", "size_half"),
    ("gas.test_medium", "air"),
    ("gas.gauge_division", "0.1 psi"),
];

#[test]
fn a_signature_keeps_the_figures_it_relies_on_with_their_editions() {
    let mut site = Site::new();
    site.answers(&DERATED);
    site.answers(&TESTED);
    site.pressure_test("10 psi");
    let signing = |site: &Site| Signing {
        shown: site.shown("plan.quote_signature@owner:1"),
        act: "signed".into(),
        name: "Tansy Featherstep".into(),
        strokes: vec![vec![StrokePoint {
            x: 1,
            y: 2,
            ms: 0,
            pressure: None,
        }]],
        position: None,
        copy_given: None,
    };
    let quote = at("plan.quote_signature@owner:1");
    let shown = signing(&site);
    site.office.sign_off(site.job, &quote, shown).unwrap();
    let kept = |site: &Site| {
        let look = site.office.look(site.job, None).unwrap();
        look.job
            .figures
            .iter()
            .map(|entry| entry.body.clone())
            .collect::<Vec<_>>()
    };
    let first = kept(&site);
    // The plan is signed; the pressure test belongs to a later stage.
    let names: Vec<&str> = first.iter().map(|kept| kept.address.ask.as_str()).collect();
    assert_eq!(names, ["plan.derate"]);
    let editions: Vec<(&str, &str)> = first[0]
        .editions
        .iter()
        .map(|edition| (edition.of.as_str(), edition.edition.as_str()))
        .collect();
    assert!(
        editions.contains(&("model halcyon-30", "Halcyon 30, manual")),
        "{editions:?}"
    );
    assert!(editions.iter().any(|(of, _)| *of == "guide"), "{editions:?}");
    assert!(first[0].result.contains("7033.7"), "{}", first[0].result);
    // Signed again, nothing is kept twice; after a change, the new ones are kept beside the old.
    let shown = signing(&site);
    site.office.sign_off(site.job, &quote, shown).unwrap();
    assert_eq!(kept(&site).len(), 1);
    site.answers(&[("plan.altitude", "1900 m")]);
    let shown = signing(&site);
    site.office.sign_off(site.job, &quote, shown).unwrap();
    assert_eq!(kept(&site).len(), 2);
}

#[test]
fn a_failed_test_stays_visible_and_stands_until_a_new_one_holds() {
    let mut site = Site::new();
    site.answers(&DERATED);
    site.answers(&TESTED);
    site.pressure_test("8.5 psi");
    assert!(site.stands("pressure_test_failed"));
    site.office.measure_again(site.job, "gas.pressure_test").unwrap();
    // Nothing of the old test is left to meet the new one, and the stop stands by what was kept.
    assert!(site.figures("gas.pressure_test").is_none());
    assert!(site.stands("pressure_test_failed"));
    let shown = |site: &Site| {
        let look = site.office.look(site.job, None).unwrap();
        let screen = look.screen("stage/gas", site.office.words()).unwrap();
        serde_json::to_string(&screen).unwrap()
    };
    assert!(
        shown(&site).contains("Gauge changed by: -1.50 psi"),
        "{}",
        shown(&site)
    );
    site.pressure_test("10 psi");
    assert!(!site.stands("pressure_test_failed"));
    assert!(shown(&site).contains("Gauge changed by: -1.50 psi"));
    // What holds is not measured again by this way.
    let again = site.office.measure_again(site.job, "gas.pressure_test");
    assert!(matches!(again, Err(AppError::NotOneOf { .. })), "{again:?}");
}

#[test]
fn pressures_off_the_plate_stop_the_start_up_until_they_are_read_anew_within_it() {
    let mut site = Site::new();
    let stop = "pressures_off_plate";
    site.answers(&[
        ("start_up.plate_manifold_least", "3.2 in wc"),
        ("start_up.plate_manifold_most", "3.8 in wc"),
        ("start_up.plate_minimum", "5 in wc"),
        ("start_up.plate_maximum", "10.5 in wc"),
    ]);
    for (ask, within, off) in [
        ("start_up.manifold_high", "3.5 in wc", "3.9 in wc"),
        ("start_up.manifold_high", "3.2 in wc", "3.1 in wc"),
        ("start_up.inlet_static", "10.5 in wc", "10.6 in wc"),
        ("start_up.inlet_running", "5 in wc", "4.9 in wc"),
    ] {
        site.answers(&[(ask, within)]);
        assert!(!site.stands(stop), "{ask} {within}");
        site.answers(&[(ask, off)]);
        assert!(site.stands(stop), "{ask} {off}");
        let strike = site.office.look(site.job, None).unwrap().job.to_replace(&at(ask));
        site.office.strike(site.job, strike, "misread").unwrap();
        assert!(site.stands(stop), "{ask}: taking it back is no measurement");
        site.answers(&[(ask, within)]);
        assert!(!site.stands(stop), "{ask} {within} again");
    }
}

#[test]
fn a_timer_lives_in_the_core_until_it_is_stopped() {
    let mut site = Site::new();
    site.answers(&DERATED);
    let (job, turns) = (site.job, at("start_up.meter_turns"));
    let refused = |done: Result<_, AppError>| assert!(matches!(done, Err(AppError::Timer(_))), "{done:?}");
    refused(site.office.timer(job, &turns, TimerDeed::Tap, None));
    site.office.timer(job, &turns, TimerDeed::Start, None).unwrap();
    refused(site.office.timer(job, &turns, TimerDeed::Start, None));
    refused(site.office.timer(job, &turns, TimerDeed::Stop, None));
    for _ in 0..2 {
        site.pass(155.04);
        site.office.timer(job, &turns, TimerDeed::Tap, None).unwrap();
    }
    // Nothing is recorded before it is stopped.
    let look = site.office.look(job, None).unwrap();
    assert!(look.job.heads_of(&turns).is_empty());
    site.pass(4.0);
    let recorded = site.office.timer(job, &turns, TimerDeed::Stop, None).unwrap();
    assert!(recorded.unwrap().read_back.contains("2 taps"));
    let look = site.office.look(job, None).unwrap();
    let Value::Span { start, end, taps } = &look.job.heads_of(&turns)[0].body.value else {
        panic!("no span");
    };
    assert_eq!(taps, &[155_000, 310_100]);
    assert_eq!(end.utc_ms - start.utc_ms, 314_080);
    // A clock that was set back gives no time.
    site.office.timer(job, &turns, TimerDeed::Start, None).unwrap();
    site.pass(-60.0);
    refused(site.office.timer(job, &turns, TimerDeed::Tap, None));
    site.office.timer(job, &turns, TimerDeed::Drop, None).unwrap();
    // Only spans are timed.
    let length = site
        .office
        .timer(job, &at("plan.altitude"), TimerDeed::Start, None);
    assert!(matches!(length, Err(AppError::NotOneOf { .. })), "{length:?}");
}

#[test]
fn the_trim_is_printed_once_the_cap_is_measured() {
    let mut site = Site::new();
    let print = |site: &Site, what: &str, size| site.office.print(site.job, what, size, None);
    let early = print(&site, "trim_sheet", PageSize::A4);
    assert!(matches!(early, Err(AppError::FiguresOpen(_))), "{early:?}");
    site.answers(&[
        ("plan.cap_kit", "highcap-8"),
        ("chimney_top.tile_outside_a@reading:1", "8 1/2 in"),
        ("chimney_top.tile_outside_a@reading:2", "8 1/2 in"),
        ("chimney_top.tile_outside_b@reading:1", "13 in"),
        ("chimney_top.tile_outside_b@reading:2", "13 in"),
        ("chimney_top.diagonal_1", "15 1/2 in"),
        ("chimney_top.diagonal_2", "15 1/2 in"),
        ("chimney_top.stick_up_a_low", "3 in"),
        ("chimney_top.stick_up_a_high", "3 in"),
        ("chimney_top.stick_up_b_low", "3 in"),
        ("chimney_top.stick_up_b_high", "3 in"),
    ]);
    for size in [PageSize::Letter, PageSize::A4] {
        let sheet = print(&site, "trim_sheet", size).unwrap();
        assert!(
            sheet.pdf.starts_with(b"%PDF") && sheet.pages >= 4,
            "{}",
            sheet.pages
        );
        let list = print(&site, "loading_list/day_1", size).unwrap();
        assert!(list.pdf.starts_with(b"%PDF") && list.pages == 1);
    }
    for wrong in ["poster", "loading_list/desk", "loading_list/moon"] {
        let refused = print(&site, wrong, PageSize::A4);
        assert!(matches!(refused, Err(AppError::NotOneOf { .. })), "{wrong}");
    }
}

#[test]
fn a_fitter_or_sweep_answers_for_their_own_readings_alone() {
    let mut site = Site::new();
    site.answers(&DERATED);
    site.answers(&[
        ("removal.flue_breached", "no"),
        ("gas.gauge_division", "0.1 psi"),
        ("start_up.manifold_high", "3.5 in wc"),
        ("walk_through.screen_fitted", "yes"),
    ]);
    let mut covered = |role: &str| {
        let address = at(role);
        let signing = Signing {
            shown: site.shown(role),
            act: "signed".into(),
            name: "Wendeline Flintlock".into(),
            strokes: vec![vec![StrokePoint {
                x: 1,
                y: 2,
                ms: 0,
                pressure: None,
            }]],
            position: None,
            copy_given: None,
        };
        site.office.sign_off(site.job, &address, signing).unwrap();
        let job = site.office.look(site.job, None).unwrap().job;
        let signed = job.signatures.last().unwrap().body.clone();
        let asks = job.heads.iter().flat_map(|(at, heads)| {
            let covers = heads.iter().filter(|head| signed.covers.contains(&head.fact));
            covers.map(|_| at.ask.clone()).collect::<Vec<_>>()
        });
        asks.collect::<Vec<_>>()
    };
    assert_eq!(
        covered("start_up.fitter_signature"),
        ["gas.gauge_division", "start_up.manifold_high"]
    );
    assert_eq!(covered("removal.sweep_signature"), ["removal.flue_breached"]);
}
