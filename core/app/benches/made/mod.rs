//! A long job, made of the demonstration's own answers and photos, through the use cases alone.

use std::error::Error;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use toml::{Table, Value};
use wythe_app::job::{Address, JobId, Moment};
use wythe_app::media::made::{MadePhoto, make};
use wythe_app::store::{Log as _, Options, SqliteLog};
use wythe_app::{
    App, AppError, JobProjector, NewDevice, NewJob, OpenBox, PhotoOptions, Recording, SeededChance, Services,
    TimeSource,
};

pub type Outcome<T> = Result<T, Box<dyn Error>>;
pub type Phone = App<SqliteLog>;

const SCENARIO: &str = include_str!("../../../../fixtures/scenarios/larkspur.toml");
const PROGRAMME: &str = include_str!("../../../../fixtures/programmes/larkspur.toml");

/// A minute later each time it is asked.
struct Hand(AtomicI64);

impl TimeSource for Hand {
    fn now(&self) -> Moment {
        Moment {
            utc_ms: self.0.fetch_add(60_000, Ordering::SeqCst),
            offset_min: -420,
        }
    }
}

/// How long a job.
#[derive(Debug, Clone, Copy)]
pub struct Length {
    /// At least so many facts.
    pub facts: usize,
    /// So many photos,
    pub photos: usize,
    /// each of so many pixels across and down.
    pub pixels: (u32, u32),
}

/// Says the middle time and the quickest as shares of a gate; whether the middle one is within it.
pub fn told(what: &str, mut times: Vec<Duration>, gate: Duration) -> Outcome<bool> {
    times.sort_unstable();
    let at = |place: usize| times.get(place).copied().unwrap_or_default();
    let (quickest, median) = (at(0), at(times.len() / 2));
    let share = |time: Duration| time.as_secs_f64() / gate.as_secs_f64();
    writeln!(
        std::io::stdout(),
        "{what:>26}: median {median:>9.3?}, {:.2} of the gate; quickest {quickest:>9.3?}, {:.2}",
        share(median),
        share(quickest)
    )?;
    Ok(share(median) <= 1.0)
}

/// Opens a store in a folder and plays the job into it.
pub fn job(folder: &Path, length: Length) -> Outcome<(Phone, JobId)> {
    let options = Options::new(b"bench".to_vec(), [1; 16]).projecting(Arc::new(JobProjector));
    let (log, _) = SqliteLog::open(&folder.join("store"), options)?;
    let services = Services {
        // 2026-03-02, in the morning at the site.
        time: Box::new(Hand(AtomicI64::new(1_772_464_000_000))),
        chance: Box::new(SeededChance::new(7)),
        keys: Box::new(OpenBox),
    };
    let mut phone = App::open(log, services)?;
    let scenario: Table = SCENARIO.parse()?;
    let job = begin(&mut phone, &scenario)?;
    let acts = tables(&scenario, "act");
    let answers: Vec<(Address, &str)> = acts.iter().copied().flat_map(answers).collect();
    for (address, typed) in &answers {
        answer(&mut phone, job, address, typed)?;
    }
    for act in &acts {
        if let Some(figures) = act.get("keep").and_then(Value::as_str) {
            // Timers are not played here: figures that rest on one are not there.
            match phone.keep_figures(job, figures) {
                Ok(_) | Err(AppError::FiguresOpen(_) | AppError::NotOneOf { .. }) => {}
                Err(why) => return Err(why.into()),
            }
        }
    }
    photos(&mut phone, job, &acts, length, folder)?;
    // A tall chimney, measured section by section; then everything once more, until it is long enough.
    let widths = (3..=30).map(|section| ("survey.tile_inside_a", section));
    let depths = (3..=30).map(|section| ("survey.tile_inside_b", section));
    let sections: Vec<(Address, &str)> = widths
        .chain(depths)
        .map(|(ask, section)| (Address::of(ask).at("tile_section", section), "10 3/8 in"))
        .collect();
    for (address, typed) in sections.iter().chain(&answers).cycle() {
        if phone.log().facts(job.into())?.len() >= length.facts {
            break;
        }
        answer(&mut phone, job, address, typed)?;
    }
    Ok((phone, job))
}

fn begin(phone: &mut Phone, scenario: &Table) -> Outcome<JobId> {
    let device = NewDevice {
        person_name: "Bram Copperkettle".into(),
        role: "lead".into(),
        device_name: "room".into(),
    };
    phone.begin_business("Ninefold Hearth", &device)?;
    phone.add_programme("larkspur.toml", PROGRAMME)?;
    for entry in tables(scenario, "library") {
        let content = serde_json::to_string(entry.get("content").ok_or("an entry without content")?)?;
        phone.keep_in_library(text(entry, "sort")?, text(entry, "id")?, &content)?;
    }
    Ok(phone.open_job(&NewJob {
        label: "Featherstep, 12 Nowhere Lane".into(),
        address: vec!["12 Nowhere Lane".into(), "Larkspur Basin".into()],
        zone: "America/Denver".into(),
        position: None,
        programme: "larkspur".into(),
    })?)
}

fn answer(phone: &mut Phone, job: JobId, address: &Address, typed: &str) -> Outcome<()> {
    let how = Recording {
        anyway: Some("as the demonstration has it".into()),
        ..Recording::default()
    };
    phone.answer(job, address, typed, &how)?;
    Ok(())
}

/// The demonstration's photos, again and again from another side until there are enough.
fn photos(phone: &mut Phone, job: JobId, acts: &[&Table], length: Length, folder: &Path) -> Outcome<()> {
    let scenes = acts.iter().filter(|act| act.contains_key("photo"));
    let file = folder.join("photo.jpg");
    for (view, act) in (1..).zip(scenes.cycle().take(length.photos)) {
        let mut scene: MadePhoto = act
            .get("scene")
            .ok_or("a photo without scene")?
            .clone()
            .try_into()?;
        (scene.seed, scene.view) = (11, view);
        (scene.width, scene.height) = length.pixels;
        std::fs::write(&file, make(&scene)?)?;
        let address: Address = text(act, "photo")?.parse()?;
        phone.add_photo(job, &address, &file, &PhotoOptions::default())?;
    }
    Ok(())
}

fn answers(act: &Table) -> Vec<(Address, &str)> {
    let lines = act.get("answers").and_then(Value::as_array).into_iter().flatten();
    let pairs = lines.filter_map(|line| match line.as_array()?.as_slice() {
        [address, typed] => Some((address.as_str()?.parse().ok()?, typed.as_str()?)),
        _ => None,
    });
    pairs.collect()
}

fn tables<'t>(scenario: &'t Table, name: &str) -> Vec<&'t Table> {
    let list = scenario.get(name).and_then(Value::as_array).into_iter().flatten();
    list.filter_map(Value::as_table).collect()
}

fn text<'t>(table: &'t Table, name: &str) -> Outcome<&'t str> {
    let found = table.get(name).and_then(Value::as_str);
    Ok(found.ok_or_else(|| format!("the scenario has no {name}"))?)
}
