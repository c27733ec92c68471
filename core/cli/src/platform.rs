//! What the command line owns: the clock, chance, and the key box of a folder.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use wythe_app::job::Moment;
use wythe_app::store::{Options, SqliteLog, instance_of};
use wythe_app::{App, Chance, JobProjector, OpenBox, SeededChance, Services, TimeSource};

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

/// Opens the store in a folder with the machine's own services.
pub fn open(folder: &Path) -> Result<App<SqliteLog>, Trouble> {
    let services = Services {
        time: Box::new(MachineClock),
        chance: Box::new(MachineChance),
        keys: Box::new(OpenBox),
    };
    open_with(folder, services)
}

/// Opens a store that a phone or an office has begun: a mistyped folder must not make a new one.
pub fn open_begun(folder: &Path) -> Result<App<SqliteLog>, Trouble> {
    if !folder.is_dir() {
        let what = folder.display().to_string();
        return Err(Trouble::File {
            what,
            why: "there is no store here; make one with wythe begin".to_owned(),
        });
    }
    let app = open(folder)?;
    app.business()?;
    Ok(app)
}

/// Opens a store for a scenario: its clock, and chance from a seed.
pub fn open_set(folder: &Path, clock: SetClock, seed: u64) -> Result<App<SqliteLog>, Trouble> {
    let chance = Box::new(SeededChance::new(seed));
    open_with(
        folder,
        Services {
            time: Box::new(clock),
            chance,
            keys: Box::new(OpenBox),
        },
    )
}

fn open_with(folder: &Path, services: Services) -> Result<App<SqliteLog>, Trouble> {
    let instance = instance_of(folder).map_err(|why| Trouble::file(folder.display().to_string(), &why))?;
    let mut chance = [0; 16];
    services.chance.fill(&mut chance);
    let options = Options::new(instance, chance).projecting(Arc::new(JobProjector));
    let (log, _opening) = SqliteLog::open(folder, options).map_err(wythe_app::AppError::from)?;
    Ok(App::open(log, services)?)
}
