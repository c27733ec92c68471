//! Damage to the manifest, its signature, certificates and revocations.

use ed25519_dalek::SigningKey;
use serde_json::{Value, json};
use wythe_job::{BusinessId, Chain, DeviceId, Fact, Fingerprint, Trust};

use super::{CONSISTENT, Cases, office, retell};
use crate::made::parts::Parts;
use crate::made::{Choice, Made, certificate, keeper};

pub fn add(cases: &mut Cases) {
    signatures(cases);
    members(cases);
    certificates(cases);
    revocations(cases);
    forger(cases);
}

fn signatures(cases: &mut Cases) {
    let mut sign = |name: &str, edit: &dyn Fn(&mut Parts)| {
        let mut parts = cases.parts();
        edit(&mut parts);
        parts.resum();
        cases.add(&format!("signature: {name}"), "manifest_signature", parts.zip());
    };
    sign("by another device", &|parts| parts.resign(&keeper(1, 1).key));
    sign("by nobody of the business", &|parts| {
        parts.resign(&SigningKey::from_bytes(&[0x66; 32]))
    });
    sign("by the business key itself", &|parts| {
        parts.resign(&SigningKey::from_bytes(&[0x42; 32]))
    });
    sign("cut short", &|parts| parts.get_mut("manifest.sig").truncate(63));
    sign("empty", &|parts| parts.set("manifest.sig", Vec::new()));
    sign("all zeros", &|parts| parts.set("manifest.sig", vec![0; 64]));
    sign("with S above the order", &|parts| {
        // S + L fits the plain equation; RFC 8032 refuses it.
        const ORDER: [u8; 32] = [
            0xed, 0xd3, 0xf5, 0x5c, 0x1a, 0x63, 0x12, 0x58, 0xd6, 0x9c, 0xf7, 0xa2, 0xde, 0xf9, 0xde, 0x14,
            0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0x10,
        ];
        let mut carry = 0;
        for (byte, more) in parts.get_mut("manifest.sig")[32..].iter_mut().zip(ORDER) {
            let sum = u16::from(*byte) + u16::from(more) + carry;
            *byte = u8::try_from(sum & 0xff).unwrap();
            carry = sum >> 8;
        }
    });
    sign("of a manifest with another date", &|parts| {
        parts.edit_json("manifest.json", |manifest| {
            manifest["as_of"] = json!("2025-11-25")
        });
    });
    sign("by a device without a certificate", &|parts| {
        let other = json!({"device": DeviceId([0x55; 16]).to_string(), "epoch": 1});
        parts.edit_json("manifest.json", |manifest| manifest["packed_by"] = other);
        parts.resign(&keeper(0x55, 1).key);
    });
}

fn members(cases: &mut Cases) {
    let mut set = |name: &str, code: &'static str, member: &str, value: Value| {
        cases.inside_manifest(&format!("manifest: {name}"), code, |manifest| {
            manifest[member] = value
        });
    };
    let form = "manifest";
    set("a newer format", "unknown_version", "format", json!(2));
    set("format 0", "unknown_version", "format", json!(0));
    set("a format that is text", form, "format", json!("1"));
    set("a format that is none", form, "format", Value::Null);
    set("no day", form, "as_of", json!("2025-02-29"));
    set("a business in capitals", form, "business", json!("B5".repeat(16)));
    set("a business too short", form, "business", json!("b5"));
    set("a guide that is none", form, "guide", json!("d2"));
    set("no language", form, "language", json!("e"));
    set("an unknown reader", form, "reader", json!("everybody"));
    set("a program without name", form, "software", json!(""));
    set(
        "a program's name too long",
        form,
        "software",
        json!("w".repeat(81)),
    );
    set(
        "a fingerprint without hyphens",
        form,
        "fingerprint",
        json!("0".repeat(64)),
    );
    set("a member more", form, "more", json!(1));
    set(
        "a packer without epoch",
        form,
        "packed_by",
        json!({"device": "09".repeat(16)}),
    );
    set("a negative number of facts", form, "facts", json!(-1));
    set("a number of facts above 2^53", form, "facts", json!(1_u64 << 53));
    set("another number of facts", "chains", "facts", json!(14));
    set("no chains", "chains", "chains", json!([]));
    set("a fork that is none", "chain_fork", "forks", {
        json!([{"device": "01".repeat(16), "epoch": 1, "number": 1}])
    });
    set(
        "another business",
        "certificate",
        "business",
        json!("b6".repeat(16)),
    );
    set("another fingerprint", "certificate", "fingerprint", {
        json!(Fingerprint::of(&[1; 32]).to_string())
    });
    set("another job", "wrong_job", "job", json!("0b".repeat(16)));
    set(
        "another date than the claim's",
        "claims",
        "as_of",
        json!("2025-11-25"),
    );
    set(
        "another language than the claim's",
        "claims",
        "language",
        json!("es"),
    );
    let mut edit = |name: &str, code: &'static str, edit: &dyn Fn(&mut Value)| {
        cases.inside_manifest(&format!("manifest: {name}"), code, edit);
    };
    edit("a member fewer", "manifest", &|manifest| {
        manifest.as_object_mut().unwrap().remove("software");
    });
    edit("a file fewer", "manifest_members", &|manifest| {
        manifest["members"].as_array_mut().unwrap().pop();
    });
    edit("a file twice", "manifest_members", &|manifest| {
        let twin = manifest["members"][0].clone();
        manifest["members"].as_array_mut().unwrap().push(twin);
    });
    edit("another size", "manifest_members", &|manifest| {
        manifest["members"][1]["size"] = json!(1)
    });
    edit("another digest", "manifest_members", &|manifest| {
        manifest["members"][1]["sha256"] = json!("0".repeat(64));
    });
    edit("chains out of order", "manifest", &|manifest| {
        manifest["chains"].as_array_mut().unwrap().reverse();
    });
    edit("a chain's last fact", "chains", &|manifest| {
        manifest["chains"][0]["last"] = json!("0".repeat(64))
    });
    edit("a chain marked as revoked", "chains", &|manifest| {
        manifest["chains"][0]["revoked"] = json!(true)
    });
    let mut write = |name: &str, write: &dyn Fn(&str) -> String| {
        let mut parts = cases.parts();
        let text = String::from_utf8(parts.get("manifest.json").clone()).unwrap();
        parts.set("manifest.json", write(&text).into_bytes());
        parts.resign(&office());
        parts.resum();
        cases.add(&format!("manifest: {name}"), "manifest", parts.zip());
    };
    write("no JSON", &|text| text.replace('{', "["));
    write("empty", &|_| String::new());
    write("without its last line feed", &|text| text.trim_end().to_owned());
    write("on one line", &|text| text.replace("\n ", ""));
    write("with a byte order mark", &|text| format!("\u{feff}{text}"));
    write("a member twice", &|text| {
        text.replace(
            " \"as_of\": \"2025-11-24\",\n",
            " \"as_of\": \"2025-11-24\",\n \"as_of\": \"2025-11-24\",\n",
        )
    });
    write("a number with a fraction", &|text| {
        text.replace("\"format\": 1", "\"format\": 1.0")
    });
    write("an escaped letter", &|text| {
        text.replace("\"en\"", "\"\\u0065n\"")
    });
    write("half a letter", &|text| text.replace("\"en\"", "\"en\\ud800\""));
}

fn certificates(cases: &mut Cases) {
    let mut edit = |name: &str, code: &'static str, edit: &dyn Fn(&mut Vec<Value>)| {
        cases.inside_manifest(&format!("certificates: {name}"), code, |manifest| {
            edit(manifest["certificates"].as_array_mut().unwrap());
        });
    };
    edit("none", "manifest_signature", &|all| all.clear());
    edit("that of the packer missing", "manifest_signature", &|all| {
        drop(all.pop())
    });
    edit("that of a phone missing", "unknown_device", &|all| {
        drop(all.remove(0))
    });
    // The roof's phone was restored: its first epoch's certificate does not hold for the second.
    edit("stale: only that of the epoch before", "unknown_device", &|all| {
        drop(all.remove(2))
    });
    edit("one twice", "certificate", &|all| all.insert(1, all[0].clone()));
    edit("out of order", "certificate", &|all| all.swap(0, 1));
    edit("one that is none", "certificate", &|all| all[0] = json!("00"));
    edit("not hexadecimal", "manifest", &|all| all[0] = json!("zz"));
    edit("one in capitals", "manifest", &|all| {
        all[0] = json!(all[0].as_str().unwrap().to_uppercase());
    });
    edit("a flipped one", "certificate", &|all| {
        let text = all[0].as_str().unwrap();
        let (most, last) = text.split_at(text.len() - 1);
        all[0] = json!(format!("{most}{}", if last == "0" { "1" } else { "0" }));
    });
    let made = Made::new();
    let of = |key: u8, keeper: &wythe_job::Keeper| {
        json!(hex::encode(
            certificate(&SigningKey::from_bytes(&[key; 32]), keeper, "more").bytes()
        ))
    };
    let needless = of(0x42, &keeper(0x55, 1));
    edit("one that nothing needs", "certificate", &|all| {
        all.push(needless.clone())
    });
    let forged = of(0x43, &made.keepers["lead"]);
    edit("signed by another business's key", "certificate", &|all| {
        all[0] = forged.clone()
    });
    let mut elsewhere = made.keepers["lead"].clone();
    elsewhere.business = BusinessId([0xb6; 16]);
    let elsewhere = of(0x42, &elsewhere);
    edit("of another business", "certificate", &|all| {
        all[0] = elsewhere.clone()
    });
    let mut other_key = made.keepers["lead"].clone();
    other_key.key = SigningKey::from_bytes(&[0x55; 32]);
    let other_key = of(0x42, &other_key);
    edit("of another key for the same phone", "fact_signature", &|all| {
        all[0] = other_key.clone()
    });
}

fn revocations(cases: &mut Cases) {
    let mut made = Made::new();
    made.revoke("fitter", "office");
    let good = made.pack(Choice::default()).unwrap();
    let mut edit = |name: &str, code: &'static str, edit: &dyn Fn(&mut Value)| {
        let mut parts = Parts::of(&good);
        parts.edit_json("manifest.json", edit);
        parts.resign(&office());
        parts.resum();
        cases.add(&format!("revocations: {name}"), code, parts.zip());
    };
    edit("kept back", "chains", &|manifest| {
        manifest["revocations"] = json!([])
    });
    edit("not marked", "chains", &|manifest| {
        for line in manifest["chains"].as_array_mut().unwrap() {
            line["revoked"] = json!(false);
        }
    });
    edit("one twice", "revocation", &|manifest| {
        let twin = manifest["revocations"][0].clone();
        manifest["revocations"].as_array_mut().unwrap().push(twin);
    });
    edit("one that is none", "revocation", &|manifest| {
        manifest["revocations"] = json!(["83"])
    });
    let fact = Fact::decode(&made.revocations[0].encode()).unwrap();
    let bare = hex::encode(fact.without_payload().encode());
    edit("one without its payload", "revocation", &|manifest| {
        manifest["revocations"] = json!([bare])
    });
    let answer = made.facts.get(made.named["inlet"]).unwrap();
    let answer = hex::encode(answer.encode());
    edit("another kind of fact", "revocation", &|manifest| {
        manifest["revocations"] = json!([answer])
    });
    let mut stranger = keeper(0x55, 1);
    stranger.business = crate::made::BUSINESS;
    let mut foreign = Made::new();
    foreign.keepers.insert("stranger", stranger);
    foreign.revoke("lead", "stranger");
    let line = hex::encode(foreign.revocations[0].encode());
    edit("by a device without a certificate", "revocation", &|manifest| {
        manifest["revocations"] = json!([line]);
    });
    let mut by = |name: &str, code: &'static str, device: &'static str, signer: &'static str| {
        let mut made = Made::new();
        made.revoke(device, signer);
        let mut parts = Parts::of(&good);
        let line = hex::encode(made.revocations[0].encode());
        parts.edit_json("manifest.json", |manifest| {
            manifest["revocations"] = json!([line])
        });
        retell(&mut parts);
        parts.resign(&office());
        parts.resum();
        cases.add(&format!("revocations: {name}"), code, parts.zip());
    };
    by("of the packing device", "revoked_packer", "office", "lead");
    by("by the device itself", "revocation", "lead", "lead");
}

/// Everything signed anew with keys of the forger's own.
fn forger(cases: &mut Cases) {
    let mut made = Made::new();
    made.business_key = SigningKey::from_bytes(&[0x66; 32]);
    let fingerprint = Fingerprint::of(&made.business_key.verifying_key().to_bytes());
    let mut trust = Trust::in_business(crate::made::BUSINESS, fingerprint);
    let named: Vec<(&str, Chain)> = made
        .keepers
        .iter()
        .map(|(name, keeper)| (*name, keeper.chain))
        .collect();
    for (name, chain) in named {
        let keeper = made.keepers.get_mut(name).unwrap();
        keeper.key = SigningKey::from_bytes(&[chain.device.0[0] ^ 0x80; 32]);
        trust.add(certificate(&made.business_key, keeper, name)).unwrap();
    }
    made.trust = trust;
    made.record_all_anew();
    let pack = made.pack(Choice::default()).unwrap();
    cases.add("forged: as a whole, signer not known", CONSISTENT, pack.clone());
    cases.add_trusting(
        "forged: as a whole, against the fingerprint",
        "untrusted",
        pack.clone(),
    );
    // The true facts under the forger's manifest and certificates, and the reverse.
    let mut parts = Parts::of(&pack);
    parts.set_facts(&cases.parts().facts());
    cases.add(
        "forged: true facts, forger's certificates",
        "fact_signature",
        parts.sealed(&made.keepers["office"].key),
    );
    let mut parts = cases.parts();
    parts.set_facts(&Parts::of(&pack).facts());
    retell(&mut parts);
    cases.add(
        "forged: forger's facts, true certificates",
        "fact_signature",
        parts.sealed(&office()),
    );
}
