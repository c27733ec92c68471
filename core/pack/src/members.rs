//! The names, order and limits of a pack's members.

use wythe_job::{Digest, digest_of};

use crate::fault::PackFault;

pub(crate) const READ_ME: &str = "READ-ME-FIRST.txt";
pub(crate) const CLAIM_PDF: &str = "claim.pdf";
pub(crate) const CLAIMS: &str = "claims.json";
pub(crate) const FACTS: &str = "facts.cbor";
pub(crate) const FACTS_JSON: &str = "facts.json";
pub(crate) const ORIGINALS: &str = "originals/";
pub(crate) const MANIFEST: &str = "manifest.json";
pub(crate) const SIGNATURE: &str = "manifest.sig";
pub(crate) const SUMS: &str = "SHA256SUMS";

/// The members before the originals, in order.
pub(crate) const FIRST: [&str; 5] = [READ_ME, CLAIM_PDF, CLAIMS, FACTS, FACTS_JSON];
/// The members after the originals, in order.
pub(crate) const LAST: [&str; 3] = [MANIFEST, SIGNATURE, SUMS];

/// The most members of a pack.
pub(crate) const MAX_MEMBERS: usize = 10_000;
/// The most facts of a pack.
pub(crate) const MAX_FACTS: usize = 100_000;

const MIB: u64 = 1 << 20;

/// The media types that have an ending of their own; all others have `bin`.
const ENDINGS: [(&str, &str); 7] = [
    ("image/jpeg", "jpg"),
    ("image/png", "png"),
    ("image/heic", "heic"),
    ("image/webp", "webp"),
    ("application/pdf", "pdf"),
    ("text/plain", "txt"),
    ("", "bin"),
];

/// A member as it lies in a pack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Member {
    pub(crate) name: String,
    pub(crate) size: u64,
    pub(crate) crc: u32,
    pub(crate) sha256: Digest,
}

impl Member {
    pub(crate) fn of(name: &str, bytes: &[u8]) -> Self {
        Self {
            name: name.to_owned(),
            size: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
            crc: crc32fast::hash(bytes),
            sha256: digest_of(bytes),
        }
    }
}

/// The beginning of an original's name, as the pages of a claim point to it.
pub(crate) fn short_name(name: &str) -> String {
    name.trim_start_matches(ORIGINALS).chars().take(8).collect()
}

/// The name under which an original lies in a pack.
#[must_use]
pub fn original_name(digest: Digest, media_type: &str) -> String {
    let ending = ENDINGS.iter().find(|(media, _)| *media == media_type);
    format!(
        "{ORIGINALS}{digest}.{}",
        ending.map_or("bin", |(_, ending)| ending)
    )
}

/// The digest that an original's name states; `None` for any other name.
pub(crate) fn digest_in(name: &str) -> Option<Digest> {
    let (digits, ending) = name.strip_prefix(ORIGINALS)?.split_once('.')?;
    let known = ENDINGS.iter().any(|(_, known)| *known == ending);
    let lower = !digits.bytes().any(|b| b.is_ascii_uppercase());
    Digest::from_hex(digits).filter(|_| known && lower)
}

/// The most bytes that a member may have.
pub(crate) fn most_bytes(name: &str) -> u64 {
    match name {
        READ_ME => MIB,
        CLAIM_PDF => 512 * MIB,
        CLAIMS | MANIFEST => 32 * MIB,
        FACTS => 256 * MIB,
        SUMS => 4 * MIB,
        SIGNATURE => 64,
        _ => 1024 * MIB,
    }
}

/// Checks that the names are those of a pack, in order, each once, none missing.
pub(crate) fn check_names(names: &[String]) -> Result<(), PackFault> {
    let wrong = |name: &str| {
        Err(PackFault::Members(format!(
            "{name} is missing or not in its place"
        )))
    };
    let middle = names.len().saturating_sub(LAST.len());
    for (index, expected) in FIRST.iter().enumerate() {
        if names.get(index).is_none_or(|name| name != expected) {
            return wrong(expected);
        }
    }
    for (index, expected) in LAST.iter().enumerate() {
        let at = (middle + index).max(FIRST.len() + index);
        if names.get(at).is_none_or(|name| name != expected) {
            return wrong(expected);
        }
    }
    let originals = names.get(FIRST.len()..middle).unwrap_or_default();
    if let Some(name) = originals.iter().find(|name| digest_in(name).is_none()) {
        let name: String = name.chars().take(100).collect();
        return Err(PackFault::Members(format!("{name:?} has no place in a pack")));
    }
    if !originals.is_sorted_by(|a, b| a < b) {
        return Err(PackFault::Members("the originals are not in order".into()));
    }
    Ok(())
}

/// The text of `SHA256SUMS` over the members before it.
pub(crate) fn sums_text(members: &[Member]) -> String {
    let before = members.iter().filter(|member| member.name != SUMS);
    before
        .map(|member| format!("{}  {}\n", member.sha256, member.name))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_an_originals_own_name_gives_a_digest() {
        let digest = digest_of(b"picture");
        let name = original_name(digest, "image/jpeg");
        assert_eq!(digest_in(&name), Some(digest));
        assert!(original_name(digest, "video/mp4").ends_with(".bin"));
        assert!(original_name(digest, "").ends_with(".bin"));
        for other in [
            name.to_uppercase(),
            name.replace(".jpg", ".exe"),
            name.replace("originals/", "originals/../"),
            format!("/{name}"),
            name.replace(".jpg", ""),
        ] {
            assert_eq!(digest_in(&other), None, "{other}");
        }
        let upper = format!("{ORIGINALS}{}.jpg", digest.to_string().to_uppercase());
        assert_eq!(digest_in(&upper), None);
    }
}
