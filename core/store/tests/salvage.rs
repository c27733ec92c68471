//! A file damaged at random gives back every fact that can still be read in it, and nothing else.
//!
//! What can be read is worked out here from the bytes alone: a row that stands whole and unchanged in a
//! page of the file or its journal. `WYTHE_SEED=n` runs one round.

#[cfg(test)]
mod crew;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use crew::{Chance, JOB, OTHER_JOB, Phone, Tally, answered, erased, named, paper, seeds};
use wythe_job::{Fact, FactId, Noted};
use wythe_store::{Identity, Log as _, Opening, Options, SqliteLog, Stale};

const PAGE: usize = 4096;
const ROUNDS: u64 = 500;
/// The head of a row: its length, its number, its columns' kinds. At most so many bytes here.
const HEAD: usize = 24;

/// Files of a store as they were on the disk, and what was in them.
struct Template {
    files: BTreeMap<&'static str, Vec<u8>>,
    facts: BTreeMap<FactId, Fact>,
    rows: Vec<Row>,
    drafts: Vec<(String, String, Row)>,
}

/// Where a fact's envelope or payload lies.
struct Row {
    fact: FactId,
    is_payload: bool,
    /// Each place has all pieces of the row: file, offset, length.
    places: Vec<Vec<(&'static str, usize, usize)>>,
}

#[cfg(test)]
fn options() -> Options {
    Options::new(b"this phone".to_vec(), [1; 16]).projecting(Arc::new(Tally(1)))
}

/// Makes a store; `journal` leaves its latest part in the journal, as the end of a process does.
#[cfg(test)]
fn template(journal: bool) -> Template {
    let folder = tempfile::tempdir().unwrap();
    let (mut log, _) = SqliteLog::open(folder.path(), options()).unwrap();
    let identity = Identity {
        device: wythe_job::DeviceId([1; 16]),
        epoch: 1,
        wrapped_key: vec![5; 60],
    };
    log.set_identity(&identity).unwrap();
    let mut chance = Chance::of(99);
    let mut phone = Phone::new(1);
    let (mut facts, mut drafts) = (Vec::new(), Vec::new());
    let original = log
        .originals()
        .put(&mut &b"a ticket"[..], "t.pdf", "application/pdf")
        .unwrap();
    for round in 0..14 {
        let mut batch = Vec::new();
        for _ in 0..12 {
            let stream = if chance.below(3) == 0 { OTHER_JOB } else { JOB };
            batch.push(match chance.below(12) {
                0 => {
                    let length = 3_000 + chance.below(12_000);
                    phone.record(
                        stream,
                        Noted {
                            about: None,
                            text: chance.text(length),
                        },
                    )
                }
                1 => phone.record(stream, paper(named(original.digest, original.bytes))),
                2 => {
                    let ask = format!("survey.{}", chance.text(20));
                    phone.record(stream, answered(&ask, &chance.text(60)))
                }
                _ => phone.answer(stream, &chance.text(12)),
            });
        }
        log.append(&batch).unwrap();
        facts.extend(batch);
        let (key, text) = (format!("survey.ask_{round}"), chance.text(30));
        log.draft_put(JOB, &key, &text).unwrap();
        drafts.push((key, text));
        if journal && round == 9 {
            log.pause().unwrap();
            log.resume().unwrap();
        }
    }
    let gone = facts[20].id();
    let erasure = phone.record(facts[20].envelope().stream, erased(gone, None));
    log.erase(&erasure).unwrap();
    facts[20] = facts[20].without_payload();
    facts.push(erasure);
    if journal {
        let more = phone.answers(JOB, 15);
        log.append(&more).unwrap();
        facts.extend(more);
    } else {
        log.pause().unwrap();
    }
    let mut files = BTreeMap::new();
    for name in ["log.sqlite", "log.sqlite-wal", "marker"] {
        if let Ok(bytes) = std::fs::read(folder.path().join(name)) {
            files.insert(name, bytes);
        }
    }
    assert_eq!(files.contains_key("log.sqlite-wal"), journal);
    let mut rows = Vec::new();
    for fact in &facts {
        let mut row = fact.id().0.to_vec();
        row.extend(fact.envelope().stream.0);
        row.extend(fact.envelope().kind.as_bytes());
        row.extend(fact.envelope_bytes());
        row.extend(fact.signature());
        rows.push(Row {
            fact: fact.id(),
            is_payload: false,
            places: places(&files, &row),
        });
        if let Some(payload) = fact.payload() {
            rows.push(Row {
                fact: fact.id(),
                is_payload: true,
                places: places(&files, payload.bytes()),
            });
        }
    }
    assert!(
        rows.iter().all(|row| !row.places.is_empty()),
        "the test knows where each row lies"
    );
    assert!(
        rows.iter().any(|row| row.places[0].len() > 2),
        "some rows run over several pages"
    );
    let drafts = drafts.into_iter().map(|(key, text)| {
        let row = format!("draft{JOB}/{key}{text}");
        let places = places(&files, row.as_bytes());
        let row = Row {
            fact: FactId([0; 32]),
            is_payload: false,
            places,
        };
        (key, text, row)
    });
    let drafts: Vec<_> = drafts.collect();
    assert!(drafts.iter().all(|(_, _, row)| !row.places.is_empty()));
    let facts = facts.into_iter().map(|fact| (fact.id(), fact)).collect();
    Template {
        files,
        facts,
        rows,
        drafts,
    }
}

/// Finds the places of a row by its bytes: whole in a page, or cut up over pages of one file.
#[cfg(test)]
fn places(files: &BTreeMap<&'static str, Vec<u8>>, row: &[u8]) -> Vec<Vec<(&'static str, usize, usize)>> {
    let mut places = Vec::new();
    for (name, bytes) in files {
        for start in find(bytes, &row[..row.len().min(300)]) {
            // The sum after an envelope, and the number of the next page, count as parts of the row.
            let head = start.saturating_sub(HEAD);
            if row.len() < 3_000 {
                places.push(vec![(*name, head, start + row.len() + 8 - head)]);
                continue;
            }
            let mut pieces = vec![(*name, head, PAGE - head % PAGE)];
            let mut rest = &row[common(&bytes[start..], row)..];
            while !rest.is_empty() {
                let Some(next) = find(bytes, &rest[..rest.len().min(200)]).into_iter().next() else {
                    break;
                };
                let length = common(&bytes[next..], rest).min(PAGE - 4);
                pieces.push((*name, next - 4, length + 4));
                rest = &rest[length..];
            }
            if rest.is_empty() {
                places.push(pieces);
            }
        }
    }
    places
}

#[cfg(test)]
fn find(bytes: &[u8], part: &[u8]) -> Vec<usize> {
    let first = part[..8].to_vec();
    let starts = bytes
        .windows(8)
        .enumerate()
        .filter(|(_, window)| *window == first);
    starts
        .map(|(at, _)| at)
        .filter(|at| bytes[*at..].starts_with(part))
        .collect()
}

#[cfg(test)]
fn common(a: &[u8], b: &[u8]) -> usize {
    a.iter().zip(b).take_while(|(a, b)| a == b).count()
}

/// Damages the files; says what was done.
#[cfg(test)]
fn damage(files: &mut BTreeMap<&'static str, Vec<u8>>, chance: &mut Chance) -> String {
    let names: Vec<&'static str> = files.keys().copied().collect();
    let mut done = Vec::new();
    for _ in 0..=chance.below(6) {
        let name = names[chance.below(names.len())];
        let bytes = files.get_mut(name).unwrap();
        if name == "marker" {
            let at = chance.below(bytes.len());
            bytes[at] ^= 1 << chance.below(8);
            done.push("a bit of the marker flipped".to_owned());
            continue;
        }
        let pages = bytes.len() / PAGE;
        let start = chance.below(pages) * PAGE;
        let page = &mut bytes[start..start + PAGE];
        let what = match chance.below(10) {
            0..=2 => {
                page[chance.below(PAGE)] ^= 1 << chance.below(8);
                "a bit flipped"
            }
            3..=5 => {
                let (at, length) = (chance.below(PAGE), 1 + chance.below(600));
                for (to, from) in page[at..].iter_mut().zip(chance.bytes(length)) {
                    *to = from;
                }
                "a part overwritten"
            }
            6 => {
                page.copy_from_slice(&chance.bytes(PAGE));
                "a page overwritten"
            }
            7 => {
                page.fill(0);
                "a page emptied"
            }
            8 => {
                // The page's own head: what kind of page it is and where its rows are.
                for byte in page.iter_mut().take(40) {
                    *byte = chance.bytes(1)[0];
                }
                "a page's head overwritten"
            }
            _ => {
                let length = bytes.len() - chance.below(bytes.len() / 3);
                bytes.truncate(length);
                "cut short"
            }
        };
        done.push(format!("{name} at page {}: {what}", start / PAGE));
    }
    done.join(", ")
}

/// Whether one place of the row stands unchanged.
#[cfg(test)]
fn is_readable(row: &Row, before: &Template, after: &BTreeMap<&'static str, Vec<u8>>) -> bool {
    row.places.iter().any(|pieces| {
        pieces.iter().all(|(name, at, length)| {
            let end = (at + length).min(before.files[name].len());
            after[name].get(*at..end) == before.files[name].get(*at..end)
        })
    })
}

/// Nothing here is about power: where there is a folder in memory, no round waits for a disk.
#[cfg(test)]
fn in_memory() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() {
        tempfile::tempdir_in(memory)
    } else {
        tempfile::tempdir()
    }
    .unwrap()
}

#[cfg(test)]
fn open(folder: &Path, round: &str) -> (SqliteLog, Opening) {
    SqliteLog::open(folder, options()).unwrap_or_else(|error| panic!("{round}: {error}"))
}

#[test]
fn every_fact_that_can_be_read_is_saved() {
    let templates = [template(false), template(true)];
    let (mut salvages, mut lost, mut whole) = (0, 0, 0);
    for seed in seeds(ROUNDS) {
        let mut chance = Chance::of(seed);
        let template = &templates[chance.below(2)];
        let mut files = template.files.clone();
        let what = damage(&mut files, &mut chance);
        let round = format!("WYTHE_SEED={seed} ({what})");
        let folder = in_memory();
        for (name, bytes) in &files {
            std::fs::write(folder.path().join(name), bytes).unwrap();
        }
        let (mut log, mut opening) = open(folder.path(), &round);
        if opening.salvaged.is_none() && log.check().is_err() {
            drop(log);
            (log, opening) = open(folder.path(), &round);
            assert!(
                opening.salvaged.is_some(),
                "{round}: damage that was noted is dealt with"
            );
        }
        log.check().unwrap_or_else(|error| panic!("{round}: {error}"));
        let held = log.arrivals(0, 10_000).unwrap();
        for arrival in &held {
            let fact = &template.facts[&arrival.fact.id()];
            let same = arrival.fact == *fact || arrival.fact == fact.without_payload();
            assert!(same, "{round}: a fact is as it was written");
        }
        let held: BTreeMap<FactId, Fact> = held
            .into_iter()
            .map(|arrival| (arrival.fact.id(), arrival.fact))
            .collect();
        for row in &template.rows {
            let envelope_is_held = held.contains_key(&row.fact);
            let is_held = held
                .get(&row.fact)
                .is_some_and(|fact| !row.is_payload || fact.payload().is_some());
            // A payload without its envelope says nothing.
            if is_readable(row, template, &files) && (!row.is_payload || envelope_is_held) {
                assert!(is_held, "{round}: fact {}, payload {}", row.fact, row.is_payload);
            }
            lost += usize::from(!is_held);
        }
        for (key, text, row) in &template.drafts {
            let found = log.draft_get(JOB, key).unwrap();
            if is_readable(row, template, &files) {
                assert_eq!(found.as_ref(), Some(text), "{round}: what was typed is saved");
            }
            assert!(found.is_none_or(|found| found == *text), "{round}");
        }
        if let Some(salvaged) = opening.salvaged {
            salvages += 1;
            if log.identity().unwrap().is_some() {
                assert_eq!(opening.stale, Some(Stale::Salvaged), "{round}");
            }
            let aside = std::fs::read(&salvaged.set_aside).ok();
            let noted = aside.is_some_and(|bytes| bytes.len() >= files["log.sqlite"].len().min(PAGE));
            assert!(noted, "{round}: the damaged file is set aside");
            drop(log);
            assert_eq!(
                open(folder.path(), &round).1.salvaged,
                None,
                "{round}: once is enough"
            );
        } else {
            whole += 1;
        }
    }
    println!("{salvages} salvaged, {whole} whole, {lost} rows that no salvage could read");
    if std::env::var("WYTHE_SEED").is_err() {
        assert!(salvages > 300 && lost > 500, "the damage was real");
    }
}
