//! Opening a large store, reading and folding a long job, checking many signatures.
//!
//! `WYTHE_FACTS=n` sets how many facts the store has; making them is not measured.

#![expect(clippy::expect_used, reason = "a bench that cannot go on stops")]

use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use ed25519_dalek::SigningKey;
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Answered, BusinessId, Chain, DeviceId, Draft, Fact, Facts, Keeper, Measured, Moment, PersonId,
    Stamp, Stream, Value, fold,
};
use wythe_store::{Log as _, Options, SqliteLog, StoreError};

/// How many facts the large store has unless `WYTHE_FACTS` says otherwise.
const FACTS: u32 = 100_000;
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

fn large_store(criterion: &mut Criterion) {
    let count = std::env::var("WYTHE_FACTS")
        .ok()
        .and_then(|count| count.parse().ok());
    let count = count.unwrap_or(FACTS);
    let Ok(folder) = tempfile::tempdir() else { return };
    if make(folder.path(), count).is_err() {
        return;
    }
    criterion.bench_function(&format!("open a store of {count} facts"), |bencher| {
        bencher.iter(|| SqliteLog::open(folder.path(), options()).map(|(log, _)| log.last_arrival()));
    });
    criterion.bench_function(
        &format!("open a store of {count} facts and read a job of 1,000"),
        |bencher| {
            bencher.iter(|| {
                let (log, _) = SqliteLog::open(folder.path(), options())?;
                log.facts(stream(0))
            });
        },
    );
    if let Ok((log, _)) = SqliteLog::open(folder.path(), options()) {
        criterion.bench_function(
            "read a job of 1,000 facts that was read before, and fold it",
            |bencher| {
                bencher.iter(|| log.facts(stream(0)).map(|facts| fold(&facts)));
            },
        );
    }
}

fn folding(criterion: &mut Criterion) {
    let facts: Facts = job(0, 1_000).into_iter().collect();
    criterion.bench_function("fold a job of 1,000 facts", |bencher| {
        bencher.iter(|| fold(black_box(&facts)));
    });
}

fn signatures(criterion: &mut Criterion) {
    let facts = job(0, SIGNATURES / 100);
    let key = keeper().key.verifying_key();
    let mut group = criterion.benchmark_group("signatures");
    group.sample_size(10);
    group.bench_function("verify 100,000", |bencher| {
        bencher.iter(|| {
            let rounds = (0..100).flat_map(|_| &facts);
            rounds.filter(|fact| fact.verify(&key).is_ok()).count()
        });
    });
    group.finish();
}

criterion_group!(benches, large_store, folding, signatures);
criterion_main!(benches);
