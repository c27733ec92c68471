//! What the log in a file promises beyond what every log does.

#[cfg(test)]
mod crew;

use std::path::Path;
use std::sync::Arc;

use crew::{JOB, OTHER_JOB, Phone, Tally, erased, named, paper};
use rusqlite::Connection;
use wythe_job::{DeviceId, Fact, digest_of};
use wythe_store::{Identity, Log as _, Opening, Options, Page, SqliteLog, Stale, StoreError};

#[cfg(test)]
fn options() -> Options {
    Options::new(b"this phone".to_vec(), [1; 16]).projecting(Arc::new(Tally(1)))
}

#[cfg(test)]
fn open(folder: &Path) -> (SqliteLog, Opening) {
    SqliteLog::open(folder, options()).unwrap()
}

#[cfg(test)]
fn identity(epoch: u32) -> Identity {
    Identity {
        device: DeviceId([1; 16]),
        epoch,
        wrapped_key: vec![epoch.to_be_bytes()[3]; 40],
    }
}

/// A store with some of everything, and the facts in it.
#[cfg(test)]
fn filled(folder: &Path) -> Vec<Fact> {
    let (mut log, _) = open(folder);
    let mut phone = Phone::new(1);
    log.set_identity(&identity(1)).unwrap();
    let digest = log
        .originals()
        .put(&mut &b"a certificate"[..], "c.pdf", "application/pdf")
        .unwrap()
        .digest;
    let mut facts = phone.answers(JOB, 30);
    facts.extend(phone.answers(OTHER_JOB, 10));
    facts.push(phone.record(JOB, paper(named(digest, 13))));
    log.append(&facts).unwrap();
    let erasure = phone.record(JOB, erased(facts[4].id(), None));
    log.erase(&erasure).unwrap();
    facts[4] = facts[4].without_payload();
    facts.push(erasure);
    log.draft_put(JOB, "survey.tile_width", "11 3").unwrap();
    facts
}

#[cfg(test)]
fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

#[cfg(test)]
fn holds(log: &SqliteLog, facts: &[Fact]) {
    for fact in facts {
        assert_eq!(log.fact(fact.id()).unwrap().as_ref(), Some(fact));
    }
    assert_eq!(log.arrivals(0, 10_000).unwrap().len(), facts.len());
}

#[test]
fn the_file_itself_refuses_what_is_no_append() {
    let folder = tempfile::tempdir().unwrap();
    let facts = filled(folder.path());
    let plain = Connection::open(folder.path().join("log.sqlite")).unwrap();
    let refused = [
        "UPDATE facts SET kind = 'noted'",
        "UPDATE facts SET envelope = x'00' WHERE arrival = 3",
        "UPDATE OR REPLACE facts SET id = (SELECT id FROM facts WHERE arrival = 1) WHERE arrival = 2",
        "UPDATE facts SET arrival = arrival + 1000",
        "DELETE FROM facts",
        "DELETE FROM facts WHERE arrival = 42",
        "REPLACE INTO facts SELECT * FROM facts WHERE arrival = 3",
        "INSERT OR REPLACE INTO facts SELECT arrival, id, stream, 'noted', envelope, signature, sum
           FROM facts WHERE arrival = 3",
        "INSERT OR REPLACE INTO facts SELECT 1000, id, stream, kind, envelope, signature, sum
           FROM facts WHERE arrival = 3",
        "INSERT OR IGNORE INTO facts SELECT 7, randomblob(32), stream, kind, envelope, signature, sum
           FROM facts WHERE arrival = 3",
        "INSERT INTO facts SELECT arrival, id, stream, kind, envelope, signature, sum
           FROM facts WHERE arrival = 3 ON CONFLICT DO UPDATE SET kind = 'noted'",
        "UPDATE payloads SET bytes = x'00'",
        "UPDATE payloads SET arrival = 2000 WHERE arrival = 3",
        "DELETE FROM payloads",
        "DELETE FROM payloads WHERE arrival = 3",
        "REPLACE INTO payloads SELECT arrival, x'00' FROM payloads WHERE arrival = 3",
        "INSERT INTO payloads SELECT arrival, x'00' FROM payloads WHERE true
           ON CONFLICT DO UPDATE SET bytes = excluded.bytes",
        "DELETE FROM erasures",
        "UPDATE erasures SET target = zeroblob(32)",
        "INSERT INTO erasures SELECT id, 3 FROM facts WHERE arrival = 3",
        "REPLACE INTO erasures SELECT id, 1 FROM facts WHERE arrival = 3",
        "INSERT INTO payloads VALUES (1000, x'00')",
        "INSERT INTO facts VALUES (43, 'text', zeroblob(16), 'k', x'', zeroblob(64), zeroblob(8))",
        "INSERT INTO facts VALUES (43, zeroblob(31), zeroblob(16), 'k', x'', zeroblob(64), zeroblob(8))",
    ];
    for sql in refused {
        for triggers in ["OFF", "ON"] {
            plain
                .execute_batch(&format!("PRAGMA recursive_triggers = {triggers}"))
                .unwrap();
            assert!(plain.execute_batch(sql).is_err(), "taken: {sql}");
        }
    }
    drop(plain);
    let (log, opening) = open(folder.path());
    assert_eq!(opening, Opening::default());
    holds(&log, &facts);
    log.check().unwrap();
}

#[test]
fn what_lies_deeper_is_found_by_the_hashes() {
    let folder = tempfile::tempdir().unwrap();
    let facts = filled(folder.path());
    let plain = Connection::open(folder.path().join("log.sqlite")).unwrap();
    let trigger: String = plain
        .query_row(
            "SELECT sql FROM sqlite_schema WHERE name = 'payloads_do_not_change'",
            [],
            |row| row.get(0),
        )
        .unwrap();
    plain
        .execute_batch(&format!(
            "DROP TRIGGER payloads_do_not_change;
             UPDATE payloads SET bytes = (SELECT bytes FROM payloads WHERE arrival = 1) WHERE arrival = 2;
             {trigger}"
        ))
        .unwrap();
    drop(plain);
    let (log, opening) = open(folder.path());
    assert_eq!(opening.salvaged, None);
    let found = log.fact(facts[1].id()).unwrap_err();
    assert_eq!(found.code(), "store_damaged");
    assert_eq!(log.check().unwrap_err().code(), "store_damaged");
    drop(log);
    let (log, opening) = open(folder.path());
    assert_eq!(opening.salvaged.unwrap().facts, 42);
    assert_eq!(
        log.fact(facts[1].id()).unwrap().unwrap().payload(),
        None,
        "to be filled by the office"
    );
    assert_eq!(log.fact(facts[0].id()).unwrap().as_ref(), Some(&facts[0]));
}

#[test]
fn a_file_whose_guards_were_taken_away_is_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let facts = filled(folder.path());
    let plain = Connection::open(folder.path().join("log.sqlite")).unwrap();
    plain.execute_batch("DROP TRIGGER facts_stay").unwrap();
    drop(plain);
    let (log, opening) = open(folder.path());
    let salvaged = opening.salvaged.unwrap();
    assert!(salvaged.set_aside.exists());
    holds(&log, &facts);
    drop(log);
    let guards = Connection::open(folder.path().join("log.sqlite")).unwrap();
    assert!(guards.execute_batch("DELETE FROM facts").is_err());
}

#[test]
fn an_erased_payload_is_in_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let (mut log, _) = open(folder.path());
    let mut phone = Phone::new(1);
    let words = "Quillon Featherstonehaugh-Underbrook";
    let secret = phone.answer(JOB, words);
    let long = phone.record(
        JOB,
        wythe_job::Noted {
            about: None,
            text: words.repeat(400),
        },
    );
    log.append(&[secret.clone(), long.clone()]).unwrap();
    log.append(&phone.answers(JOB, 300)).unwrap();
    let found = |folder: &Path| {
        let mut files = Vec::new();
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file()
                && std::fs::read(&path)
                    .unwrap()
                    .windows(words.len())
                    .any(|part| part == words.as_bytes())
            {
                files.push(path);
            }
        }
        files
    };
    assert!(!found(folder.path()).is_empty());
    for fact in [&secret, &long] {
        let erasure = phone.record(JOB, erased(fact.id(), None));
        log.erase(&erasure).unwrap();
    }
    assert_eq!(found(folder.path()), Vec::<std::path::PathBuf>::new());
}

#[test]
fn a_store_is_open_in_one_place_at_a_time() {
    let folder = tempfile::tempdir().unwrap();
    let (mut log, opening) = open(folder.path());
    assert!(opening.created);
    let second = SqliteLog::open(folder.path(), options());
    assert!(matches!(second, Err(StoreError::InUse)));
    log.pause().unwrap();
    let (other, _) = open(folder.path());
    assert!(matches!(log.resume(), Err(StoreError::InUse)));
    drop(other);
    log.resume().unwrap();
    log.append(&Phone::new(1).answers(JOB, 1)).unwrap();
}

#[test]
fn a_closed_store_is_one_file_without_a_journal() {
    let folder = tempfile::tempdir().unwrap();
    let (mut log, _) = open(folder.path());
    log.append(&Phone::new(1).answers(JOB, 20)).unwrap();
    log.pause().unwrap();
    assert!(!folder.path().join("log.sqlite-wal").exists());
    let alone = tempfile::tempdir().unwrap();
    std::fs::copy(folder.path().join("log.sqlite"), alone.path().join("log.sqlite")).unwrap();
    assert_eq!(open(alone.path()).0.facts(JOB).unwrap().len(), 20);
}

#[test]
fn a_newer_file_is_refused_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    filled(folder.path());
    let path = folder.path().join("log.sqlite");
    Connection::open(&path)
        .unwrap()
        .pragma_update(None, "user_version", 99)
        .unwrap();
    let before = std::fs::read(&path).unwrap();
    for _ in 0..2 {
        let refused = SqliteLog::open(folder.path(), options()).map(drop).unwrap_err();
        assert!(
            matches!(refused, StoreError::Newer { found: 99, .. }),
            "{refused}"
        );
    }
    assert_eq!(std::fs::read(&path).unwrap(), before);
    assert!(!folder.path().join("set-aside").exists());
}

#[test]
fn a_copy_on_another_device_begins_a_new_epoch() {
    let (folder, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let facts = filled(folder.path());
    copy(folder.path(), elsewhere.path());
    let generation = open(folder.path()).0.generation().unwrap();
    let other = Options::new(b"another phone".to_vec(), [2; 16]);
    let (mut log, opening) = SqliteLog::open(elsewhere.path(), other.clone()).unwrap();
    assert_eq!(opening.stale, Some(Stale::Copied));
    holds(&log, &facts);
    assert_ne!(log.generation().unwrap(), generation);
    assert_eq!(log.set_identity(&identity(1)).unwrap_err().code(), "old_epoch");
    drop(log);
    let (reopened, opening) = SqliteLog::open(elsewhere.path(), other.clone()).unwrap();
    assert_eq!(opening.stale, Some(Stale::Copied), "until the new epoch is there");
    log = reopened;
    log.set_identity(&identity(2)).unwrap();
    assert_eq!(log.stale().unwrap(), None);
    drop(log);
    assert_eq!(SqliteLog::open(elsewhere.path(), other).unwrap().1.stale, None);
    assert_eq!(open(folder.path()).1.stale, None, "the first phone goes on");
}

#[test]
fn a_store_put_back_from_a_copy_begins_a_new_epoch() {
    let (folder, backup) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let facts = filled(folder.path());
    copy(folder.path(), backup.path());
    let (mut log, _) = open(folder.path());
    let generation = log.generation().unwrap();
    log.append(&Phone::new(2).answers(JOB, 1)).unwrap();
    drop(log);
    for file in ["log.sqlite", "log.sqlite-wal", "log.sqlite-shm"] {
        let _gone = std::fs::remove_file(folder.path().join(file));
    }
    std::fs::copy(backup.path().join("log.sqlite"), folder.path().join("log.sqlite")).unwrap();
    let (mut log, opening) = open(folder.path());
    assert_eq!(opening.stale, Some(Stale::PutBack));
    holds(&log, &facts);
    assert_ne!(
        log.generation().unwrap(),
        generation,
        "cursors of the exchange are void"
    );
    log.set_identity(&identity(2)).unwrap();
    drop(log);
    assert_eq!(open(folder.path()).1, Opening::default());
}

#[test]
fn going_on_as_before_is_no_copy() {
    let folder = tempfile::tempdir().unwrap();
    filled(folder.path());
    let (mut log, opening) = open(folder.path());
    assert_eq!(opening, Opening::default());
    let generation = log.generation().unwrap();
    for round in 0..5 {
        log.append(&Phone::new(round + 10).answers(JOB, 3)).unwrap();
        log.pause().unwrap();
        log.resume().unwrap();
        assert_eq!(log.stale().unwrap(), None);
        assert_eq!(log.generation().unwrap(), generation);
    }
}

#[test]
fn a_newer_projector_makes_the_summaries_anew() {
    let folder = tempfile::tempdir().unwrap();
    filled(folder.path());
    let newer = options().projecting(Arc::new(Tally(2)));
    let (log, opening) = SqliteLog::open(folder.path(), newer.clone()).unwrap();
    assert!(opening.projected_anew);
    assert_eq!(log.summary(OTHER_JOB).unwrap().unwrap().label, "10 of 10, form 2");
    drop(log);
    assert!(!SqliteLog::open(folder.path(), newer).unwrap().1.projected_anew);
}

#[test]
fn summaries_kept_up_are_those_made_anew() {
    let folder = tempfile::tempdir().unwrap();
    let (mut log, _) = open(folder.path());
    let streams: Vec<_> = (1..6).map(|n| wythe_job::Stream([n; 16])).collect();
    let mut phones: Vec<Phone> = (1..4).map(Phone::new).collect();
    let mut facts: Vec<Fact> = Vec::new();
    for round in 0..120usize {
        let stream = streams[round * 7 % streams.len()];
        let phone = &mut phones[round % 3];
        let fact = match round % 11 {
            10 => phone.record(stream, erased(facts[round / 2].id(), None)),
            _ => phone.answer(stream, "3 in"),
        };
        let written = if round % 5 == 0 {
            fact.without_payload()
        } else {
            fact.clone()
        };
        log.receive(&[written]).unwrap();
        if round % 9 == 0 {
            log.receive(&facts).unwrap();
        }
        facts.push(fact);
        if round % 17 == 0 {
            log.pause().unwrap();
            log.resume().unwrap();
        }
    }
    let kept_up = log.summaries(&Page::default()).unwrap();
    assert_eq!(kept_up.len(), streams.len());
    log.rebuild_projections().unwrap();
    assert_eq!(log.summaries(&Page::default()).unwrap(), kept_up);
}

#[test]
fn a_damaged_original_is_set_aside_and_taken_again() {
    let folder = tempfile::tempdir().unwrap();
    let (log, _) = open(folder.path());
    let bytes = b"pixels and more pixels";
    let digest = log
        .originals()
        .put(&mut &bytes[..], "p.jpg", "image/jpeg")
        .unwrap()
        .digest;
    let name = digest.to_string();
    let (outer, inner) = name.split_at(2);
    let place = folder.path().join("originals").join(outer).join(inner);
    std::fs::write(&place, b"pixels and less pixels").unwrap();
    assert_eq!(
        log.originals().verify(digest).unwrap_err().code(),
        "original_damaged"
    );
    assert_eq!(log.originals().check_all().unwrap().damaged, [digest]);
    assert!(!log.originals().has(digest).unwrap());
    std::fs::write(&place, b"pixels and less pixels").unwrap();
    log.originals()
        .put(&mut &bytes[..], "p.jpg", "image/jpeg")
        .unwrap();
    log.originals().verify(digest).unwrap();
    let aside = std::fs::read_dir(folder.path().join("originals/set-aside")).unwrap();
    assert_eq!(aside.count(), 2, "nothing is deleted");
}

#[test]
fn what_a_crash_left_half_copied_is_cleared_away() {
    let folder = tempfile::tempdir().unwrap();
    drop(open(folder.path()));
    let arriving = folder.path().join("originals/arriving");
    std::fs::write(arriving.join("put-0"), b"half a pict").unwrap();
    let digest = digest_of(b"coming in pieces");
    std::fs::write(arriving.join(digest.to_string()), b"coming").unwrap();
    let (log, _) = open(folder.path());
    assert!(!arriving.join("put-0").exists());
    assert_eq!(
        log.originals().arrived_bytes(digest).unwrap(),
        6,
        "what came over the air stays"
    );
}

#[test]
fn there_is_room_or_it_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (log, _) = open(folder.path());
    let storage = log.storage().unwrap();
    assert!(storage.free.is_none_or(|free| free > 0));
    let low = |free| wythe_store::Storage { free }.is_low();
    assert!(low(Some(1_000_000)) && !low(Some(u64::MAX)) && !low(None));
}

#[test]
fn originals_are_taken_back_after_the_file_was_lost() {
    let folder = tempfile::tempdir().unwrap();
    let facts = filled(folder.path());
    let (log, _) = open(folder.path());
    let spoiled = log
        .originals()
        .put(&mut &b"spoiled"[..], "s.jpg", "image/jpeg")
        .unwrap()
        .digest;
    let generation = log.generation().unwrap();
    drop(log);
    let name = spoiled.to_string();
    let (outer, inner) = name.split_at(2);
    std::fs::write(
        folder.path().join("originals").join(outer).join(inner),
        b"spoilt!",
    )
    .unwrap();
    for file in ["log.sqlite", "log.sqlite-wal", "log.sqlite-shm"] {
        let _gone = std::fs::remove_file(folder.path().join(file));
    }
    let (mut log, opening) = open(folder.path());
    let salvaged = opening.salvaged.unwrap();
    let certificate = digest_of(b"a certificate");
    assert_eq!((salvaged.facts, salvaged.originals), (0, 1));
    assert_eq!(salvaged.unnamed_originals, [certificate]);
    assert_eq!(salvaged.damaged_originals, [spoiled]);
    assert_ne!(
        log.generation().unwrap(),
        generation,
        "the office is asked for everything again"
    );
    log.receive(&facts).unwrap();
    holds(&log, &facts);
    assert_eq!(log.named_by(certificate).unwrap().len(), 1);
    log.originals().verify(certificate).unwrap();
    assert_eq!(open_again(log, folder.path()), Opening::default());
}

#[cfg(test)]
fn open_again(log: SqliteLog, folder: &Path) -> Opening {
    drop(log);
    open(folder).1
}
