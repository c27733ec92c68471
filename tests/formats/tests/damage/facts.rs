//! Damage to the facts by one who can sign the manifest.

use wythe_job::{Body, Envelope, Erased, Fact, FactId, JobId, Stream, StruckOut, canonical};

use super::{Cases, office, retell};
use crate::made::{Made, answer, keeper, length};

pub fn add(cases: &mut Cases) {
    dropped(cases);
    reordered(cases);
    resigned(cases);
    chains(cases);
    payloads(cases);
    unreadable(cases);
    readable(cases);
}

fn dropped(cases: &mut Cases) {
    let facts = cases.parts().facts();
    for (index, fact) in facts.iter().enumerate() {
        let chain = fact.envelope().chain();
        let last = facts
            .get(index + 1)
            .is_none_or(|next| next.envelope().chain() != chain);
        // The last fact of a chain can only be missed by those who saw it, or by what names it.
        let code = match (last, fact.id()) {
            (false, _) => "chain_gap",
            (true, id) if id == cases.made.named["newer"] => continue,
            (true, _) => "fact_missing",
        };
        cases.with_facts(&format!("dropped: fact {index}"), code, |_, facts| {
            drop(facts.remove(index))
        });
    }
    cases.with_facts("dropped: all facts of a phone", "certificate", |made, facts| {
        let chain = made.keepers["roof"].chain;
        facts.retain(|fact| fact.envelope().chain() != chain);
    });
    let last = cases.position("newer");
    cases.inside(
        "dropped: the last fact, chains not told anew",
        "chains",
        |parts| {
            let mut facts = parts.facts();
            facts.remove(last);
            parts.set_facts(&facts);
        },
    );
}

fn reordered(cases: &mut Cases) {
    for index in [0, 3, 8] {
        cases.with_facts(
            &format!("reordered: facts {index} and the next"),
            "fact_order",
            |_, facts| {
                facts.swap(index, index + 1);
            },
        );
    }
    cases.inside("reordered: backwards", "fact_order", |parts| {
        let mut facts = parts.facts();
        facts.reverse();
        parts.set_facts(&facts);
    });
    cases.with_facts("doubled: a fact", "fact_order", |_, facts| {
        facts.insert(1, facts[0].clone())
    });
}

/// A fact whose envelope was changed and signed by a key.
fn changed(fact: &Fact, key: &ed25519_dalek::SigningKey, edit: impl FnOnce(&mut Envelope)) -> Fact {
    use ed25519_dalek::Signer;
    let mut envelope = fact.envelope().clone();
    edit(&mut envelope);
    let bytes = envelope.encode();
    let signature = key.sign(&bytes).to_bytes();
    Fact::from_parts(
        &bytes,
        signature,
        fact.payload().map(|payload| payload.bytes().to_vec()),
    )
    .unwrap()
}

fn resigned(cases: &mut Cases) {
    let last = cases.position("newer");
    let fitter = keeper(3, 1).key;
    cases.with_facts(
        "re-signed: by another phone's key",
        "fact_signature",
        |_, facts| {
            facts[last] = changed(&facts[last], &keeper(1, 1).key, |_| {});
        },
    );
    cases.with_facts(
        "re-signed: by nobody of the business",
        "fact_signature",
        |_, facts| {
            facts[last] = changed(&facts[last], &keeper(0x55, 1).key, |_| {});
        },
    );
    cases.with_facts(
        "re-signed: by the packing device",
        "fact_signature",
        |_, facts| {
            facts[last] = changed(&facts[last], &office(), |_| {});
        },
    );
    cases.with_facts(
        "changed: the person, signature kept",
        "fact_signature",
        |_, facts| {
            let mut envelope = facts[last].envelope().clone();
            envelope.person = wythe_job::PersonId([1; 16]);
            let payload = facts[last].payload().map(|payload| payload.bytes().to_vec());
            facts[last] = Fact::from_parts(&envelope.encode(), *facts[last].signature(), payload).unwrap();
        },
    );
    cases.with_facts(
        "changed: the signature's first byte",
        "fact_signature",
        |_, facts| {
            let mut signature = *facts[last].signature();
            signature[0] ^= 1;
            let payload = facts[last].payload().map(|payload| payload.bytes().to_vec());
            facts[last] = Fact::from_parts(facts[last].envelope_bytes(), signature, payload).unwrap();
        },
    );
    let mut re = |name: &str, code: &'static str, edit: &dyn Fn(&mut Envelope)| {
        cases.with_facts(name, code, |_, facts| {
            facts[last] = changed(&facts[last], &fitter, edit);
            facts.sort_by_key(|fact| (fact.envelope().chain(), fact.envelope().number, fact.id()));
        });
    };
    re("another business: a fact", "wrong_business", &|e| {
        e.business = wythe_job::BusinessId([0xb6; 16]);
    });
    re("another job: a fact", "wrong_job", &|e| {
        e.stream = Stream::from(JobId([0x0b; 16]))
    });
    re("the business's own stream: a fact", "wrong_job", &|e| {
        e.stream = Stream::from(crate::made::BUSINESS);
    });
    re("an epoch without a certificate", "unknown_device", &|e| {
        (e.epoch, e.number, e.previous) = (2, 1, None);
    });
    re("a device without a certificate", "unknown_device", &|e| {
        e.device = wythe_job::DeviceId([4; 16]);
        (e.number, e.previous) = (1, None);
    });
    re("broken: another predecessor", "chain_broken", &|e| {
        e.previous = Some(FactId([1; 32]))
    });
    re("gap: a number left out", "chain_gap", &|e| e.number += 1);
    re("missing: a fact seen", "fact_missing", &|e| {
        e.seen[0].id = FactId([1; 32])
    });
    re("missing: a number seen that is another's", "fact_missing", &|e| {
        e.seen[0].number += 1
    });
    re("missing: a fact replaced", "fact_missing", &|e| {
        e.replaces = vec![FactId([1; 32])]
    });
}

fn chains(cases: &mut Cases) {
    let twin = |made: &mut Made| {
        let keeper = made.keepers["fitter"].clone();
        let first = made.named["inlet"];
        let body: Body = answer("gas.inlet", length(2.0)).into();
        made.sign(
            &keeper,
            Stream::from(crate::made::JOB),
            body,
            &[],
            Some((1, first)),
        )
    };
    let mut made = Made::new();
    let forked = twin(&mut made);
    cases.with_facts("forked: a chain, not vouched for", "chain_fork", |_, facts| {
        facts.push(forked);
        facts.sort_by_key(|fact| (fact.envelope().chain(), fact.envelope().number, fact.id()));
    });
}

fn payloads(cases: &mut Cases) {
    let note = cases.position("note");
    let strike = cases.position("strike");
    let erased = cases.position("erased");
    let private = cases.position("private");
    cases.with_facts(
        "erased: a payload without a fact that says so",
        "payload_missing",
        |_, facts| {
            facts[note] = facts[note].without_payload();
        },
    );
    cases.with_facts(
        "erased: the payload of a strike",
        "payload_missing",
        |_, facts| {
            facts[strike] = facts[strike].without_payload();
        },
    );
    cases.with_facts(
        "erased: the payload of the erasure",
        "payload_missing",
        |_, facts| {
            facts[erased] = facts[erased].without_payload();
        },
    );
    cases.with_facts(
        "erased: its payload is here all the same",
        "payload_present",
        |made, facts| {
            facts[private] = made.facts.get(facts[private].id()).unwrap().clone();
        },
    );
    cases.with_facts("swapped: the payloads of two facts", "fact", |_, _| {});
    if let Some(case) = cases.all.last_mut() {
        case.pack = swapped_payloads(&cases.made);
    }
    let strike_of = |fact: FactId| {
        move |made: &Made| {
            let mut made_again = Made::new();
            made_again.now += 1_000_000;
            let keeper = made.keepers["office"].clone();
            let last = made_again.facts.last(keeper.chain);
            let body = Erased {
                fact,
                reason: "to hide a strike".into(),
                original: None,
            };
            made_again.sign(&keeper, Stream::from(crate::made::JOB), body.into(), &[], last)
        }
    };
    let hide = strike_of(cases.made.named["strike"])(&cases.made);
    cases.with_facts(
        "erased: a strike, with a fact that says so",
        "payload_missing",
        |_, facts| {
            facts[strike] = facts[strike].without_payload();
            facts.push(hide);
        },
    );
    let mut list = |name: &str, code: &'static str, reader: &str, ids: Vec<FactId>, drop: Option<usize>| {
        cases.inside(name, code, |parts| {
            let mut facts = parts.facts();
            if let Some(index) = drop {
                facts[index] = facts[index].without_payload();
            }
            parts.set_facts(&facts);
            parts.edit_json("manifest.json", |manifest| {
                let lines = ids.iter();
                let lines = lines.map(|id| serde_json::json!({"fact": id.to_string(), "reason": "reader"}));
                manifest["left_out"] = lines.collect();
                manifest["reader"] = serde_json::json!(reader);
            });
        });
    };
    let made = Made::new();
    let named = |name: &str| made.named[name];
    list(
        "left out: of a full pack",
        "left_out",
        "full",
        vec![named("note")],
        Some(note),
    );
    list(
        "left out: though it is here",
        "payload_present",
        "owner",
        vec![named("note")],
        None,
    );
    list(
        "left out: a fact that is not here",
        "left_out",
        "owner",
        vec![FactId([1; 32])],
        None,
    );
    list(
        "left out: a strike",
        "left_out",
        "owner",
        vec![named("strike")],
        Some(strike),
    );
    list(
        "left out: an erased fact once more",
        "left_out",
        "owner",
        vec![named("private")],
        None,
    );
    let both = vec![named("note"), named("note")];
    list("left out: one twice", "manifest", "owner", both, Some(note));
}

fn swapped_payloads(made: &Made) -> Vec<u8> {
    let pack = made.pack(crate::made::Choice::default()).unwrap();
    let mut parts = crate::made::parts::Parts::of(&pack);
    let facts = parts.facts();
    let payload = |index: usize| facts[index].payload().unwrap().bytes();
    let mut cbor = Vec::new();
    for (index, fact) in facts.iter().enumerate() {
        let bytes = fact.encode();
        let (own, other) = match index {
            0 => (payload(0), payload(1)),
            1 => (payload(1), payload(0)),
            _ => {
                cbor.extend(bytes);
                continue;
            }
        };
        let head = |length: usize| [0x58, u8::try_from(length).unwrap()];
        cbor.extend(&bytes[..bytes.len() - own.len() - 2]);
        cbor.extend(head(other.len()));
        cbor.extend(other);
    }
    assert!(canonical::split_first(&cbor).is_ok());
    parts.set("facts.cbor", cbor);
    parts.sealed(&office())
}

fn unreadable(cases: &mut Cases) {
    let mut raw = |name: &str, edit: &dyn Fn(&mut Vec<u8>)| {
        cases.inside(&format!("unreadable: {name}"), "fact", |parts| {
            edit(parts.get_mut("facts.cbor"));
        });
    };
    raw("a byte more at the end", &|bytes| bytes.push(0));
    raw("a byte fewer at the end", &|bytes| {
        bytes.truncate(bytes.len() - 1)
    });
    raw("a longer head", &|bytes| drop(bytes.splice(0..1, [0x98, 3])));
    raw("wrapped in one array", &|bytes| bytes.insert(0, 0x8f));
    raw("text", &|bytes| *bytes = b"these are no facts".to_vec());
    raw("a newer version", &|bytes| bytes[4] = 2);
    raw("another algorithm", &|bytes| bytes[5] = 2);
    raw("a null payload", &|bytes| {
        let first = canonical::split_first(bytes).unwrap().0.to_vec();
        let fact = Fact::decode(&first).unwrap();
        let payload = fact.payload().unwrap().bytes().len() + 2;
        bytes.splice(first.len() - payload..first.len(), [0xf6]);
    });
}

fn readable(cases: &mut Cases) {
    cases.inside("facts.json: another name", "facts_json", |parts| {
        let text = String::from_utf8(parts.get("facts.json").clone()).unwrap();
        assert!(text.contains("Ring first."));
        parts.set(
            "facts.json",
            text.replace("Ring first.", "Never mind.").into_bytes(),
        );
    });
    cases.inside("facts.json: a fact fewer", "facts_json", |parts| {
        parts.edit_json("facts.json", |json| {
            drop(json["facts"].as_array_mut().unwrap().pop())
        });
    });
    cases.inside("facts.json: empty", "facts_json", |parts| {
        parts.set("facts.json", Vec::new())
    });
    cases.inside("facts.json: on one line", "facts_json", |parts| {
        let value = parts.json("facts.json");
        parts.set("facts.json", value.to_string().into_bytes());
    });
    // A strike too many, told truly: the row that stood on what it takes back falls.
    let mut made = Made::new();
    let strike = StruckOut {
        facts: vec![made.named["before"]],
        reason: "of another house".into(),
    };
    made.record("strike_more", "office", strike, &[]);
    let more = made.facts.get(made.named["strike_more"]).unwrap().clone();
    cases.with_facts("struck out: what a row stands on", "claim_facts", |_, facts| {
        facts.push(more)
    });
    let mut parts = cases.parts();
    retell(&mut parts);
    assert_eq!(parts.zip(), cases.pack, "what is told anew is as it was");
}
