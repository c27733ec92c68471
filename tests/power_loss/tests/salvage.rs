//! Power goes while a damaged store is salvaged: the next opening goes on, and saves as much.

#[cfg(test)]
#[path = "../../../core/store/tests/crew/mod.rs"]
mod crew;

use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;

use crew::{JOB, Phone, named, paper};
use wythe_job::{Digest, FactId};
use wythe_store::{Disk as _, Log as _, Opening, Options, SqliteLog, StoreError};
use wythe_test_power_loss::disk::{PowerDisk, Trouble};
use wythe_test_power_loss::file_layer;

const FOLDER: &str = "/phone/store";

#[cfg(test)]
fn open(disk: &PowerDisk) -> Result<(SqliteLog, Opening), StoreError> {
    let options = Options {
        disk: Arc::new(disk.clone()),
        file_layer: Some("salvage".into()),
        ..Options::new(b"this phone".to_vec(), [1; 16])
    };
    SqliteLog::open(Path::new(FOLDER), options)
}

/// A store whose file lost its twelfth page, with a journal; gives the original in it.
#[cfg(test)]
fn damaged(disk: &PowerDisk, seed: u64) -> Digest {
    disk.reset(seed);
    let (mut log, _) = open(disk).unwrap();
    let original = log
        .originals()
        .put(&mut &b"a ticket"[..], "t.pdf", "application/pdf")
        .unwrap();
    let mut phone = Phone::new(1);
    log.append(&phone.answers(JOB, 60)).unwrap();
    log.append(&[phone.record(JOB, paper(named(original.digest, 8)))])
        .unwrap();
    log.pause().unwrap();
    log.resume().unwrap();
    log.append(&phone.answers(JOB, 5)).unwrap();
    drop(log);
    let mut file = disk.write(&Path::new(FOLDER).join("log.sqlite")).unwrap();
    file.seek(std::io::SeekFrom::Start(0)).unwrap();
    file.write_all(&[0xee; 4096]).unwrap();
    file.seek(std::io::SeekFrom::Start(24 * 4096)).unwrap();
    file.write_all(&[0xee; 4096]).unwrap();
    file.sync().unwrap();
    original.digest
}

#[cfg(test)]
fn ids(log: &SqliteLog) -> Vec<FactId> {
    let mut ids: Vec<_> = log
        .arrivals(0, 1_000)
        .unwrap()
        .iter()
        .map(|arrival| arrival.fact.id())
        .collect();
    ids.sort_unstable();
    ids
}

#[test]
fn a_salvage_cut_off_at_any_moment_is_done_again() {
    let disk = PowerDisk::new(0);
    file_layer::register("salvage", &disk).unwrap();
    damaged(&disk, 0);
    let before = disk.operations();
    let (log, opening) = open(&disk).unwrap();
    assert!(opening.salvaged.is_some());
    let operations = disk.operations() - before;
    let saved = ids(&log);
    assert!(saved.len() > 40);
    drop(log);
    for after in 1..=operations {
        let original = damaged(&disk, after);
        disk.plan(after, Trouble::Cut);
        let cut_off = open(&disk).map(drop);
        assert!(cut_off.is_err() || !disk.is_off(), "cut at {after}");
        disk.power_on();
        let (log, _) = open(&disk).unwrap_or_else(|error| panic!("cut at {after}: {error}"));
        assert_eq!(ids(&log), saved, "cut at {after}");
        log.check().unwrap();
        log.originals().verify(original).unwrap();
        let aside = Path::new(FOLDER).join("set-aside");
        let kept = disk.list(&aside).unwrap().iter().any(|name| {
            let mut bytes = Vec::new();
            disk.read(&aside.join(name))
                .unwrap()
                .read_to_end(&mut bytes)
                .unwrap();
            bytes.get(..64) == Some(&[0xee; 64][..])
        });
        assert!(kept, "cut at {after}: the damaged file is set aside, not deleted");
        drop(log);
        assert_eq!(
            open(&disk).unwrap().1.salvaged,
            None,
            "cut at {after}: once is enough"
        );
    }
}
