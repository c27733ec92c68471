//! Bytes that must be refused, and with which code: each breaks one rule and keeps all others.

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
    bodies(&samples, &mut all);
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

fn bodies(samples: &[Sample], all: &mut Vec<Refused>) {
    bodies_by_member(samples, all);
    bodies_by_bytes(samples, all);
    values(samples, all);
}

fn bodies_by_member(samples: &[Sample], all: &mut Vec<Refused>) {
    let mut add = |sample: &str, member: usize, name: &str, value: Cbor| {
        let mut open = named(samples, sample);
        let mut body = items(&open.body);
        body[member] = value;
        open.body = cbor(&Cbor::Array(body));
        all.push(Refused {
            name: format!("{sample}: {name}"),
            what: "fact",
            code: "breaks_rule",
            bytes: open.sealed(),
        });
    };
    let address = |ask: &str, steps: &[(&str, i64)]| {
        let steps: Vec<Cbor> = steps
            .iter()
            .map(|(of, n)| list(&[words(of), number(*n)]))
            .collect();
        list(&[words(ask), Cbor::Array(steps)])
    };
    let step = ("room", 1);
    add("job_opened_full", 0, "label empty", words(""));
    add("job_opened_full", 0, "label on two lines", words("a\nb"));
    add("job_opened_full", 0, "label too long", words(&"é".repeat(101)));
    add("job_opened_full", 0, "label with a bell", words("a\u{7}"));
    add("job_opened_full", 2, "zone with a space", words("Not here"));
    add(
        "job_opened_full",
        3,
        "north of the pole",
        list(&[Cbor::Float(90.5), Cbor::Float(0.0)]),
    );
    add(
        "job_opened_full",
        3,
        "negative error",
        list(&[Cbor::Float(0.0), Cbor::Float(0.0), Cbor::Float(-1.0)]),
    );
    add("rules_pinned_full", 0, "programme no code", words("Larkspur"));
    add("rules_pinned_full", 3, "reason empty", words(""));
    add("job_moved_full", 0, "to no code", words("away with it"));
    add(
        "visit_full",
        3,
        "too many people",
        Cbor::Array(vec![bytes(&[1; 16]); 101]),
    );
    add(
        "visit_full",
        5,
        "calibrated on no day",
        list(&[list(&[words("manometer"), words("2025-02-29")])]),
    );
    add("answered_full", 0, "no ask", address("", &[step]));
    add("answered_full", 0, "ask in capitals", address("Survey", &[]));
    add(
        "answered_full",
        0,
        "ask with a hyphen",
        address("survey-tile", &[]),
    );
    add("answered_full", 0, "instance 0", address("a", &[("room", 0)]));
    add(
        "answered_full",
        0,
        "instance 10,000",
        address("a", &[("room", 10_000)]),
    );
    add("answered_full", 0, "nine steps", address("a", &[step; 9]));
    add("instance_full", 0, "with an ask", address("a", &[step]));
    add("instance_full", 0, "of nothing", address("", &[]));
    add("answered_full", 2, "typed empty", list(&[words("")]));
    add(
        "answered_full",
        2,
        "locale no language",
        list(&[Cbor::Null, Cbor::Null, words("en_US")]),
    );
    add("photo_taken_full", 3, "no width", number(0));
    add("photo_taken_full", 4, "too high", number(100_001));
    add(
        "photo_taken_full",
        5,
        "taken at no time",
        list(&[words("2025-11-24T24:00:00")]),
    );
    add("photo_taken_full", 8, "orientation 9", number(9));
    let original = |size: i64, media: &str, name: &str| {
        list(&[bytes(&[1; 32]), number(size), words(media), words(name)])
    };
    add(
        "photo_taken_full",
        1,
        "of no bytes",
        original(0, "image/jpeg", "a"),
    );
    add(
        "photo_taken_full",
        1,
        "too large",
        original((1 << 30) + 1, "image/jpeg", "a"),
    );
    add("photo_taken_full", 1, "no media type", original(9, "jpeg", "a"));
    add(
        "photo_taken_full",
        1,
        "name with a folder",
        original(9, "image/jpeg", "a/b"),
    );
    add(
        "photo_taken_full",
        1,
        "name with a folder, other way",
        original(9, "image/jpeg", "a\\b"),
    );
    add("paper_added_full", 2, "of no pages", number(0));
    add("signed_full", 5, "no language", words("e"));
    add("signed_full", 7, "stroke without points", list(&[list(&[])]));
    let point = |x: i64, pressure: i64| {
        list(&[list(&[list(&[
            number(x),
            number(0),
            number(0),
            number(pressure),
        ])])])
    };
    add("signed_full", 7, "far outside the pad", point(10_001, 1));
    add("signed_full", 7, "pressed too hard", point(0, 1_001));
    add(
        "signed_full",
        8,
        "covers out of order",
        list(&[bytes(&[2; 32]), bytes(&[1; 32])]),
    );
    add("figures_kept_full", 2, "no input", words(""));
    add("struck_out", 0, "names nothing", list(&[]));
    add(
        "struck_out",
        0,
        "names one twice",
        list(&[bytes(&[2; 32]), bytes(&[2; 32])]),
    );
    add("struck_out", 1, "without reason", words(""));
    add("assigned_full", 4, "licence until no day", words("2026-13-01"));
    add("claim_moved_full", 1, "on no day", words("24.12.2025"));
    add("claim_moved_full", 3, "version 0", number(0));
    for amount in ["1,250.00", "1250.", "01.00", "-0.00", "1e3", "1.00000"] {
        add("claim_moved_full", 5, &format!("amount {amount}"), words(amount));
    }
    add("claim_moved_full", 5, "currency without amount", Cbor::Null);
    add("claim_moved_full", 6, "currency in small letters", words("usd"));
    add("library_kept", 1, "id empty", words(""));
    add("device_certified", 0, "no bytes", bytes(&[]));
}

fn bodies_by_bytes(samples: &[Sample], all: &mut Vec<Refused>) {
    let mut add = |sample: &str, name: &str, code, body: Vec<u8>| {
        let mut open = named(samples, sample);
        open.body = body;
        all.push(Refused {
            name: format!("{sample}: {name}"),
            what: "fact",
            code,
            bytes: open.sealed(),
        });
    };
    let answer = |value: &[u8]| [b"\x83\x82\x63a.b\x80".as_slice(), value, b"\x80"].concat();
    let canonical = "not_canonical";
    for (name, value) in [
        (
            "a float in eight bytes",
            b"\x82\x00\x82\x61m\xfb\x3f\xf8\0\0\0\0\0\0".as_slice(),
        ),
        ("negative zero", b"\x82\x00\x82\x61m\xf9\x80\x00"),
        ("not a number", b"\x82\x00\x82\x61m\xf9\x7e\x00"),
        ("infinity", b"\x82\x00\x82\x61m\xf9\x7c\x00"),
        ("a tag", b"\x82\x05\x81\xc0\x6a2025-11-24"),
        ("undefined", b"\x82\x02\x81\xf7"),
        ("a simple value of one byte", b"\x82\x02\x81\xf8\x20"),
        ("a count in a longer form", b"\x82\x03\x81\x18\x05"),
        ("text that is not UTF-8", b"\x82\x04\x81\x62\xc3\x28"),
        ("text in pieces", b"\x82\x04\x81\x7f\x61a\xff"),
        ("a newer value that ends in null", b"\x82\x18\x2a\x82\x01\xf6"),
    ] {
        add("answered_full", name, canonical, answer(value));
    }
    add(
        "answered_full",
        "an absent visit that is not left out",
        canonical,
        b"\x84\x82\x63a.b\x80\x82\x02\x81\xf5\x80\xf6".to_vec(),
    );
    for (name, value) in [
        (
            "a quantity that is an integer",
            b"\x82\x00\x82\x61m\x05".as_slice(),
        ),
        ("a count that is a float", b"\x82\x03\x81\xf9\x3c\x00"),
        ("a negative count", b"\x82\x03\x81\x20"),
        ("a value without its member", b"\x82\x04\x80"),
        ("a value of three parts", b"\x83\x02\x81\xf5\x01"),
        ("a person of 15 bytes", b"\x82\x09\x81\x4f123456789012345"),
    ] {
        add("answered_full", name, "unreadable", answer(value));
    }
    add(
        "answered_full",
        "a body that is text",
        "unreadable",
        b"\x61a".to_vec(),
    );
    add("answered_full", "a body that is nothing", canonical, Vec::new());
    add("job_linked", "without its reason", "unreadable", {
        let body = named(samples, "job_linked").body;
        cbor(&Cbor::Array(items(&body)[..1].to_vec()))
    });
    add(
        "kind_newer",
        "map keys out of order",
        canonical,
        b"\xa2\x02\x00\x01\x00".to_vec(),
    );
    add(
        "kind_newer",
        "a map key twice",
        canonical,
        b"\xa2\x01\x00\x01\x00".to_vec(),
    );
    let mut deep = vec![0x81; 17];
    deep.push(0x00);
    add("kind_newer", "17 deep", canonical, deep);
    let mut open = named(samples, "answered_full");
    open.salt.pop();
    all.push(Refused {
        name: "answered_full: salt of 15 bytes".into(),
        what: "fact",
        code: "unreadable",
        bytes: open.sealed(),
    });
    let open = named(samples, "answered_full");
    let payload = cbor(&list(&[bytes(&open.salt), bytes(&open.body), number(1)]));
    let mut envelope = open.envelope.clone();
    envelope[15] = bytes(&digest_of(&payload).0);
    all.push(Refused {
        name: "answered_full: payload with a third member".into(),
        what: "fact",
        code: canonical,
        bytes: open.carried(&cbor(&Cbor::Array(envelope)), &payload),
    });
}

fn values(samples: &[Sample], all: &mut Vec<Refused>) {
    let mut add = |name: &str, sort: i64, members: &[Cbor]| {
        let mut open = named(samples, "answered_full");
        let mut body = items(&open.body);
        body[1] = list(&[number(sort), list(members)]);
        open.body = cbor(&Cbor::Array(body));
        all.push(Refused {
            name: format!("value: {name}"),
            what: "fact",
            code: "breaks_rule",
            bytes: open.sealed(),
        });
    };
    let at = |ms: i64| list(&[number(ms), number(0)]);
    add("dimension no code", 0, &[words("Length"), Cbor::Float(1.5)]);
    add("choice empty", 1, &[words("")]);
    add("count too large", 3, &[number(1 << 53)]);
    add("text empty", 4, &[words("")]);
    add("text with a next-line control", 4, &[words("a\u{85}b")]);
    add("text too long", 4, &[words(&"a".repeat(20_001))]);
    add("date of no calendar", 5, &[words("2023-02-29")]);
    add("date of the year 999", 5, &[words("0999-01-01")]);
    add("date with a time", 5, &[words("2025-11-24T00")]);
    add("span ends before it starts", 6, &[at(9), at(8), list(&[])]);
    let taps = |taps: &[i64]| list(&taps.iter().map(|ms| number(*ms)).collect::<Vec<_>>());
    add("span with falling taps", 6, &[at(0), at(9), taps(&[5, 4])]);
    add("span with a tap after its end", 6, &[at(0), at(9), taps(&[10])]);
    add("span with too many taps", 6, &[at(0), at(9), taps(&[1; 1_001])]);
    add("money with a comma", 7, &[words("1,00"), words("USD")]);
    add("money of no currency", 7, &[words("1.00"), words("dollar")]);
    add(
        "place west of everything",
        8,
        &[list(&[Cbor::Float(0.0), Cbor::Float(-180.5)])],
    );
    let yes = list(&[number(2), list(&[Cbor::Bool(true)])]);
    add(
        "list in a list",
        10,
        &[list(&[list(&[number(10), list(&[list(&[])])])])],
    );
    add("list too long", 10, &[Cbor::Array(vec![yes; 1_001])]);
    add(
        "list with a bad date",
        10,
        &[list(&[list(&[number(5), list(&[words("today")])])])],
    );
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
