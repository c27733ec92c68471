//! What the command line owns: the clock, chance, and the key box of a folder.

use std::io::Write;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use wythe_app::job::Moment;
use wythe_app::store::{Opening, Options, Salvaged, SqliteLog, instance_of};
use wythe_app::{App, AppError, Chance, JobProjector, OpenBox, SeededChance, Services, TimeSource, became};

use crate::trouble::Trouble;

/// The machine's own clock.
struct MachineClock;

impl TimeSource for MachineClock {
    fn now(&self) -> Moment {
        let now = chrono::Local::now();
        let offset_min = i16::try_from(now.offset().local_minus_utc() / 60).unwrap_or_default();
        Moment {
            utc_ms: now.timestamp_millis(),
            offset_min,
        }
    }
}

/// The machine's own source of chance.
struct MachineChance;

impl Chance for MachineChance {
    #[expect(
        clippy::expect_used,
        reason = "without chance there are no keys: going on would be worse"
    )]
    fn fill(&self, bytes: &mut [u8]) {
        getrandom::fill(bytes).expect("the machine gives no chance");
    }
}

/// A clock that a scenario sets, shared by its stores.
#[derive(Debug, Clone)]
pub struct SetClock {
    utc_ms: Arc<AtomicI64>,
    offset_min: i16,
    /// How far this store's clock is off.
    off_ms: i64,
}

impl SetClock {
    /// A clock that stands at a moment.
    pub fn at(moment: Moment) -> Self {
        Self {
            utc_ms: Arc::new(AtomicI64::new(moment.utc_ms)),
            offset_min: moment.offset_min,
            off_ms: 0,
        }
    }

    /// The same clock, as a device shows it that is off.
    pub fn off_by(&self, off_ms: i64) -> Self {
        Self {
            off_ms,
            ..self.clone()
        }
    }

    /// Sets it.
    pub fn set(&self, moment: Moment) {
        self.utc_ms.store(moment.utc_ms, Ordering::SeqCst);
    }

    /// Lets it go on.
    pub fn pass(&self, ms: i64) {
        self.utc_ms.fetch_add(ms, Ordering::SeqCst);
    }

    /// What it shows without being off.
    pub fn true_time(&self) -> Moment {
        Moment {
            utc_ms: self.utc_ms.load(Ordering::SeqCst),
            offset_min: self.offset_min,
        }
    }
}

impl TimeSource for SetClock {
    fn now(&self) -> Moment {
        let now = self.true_time();
        Moment {
            utc_ms: now.utc_ms.saturating_add(self.off_ms),
            ..now
        }
    }
}

/// Opens the store in a folder with the machine's own services. What had to be done to open it is told on
/// standard error.
pub fn open(folder: &Path, json: bool) -> Result<App<SqliteLog>, Trouble> {
    let services = Services {
        time: Box::new(MachineClock),
        chance: Box::new(MachineChance),
        keys: Box::new(OpenBox),
    };
    let (app, opening) = open_with(folder, services)?;
    let mut err = std::io::stderr().lock();
    for notice in notices(&opening, folder) {
        let _gone = writeln!(err, "{}", notice.written(json));
    }
    Ok(app)
}

/// Opens a store that a phone or an office has begun: a mistyped folder must not make a new one.
pub fn open_begun(folder: &Path, json: bool) -> Result<App<SqliteLog>, Trouble> {
    if !folder.is_dir() {
        let what = folder.display().to_string();
        return Err(Trouble::File {
            what,
            why: "there is no store here; make one with wythe begin".to_owned(),
        });
    }
    let app = open(folder, json)?;
    app.business()?;
    Ok(app)
}

/// Opens a store for a scenario: its clock, and chance from a seed.
pub fn open_set(folder: &Path, clock: SetClock, seed: u64) -> Result<App<SqliteLog>, Trouble> {
    let chance = Box::new(SeededChance::new(seed));
    let services = Services {
        time: Box::new(clock),
        chance,
        keys: Box::new(OpenBox),
    };
    Ok(open_with(folder, services)?.0)
}

fn open_with(folder: &Path, services: Services) -> Result<(App<SqliteLog>, Opening), Trouble> {
    let instance = instance_of(folder).map_err(|why| Trouble::file(folder.display().to_string(), &why))?;
    let mut chance = [0; 16];
    services.chance.fill(&mut chance);
    let options = Options::new(instance, chance).projecting(Arc::new(JobProjector));
    let (log, opening) = SqliteLog::open(folder, options).map_err(AppError::from)?;
    Ok((App::open(log, services)?, opening))
}

/// Something to know about a store, though the command goes on.
struct Notice {
    code: &'static str,
    text: String,
}

impl Notice {
    fn written(&self, json: bool) -> String {
        if json {
            serde_json::json!({ "notice": { "code": self.code, "message": self.text } }).to_string()
        } else {
            self.text.clone()
        }
    }
}

fn notices(opening: &Opening, folder: &Path) -> Vec<Notice> {
    let mut notices = Vec::new();
    let mut notice = |code, text| notices.push(Notice { code, text });
    let folder = folder.display();
    if let Some(from) = opening.migrated_from {
        notice(
            "migrated",
            format!(
                "The store was brought to a newer form; as it was, it lies in before-form-{}.sqlite.",
                from + 1
            ),
        );
    }
    if let Some(salvaged) = &opening.salvaged {
        notice("salvaged", in_words(salvaged));
    }
    if let Some(stale) = opening.stale {
        notice(
            "epoch_due",
            format!(
                "This store {}. It can be read; before it records anything, give its device a new epoch: \
                 wythe begin --new-epoch --store {folder}, with --join and the office's folder for a phone.",
                became(stale)
            ),
        );
    }
    notices
}

fn in_words(salvaged: &Salvaged) -> String {
    let mut text = format!(
        "The store's file was damaged. Saved from it: {} entries, {} of them with their content, {} photos and \
         papers. The damaged file lies in {}.",
        salvaged.facts,
        salvaged.payloads,
        salvaged.originals,
        salvaged.set_aside.display()
    );
    if salvaged.payloads < salvaged.facts {
        text.push_str(" Those without it were erased before, or lost it now.");
    }
    if !salvaged.damaged_originals.is_empty() {
        text.push_str(&format!(
            " {} photos or papers were damaged too and lie set aside.",
            salvaged.damaged_originals.len()
        ));
    }
    text.push_str(" What is missing comes back when another phone or the office carries its entries in.");
    text
}
