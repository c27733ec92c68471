//! Damage to the file: flipped, cut, added, and tricks with ZIP.

use super::{Case, Cases};
use crate::made::parts::Parts;

pub fn add(cases: &mut Cases) {
    flips(cases);
    cuts(cases);
    members(cases);
    headers(cases);
    deeper(cases);
}

/// A byte flipped anywhere: some code or other, but the same from everybody.
fn flips(cases: &mut Cases) {
    let mut chance = 0x5eed_u64;
    for round in 0..80 {
        chance ^= chance << 13;
        chance ^= chance >> 7;
        chance ^= chance << 17;
        let mut pack = cases.pack.clone();
        let at = usize::try_from(chance >> 8).unwrap() % pack.len();
        pack[at] ^= 1 << (round % 8);
        cases.all.push(Case {
            name: format!("flipped: byte {at}"),
            pack,
            trust: round % 2 == 0,
            code: None,
        });
    }
    // In each member's content.
    for (name, bytes) in cases.parts().0 {
        let whole = cases.pack.windows(bytes.len().max(1));
        let at = whole
            .enumerate()
            .find(|(_, window)| *window == bytes.as_slice())
            .map(|(at, _)| at);
        let mut pack = cases.pack.clone();
        pack[at.unwrap() + bytes.len() / 2] ^= 0x10;
        cases.add(&format!("flipped: in {name}"), "checksum", pack);
    }
}

fn cuts(cases: &mut Cases) {
    let pack = cases.pack.clone();
    for part in [
        0,
        1,
        21,
        22,
        1_000,
        pack.len() / 2,
        pack.len() - 22,
        pack.len() - 1,
    ] {
        cases.add(
            &format!("cut: after {part} bytes"),
            "not_a_pack",
            pack[..part].to_vec(),
        );
    }
    cases.add(
        "added: a byte at the end",
        "not_a_pack",
        [pack.as_slice(), b"\n"].concat(),
    );
    cases.add(
        "added: a byte in front",
        "zip_layout",
        [b"\0", pack.as_slice()].concat(),
    );
    let twice = [pack.as_slice(), pack.as_slice()].concat();
    cases.add("added: the pack before itself", "zip_layout", twice);
    cases.add(
        "not a pack: text",
        "not_a_pack",
        b"this is no pack, but some text of a sort".to_vec(),
    );
    cases.add(
        "not a pack: a PDF",
        "not_a_pack",
        cases.parts().get("claim.pdf").clone(),
    );
    let empty = Parts(Vec::new()).zip();
    cases.add("members: none", "members", empty);
}

fn members(cases: &mut Cases) {
    for (name, _) in cases.parts().0 {
        let mut parts = cases.parts();
        parts.remove(&name);
        let code = if name.starts_with("originals/") {
            "sums"
        } else {
            "members"
        };
        cases.add(&format!("dropped: {name}"), code, parts.zip());
    }
    let mut edit = |name: &str, code: &'static str, edit: &dyn Fn(&mut Parts)| {
        let mut parts = cases.parts();
        edit(&mut parts);
        cases.add(name, code, parts.zip());
    };
    edit("doubled: claim.pdf", "members", &|parts| {
        let twin = parts.0[1].clone();
        parts.0.insert(2, twin);
    });
    edit("doubled: an original", "members", &|parts| {
        let twin = parts.0[5].clone();
        parts.0.insert(6, twin);
    });
    edit("swapped: the places of two members", "members", &|parts| {
        parts.0.swap(0, 1)
    });
    edit("swapped: the places of two originals", "members", &|parts| {
        parts.0.swap(5, 6)
    });
    edit("swapped: the content of two originals", "sums", &|parts| {
        let first = std::mem::take(&mut parts.0[5].1);
        let second = std::mem::replace(&mut parts.0[6].1, first);
        parts.0[5].1 = second;
    });
    edit(
        "swapped: the content of claims.json and facts.json",
        "sums",
        &|parts| {
            let first = std::mem::take(&mut parts.0[2].1);
            let second = std::mem::replace(&mut parts.0[4].1, first);
            parts.0[2].1 = second;
        },
    );
    for (what, name) in [
        ("a path upwards", "originals/../../evil.jpg"),
        ("an absolute path", "/etc/evil.jpg"),
        ("a path of another system", "originals\\evil.jpg"),
        ("a folder", "originals/"),
        ("a hidden file", ".hidden"),
        (
            "a program",
            "originals/0000000000000000000000000000000000000000000000000000000000000000.exe",
        ),
        (
            "capital digits",
            "originals/ABCDEF0000000000000000000000000000000000000000000000000000000000.jpg",
        ),
        ("a short digest", "originals/abc.jpg"),
    ] {
        edit(&format!("added: {what}"), "members", &|parts| {
            parts.0.insert(5, (name.to_owned(), b"evil".to_vec()));
        });
    }
    edit("added: a name with a zero byte", "members", &|parts| {
        parts.0[5].0 = parts.0[5]
            .0
            .replace(".jpg", ".jp\0")
            .replace(".pdf", ".pd\0")
            .replace(".png", ".pn\0");
    });
    edit("added: a member after the last", "members", &|parts| {
        parts.0.push(("more.txt".into(), b"more".to_vec()));
    });
    edit("too long: the words for a stranger", "too_long", &|parts| {
        parts.set("READ-ME-FIRST.txt", vec![b'a'; (1 << 20) + 1]);
    });
    edit("too long: the signature", "too_long", &|parts| {
        parts.set("manifest.sig", vec![7; 65])
    });
    edit("sums: not made anew", "sums", &|parts| {
        parts.set("claim.pdf", b"%PDF-1.7 another".to_vec())
    });
    edit("sums: empty", "sums", &|parts| {
        parts.set("SHA256SUMS", Vec::new())
    });
    edit("sums: a blank line more", "sums", &|parts| {
        parts.get_mut("SHA256SUMS").push(b'\n')
    });
}

/// Changes to the headers that keep everything readable for an ordinary program.
fn headers(cases: &mut Cases) {
    let pack = cases.pack.clone();
    let central = usize::try_from(u32::from_le_bytes(
        pack[pack.len() - 6..pack.len() - 2].try_into().unwrap(),
    ));
    let central = central.unwrap();
    let end = pack.len() - 22;
    let mut edit = |name: &str, code: &'static str, changes: &[(usize, &[u8])]| {
        let mut pack = cases.pack.clone();
        for (at, bytes) in changes {
            pack[*at..*at + bytes.len()].copy_from_slice(bytes);
        }
        cases.add(&format!("headers: {name}"), code, pack);
    };
    let layout = "zip_layout";
    edit("another date, locally", layout, &[(12, &[0x22, 0])]);
    edit("another date, centrally", layout, &[(central + 14, &[0x22, 0])]);
    edit(
        "another date, in both",
        layout,
        &[(12, &[0x22, 0]), (central + 14, &[0x22, 0])],
    );
    edit("the flag for UTF-8", layout, &[(7, &[8]), (central + 9, &[8])]);
    edit(
        "a method that unpacks",
        layout,
        &[(8, &[8]), (central + 10, &[8])],
    );
    edit("made by another system", layout, &[(central + 5, &[0])]);
    edit("an executable file", layout, &[(central + 40, &[0xed])]);
    edit("another offset", layout, &[(central + 42, &[1])]);
    edit("an offset into the next member", layout, &[(central + 42, &[30])]);
    edit(
        "a size that overlaps",
        layout,
        &[(central + 24, &[0xff]), (central + 20, &[0xff])],
    );
    edit("two sizes that differ", layout, &[(central + 24, &[0xff])]);
    edit("an extra field", layout, &[(central + 30, &[4, 0])]);
    edit("a comment on a member", layout, &[(central + 32, &[4, 0])]);
    edit("one member fewer told", layout, &[(end + 10, &[10, 0])]);
    edit(
        "one member fewer counted",
        layout,
        &[(end + 8, &[10, 0]), (end + 10, &[10, 0])],
    );
    edit("a second disk", layout, &[(end + 4, &[1, 0])]);
    edit("a comment told", layout, &[(end + 20, &[1, 0])]);
    edit("too many members told", "not_a_pack", &[(end + 8, &[0xff, 0xff])]);
    edit("the end's own mark", "not_a_pack", &[(end, b"PX")]);
    edit("another name, locally", layout, &[(30, b"r")]);
    edit(
        "a name in small letters",
        "members",
        &[(30, b"r"), (central + 46, b"r")],
    );
    let mut commented = pack;
    commented[end + 20..end + 22].copy_from_slice(&[24, 0]);
    commented.extend(b"a comment of 24 letters.");
    cases.add("headers: a comment at the end", "not_a_pack", commented);
}

/// What a changed member brings to light, the deeper the more was made to fit.
fn deeper(cases: &mut Cases) {
    for name in [
        "READ-ME-FIRST.txt",
        "claim.pdf",
        "claims.json",
        "facts.cbor",
        "facts.json",
    ] {
        let mut parts = cases.parts();
        parts.get_mut(name).push(b'\n');
        parts.resum();
        cases.add(
            &format!("changed: {name}, sums made anew"),
            "manifest_members",
            parts.zip(),
        );
        parts.relist();
        parts.resum();
        cases.add(
            &format!("changed: {name}, manifest not signed"),
            "manifest_signature",
            parts.zip(),
        );
    }
}
