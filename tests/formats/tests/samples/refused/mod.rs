//! Bytes that must be refused, and with which code: each breaks one rule and keeps all others.

mod bodies;

use ciborium::Value as Cbor;
use ed25519_dalek::{Signer, SigningKey};
use wythe_job::{Fact, digest_of};

use super::{BUSINESS_KEY, Sample, certificate, keeper, samples};

pub struct Refused {
    pub name: String,
    pub what: &'static str,
    pub code: &'static str,
    pub bytes: Vec<u8>,
}

/// The parts of a fact, open to every change, and put together so that ids, digests and signatures fit.
#[derive(Clone)]
struct Open {
    envelope: Vec<Cbor>,
    salt: Vec<u8>,
    body: Vec<u8>,
}

fn cbor(value: &Cbor) -> Vec<u8> {
    let mut bytes = Vec::new();
    ciborium::into_writer(value, &mut bytes).unwrap();
    bytes
}

fn items(bytes: &[u8]) -> Vec<Cbor> {
    let value: Cbor = ciborium::from_reader(bytes).unwrap();
    value.into_array().unwrap()
}

fn bytes(bytes: &[u8]) -> Cbor {
    Cbor::Bytes(bytes.to_vec())
}

fn words(text: &str) -> Cbor {
    Cbor::Text(text.into())
}

fn number(number: i64) -> Cbor {
    Cbor::Integer(number.into())
}

fn list(items: &[Cbor]) -> Cbor {
    Cbor::Array(items.to_vec())
}

impl Open {
    fn of(fact: &Fact) -> Self {
        let payload = fact.payload().unwrap();
        Self {
            envelope: items(fact.envelope_bytes()),
            salt: payload.salt().to_vec(),
            body: payload.body_bytes().to_vec(),
        }
    }

    fn payload(&self) -> Vec<u8> {
        cbor(&list(&[bytes(&self.salt), bytes(&self.body)]))
    }

    fn carried(&self, envelope: &[u8], payload: &[u8]) -> Vec<u8> {
        let signature = keeper(1).key.sign(envelope).to_bytes();
        cbor(&list(&[bytes(envelope), bytes(&signature), bytes(payload)]))
    }

    fn sealed(mut self) -> Vec<u8> {
        let payload = self.payload();
        self.envelope[15] = bytes(&digest_of(&payload).0);
        let envelope = cbor(&Cbor::Array(self.envelope.clone()));
        self.carried(&envelope, &payload)
    }
}

/// All of them.
pub fn refused() -> Vec<Refused> {
    let samples = samples();
    let mut all = Vec::new();
    wires(&samples, &mut all);
    envelopes(&samples, &mut all);
    bodies::add(&samples, &mut all);
    certificates(&mut all);
    all
}

fn named(samples: &[Sample], name: &str) -> Open {
    let found = samples.iter().find(|sample| sample.name == name).unwrap();
    Open::of(&found.fact)
}

fn wires(samples: &[Sample], all: &mut Vec<Refused>) {
    let mut add = |name: &str, code, bytes: Vec<u8>| {
        all.push(Refused {
            name: name.into(),
            what: "fact",
            code,
            bytes,
        });
    };
    let open = named(samples, "answered_full");
    let good = open.clone().sealed();
    let wire = items(&good);
    let with = |edit: &dyn Fn(&mut Vec<Cbor>)| {
        let mut wire = wire.clone();
        edit(&mut wire);
        cbor(&Cbor::Array(wire))
    };
    add("nothing", "not_canonical", Vec::new());
    add("cut_short", "not_canonical", good[..good.len() - 1].to_vec());
    add("bytes_follow", "not_canonical", [good.as_slice(), &[0]].concat());
    add("no_signature", "unreadable", with(&|wire| wire.truncate(1)));
    add(
        "a_fourth_member",
        "not_canonical",
        with(&|wire| wire.push(number(1))),
    );
    add(
        "payload_is_null",
        "not_canonical",
        with(&|wire| wire[2] = Cbor::Null),
    );
    add(
        "signature_of_63_bytes",
        "unreadable",
        with(&|wire| wire[1] = bytes(&[7; 63])),
    );
    add(
        "payload_of_another_fact",
        "wrong_payload",
        with(&|wire| wire[2] = bytes(&named(samples, "value_yes").payload())),
    );
    let mut long = good.clone();
    long.splice(0..1, [0x98, 0x03]);
    add("array_head_too_long", "not_canonical", long);
    let mut endless = good.clone();
    endless[0] = 0x9f;
    endless.push(0xff);
    add("array_without_length", "not_canonical", endless);
    add(
        "a_map",
        "unreadable",
        cbor(&Cbor::Map(vec![(number(0), number(1))])),
    );
    add(
        "envelope_too_long",
        "too_long",
        open.carried(&[0x40; 262_145], &[0x40]),
    );
}

fn envelopes(samples: &[Sample], all: &mut Vec<Refused>) {
    let second = named(samples, "answered_full");
    let first = named(samples, "job_opened_full");
    let mut add = |name: &str, code, from: &Open, edit: &dyn Fn(&mut Vec<Cbor>)| {
        let mut open = from.clone();
        edit(&mut open.envelope);
        all.push(Refused {
            name: name.into(),
            what: "fact",
            code,
            bytes: open.sealed(),
        });
    };
    let seen = |device: u8, epoch: i64, number_: i64| {
        list(&[
            list(&[bytes(&[device; 16]), number(epoch)]),
            number(number_),
            bytes(&[device; 32]),
        ])
    };
    let rule = "breaks_rule";
    add("version_0", "unknown_version", &second, &|e| e[0] = number(0));
    add("version_2", "unknown_version", &second, &|e| e[0] = number(2));
    add("version_2_of_other_shape", "unknown_version", &second, &|e| {
        e[0] = number(2);
        e[2] = words("a newer one");
    });
    add("algorithm_2", "unknown_algorithm", &second, &|e| e[1] = number(2));
    add("version_is_text", "unreadable", &second, &|e| e[0] = words("1"));
    add("business_of_15_bytes", "unreadable", &second, &|e| {
        e[2] = bytes(&[1; 15])
    });
    add("epoch_too_large", "unreadable", &second, &|e| {
        e[5] = number(1 << 32)
    });
    add("number_0", rule, &first, &|e| e[6] = number(0));
    add("number_too_large", rule, &second, &|e| e[6] = number(1 << 53));
    add("first_with_previous", rule, &first, &|e| e[7] = bytes(&[1; 32]));
    add("second_without_previous", rule, &second, &|e| e[7] = Cbor::Null);
    add("seen_out_of_order", rule, &second, &|e| {
        e[8] = list(&[seen(3, 1, 1), seen(2, 1, 1)]);
    });
    add("seen_twice", rule, &second, &|e| {
        e[8] = list(&[seen(2, 1, 1), seen(2, 1, 2)]);
    });
    add("seen_itself", rule, &second, &|e| {
        e[8] = list(&[seen(1, 1, 1)]);
    });
    add("seen_number_0", rule, &second, &|e| {
        e[8] = list(&[seen(2, 1, 0)]);
    });
    add("seen_too_many", rule, &second, &|e| {
        e[8] = Cbor::Array((2..1_003).map(|epoch| seen(2, epoch, 1)).collect());
    });
    add("before_1970", rule, &second, &|e| {
        e[10] = list(&[number(-1), number(0)]);
    });
    add("after_9998", rule, &second, &|e| {
        e[10] = list(&[number(253_370_764_800_000), number(0)]);
    });
    add("offset_too_large", rule, &second, &|e| {
        e[10] = list(&[number(0), number(1_081)]);
    });
    add("moment_with_a_third_member", "not_canonical", &second, &|e| {
        e[10] = list(&[number(0), number(0), number(0)]);
    });
    add("stamp_before_1970", rule, &second, &|e| {
        e[11] = list(&[number(-1), number(0)]);
    });
    add("kind_empty", rule, &second, &|e| e[12] = words(""));
    add("kind_in_capitals", rule, &second, &|e| e[12] = words("Answered"));
    add("kind_too_long", rule, &second, &|e| {
        e[12] = words(&"a".repeat(41))
    });
    add("critical_against_the_kind", rule, &second, &|e| {
        e[13] = Cbor::Bool(true)
    });
    add("replaces_out_of_order", rule, &second, &|e| {
        e[14] = list(&[bytes(&[2; 32]), bytes(&[1; 32])]);
    });
    add("replaces_twice", rule, &second, &|e| {
        e[14] = list(&[bytes(&[2; 32]), bytes(&[2; 32])]);
    });
    add("a_seventeenth_member", "not_canonical", &second, &|e| {
        e.push(number(0))
    });
    let library = named(samples, "library_kept");
    add("library_in_a_job", rule, &library, &|e| e[3] = bytes(&[0x0a; 16]));
}

fn certificates(all: &mut Vec<Refused>) {
    let good = certificate(1);
    let statement = items(items(good.bytes())[0].as_bytes().unwrap());
    let key = SigningKey::from_bytes(&[BUSINESS_KEY; 32]);
    let seal = |statement: Vec<Cbor>, key: &SigningKey| {
        let signed = cbor(&Cbor::Array(statement));
        let signature = key.sign(&signed).to_bytes();
        cbor(&list(&[bytes(&signed), bytes(&signature)]))
    };
    let mut add = |name: &str, code, bytes: Vec<u8>| {
        all.push(Refused {
            name: name.into(),
            what: "certificate",
            code,
            bytes,
        });
    };
    let with = |at: usize, value: Cbor| {
        let mut statement = statement.clone();
        statement[at] = value;
        seal(statement, &key)
    };
    add("version 2", "unknown_version", with(0, number(2)));
    add("algorithm 2", "unknown_algorithm", with(1, number(2)));
    add("name empty", "breaks_rule", with(8, words("")));
    add("name on two lines", "breaks_rule", with(8, words("a\nb")));
    add(
        "issued before 1970",
        "breaks_rule",
        with(7, list(&[number(-1), number(0)])),
    );
    // The identity, a point of order 1: anybody can make signatures that fit it.
    let mut weak = [0; 32];
    weak[0] = 1;
    add("device key of small order", "bad_key", with(6, bytes(&weak)));
    add("business key of small order", "bad_key", with(3, bytes(&weak)));
    let other = SigningKey::from_bytes(&[0x43; 32]);
    add(
        "signed by another key",
        "bad_certificate",
        seal(statement.clone(), &other),
    );
    let mut longer = statement.clone();
    longer.push(number(1));
    add("a tenth member", "not_canonical", seal(longer, &key));
    let mut wire = items(good.bytes());
    wire.push(number(1));
    add("a third part", "not_canonical", cbor(&Cbor::Array(wire)));
    add("too long", "too_long", vec![0x40; 1_025]);
    add("cut short", "not_canonical", good.bytes()[..90].to_vec());
}
