//! Invented phones that record invented facts, for the tests of the store.
#![allow(dead_code, reason = "each test file uses a part")]

use ed25519_dalek::SigningKey;
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Answered, Body, BusinessId, Chain, DeviceId, Digest, Draft, Erased, Fact, FactId, Facts, Keeper,
    Measured, Moment, Original, PaperAdded, PersonId, Stamp, Stream, Value,
};
use wythe_store::{Projector, Summary};

pub const BUSINESS: BusinessId = BusinessId([7; 16]);
pub const JOB: Stream = Stream([9; 16]);
pub const OTHER_JOB: Stream = Stream([10; 16]);

/// A phone that signs facts and remembers its own chains.
pub struct Phone {
    pub keeper: Keeper,
    pub facts: std::collections::BTreeMap<Stream, Facts>,
    recorded: u64,
}

impl Phone {
    pub fn new(name: u8) -> Self {
        Self::of_business(name, BUSINESS)
    }

    pub fn of_business(name: u8, business: BusinessId) -> Self {
        Self {
            keeper: Keeper {
                business,
                chain: Chain {
                    device: DeviceId([name; 16]),
                    epoch: 1,
                },
                key: SigningKey::from_bytes(&[name; 32]),
            },
            facts: std::collections::BTreeMap::new(),
            recorded: 0,
        }
    }

    pub fn record(&mut self, stream: Stream, body: impl Into<Body>) -> Fact {
        self.recorded += 1;
        let ms = 1_764_000_000_000 + i64::try_from(self.recorded).unwrap() * 60_000;
        let mut salt = [self.keeper.chain.device.0[0]; 16];
        salt[..8].copy_from_slice(&self.recorded.to_be_bytes());
        let draft = Draft {
            stream,
            person: PersonId([1; 16]),
            at: Moment {
                utc_ms: ms,
                offset_min: -420,
            },
            stamp: Stamp { ms, counter: 0 },
            replaces: Vec::new(),
            body: body.into(),
            salt,
        };
        let facts = self.facts.entry(stream).or_default();
        let chain = self.keeper.chain;
        let signed = self.keeper.sign(draft, facts.last(chain), facts.seen_by(chain));
        let fact = signed.expect("a made fact keeps the rules");
        facts.insert(fact.clone());
        fact
    }

    pub fn answer(&mut self, stream: Stream, typed: &str) -> Fact {
        self.record(stream, answered("survey.tile_width", typed))
    }

    pub fn answers(&mut self, stream: Stream, count: usize) -> Vec<Fact> {
        (0..count)
            .map(|n| self.answer(stream, &format!("{n} 3/8 in")))
            .collect()
    }
}

pub fn answered(ask: &str, typed: &str) -> Answered {
    Answered {
        address: Address::of(ask),
        value: Value::Quantity {
            dimension: "length".into(),
            si: Number(0.288_925),
        },
        measured: Measured {
            typed: Some(typed.into()),
            unit: Some("in".into()),
            ..Measured::default()
        },
        visit: None,
    }
}

pub fn paper(original: Original) -> PaperAdded {
    PaperAdded {
        address: Address::of("destruction.certificate"),
        original,
        pages: Some(1),
        preview: None,
        visit: None,
    }
}

pub fn named(digest: Digest, bytes: u64) -> Original {
    Original {
        digest,
        bytes,
        media_type: "application/pdf".into(),
        name: "certificate.pdf".into(),
    }
}

pub fn erased(fact: FactId, original: Option<Digest>) -> Erased {
    Erased {
        fact,
        reason: "the owner asked for it".into(),
        original,
    }
}

/// A projector whose summary depends on every fact and on whether its payload is there.
pub struct Tally(pub u32);

impl Projector for Tally {
    fn version(&self) -> u32 {
        self.0
    }

    fn project(&self, stream: Stream, facts: &Facts) -> Summary {
        let whole = facts.iter().filter(|fact| fact.payload().is_some()).count();
        let ids: String = facts.iter().map(|fact| fact.id().short()).collect();
        Summary {
            label: format!("{whole} of {}, form {}", facts.len(), self.0),
            sort_key: format!("{:05}", facts.len()),
            json: format!("{{\"facts\":{}}}", facts.len()),
            search: format!("{stream} {ids}"),
        }
    }
}

/// Chance from a seed (SplitMix64, Steele, Lea and Flood 2014), so that each round can be replayed.
pub struct Chance(u64);

impl Chance {
    pub fn of(seed: u64) -> Self {
        Self(seed)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `limit`.
    pub fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(limit.max(1)).unwrap()).unwrap()
    }

    pub fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next().to_le_bytes()[0]).collect()
    }

    pub fn text(&mut self, count: usize) -> String {
        (0..count)
            .map(|_| char::from(b'a' + u8::try_from(self.below(26)).unwrap()))
            .collect()
    }
}

/// The seeds to run: so many from 1 on, or the one that `WYTHE_SEED` names.
pub fn seeds(count: u64) -> Vec<u64> {
    match std::env::var("WYTHE_SEED") {
        Ok(seed) => vec![seed.parse().unwrap()],
        Err(_) => (1..=count).collect(),
    }
}
