//! Packs that pass.

use std::collections::BTreeSet;

use wythe_job::{Answered, Body, Chain, Erased, Noted, digest_of};
use wythe_pack::PackReader;

use super::{CONSISTENT, Cases};
use crate::made::{Choice, JOB, Made, answer, length};

pub fn add(cases: &mut Cases) {
    let pack = cases.pack.clone();
    cases.add("good: full", CONSISTENT, pack.clone());
    cases.add_trusting("good: full, trusted", CONSISTENT, pack);
    for (name, reader) in [
        ("programme", PackReader::Programme),
        ("owner", PackReader::Owner),
        ("auditor", PackReader::Auditor),
        ("recycler", PackReader::Recycler),
    ] {
        let whole = Choice {
            reader,
            ..Choice::default()
        };
        let made = &cases.made;
        let less = Choice {
            reader,
            left_out: BTreeSet::from([made.named["note"], made.named["inlet"], made.named["agreed"]]),
            ..Choice::default()
        };
        let fewer = Choice {
            reader,
            left_out: BTreeSet::from([made.named["ticket"]]),
            left_out_originals: made.files.keys().copied().collect(),
            ..Choice::default()
        };
        let packs = [whole, less, fewer].map(|choice| made.pack(choice).unwrap());
        for (pack, what) in packs
            .into_iter()
            .zip(["everything", "facts left out", "files left out"])
        {
            cases.add(&format!("good: for the {name}, {what}"), CONSISTENT, pack);
        }
    }
    for packer in ["lead", "roof", "roof_again", "fitter"] {
        let choice = Choice {
            packer,
            ..Choice::default()
        };
        let pack = cases.made.pack(choice).unwrap();
        cases.add(&format!("good: packed by {packer}"), CONSISTENT, pack);
    }
    let mut add = |name: &str, change: &dyn Fn(&mut Made) -> Choice| {
        let mut made = Made::new();
        let choice = change(&mut made);
        let pack = made.pack(choice).unwrap();
        cases.add(&format!("good: {name}"), CONSISTENT, pack);
    };
    add("an original has not come yet", &|made| {
        made.files.remove(&digest_of(b"picture of a plate"));
        Choice::default()
    });
    add("no rows", &|made| {
        made.rows.clear();
        Choice::default()
    });
    add("no fact at all", &|made| {
        made.facts = wythe_job::Facts::new();
        made.rows.clear();
        Choice::default()
    });
    add("a device revoked later", &|made| {
        made.revoke("roof", "office");
        Choice::default()
    });
    add("two devices revoked later", &|made| {
        made.revoke("roof", "office");
        made.revoke("fitter", "lead");
        Choice::default()
    });
    add("a fork that the business vouches for", &fork);
    add("an erasure that erases nothing here", &|made| {
        let erased = Erased {
            fact: wythe_job::FactId([1; 32]),
            reason: "of a fact that never came".into(),
            original: None,
        };
        made.record("erased_nothing", "office", erased, &[]);
        Choice::default()
    });
    add("a strike of a strike", &|made| {
        let strike = made.named["strike"];
        let again = wythe_job::StruckOut {
            facts: vec![strike],
            reason: "it was right after all".into(),
        };
        made.record("strike_again", "lead", again, &[]);
        let row = made.row(
            "wrong_is_right",
            wythe_pack::State::Met,
            &["wrong"],
            "As first typed.",
        );
        made.rows.push(row);
        Choice::default()
    });
    add("a newer member and a newer value", &|made| {
        for (name, value) in [
            ("newer_value", b"\x82\x18\x2a\x81\xa1\x01\xf9\x3e\x00".as_slice()),
            ("newer_member", b"\x82\x02\x82\xf5\x63new"),
        ] {
            let bytes = [b"\x83\x82\x63a.b\x80".as_slice(), value, b"\x80"].concat();
            let newer = Body::Unknown {
                kind: "answered".into(),
                critical: false,
                bytes,
            };
            made.record(name, "fitter", newer, &[]);
        }
        Choice::default()
    });
    add("odd letters and numbers", &|made| {
        let note = Noted {
            about: None,
            text: "\"½\" \\ 日本 \u{1f525}\u{2028}\r\n\t/".into(),
        };
        made.record("odd", "lead", note, &[]);
        for (name, number) in [
            ("tiny", 5e-324),
            ("huge", 1.5e300),
            ("small", 1.25e-7),
            ("long", 0.1 + 0.2),
        ] {
            made.record(name, "roof", answer("odd.number", length(number)), &[]);
        }
        Choice::default()
    });
    add("one file for two asks", &|made| {
        made.photo("twice", "lead", "other.ask", b"picture of a plate", "image/jpeg");
        Choice::default()
    });
}

/// The roof phone was cloned: its third number stands twice.
fn fork(made: &mut Made) -> Choice {
    let keeper = made.keepers["roof"].clone();
    let first = made.facts.of_chain(keeper.chain).next().unwrap();
    let last = Some((1, first.id()));
    let body: Answered = answer("survey.tile_width", length(0.5));
    let twin = made.sign(&keeper, JOB.into(), body.into(), &[], last);
    made.facts.insert(twin);
    let chain: Chain = keeper.chain;
    Choice {
        forks: BTreeSet::from([(chain, 2)]),
        ..Choice::default()
    }
}
