//! Step 19: the originals.

use std::collections::{BTreeMap, BTreeSet};

use wythe_job::{Body, Digest, Fact};

use super::facts::CheckedFacts;
use crate::fault::PackFault;
use crate::manifest::{Manifest, PackReader, WhyLeftOut};
use crate::members::{Member, digest_in, original_name};

/// How the facts name an original.
pub(crate) struct Named {
    /// By the first fact that names it.
    pub(crate) media_type: String,
    /// Every length stated.
    pub(crate) sizes: BTreeSet<u64>,
}

/// The originals that payloads here name.
pub(crate) fn named_originals(facts: &CheckedFacts) -> BTreeMap<Digest, Named> {
    let mut named: BTreeMap<Digest, Named> = BTreeMap::new();
    for body in facts.in_order.iter().filter_map(Fact::body) {
        if let Some(original) = body.original() {
            let first = || Named {
                media_type: original.media_type.clone(),
                sizes: BTreeSet::new(),
            };
            let slot = named.entry(original.digest).or_insert_with(first);
            slot.sizes.insert(original.bytes);
        }
    }
    named
}

/// The originals that were dropped together with a payload.
pub(crate) fn erased_originals(facts: &[Fact]) -> BTreeSet<Digest> {
    let bodies = facts.iter().filter_map(Fact::body);
    bodies
        .filter_map(|body| match body {
            Body::Erased(body) => body.original,
            _ => None,
        })
        .collect()
}

pub(super) fn check_originals(
    members: &[Member],
    manifest: &Manifest,
    facts: &CheckedFacts,
) -> Result<(), PackFault> {
    let named = named_originals(facts);
    let erased = erased_originals(&facts.in_order);
    let mut packed: BTreeSet<Digest> = BTreeSet::new();
    for member in members {
        let Some(digest) = digest_in(&member.name) else {
            continue;
        };
        let told = named
            .get(&digest)
            .filter(|named| original_name(digest, &named.media_type) == member.name)
            .ok_or_else(|| PackFault::OriginalUnnamed(member.name.clone()))?;
        if member.sha256 != digest || told.sizes.iter().any(|size| *size != member.size) {
            return Err(PackFault::OriginalWrong(member.name.clone()));
        }
        packed.insert(digest);
    }
    let lines = manifest.left_out_originals.iter();
    let left_out: BTreeMap<Digest, WhyLeftOut> = lines.map(|line| (line.sha256, line.reason)).collect();
    for digest in named.keys() {
        let untrue = || Err(PackFault::LeftOut(format!("the original {digest}")));
        match (packed.contains(digest), left_out.get(digest)) {
            (true, None) if erased.contains(digest) => return untrue(),
            (true, None) => {}
            (true, Some(_)) => return untrue(),
            (false, None) => return Err(PackFault::OriginalMissing(*digest)),
            (false, Some(why)) => {
                let told = (*why == WhyLeftOut::Erased) == erased.contains(digest);
                let may = *why != WhyLeftOut::Reader || manifest.reader != PackReader::Full;
                if !told || !may {
                    return untrue();
                }
            }
        }
    }
    match left_out.keys().find(|digest| !named.contains_key(digest)) {
        Some(digest) => Err(PackFault::LeftOut(format!("the original {digest}"))),
        None => Ok(()),
    }
}
