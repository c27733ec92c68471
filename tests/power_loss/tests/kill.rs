//! A process that appends and says what was acknowledged is killed at any moment, a hundred times over
//! the same store.

#[cfg(test)]
#[path = "../../../core/store/tests/crew/mod.rs"]
mod crew;

use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader};
use std::process::{Command, Stdio};
use std::time::Duration;

use crew::Chance;
use wythe_job::{Digest, FactId, Stream};
use wythe_store::{Log as _, Opening, Options, Page, SqliteLog};

const ROUNDS: u8 = 100;

#[test]
fn what_a_killed_process_had_acknowledged_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let mut chance = Chance::of(4);
    let (mut facts, mut originals) = (BTreeSet::new(), BTreeSet::new());
    for round in 1..=ROUNDS {
        let mut child = Command::new(env!("CARGO_BIN_EXE_append_until_killed"))
            .arg(folder.path())
            .arg(round.to_string())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = chance.below(20);
        let mut said = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut heard: Vec<String> = said.by_ref().take(lines).map_while(Result::ok).collect();
        assert_eq!(heard.len(), lines, "round {round}: it works until it is killed");
        std::thread::sleep(Duration::from_micros(chance.next() % 4_000));
        child.kill().unwrap();
        child.wait().unwrap();
        heard.extend(said.map_while(Result::ok));
        for line in &heard {
            match line.split_once(' ') {
                Some(("fact", id)) => facts.extend(FactId::from_hex(id)),
                Some(("original", digest)) => originals.extend(Digest::from_hex(digest)),
                _ => {}
            }
        }
        if round % 10 != 0 {
            // The next process itself takes over from the killed one.
            continue;
        }
        let (mut log, opening) =
            SqliteLog::open(folder.path(), Options::new(b"here".to_vec(), [0; 16])).unwrap();
        assert_eq!(opening, Opening::default(), "round {round}");
        log.check().unwrap();
        for id in &facts {
            assert!(
                log.fact(*id).unwrap().is_some(),
                "round {round}: {id} was acknowledged"
            );
        }
        for digest in &originals {
            log.originals().verify(*digest).unwrap();
        }
        for job in 1..=round {
            let held = log.facts(Stream([job; 16])).unwrap();
            assert_eq!(held.gaps(), [], "round {round}: no chain has a hole");
        }
        let kept_up = log.summaries(&Page::default()).unwrap();
        log.rebuild_projections().unwrap();
        assert_eq!(log.summaries(&Page::default()).unwrap(), kept_up);
    }
    assert!(
        facts.len() > 300 && originals.len() > 100,
        "{} facts were acknowledged",
        facts.len()
    );
}
