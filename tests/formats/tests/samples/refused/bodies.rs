//! Bodies and values that break a rule.

use ciborium::Value as Cbor;
use wythe_job::digest_of;

use super::{Refused, bytes, cbor, items, list, named, number, words};
use crate::samples::Sample;

pub fn add(samples: &[Sample], all: &mut Vec<Refused>) {
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
