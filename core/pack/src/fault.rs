use wythe_job::{Chain, Digest, FactId, Refusal};

/// The first thing that is wrong with a claim pack. Each has the stable code that
/// `fixtures/formats/pack.md` lists.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PackFault {
    /// The file could not be read.
    #[error("the file cannot be read: {0}")]
    Io(#[from] std::io::Error),
    /// Not a pack at all, or cut short.
    #[error("this is no claim pack, or its end is missing")]
    NotAPack,
    /// The ZIP file's own bytes are not those of a pack.
    #[error("the ZIP file was changed or made by another program: {0}")]
    ZipLayout(String),
    /// A member is missing, twice, not in its place, or has no place in a pack.
    #[error("the members are not those of a claim pack: {0}")]
    Members(String),
    /// Longer than the format allows.
    #[error("{0} is longer than a claim pack allows")]
    TooLong(String),
    /// A member's bytes do not have the sum that the ZIP file states.
    #[error("{0} was damaged")]
    Checksum(String),
    /// `SHA256SUMS` is not that of the members.
    #[error("SHA256SUMS does not fit the members; the first that differs is {0}")]
    Sums(String),
    /// The manifest is not as the format says.
    #[error("manifest.json is not as the format says: {0}")]
    Manifest(String),
    /// A newer format.
    #[error("the pack has format {0}, which is not known here; a newer Wythe reads it")]
    UnknownVersion(i128),
    /// A member is not the one that was signed for.
    #[error("{0} is not the one that the manifest names")]
    ManifestMembers(String),
    /// A certificate is not good, or not needed.
    #[error("certificate {index} of the manifest: {why}")]
    Certificate {
        /// Which, counted from 1.
        index: usize,
        /// What is wrong.
        why: String,
    },
    /// The manifest was not signed by the device that it names.
    #[error("the manifest's signature is not that of the device that it names")]
    ManifestSignature,
    /// Another business than the trusted one.
    #[error("the pack was signed by {found}, which is not the business you trust")]
    Untrusted {
        /// The fingerprint found.
        found: String,
    },
    /// A revocation is not good.
    #[error("revocation {index} of the manifest: {why}")]
    Revocation {
        /// Which, counted from 1.
        index: usize,
        /// What is wrong.
        why: String,
    },
    /// The device that packed is revoked.
    #[error("the device that signed the manifest is revoked")]
    RevokedPacker,
    /// A fact cannot be read.
    #[error("fact {index} of facts.cbor: {refusal}")]
    Fact {
        /// Which, counted from 1.
        index: usize,
        /// Why it is refused.
        refusal: Refusal,
    },
    /// A fact is not in its place, or twice.
    #[error("fact {0} is not in its place, or stands twice")]
    FactOrder(FactId),
    /// A fact of another business.
    #[error("fact {0} belongs to another business")]
    WrongBusiness(FactId),
    /// A fact of another job.
    #[error("fact {0} belongs to another job")]
    WrongJob(FactId),
    /// No certificate for a fact's device.
    #[error("fact {0} was made by a device without a certificate here")]
    UnknownDevice(FactId),
    /// A fact that its device did not sign.
    #[error("the signature of fact {0} does not fit")]
    FactSignature(FactId),
    /// Facts are missing in a chain.
    #[error("facts are missing before {0}")]
    ChainGap(FactId),
    /// Two facts with one number that the business did not vouch for.
    #[error("device {} wrote number {number} twice in epoch {}", chain.device.short(), chain.epoch)]
    ChainFork {
        /// The chain.
        chain: Chain,
        /// The number.
        number: u64,
    },
    /// A fact that does not follow the one before.
    #[error("fact {0} does not follow the fact before it")]
    ChainBroken(FactId),
    /// The manifest tells other chains than there are.
    #[error("the manifest tells other facts than facts.cbor holds: {0}")]
    Chains(String),
    /// A fact names another that is not here.
    #[error("fact {fact} names fact {missing}, which is missing or not as named")]
    FactMissing {
        /// Which names it.
        fact: FactId,
        /// Which is missing.
        missing: FactId,
    },
    /// A payload is missing and nothing says why.
    #[error("the content of fact {0} is missing and nothing says why")]
    PayloadMissing(FactId),
    /// A payload is there that should not be.
    #[error("the content of fact {0} is here although it was erased or left out")]
    PayloadPresent(FactId),
    /// What was left out is not told as the format says.
    #[error("what was left out is not told truly: {0}")]
    LeftOut(String),
    /// An original that no fact names.
    #[error("{0} is named by no fact here")]
    OriginalUnnamed(String),
    /// An original that is missing.
    #[error("the original {0} is missing")]
    OriginalMissing(Digest),
    /// An original that is not the one recorded.
    #[error("{0} is not the file that was recorded")]
    OriginalWrong(String),
    /// `facts.json` tells something else than the facts.
    #[error("facts.json is not what facts.cbor says")]
    FactsJson,
    /// `claims.json` is not as the format says.
    #[error("claims.json is not as the format says: {0}")]
    Claims(String),
    /// A row does not stand on its facts.
    #[error("row {row} of claims.json ({requirement}): {why}")]
    ClaimFacts {
        /// Which row, counted from 1.
        row: usize,
        /// Its requirement.
        requirement: String,
        /// What is wrong.
        why: String,
    },
    /// A row names a member that none of its facts names.
    #[error("row {row} of claims.json ({requirement}): {member} is not an original of its facts")]
    ClaimMembers {
        /// Which row, counted from 1.
        row: usize,
        /// Its requirement.
        requirement: String,
        /// The member.
        member: String,
    },
}

impl PackFault {
    /// The stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Io(_) => "io",
            Self::NotAPack => "not_a_pack",
            Self::ZipLayout(_) => "zip_layout",
            Self::Members(_) => "members",
            Self::TooLong(_) => "too_long",
            Self::Checksum(_) => "checksum",
            Self::Sums(_) => "sums",
            Self::Manifest(_) => "manifest",
            Self::UnknownVersion(_) => "unknown_version",
            Self::ManifestMembers(_) => "manifest_members",
            Self::Certificate { .. } => "certificate",
            Self::ManifestSignature => "manifest_signature",
            Self::Untrusted { .. } => "untrusted",
            Self::Revocation { .. } => "revocation",
            Self::RevokedPacker => "revoked_packer",
            Self::Fact { .. } => "fact",
            Self::FactOrder(_) => "fact_order",
            Self::WrongBusiness(_) => "wrong_business",
            Self::WrongJob(_) => "wrong_job",
            Self::UnknownDevice(_) => "unknown_device",
            Self::FactSignature(_) => "fact_signature",
            Self::ChainGap(_) => "chain_gap",
            Self::ChainFork { .. } => "chain_fork",
            Self::ChainBroken(_) => "chain_broken",
            Self::Chains(_) => "chains",
            Self::FactMissing { .. } => "fact_missing",
            Self::PayloadMissing(_) => "payload_missing",
            Self::PayloadPresent(_) => "payload_present",
            Self::LeftOut(_) => "left_out",
            Self::OriginalUnnamed(_) => "original_unnamed",
            Self::OriginalMissing(_) => "original_missing",
            Self::OriginalWrong(_) => "original_wrong",
            Self::FactsJson => "facts_json",
            Self::Claims(_) => "claims",
            Self::ClaimFacts { .. } => "claim_facts",
            Self::ClaimMembers { .. } => "claim_members",
        }
    }
}
