//! A crew whose phones record, meet, lose, are cloned and have clocks that are years off, as a random
//! script tells them. What they all recorded is one set of facts.

use std::collections::BTreeSet;

use ed25519_dalek::SigningKey;
use proptest::prelude::*;
use wythe_job::canonical::Number;
use wythe_job::{
    Address, Agreed, Answered, Body, BusinessId, Chain, Clock, DeviceId, Draft, Erased, Fact, FactId, Facts,
    Instance, Keeper, Measured, Moment, Noted, PersonId, RulesPinned, Stream, StruckOut, Value, digest_of,
    fold, may_be_erased,
};

const START_MS: i64 = 1_764_000_000_000;
const PHONES: usize = 4;

/// One thing that happens. Numbers pick among what there is at that moment.
#[derive(Debug, Clone)]
pub enum Act {
    Answer {
        phone: usize,
        ask: usize,
        width: u16,
    },
    Agree {
        phone: usize,
        ask: usize,
    },
    Strike {
        phone: usize,
        picks: Vec<usize>,
    },
    Instance {
        phone: usize,
        number: u32,
        there: bool,
    },
    Erase {
        phone: usize,
        pick: usize,
    },
    Note {
        phone: usize,
    },
    Pin {
        phone: usize,
        rules: u8,
    },
    Newer {
        phone: usize,
        critical: bool,
        replaces: Option<usize>,
    },
    Meet {
        one: usize,
        other: usize,
    },
    Hear {
        one: usize,
        other: usize,
    },
    SetClock {
        phone: usize,
        years: i64,
    },
    Clone {
        phone: usize,
    },
    Restore {
        phone: usize,
    },
}

pub fn script() -> impl Strategy<Value = Vec<Act>> {
    let phone = 0..PHONES;
    let act = prop_oneof![
        6 => (phone.clone(), 0..3usize, 1..900u16)
            .prop_map(|(phone, ask, width)| Act::Answer { phone, ask, width }),
        2 => (phone.clone(), 0..3usize).prop_map(|(phone, ask)| Act::Agree { phone, ask }),
        3 => (phone.clone(), prop::collection::vec(any::<usize>(), 1..3))
            .prop_map(|(phone, picks)| Act::Strike { phone, picks }),
        2 => (phone.clone(), 1..4u32, any::<bool>())
            .prop_map(|(phone, number, there)| Act::Instance { phone, number, there }),
        1 => (phone.clone(), any::<usize>()).prop_map(|(phone, pick)| Act::Erase { phone, pick }),
        1 => phone.clone().prop_map(|phone| Act::Note { phone }),
        1 => (phone.clone(), any::<u8>()).prop_map(|(phone, rules)| Act::Pin { phone, rules }),
        1 => (phone.clone(), any::<bool>(), prop::option::of(0..3usize))
            .prop_map(|(phone, critical, replaces)| Act::Newer { phone, critical, replaces }),
        4 => (phone.clone(), phone.clone()).prop_map(|(one, other)| Act::Meet { one, other }),
        2 => (phone.clone(), phone.clone()).prop_map(|(one, other)| Act::Hear { one, other }),
        1 => (phone.clone(), -20..20i64).prop_map(|(phone, years)| Act::SetClock { phone, years }),
        1 => phone.clone().prop_map(|phone| Act::Clone { phone }),
        1 => phone.prop_map(|phone| Act::Restore { phone }),
    ];
    prop::collection::vec(act, 1..60)
}

#[derive(Clone)]
struct Phone {
    keeper: Keeper,
    facts: Facts,
    clock: Clock,
    now: i64,
}

pub fn ask(number: usize) -> Address {
    Address::of(format!("survey.ask_{number}"))
}

/// Plays a script; returns everything that anybody recorded.
pub fn play(script: &[Act]) -> Vec<Fact> {
    let mut crew = Crew {
        phones: (1..=PHONES).map(Phone::new).collect(),
        recorded: Vec::new(),
    };
    for act in script {
        crew.act(act);
    }
    crew.recorded
}

struct Crew {
    phones: Vec<Phone>,
    recorded: Vec<Fact>,
}

impl Phone {
    fn new(name: usize) -> Self {
        let name = u8::try_from(name).unwrap();
        Self {
            keeper: Keeper {
                business: BusinessId([7; 16]),
                chain: Chain {
                    device: DeviceId([name; 16]),
                    epoch: 1,
                },
                key: SigningKey::from_bytes(&[name; 32]),
            },
            facts: Facts::new(),
            clock: Clock::default(),
            now: START_MS,
        }
    }

    fn pick(&self, number: usize) -> Option<FactId> {
        let ids: Vec<FactId> = self.facts.iter().map(Fact::id).collect();
        ids.get(number.checked_rem(ids.len())?).copied()
    }

    fn hear(&mut self, facts: &Facts) {
        for fact in facts.iter() {
            self.clock.see(fact.envelope().stamp, self.now);
            self.facts.insert(fact.clone());
        }
    }
}

impl Crew {
    fn act(&mut self, act: &Act) {
        match act {
            Act::Answer {
                phone,
                ask: number,
                width,
            } => {
                let replaces = self.heads(*phone, *number);
                self.record(
                    *phone,
                    answer(ask(*number), f64::from(*width) / 1_000.0),
                    replaces,
                );
            }
            Act::Agree { phone, ask: number } => {
                let replaces = self.heads(*phone, *number);
                let agreed = Agreed {
                    address: ask(*number),
                    value: width(0.25),
                    reason: "measured again together".into(),
                    measured: Measured::default(),
                };
                self.record(*phone, agreed.into(), replaces);
            }
            Act::Strike { phone, picks } => {
                let picked: BTreeSet<FactId> = picks
                    .iter()
                    .filter_map(|pick| self.phones[*phone].pick(*pick))
                    .collect();
                if !picked.is_empty() {
                    let strike = StruckOut {
                        facts: picked.into_iter().collect(),
                        reason: "a slip".into(),
                    };
                    self.record(*phone, strike.into(), Vec::new());
                }
            }
            Act::Instance { phone, number, there } => {
                let address = Address::of("").at("room", *number);
                let job = fold(&self.phones[*phone].facts);
                let heads = job.instances.get(&address).into_iter().flatten();
                let replaces = heads.map(|head| head.fact).collect();
                let instance = Instance {
                    address,
                    there: *there,
                    name: None,
                };
                self.record(*phone, instance.into(), replaces);
            }
            Act::Erase { phone, pick } => {
                let picked = self.phones[*phone].pick(*pick);
                let kind = |id| {
                    self.phones[*phone]
                        .facts
                        .get(id)
                        .map(|f| f.envelope().kind.clone())
                };
                if let Some(fact) = picked.filter(|id| kind(*id).is_some_and(|kind| may_be_erased(&kind))) {
                    let erased = Erased {
                        fact,
                        reason: "asked for".into(),
                        original: None,
                    };
                    self.record(*phone, erased.into(), Vec::new());
                }
            }
            Act::Note { phone } => {
                let note = Noted {
                    about: None,
                    text: "mind the dog".into(),
                };
                self.record(*phone, note.into(), Vec::new());
            }
            Act::Pin { phone, rules } => {
                let job = fold(&self.phones[*phone].facts);
                let replaces = job.rules.iter().map(|entry| entry.fact).collect();
                let pinned = RulesPinned {
                    programme: "larkspur_basin".into(),
                    programme_digest: digest_of(&[*rules]),
                    guide_digest: digest_of(b"guide"),
                    reason: None,
                };
                self.record(*phone, pinned.into(), replaces);
            }
            Act::Newer {
                phone,
                critical,
                replaces,
            } => {
                let replaces = replaces.map_or(Vec::new(), |ask| self.heads(*phone, ask));
                let newer = Body::Unknown {
                    kind: "kiln_dried".into(),
                    critical: *critical,
                    bytes: vec![0x81, 0x01],
                };
                self.record(*phone, newer, replaces);
            }
            Act::Meet { one, other } => {
                let (theirs, ours) = (self.phones[*other].facts.clone(), self.phones[*one].facts.clone());
                self.phones[*one].hear(&theirs);
                self.phones[*other].hear(&ours);
            }
            Act::Hear { one, other } => {
                let theirs = self.phones[*other].facts.clone();
                self.phones[*one].hear(&theirs);
            }
            Act::SetClock { phone, years } => {
                self.phones[*phone].now = START_MS + years * 31_557_600_000;
            }
            // A second phone with the same key and chain, whose facts fork it.
            Act::Clone { phone } => {
                let twin = self.phones[*phone].clone();
                if self.phones.len() < PHONES + 2 {
                    self.phones.push(twin);
                } else {
                    self.phones[PHONES] = twin;
                }
                let last = self.phones.len() - 1;
                self.phones.swap(*phone, last);
            }
            Act::Restore { phone } => {
                let phone = &mut self.phones[*phone];
                phone.keeper.chain.epoch += 1;
                phone.facts = Facts::new();
            }
        }
    }

    fn heads(&self, phone: usize, number: usize) -> Vec<FactId> {
        fold(&self.phones[phone].facts).to_replace(&ask(number))
    }

    fn record(&mut self, phone: usize, body: Body, replaces: Vec<FactId>) {
        let salt = u8::try_from(self.recorded.len() % 256).unwrap();
        let phone = &mut self.phones[phone];
        phone.now += 1_000;
        let draft = Draft {
            stream: Stream([9; 16]),
            person: PersonId([1; 16]),
            at: Moment {
                utc_ms: phone.now,
                offset_min: 0,
            },
            stamp: phone.clock.tick(phone.now),
            replaces,
            body,
            salt: [salt; 16],
        };
        let chain = phone.keeper.chain;
        let (last, seen) = (phone.facts.last(chain), phone.facts.seen_by(chain));
        let fact = phone.keeper.sign(draft, last, seen).unwrap();
        phone.facts.insert(fact.clone());
        self.recorded.push(fact);
    }
}

fn width(metres: f64) -> Value {
    Value::Quantity {
        dimension: "length".into(),
        si: Number(metres),
    }
}

fn answer(address: Address, metres: f64) -> Body {
    Answered {
        address,
        value: width(metres),
        measured: Measured::default(),
        visit: None,
    }
    .into()
}
