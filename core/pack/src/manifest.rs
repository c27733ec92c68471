use serde::{Deserialize, Serialize};
use serde_json::Value;
use wythe_job::{BusinessId, DeviceId, Digest, FactId, Fingerprint, JobId, is_date, json};

use crate::fault::PackFault;
use crate::members::Member;

/// The format that is written and read here.
pub(crate) const FORMAT: i128 = 1;

/// For whom a pack is made, which tells what it may leave out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PackReader {
    /// Everything that was not erased.
    Full,
    /// The programme that pays.
    Programme,
    /// The owner of the house.
    Owner,
    /// An auditor, years later.
    Auditor,
    /// The recycler of the old stove.
    Recycler,
}

/// Why something that the facts name is not in a pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WhyLeftOut {
    /// This reader need not see it.
    Reader,
    /// It was erased.
    Erased,
    /// It had not reached the device that packed.
    NotHere,
}

/// What is in a pack and whose it is, as `manifest.json` tells it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Manifest {
    pub(crate) as_of: String,
    pub(crate) business: BusinessId,
    pub(crate) certificates: Vec<String>,
    pub(crate) chains: Vec<ChainLine>,
    pub(crate) facts: u64,
    pub(crate) fingerprint: String,
    pub(crate) forks: Vec<ForkLine>,
    pub(crate) format: u64,
    pub(crate) guide: Digest,
    pub(crate) job: JobId,
    pub(crate) language: String,
    pub(crate) left_out: Vec<LeftOutLine>,
    pub(crate) left_out_originals: Vec<LeftOutOriginalLine>,
    pub(crate) members: Vec<MemberLine>,
    pub(crate) packed_by: Packer,
    pub(crate) programme: Programme,
    pub(crate) reader: PackReader,
    pub(crate) revocations: Vec<String>,
    pub(crate) software: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChainLine {
    pub(crate) device: DeviceId,
    pub(crate) epoch: u32,
    pub(crate) facts: u64,
    pub(crate) last: FactId,
    pub(crate) revoked: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ForkLine {
    pub(crate) device: DeviceId,
    pub(crate) epoch: u32,
    pub(crate) number: u64,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct LeftOutLine {
    pub(crate) fact: FactId,
    pub(crate) reason: WhyLeftOut,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct LeftOutOriginalLine {
    pub(crate) reason: WhyLeftOut,
    pub(crate) sha256: Digest,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct MemberLine {
    pub(crate) name: String,
    pub(crate) sha256: Digest,
    pub(crate) size: u64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Packer {
    pub(crate) device: DeviceId,
    pub(crate) epoch: u32,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Programme {
    pub(crate) digest: Digest,
    pub(crate) id: String,
}

impl From<&Member> for MemberLine {
    fn from(member: &Member) -> Self {
        Self {
            name: member.name.clone(),
            sha256: member.sha256,
            size: member.size,
        }
    }
}

impl Manifest {
    /// The bytes of `manifest.json`.
    pub(crate) fn to_text(&self) -> String {
        json::to_text(&serde_json::to_value(self).unwrap_or_default())
    }

    /// Reads `manifest.json`.
    pub(crate) fn from_bytes(bytes: &[u8]) -> Result<Self, PackFault> {
        let broken = |why: &str| PackFault::Manifest(why.to_owned());
        let value: Value =
            serde_json::from_slice(bytes).map_err(|why| PackFault::Manifest(why.to_string()))?;
        match whole_number(value.get("format")) {
            None => return Err(broken("it has no format")),
            Some(FORMAT) => {}
            Some(other) => return Err(PackFault::UnknownVersion(other)),
        }
        let text = std::str::from_utf8(bytes).unwrap_or_default();
        if json::from_text(text).as_ref() != Some(&value) {
            return Err(broken("it is not written in the one way"));
        }
        let manifest: Self =
            serde_json::from_value(value.clone()).map_err(|why| PackFault::Manifest(why.to_string()))?;
        // Upper-case digits and the like: readable, but not the one way.
        if serde_json::to_value(&manifest).ok().as_ref() != Some(&value) {
            return Err(broken("a member is not written in the one way"));
        }
        manifest
            .first_broken_rule()
            .map_or(Ok(manifest.clone()), |rule| Err(broken(rule)))
    }

    fn first_broken_rule(&self) -> Option<&'static str> {
        let length = |text: &str, least: usize, most: usize| (least..=most).contains(&text.len());
        let hexadecimal = |texts: &[String]| texts.iter().all(|text| is_hexadecimal(text));
        let fingerprint = Fingerprint::read(&self.fingerprint).map(|found| found.to_string());
        let rules = [
            (is_date(&self.as_of), "as_of"),
            (hexadecimal(&self.certificates), "certificates"),
            (
                self.chains
                    .is_sorted_by(|a, b| (a.device, a.epoch) < (b.device, b.epoch)),
                "chains",
            ),
            (fingerprint.as_ref() == Some(&self.fingerprint), "fingerprint"),
            (self.forks.is_sorted_by(|a, b| a < b), "forks"),
            (length(&self.language, 2, 35), "language"),
            (
                self.left_out.is_sorted_by(|a, b| a.fact < b.fact)
                    && self.left_out.iter().all(|line| line.reason == WhyLeftOut::Reader),
                "left_out",
            ),
            (
                self.left_out_originals.is_sorted_by(|a, b| a.sha256 < b.sha256),
                "left_out_originals",
            ),
            (length(&self.programme.id, 1, 80), "programme"),
            (hexadecimal(&self.revocations), "revocations"),
            (length(&self.software, 1, 80), "software"),
        ];
        rules.iter().find(|(holds, _)| !holds).map(|(_, member)| *member)
    }
}

fn whole_number(value: Option<&Value>) -> Option<i128> {
    let number = value?;
    let signed = number.as_i64().map(i128::from);
    signed.or_else(|| number.as_u64().map(i128::from))
}

fn is_hexadecimal(text: &str) -> bool {
    let digit = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    text.len().is_multiple_of(2) && text.bytes().all(digit)
}
