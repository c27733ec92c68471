//! One thread through the crate: an answer becomes a signed fact, is carried, read and folded.

use ed25519_dalek::SigningKey;
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Agreed, Answered, Body, BusinessId, Causality, Certificate, Chain, Clock, DeviceId, Draft, Fact,
    Facts, Keeper, Measured, Moment, Order, PersonId, Refusal, Stream, StruckOut, Trust, Value, fold,
};

struct Phone {
    keeper: Keeper,
    facts: Facts,
    clock: Clock,
    now: i64,
}

const BUSINESS: BusinessId = BusinessId([7; 16]);
const JOB: Stream = Stream([9; 16]);

impl Phone {
    fn new(name: u8) -> Self {
        Self {
            keeper: Keeper {
                business: BUSINESS,
                chain: Chain {
                    device: DeviceId([name; 16]),
                    epoch: 1,
                },
                key: SigningKey::from_bytes(&[name; 32]),
            },
            facts: Facts::new(),
            clock: Clock::default(),
            now: 1_764_000_000_000 + i64::from(name),
        }
    }

    #[expect(clippy::unwrap_used, reason = "a test's own phone")]
    fn record(&mut self, body: impl Into<Body>) -> Fact {
        let body = body.into();
        self.now += 60_000;
        let job = fold(&self.facts);
        let replaces = match &body {
            Body::Answered(_) | Body::Agreed(_) => body
                .address()
                .map(|address| job.to_replace(address))
                .unwrap_or_default(),
            _ => Vec::new(),
        };
        let draft = Draft {
            stream: JOB,
            person: PersonId([1; 16]),
            at: Moment {
                utc_ms: self.now,
                offset_min: -420,
            },
            stamp: self.clock.tick(self.now),
            replaces,
            body,
            salt: [3; 16],
        };
        let chain = self.keeper.chain;
        let fact = self
            .keeper
            .sign(draft, self.facts.last(chain), self.facts.seen_by(chain))
            .unwrap();
        self.facts.insert(fact.clone());
        fact
    }

    fn meet(&mut self, other: &Self) {
        self.facts.extend(other.facts.iter().cloned());
    }
}

fn width(metres: f64) -> Answered {
    Answered {
        address: Address::of("survey.tile_width"),
        value: Value::Quantity {
            dimension: "length".into(),
            si: Number(metres),
        },
        measured: Measured {
            typed: Some("11 3/8 in".into()),
            unit: Some("in".into()),
            ..Measured::default()
        },
        visit: None,
    }
}

#[test]
fn a_fact_is_carried_without_change_and_checked_against_the_business() {
    let mut phone = Phone::new(1);
    let fact = phone.record(width(0.288_925));
    let read = Fact::decode(&fact.encode()).unwrap();
    assert_eq!(read, fact);
    let business_key = SigningKey::from_bytes(&[42; 32]);
    let certificate = Certificate::issue(
        BUSINESS,
        &business_key,
        phone.keeper.chain,
        &phone.keeper.key.verifying_key(),
        Moment {
            utc_ms: 0,
            offset_min: 0,
        },
        "first phone",
    )
    .unwrap();
    let certificate = Certificate::decode(certificate.bytes()).unwrap();
    let mut trust = Trust::in_business(BUSINESS, certificate.fingerprint());
    assert_eq!(read.verify_in(&trust), Err(Refusal::UnknownDevice(read.id())));
    trust.add(certificate).unwrap();
    assert_eq!(read.verify_in(&trust), Ok(()));
    let copy = fact.without_payload();
    assert_eq!(Fact::decode(&copy.encode()).unwrap().id(), fact.id());
    assert_eq!(
        copy.encode().first(),
        Some(&0x82),
        "a dropped payload is a member left out"
    );
}

#[test]
fn every_flipped_bit_of_a_fact_is_noticed() {
    let mut phone = Phone::new(1);
    let bytes = phone.record(width(0.288_925)).encode();
    let key = phone.keeper.key.verifying_key();
    for at in 0..bytes.len() {
        for bit in 0..8 {
            let mut flipped = bytes.clone();
            flipped[at] ^= 1 << bit;
            let noticed = Fact::decode(&flipped).and_then(|fact| fact.verify(&key));
            assert!(noticed.is_err(), "byte {at}, bit {bit}");
        }
    }
}

#[test]
fn two_phones_that_differ_disagree_until_somebody_decides() {
    let (mut roof, mut room) = (Phone::new(1), Phone::new(2));
    roof.record(width(0.288_925));
    room.record(width(0.279_4));
    roof.meet(&room);
    room.meet(&roof);
    assert_eq!(fold(&roof.facts), fold(&room.facts));
    let address = Address::of("survey.tile_width");
    assert_eq!(fold(&roof.facts).heads_of(&address).len(), 2);
    room.record(Agreed {
        address: address.clone(),
        value: Value::Quantity {
            dimension: "length".into(),
            si: Number(0.279_4),
        },
        reason: "measured again together".into(),
        measured: Measured::default(),
    });
    let job = fold(&room.facts);
    assert_eq!(job.heads_of(&address).len(), 1);
    assert_eq!(job.record[&address].len(), 3, "the record keeps what was settled");
}

#[test]
fn a_struck_entry_gives_way_to_the_one_it_replaced() {
    let mut phone = Phone::new(1);
    phone.record(width(0.288_925));
    let wrong = phone.record(width(2.889_25));
    phone.record(StruckOut {
        facts: vec![wrong.id()],
        reason: "slipped on the pad".into(),
    });
    let job = fold(&phone.facts);
    let heads = job.heads_of(&Address::of("survey.tile_width"));
    assert_eq!(heads.len(), 1);
    assert_eq!(
        heads[0].body.value,
        Value::Quantity {
            dimension: "length".into(),
            si: Number(0.288_925)
        }
    );
}

#[test]
fn the_order_of_facts_is_proven_by_what_was_seen() {
    let (mut a, mut b) = (Phone::new(1), Phone::new(2));
    let first = a.record(width(0.1));
    let apart = b.record(width(0.2));
    a.meet(&b);
    let last = a.record(width(0.3));
    let causality = Causality::of(&a.facts);
    assert_eq!(causality.order(first.id(), last.id()), Order::Before);
    assert_eq!(causality.order(last.id(), apart.id()), Order::After);
    assert_eq!(causality.order(first.id(), apart.id()), Order::Unknown);
    assert!(a.facts.gaps().is_empty());
}

#[test]
fn a_chain_with_a_hole_or_a_fork_says_so() {
    let mut phone = Phone::new(1);
    let facts: Vec<Fact> = (1..=3).map(|n| phone.record(width(f64::from(n)))).collect();
    let holed: Facts = [facts[0].clone(), facts[2].clone()].into_iter().collect();
    assert_eq!(holed.gaps().len(), 1);
    let mut clone = Phone::new(1);
    let mut forked = phone.facts.clone();
    forked.insert(clone.record(width(9.0)));
    assert_eq!(forked.gaps().len(), 1);
    assert_eq!(forked.len(), 4, "both branches are kept");
}
