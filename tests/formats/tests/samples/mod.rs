//! The examples of `fixtures/formats/golden`: one fact or more of every kind and every sort of value.

mod bodies;
pub mod refused;
mod values;

use ed25519_dalek::SigningKey;
use wythe_job::{
    BusinessId, Certificate, Chain, DeviceId, Draft, Fact, Facts, Keeper, Moment, PersonId, SALT_BYTES,
    Stamp, Stream,
};

pub use bodies::answered;

pub const BUSINESS: BusinessId = BusinessId([0xb5; 16]);
pub const JOB: Stream = Stream([0x0a; 16]);
pub const BUSINESS_KEY: u8 = 0x42;
pub const NOW: Moment = Moment {
    utc_ms: 1_764_001_800_000,
    offset_min: -420,
};

/// A device whose secret key is 32 times its own number.
pub fn keeper(device: u8) -> Keeper {
    Keeper {
        business: BUSINESS,
        chain: Chain {
            device: DeviceId([device; 16]),
            epoch: 1,
        },
        key: SigningKey::from_bytes(&[device; 32]),
    }
}

pub fn certificate(device: u8) -> Certificate {
    let keeper = keeper(device);
    Certificate::issue(
        BUSINESS,
        &SigningKey::from_bytes(&[BUSINESS_KEY; 32]),
        keeper.chain,
        &keeper.key.verifying_key(),
        NOW,
        &format!("phone {device}"),
    )
    .unwrap()
}

/// A fact by its name.
pub struct Sample {
    pub name: String,
    pub fact: Fact,
}

/// All examples. New ones are added at the end: each is the next of its chain, and none ever changes.
pub fn samples() -> Vec<Sample> {
    let (mut job, mut business, mut other) = (Facts::new(), Facts::new(), Facts::new());
    let mut samples = Vec::new();
    for (name, body) in bodies::all() {
        let of_business = wythe_job::is_of_business_only(body.kind());
        let (facts, stream) = if of_business {
            (&mut business, Stream::from(BUSINESS))
        } else {
            (&mut job, JOB)
        };
        let replaces = Vec::new();
        let fact = sign(&keeper(1), facts, stream, body, replaces);
        facts.insert(fact.clone());
        samples.push(Sample {
            name: name.to_owned(),
            fact,
        });
    }
    // Two devices that saw each other, one fact that replaces two, and the same without its payload.
    let first = sign(
        &keeper(2),
        &other,
        JOB,
        answered("tile_width", bodies::length(0.288_925)),
        vec![],
    );
    other.insert(first.clone());
    let mut both = job.clone();
    both.insert(first.clone());
    let apart = sign(
        &keeper(1),
        &both,
        JOB,
        answered("tile_width", bodies::length(0.279_4)),
        vec![],
    );
    both.insert(apart.clone());
    let links = sign(
        &keeper(2),
        &both,
        JOB,
        answered("tile_width", bodies::length(0.28)),
        vec![apart.id(), first.id()],
    );
    for (name, fact) in [
        ("seen_first", first),
        ("seen_apart", apart),
        ("seen_both_replaces_both", links.clone()),
        ("dropped_payload", links.without_payload()),
    ] {
        samples.push(Sample {
            name: name.into(),
            fact,
        });
    }
    samples
}

pub fn sign(
    keeper: &Keeper,
    facts: &Facts,
    stream: Stream,
    body: wythe_job::Body,
    replaces: Vec<wythe_job::FactId>,
) -> Fact {
    let last = facts.last(keeper.chain);
    let number = last.map_or(1, |(number, _)| number + 1);
    let minutes = i64::try_from(number).unwrap() * 60_000;
    let draft = Draft {
        stream,
        person: PersonId([0x77; 16]),
        at: Moment {
            utc_ms: NOW.utc_ms + minutes,
            ..NOW
        },
        stamp: Stamp {
            ms: NOW.utc_ms + minutes,
            counter: 0,
        },
        replaces,
        body,
        salt: [u8::try_from(number % 256).unwrap(); SALT_BYTES],
    };
    keeper.sign(draft, last, facts.seen_by(keeper.chain)).unwrap()
}
