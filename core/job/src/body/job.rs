use minicbor::{Decode, Encode};

use crate::id::{Digest, JobId, PersonId};
use crate::limits::MAX_FEW;
use crate::rules::{Kept, Rules, code, date_if, holds, lines, name, name_if, reason, words_if};
use crate::value::Position;

/// A job begins: one house, one new stove.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct JobOpened {
    /// What people call the job.
    #[n(0)]
    pub label: String,
    /// The house's address, a line each.
    #[n(1)]
    pub address: Vec<String>,
    /// The site's time zone, as in the IANA database.
    #[n(2)]
    pub zone: String,
    /// Where the house stands, if known.
    #[n(3)]
    pub position: Option<Position>,
}

/// The job's rules, by hash, so that everybody reads the same ones.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct RulesPinned {
    /// The programme's id.
    #[n(0)]
    pub programme: String,
    /// SHA-256 of the programme file.
    #[n(1)]
    pub programme_digest: Digest,
    /// SHA-256 of the guide.
    #[n(2)]
    pub guide_digest: Digest,
    /// Why, when it is not the first pinning.
    #[n(3)]
    pub reason: Option<String>,
}

/// The same house, opened twice.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct JobLinked {
    /// The other job.
    #[n(0)]
    pub other: JobId,
    /// How it was noticed.
    #[n(1)]
    pub reason: String,
}

/// The job rests, goes on, goes to another crew, or ends without a claim.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct JobMoved {
    /// `paused`, `resumed`, `handed_over` or `cancelled`.
    #[n(0)]
    pub to: String,
    /// Why.
    #[n(1)]
    pub reason: String,
    /// What was done to leave the house safe.
    #[n(2)]
    pub left_safe: Vec<String>,
}

/// A person takes part in the job.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Assigned {
    /// Who.
    #[n(0)]
    pub person: PersonId,
    /// The name.
    #[n(1)]
    pub name: String,
    /// The role: `lead`, `installer`, `fitter`, `sweep`, `office`, `owner` ...
    #[n(2)]
    pub role: String,
    /// The licence's number.
    #[n(3)]
    pub licence: Option<String>,
    /// The licence's last valid day.
    #[n(4)]
    pub licence_until: Option<String>,
}

impl Rules for JobOpened {
    fn keeps(&self) -> Kept {
        name("label", &self.label)?;
        lines("address", &self.address, MAX_FEW)?;
        name("zone", &self.zone)?;
        let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'/' | b'_' | b'-' | b'+');
        holds("zone", self.zone.bytes().all(plain), "is no name of a time zone")?;
        self.position.keeps()
    }
}

impl Rules for RulesPinned {
    fn keeps(&self) -> Kept {
        code("programme", &self.programme)?;
        words_if("reason", self.reason.as_ref(), crate::limits::MAX_LINE_BYTES)
    }
}

impl Rules for JobLinked {
    fn keeps(&self) -> Kept {
        reason("reason", &self.reason)
    }
}

impl Rules for JobMoved {
    fn keeps(&self) -> Kept {
        code("to", &self.to)?;
        reason("reason", &self.reason)?;
        lines("left_safe", &self.left_safe, MAX_FEW)
    }
}

impl Rules for Assigned {
    fn keeps(&self) -> Kept {
        name("name", &self.name)?;
        code("role", &self.role)?;
        name_if("licence", self.licence.as_ref())?;
        date_if("licence_until", self.licence_until.as_ref())
    }
}
