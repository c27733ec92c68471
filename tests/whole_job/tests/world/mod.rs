//! A business with two phones and a job, without the command line.
#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "each test that shares it uses a part of it, and a test that cannot go on stops"
)]

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use wythe_app::guide::Row;
use wythe_app::guide::readiness::State;
use wythe_app::job::{Address, FactId, JobId, Moment, StrokePoint};
use wythe_app::media::made::{MadePhoto, make};
use wythe_app::store::{MemoryLog, Originals};
use wythe_app::{
    App, AppError, JobProjector, NewDevice, NewJob, OpenBox, Recording, SeededChance, Services, Signing,
    TimeSource,
};

const PROGRAMME: &str = include_str!("../../../../fixtures/programmes/larkspur.toml");

struct Hand(Arc<AtomicI64>);

impl TimeSource for Hand {
    fn now(&self) -> Moment {
        Moment {
            utc_ms: self.0.fetch_add(1_000, Ordering::SeqCst),
            offset_min: -420,
        }
    }
}

pub type Device = App<MemoryLog>;

/// A business with two phones and a job, made the same way each time.
pub struct World {
    pub folder: tempfile::TempDir,
    pub time: Arc<AtomicI64>,
    pub office: Device,
    pub room: Device,
    pub roof: Device,
    pub job: JobId,
}

pub fn device(time: &Arc<AtomicI64>, seed: u64) -> Device {
    let log = MemoryLog::with(Arc::new(JobProjector), Originals::in_memory().unwrap(), true);
    let services = Services {
        time: Box::new(Hand(Arc::clone(time))),
        chance: Box::new(SeededChance::new(seed)),
        keys: Box::new(OpenBox),
    };
    App::open(log, services).unwrap()
}

pub fn named(person: &str, role: &str) -> NewDevice {
    NewDevice {
        person_name: person.into(),
        role: role.into(),
        device_name: person.into(),
    }
}

impl World {
    pub fn new() -> Self {
        Self::under("larkspur", PROGRAMME)
    }

    /// The same under another programme.
    pub fn under(programme: &str, text: &str) -> Self {
        // 2026-03-02, a little after eight in the morning at the site.
        let time = Arc::new(AtomicI64::new(1_772_464_000_000));
        let (mut office, mut room, mut roof) = (device(&time, 1), device(&time, 2), device(&time, 3));
        office
            .begin_business("Ninefold Hearth", &named("Odalys Inkwell", "office"))
            .unwrap();
        office.add_programme(&format!("{programme}.toml"), text).unwrap();
        room.join(&named("Bram Copperkettle", "lead"), |id, key, name| {
            office.enrol(id, key, name)
        })
        .unwrap();
        roof.join(&named("Juniper Ladderby", "installer"), |id, key, name| {
            office.enrol(id, key, name)
        })
        .unwrap();
        let job = office
            .open_job(&NewJob {
                label: "Featherstep".into(),
                address: vec!["12 Nowhere Lane".into()],
                zone: "America/Denver".into(),
                position: None,
                programme: programme.into(),
            })
            .unwrap();
        let folder = tempfile::tempdir().unwrap();
        let mut world = Self {
            folder,
            time,
            office,
            room,
            roof,
            job,
        };
        let begun = world.carried("office");
        world.room.carry_in(&begun).unwrap();
        world.roof.carry_in(&begun).unwrap();
        world
    }

    pub fn carried(&mut self, from: &str) -> PathBuf {
        let path = self.folder.path().join(format!("{from}.wythe"));
        let device = match from {
            "office" => &self.office,
            "room" => &self.room,
            _ => &self.roof,
        };
        device.carry_out(&path).unwrap();
        path
    }

    pub fn photo(&self, name: &str, description: &str) -> PathBuf {
        let photo: MadePhoto = serde_json::from_str(description).unwrap();
        let path = self.folder.path().join(name);
        std::fs::write(&path, make(&photo).unwrap()).unwrap();
        path
    }
}

pub fn at(text: &str) -> Address {
    text.parse().unwrap()
}

pub fn answer(phone: &mut Device, job: JobId, address: &str, typed: &str) {
    phone
        .answer(job, &at(address), typed, &Recording::default())
        .unwrap();
}

pub fn state(device: &Device, job: JobId, row: &str) -> State {
    self::row(device, job, row).state
}

/// The row of a requirement or an ask.
pub fn row(device: &Device, job: JobId, row: &str) -> Row {
    let look = device.look(job, None).unwrap();
    let known = look.known();
    let readiness = look.readiness(&known);
    let found = readiness.rows.iter().find(|found| found.id == row);
    found.unwrap().clone()
}

/// Shows the signer what is to be signed, and signs it.
pub fn sign(phone: &mut Device, job: JobId, address: &str, act: &str) -> Result<FactId, AppError> {
    let look = phone.look(job, None)?;
    let shown = phone.to_sign(&look, &at(address))?.shown;
    let point = |x, y, ms| StrokePoint {
        x,
        y,
        ms,
        pressure: Some(400),
    };
    let signing = Signing {
        shown,
        act: act.to_owned(),
        name: "Tansy Featherstep".to_owned(),
        strokes: if act == "signed" {
            vec![vec![point(10, 20, 0), point(400, 90, 180)]]
        } else {
            Vec::new()
        },
        position: None,
        copy_given: Some(true),
    };
    phone.sign_off(job, &at(address), signing)
}
