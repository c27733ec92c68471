use crate::id::FactId;

/// Why bytes were refused. Each has a stable code for logs, files and other programs.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// The bytes are not what the format describes.
    #[error("the bytes cannot be read as {what}: {why}")]
    Unreadable {
        /// What was expected.
        what: &'static str,
        /// The reader's own words.
        why: String,
    },
    /// Well-formed, but not the one way in which these bytes are written.
    #[error("the bytes are not in canonical form at byte {at}: {why}")]
    NotCanonical {
        /// Offset of the first byte that is wrong.
        at: usize,
        /// What is wrong there.
        why: &'static str,
    },
    /// A member breaks a rule of its kind.
    #[error("{member} of {what} {why}")]
    BreaksRule {
        /// The kind, or the part of a fact.
        what: &'static str,
        /// The member.
        member: &'static str,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A format version this program does not know.
    #[error("version {found} of {what} is not known here; a newer Wythe reads it")]
    UnknownVersion {
        /// What carries the version.
        what: &'static str,
        /// The version found.
        found: u64,
    },
    /// A signature algorithm this program does not know.
    #[error("signature algorithm {0} is not known here; a newer Wythe reads it")]
    UnknownAlgorithm(u64),
    /// Longer than the format allows.
    #[error("{what} is {found} bytes long; at most {limit} are taken")]
    TooLong {
        /// What is too long.
        what: &'static str,
        /// Its length.
        found: usize,
        /// The most that is taken.
        limit: usize,
    },
    /// The signature does not fit the envelope and the key.
    #[error("the signature of fact {0} does not fit its content and key")]
    BadSignature(FactId),
    /// The payload is not the one the envelope names.
    #[error("the payload of fact {0} is not the one that was signed")]
    WrongPayload(FactId),
    /// No certificate for this device and epoch.
    #[error("fact {0} was signed by a device that this business has not certified")]
    UnknownDevice(FactId),
    /// The fact belongs to another business.
    #[error("fact {0} belongs to another business")]
    WrongBusiness(FactId),
    /// A certificate that its business key did not sign.
    #[error("the certificate of a device does not carry its business's signature")]
    BadCertificate,
    /// Two certificates that name different keys for one device and epoch.
    #[error("this device and epoch already have a certificate with another key")]
    SecondKey,
    /// The key is not a point of the curve, or of so small an order that anybody can sign with it.
    #[error("the public key cannot be used")]
    BadKey,
    /// An arrival record that speaks of other facts.
    #[error("the arrival record speaks of other facts than these")]
    OtherFacts,
    /// An arrival record of another business, or by a device that this one has not certified.
    #[error("the arrival record is not by a device that this business has certified")]
    ForeignRecord,
    /// An arrival record whose signature does not fit.
    #[error("the signature of the arrival record does not fit its content and key")]
    BadRecord,
}

impl Refusal {
    /// The stable code of this refusal.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unreadable { .. } => "unreadable",
            Self::NotCanonical { .. } => "not_canonical",
            Self::BreaksRule { .. } => "breaks_rule",
            Self::UnknownVersion { .. } => "unknown_version",
            Self::UnknownAlgorithm(_) => "unknown_algorithm",
            Self::TooLong { .. } => "too_long",
            Self::BadSignature(_) => "bad_signature",
            Self::WrongPayload(_) => "wrong_payload",
            Self::UnknownDevice(_) => "unknown_device",
            Self::WrongBusiness(_) => "wrong_business",
            Self::BadCertificate => "bad_certificate",
            Self::SecondKey => "second_key",
            Self::BadKey => "bad_key",
            Self::OtherFacts => "other_facts",
            Self::ForeignRecord => "foreign_record",
            Self::BadRecord => "bad_record",
        }
    }
}
