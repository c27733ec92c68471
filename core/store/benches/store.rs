//! Opening a large store, reading and folding a long job, checking many signatures.
//!
//! `WYTHE_FACTS=n` sets how many facts the store has; making them is not measured.

#![expect(clippy::expect_used, reason = "a bench that cannot go on stops")]

use std::error::Error;
use std::hint::black_box;
use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use ed25519_dalek::SigningKey;
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Answered, BusinessId, Chain, DeviceId, Draft, Fact, Facts, Keeper, Measured, Moment, PersonId,
    Stamp, Stream, Value, fold,
};
use wythe_store::{Log as _, Options, SqliteLog, StoreError};

/// How many facts the large store has unless `WYTHE_FACTS` says otherwise.
const FACTS: u32 = 1_000_000;
/// Opening it: gate 100 ms, goal 20 ms.
const OPEN_GATE: Duration = Duration::from_millis(100);
const FACTS_OF_A_JOB: u32 = 1_000;
const SIGNATURES: u32 = 100_000;

fn keeper() -> Keeper {
    Keeper {
        business: BusinessId([7; 16]),
        chain: Chain {
            device: DeviceId([1; 16]),
            epoch: 1,
        },
        key: SigningKey::from_bytes(&[1; 32]),
    }
}

fn stream(job: u32) -> Stream {
    let mut id = [0; 16];
    for (to, from) in id.iter_mut().zip(job.to_be_bytes()) {
        *to = from;
    }
    Stream(id)
}

/// A job of so many answers to a hundred asks, each replacing nothing.
fn job(number: u32, count: u32) -> Vec<Fact> {
    let keeper = keeper();
    let mut last = None;
    let mut facts = Vec::new();
    for n in 0..count {
        let draft = Draft {
            stream: stream(number),
            person: PersonId([1; 16]),
            at: Moment {
                utc_ms: i64::from(n) * 1_000,
                offset_min: -420,
            },
            stamp: Stamp {
                ms: i64::from(n) * 1_000,
                counter: 0,
            },
            replaces: Vec::new(),
            body: Answered {
                address: Address::of("chimney.tile_width").at("tile_section", n % 100 + 1),
                value: Value::Quantity {
                    dimension: "length".into(),
                    si: Number(0.288_925 + f64::from(n) / 1e6),
                },
                measured: Measured {
                    typed: Some("11 3/8 in".into()),
                    unit: Some("in".into()),
                    ..Measured::default()
                },
                visit: None,
            }
            .into(),
            salt: [3; 16],
        };
        let fact = keeper
            .sign(draft, last, Vec::new())
            .expect("a made fact keeps the rules");
        last = Some((fact.envelope().number, fact.id()));
        facts.push(fact);
    }
    facts
}

fn options() -> Options {
    Options::new(b"bench".to_vec(), [1; 16])
}

fn make(folder: &Path, count: u32) -> Result<(), StoreError> {
    let (mut log, _) = SqliteLog::open(folder, options())?;
    for number in 0..count.div_ceil(FACTS_OF_A_JOB) {
        log.append(&job(number, FACTS_OF_A_JOB))?;
    }
    log.pause()
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let asked = std::env::var("WYTHE_FACTS").ok();
    let count = asked.and_then(|count| count.parse().ok()).unwrap_or(FACTS);
    let folder = tempfile::tempdir()?;
    let place = folder.path();
    make(place, count)?;
    let gate = Some(OPEN_GATE);
    let held = told(&format!("open a store of {count} facts"), 30, gate, || {
        let (log, _) = SqliteLog::open(place, options())?;
        Ok(log.last_arrival()?)
    })?;
    told("open it and read a job of 1,000", 30, None, || {
        let (log, _) = SqliteLog::open(place, options())?;
        Ok(log.facts(stream(0))?.len())
    })?;
    let (log, _) = SqliteLog::open(place, options())?;
    told("read a job of 1,000 again, and fold it", 30, None, || {
        Ok(fold(&*log.facts(stream(0))?).heads.len())
    })?;
    let facts: Facts = job(0, FACTS_OF_A_JOB).into_iter().collect();
    told("fold a job of 1,000", 30, None, || {
        Ok(fold(black_box(&facts)).heads.len())
    })?;
    let few = job(0, SIGNATURES / 100);
    let key = keeper().key.verifying_key();
    told("verify 100,000 signatures", 3, None, || {
        let rounds = (0..100).flat_map(|_| &few);
        Ok(rounds.filter(|fact| fact.verify(&key).is_ok()).count())
    })?;
    Ok(if held {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

/// Times something so many times and says the quickest and the middle one; whether the middle one is
/// within its gate, if there is one.
fn told<T>(
    what: &str,
    turns: usize,
    gate: Option<Duration>,
    work: impl Fn() -> Result<T, Box<dyn Error>>,
) -> Result<bool, Box<dyn Error>> {
    let mut times = Vec::new();
    for _ in 0..turns {
        let begun = Instant::now();
        black_box(work()?);
        times.push(begun.elapsed());
    }
    times.sort_unstable();
    let quickest = times.first().copied().unwrap_or_default();
    let median = times.get(times.len() / 2).copied().unwrap_or_default();
    let mut out = std::io::stdout().lock();
    write!(out, "{what}: median {median:.3?}, quickest {quickest:.3?}")?;
    let Some(gate) = gate else {
        writeln!(out)?;
        return Ok(true);
    };
    let share = median.as_secs_f64() / gate.as_secs_f64();
    writeln!(out, "; {share:.2} of the gate {gate:?}")?;
    Ok(share <= 1.0)
}
