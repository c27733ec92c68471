//! The check of a pack, step by step in the order of `fixtures/formats/pack.md`, section 9.

mod contents;
mod facts;
mod originals;

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Seek};

use wythe_job::{BusinessId, Chain, Digest, FactId, Fingerprint, JobId};

use crate::archive;
use crate::claims::State;
use crate::fault::PackFault;
use crate::manifest::{PackReader, WhyLeftOut};
use crate::members::{Member, check_names, digest_in, most_bytes};

pub(crate) use contents::check_contents;

/// What the writer reckons in the same way as the check.
pub(crate) mod facts_of {
    pub(crate) use super::contents::{facts_json, revoked_devices};
    pub(crate) use super::facts::{chain_lines, erased_by, place};
    pub(crate) use super::originals::erased_originals;
}

/// What a pack holds that was found consistent.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Report {
    /// The pack's id: SHA-256 of its manifest.
    pub pack: Digest,
    /// Whose it says it is.
    pub business: BusinessId,
    /// The fingerprint of the business's key.
    pub fingerprint: String,
    /// Whether the reader trusts that fingerprint; if not, it is consistent, signer not known.
    pub trusted: bool,
    /// The device that packed.
    pub packed_by: Chain,
    /// The job.
    pub job: JobId,
    /// The date for which it was reckoned.
    pub as_of: String,
    /// The language of its texts.
    pub language: String,
    /// For whom it was made.
    pub reader: PackReader,
    /// The programme's name and the digest of its rules.
    pub programme: (String, Digest),
    /// The digest of the guide.
    pub guide: Digest,
    /// The program that wrote it.
    pub software: String,
    /// How many facts.
    pub facts: usize,
    /// Facts whose content this reader need not see.
    pub left_out: Vec<FactId>,
    /// Facts whose content was erased.
    pub erased: Vec<FactId>,
    /// How many originals are in it.
    pub originals: usize,
    /// Originals that are not in it, and why.
    pub left_out_originals: Vec<(Digest, WhyLeftOut)>,
    /// Numbers that stand twice in a chain, vouched for by the business.
    pub forks: Vec<(Chain, u64)>,
    /// Chains of devices that were revoked later.
    pub revoked: Vec<Chain>,
    /// How many rows stand how.
    pub rows: BTreeMap<State, usize>,
}

/// The members of a pack as they were read: all of them measured, those that are looked into kept.
pub(crate) struct Opened {
    pub(crate) members: Vec<Member>,
    pub(crate) kept: BTreeMap<String, Vec<u8>>,
}

impl Opened {
    pub(crate) fn bytes(&self, name: &str) -> &[u8] {
        self.kept.get(name).map_or(&[], Vec::as_slice)
    }
}

/// Checks a pack. With `trust`, its business must have that fingerprint.
///
/// # Errors
/// The first thing that is wrong, in the order of the format's description.
pub fn check<R: Read + Seek>(mut file: R, trust: Option<Fingerprint>) -> Result<Report, PackFault> {
    let opened = open(&mut file)?;
    check_contents(&opened, trust)
}

/// Checks a pack that is in memory.
///
/// # Errors
/// As [`check`].
pub fn check_bytes(bytes: &[u8], trust: Option<Fingerprint>) -> Result<Report, PackFault> {
    check(Cursor::new(bytes), trust)
}

/// Steps 1 to 5: every byte of the ZIP file that is not a member's content, names, limits, sums.
fn open<R: Read + Seek>(file: &mut R) -> Result<Opened, PackFault> {
    let listed = archive::list(file)?;
    let names: Vec<String> = listed.iter().map(|member| member.name.clone()).collect();
    check_names(&names)?;
    for member in &listed {
        if u64::from(member.size) > most_bytes(&member.name) {
            return Err(PackFault::TooLong(member.name.clone()));
        }
    }
    let mut opened = Opened {
        members: Vec::new(),
        kept: BTreeMap::new(),
    };
    for member in &listed {
        let keep = digest_in(&member.name).is_none() && !member.name.ends_with(".pdf");
        let (member, kept) = archive::read_member(file, member, keep)?;
        if keep {
            opened.kept.insert(member.name.clone(), kept);
        }
        opened.members.push(member);
    }
    Ok(opened)
}
