//! Damage to the originals by one who can sign the manifest.

use serde_json::json;
use wythe_job::digest_of;
use wythe_pack::original_name;

use super::Cases;
use crate::made::parts::Parts;

pub fn add(cases: &mut Cases) {
    let plate = digest_of(b"picture of a plate");
    let private = digest_of(b"a face in a mirror");
    let name = original_name(plate, "image/png");
    let insert = |parts: &mut Parts, name: String, bytes: &[u8]| {
        parts.0.push((name, bytes.to_vec()));
        let (mut middle, last) = (parts.0.split_off(5), parts.0.clone());
        middle.sort_by_key(|(name, _)| (!name.starts_with("originals/"), name.clone()));
        let order = |name: &str| {
            ["manifest.json", "manifest.sig", "SHA256SUMS"]
                .iter()
                .position(|n| *n == name)
        };
        middle.sort_by_key(|(name, _)| order(name).map_or(0, |at| at + 1));
        parts.0 = last.into_iter().chain(middle).collect();
    };
    cases.inside("originals: one missing", "original_missing", |parts| {
        parts.remove(&name)
    });
    cases.inside("originals: one changed", "original_wrong", |parts| {
        parts.set(&name, b"picture of a blank".to_vec());
    });
    cases.inside("originals: one longer", "original_wrong", |parts| {
        parts.get_mut(&name).push(b'!')
    });
    cases.inside("originals: one empty", "original_wrong", |parts| {
        parts.set(&name, Vec::new())
    });
    cases.inside("originals: two swapped", "original_wrong", |parts| {
        let [one, two, _] = parts.originals().try_into().unwrap();
        let (first, second) = (parts.get(&one).clone(), parts.get(&two).clone());
        parts.set(&one, second);
        parts.set(&two, first);
    });
    cases.inside("originals: one that no fact names", "original_unnamed", |parts| {
        insert(parts, original_name(digest_of(b"more"), "image/jpeg"), b"more");
    });
    cases.inside("originals: an erased one", "original_unnamed", |parts| {
        insert(parts, original_name(private, "image/jpeg"), b"a face in a mirror");
    });
    cases.inside(
        "originals: one with another ending",
        "original_unnamed",
        |parts| {
            parts.remove(&name);
            insert(parts, original_name(plate, "image/jpeg"), b"picture of a plate");
        },
    );
    cases.inside("originals: one under two endings", "original_unnamed", |parts| {
        insert(parts, original_name(plate, "image/jpeg"), b"picture of a plate");
    });
    let mut tell = |case: &str, code: &'static str, digest: wythe_job::Digest, reason: &str, drop: bool| {
        cases.inside(&format!("originals: {case}"), code, |parts| {
            if drop {
                parts.remove(&name);
            }
            parts.edit_json("manifest.json", |manifest| {
                manifest["left_out_originals"] = json!([{"reason": reason, "sha256": digest.to_string()}]);
            });
        });
    };
    tell("one left out that is here", "left_out", plate, "not_here", false);
    tell("one left out of a full pack", "left_out", plate, "reader", true);
    tell("one left out as erased", "left_out", plate, "erased", true);
    tell(
        "one left out for no known reason",
        "manifest",
        plate,
        "lost",
        true,
    );
    tell(
        "one left out that no fact names",
        "left_out",
        digest_of(b"more"),
        "not_here",
        false,
    );
    tell("an erased one left out", "left_out", private, "erased", false);
}
