//! Appending one fact, durably, against a bare SQLite insert of the same bytes (WAL, synchronous FULL).
//!
//! The two take turns within one run, because the time of an fsync changes from minute to minute.
//! Fails above the gate of 1.5; the goal is 1.3.

#![expect(clippy::expect_used, reason = "a bench that cannot go on stops")]
#![expect(
    clippy::disallowed_methods,
    reason = "the bare insert knows nothing of the store"
)]

use std::error::Error;
use std::io::Write as _;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use ed25519_dalek::SigningKey;
use rusqlite::{Connection, TransactionBehavior};
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Answered, BusinessId, Chain, DeviceId, Draft, Fact, Facts, Keeper, Measured, Moment, PersonId,
    Stamp, Stream, Value,
};
use wythe_store::{Log as _, Options, SqliteLog};

const TURNS: u32 = 2_000;
/// A job has a few hundred answers.
const FACTS_OF_A_JOB: u32 = 250;
const GATE: f64 = 1.5;

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let options = Options::new(b"bench".to_vec(), [1; 16]);
    let (mut log, _) = SqliteLog::open(&folder.path().join("store"), options)?;
    let mut bare = Connection::open(folder.path().join("bare.sqlite"))?;
    bare.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON;
         CREATE TABLE facts (arrival INTEGER PRIMARY KEY, bytes BLOB NOT NULL) STRICT;",
    )?;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    let mut chain = Facts::new();
    for turn in 0..TURNS {
        if turn.is_multiple_of(FACTS_OF_A_JOB) {
            chain = Facts::new();
        }
        let fact = answer(&chain, turn / FACTS_OF_A_JOB, turn);
        chain.insert(fact.clone());
        let bytes = fact.encode();
        let mut append = || -> Result<(), Box<dyn Error>> {
            let start = Instant::now();
            log.append(std::slice::from_ref(&fact))?;
            ours.push(start.elapsed());
            Ok(())
        };
        let mut insert = || -> Result<(), Box<dyn Error>> {
            let start = Instant::now();
            let transaction = bare.transaction_with_behavior(TransactionBehavior::Immediate)?;
            transaction
                .prepare_cached("INSERT INTO facts (bytes) VALUES (?1)")?
                .execute([&bytes])?;
            transaction.commit()?;
            theirs.push(start.elapsed());
            Ok(())
        };
        if turn.is_multiple_of(2) {
            append()?;
            insert()?;
        } else {
            insert()?;
            append()?;
        }
    }
    // Both of one turn met the same disk: their ratio is steadier than that of two medians.
    let mut ratios: Vec<f64> = ours
        .iter()
        .zip(&theirs)
        .map(|(ours, theirs)| ours.as_secs_f64() / theirs.as_secs_f64())
        .collect();
    ratios.sort_by(f64::total_cmp);
    let ratio = ratios.get(ratios.len() / 2).copied().unwrap_or(f64::INFINITY);
    let (ours, theirs) = (sorted(ours), sorted(theirs));
    let mut out = std::io::stdout().lock();
    for at in [10, 50, 90] {
        let (ours, theirs) = (part(&ours, at), part(&theirs, at));
        writeln!(out, "{at} of 100: append {ours:?}, bare insert {theirs:?}")?;
    }
    writeln!(
        out,
        "ratio, median of the turns: {ratio:.2}; gate {GATE}, goal 1.3"
    )?;
    Ok(if ratio <= GATE {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

fn sorted(mut times: Vec<Duration>) -> Vec<Duration> {
    times.sort_unstable();
    times
}

fn part(times: &[Duration], at: usize) -> Duration {
    times.get(times.len() * at / 100).copied().unwrap_or_default()
}

fn answer(chain: &Facts, job: u32, turn: u32) -> Fact {
    let keeper = Keeper {
        business: BusinessId([7; 16]),
        chain: Chain {
            device: DeviceId([1; 16]),
            epoch: 1,
        },
        key: SigningKey::from_bytes(&[1; 32]),
    };
    let mut salt = [0; 16];
    for (to, from) in salt.iter_mut().zip(turn.to_be_bytes()) {
        *to = from;
    }
    let mut stream = salt;
    stream.fill(u8::try_from(job % 251).unwrap_or(0));
    let draft = Draft {
        stream: Stream(stream),
        person: PersonId([1; 16]),
        at: Moment {
            utc_ms: i64::from(turn) * 1_000,
            offset_min: -420,
        },
        stamp: Stamp {
            ms: i64::from(turn) * 1_000,
            counter: 0,
        },
        replaces: Vec::new(),
        body: Answered {
            address: Address::of("survey.tile_width"),
            value: Value::Quantity {
                dimension: "length".into(),
                si: Number(0.288_925),
            },
            measured: Measured {
                typed: Some("11 3/8 in".into()),
                unit: Some("in".into()),
                locale: Some("en-US".into()),
                ..Measured::default()
            },
            visit: None,
        }
        .into(),
        salt,
    };
    keeper
        .sign(draft, chain.last(keeper.chain), chain.seen_by(keeper.chain))
        .expect("a made fact keeps the rules")
}
