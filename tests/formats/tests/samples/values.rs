use wythe_job::canonical::Number;
use wythe_job::{Body, Moment, Position, Value};

use super::NOW;
use super::bodies::{PERSON, answered, length, position};

pub fn values() -> Vec<(&'static str, Body)> {
    let later = |ms| Moment {
        utc_ms: NOW.utc_ms + ms,
        ..NOW
    };
    let quantity = |dimension: &str, si| Value::Quantity {
        dimension: dimension.into(),
        si: Number(si),
    };
    [
        ("value_quantity_half", quantity("length", 6.5)),
        ("value_quantity_single", quantity("pressure", 100_000.0)),
        ("value_quantity_double", quantity("temperature", -40.1)),
        ("value_quantity_zero", quantity("pressure", 0.0)),
        ("value_quantity_small", quantity("area", 1.5e-7)),
        (
            "value_quantity_large",
            quantity("energy", 1.797_693_134_862_315_7e308),
        ),
        ("value_choice", Value::Choice("co-linear".into())),
        ("value_yes", Value::YesNo(true)),
        ("value_no", Value::YesNo(false)),
        ("value_count", Value::Count(9_007_199_254_740_991)),
        ("value_text", Value::Text("plate: \"N° 4711\" \\ ½".into())),
        ("value_date", Value::Date("2024-02-29".into())),
        (
            "value_span",
            Value::Span {
                start: NOW,
                end: later(63_000),
                taps: vec![0, 31_500, 31_500, 63_000],
            },
        ),
        (
            "value_money",
            Value::Money {
                amount: "-0.05".into(),
                currency: "USD".into(),
            },
        ),
        ("value_place", Value::Place(position().unwrap())),
        (
            "value_place_least",
            Value::Place(Position::new(90.0, -180.0, None).unwrap()),
        ),
        ("value_person", Value::Person(PERSON)),
        (
            "value_list",
            Value::List(vec![length(0.2), Value::YesNo(false), Value::Text("two".into())]),
        ),
        ("value_list_empty", Value::List(vec![])),
    ]
    .into_iter()
    .map(|(name, value)| (name, answered("anything", value)))
    .collect()
}

/// What a newer program might write: an unknown kind, sort of value, member.
pub fn newer() -> Vec<(&'static str, Body)> {
    let unknown = |kind: &str, critical, bytes: &[u8]| Body::Unknown {
        kind: kind.into(),
        critical,
        bytes: bytes.to_vec(),
    };
    let answer = |value: &[u8], rest: &[u8]| {
        let count = 0x83 + u8::from(!rest.is_empty()) * 2;
        [
            &[count, 0x82, 0x63],
            b"a.b".as_slice(),
            &[0x80],
            value,
            &[0x80],
            rest,
        ]
        .concat()
    };
    vec![
        (
            "kind_newer",
            unknown("kiln_dried", false, b"\xa2\x01\x63oak\x02\xf9\x3e\x00"),
        ),
        ("kind_newer_critical", unknown("sealed_2", true, b"\x81\x01")),
        (
            "value_newer",
            unknown("answered", false, &answer(b"\x82\x18\x2a\x82\x01\x61x", b"")),
        ),
        (
            "member_newer",
            unknown(
                "answered",
                false,
                &answer(b"\x82\x02\x82\xf5\x63new", b"\xf6\x63new"),
            ),
        ),
    ]
}
