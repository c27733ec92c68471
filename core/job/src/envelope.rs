use minicbor::{Decode, Encode};

use crate::body::{is_critical, is_of_business_only};
use crate::canonical;
use crate::clock::Stamp;
use crate::id::{BusinessId, Chain, DeviceId, Digest, FactId, PersonId, Stream, digest_of};
use crate::limits::{MAX_KIND_BYTES, MAX_REPLACES, MAX_SEEN, MAX_WHOLE};
use crate::refusal::Refusal;
use crate::rules::{Kept, Rules, facts, holds, list};
use crate::value::Moment;

/// The version of the envelope written here.
pub const ENVELOPE_VERSION: u64 = 1;
/// Ed25519 (RFC 8032) over the envelope's bytes.
pub const ALGORITHM_ED25519: u64 = 1;

/// The latest fact known of another chain when this one was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Encode, Decode, serde::Serialize)]
pub struct Seen {
    /// The other chain.
    #[n(0)]
    pub chain: Chain,
    /// The number of its latest known fact.
    #[n(1)]
    pub number: u64,
    /// That fact's id.
    #[n(2)]
    pub id: FactId,
}

/// Who recorded something, where, when and after what: the part of a fact that is signed.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode, serde::Serialize)]
pub struct Envelope {
    /// [`ENVELOPE_VERSION`].
    #[n(0)]
    pub version: u64,
    /// [`ALGORITHM_ED25519`]; there is room for others.
    #[n(1)]
    pub algorithm: u64,
    /// Whose fact.
    #[n(2)]
    pub business: BusinessId,
    /// Of which job, or of the business itself.
    #[n(3)]
    pub stream: Stream,
    /// The device.
    #[n(4)]
    pub device: DeviceId,
    /// The device's epoch.
    #[n(5)]
    pub epoch: u32,
    /// Its place in the chain, from 1 to 2^53 - 1.
    #[n(6)]
    pub number: u64,
    /// The fact before it in the chain; none for the first.
    #[n(7)]
    pub previous: Option<FactId>,
    /// The latest facts known of the other chains, in the order of the chains.
    #[n(8)]
    pub seen: Vec<Seen>,
    /// Who recorded it.
    #[n(9)]
    pub person: PersonId,
    /// When, as the device's clock told it.
    #[n(10)]
    pub at: Moment,
    /// For the order of display.
    #[n(11)]
    pub stamp: Stamp,
    /// The kind of its body.
    #[n(12)]
    pub kind: String,
    /// Whether a program that does not know the kind must close the sign-off.
    #[n(13)]
    pub critical: bool,
    /// The facts of the same address that its author saw and replaced, in ascending order.
    #[n(14)]
    pub replaces: Vec<FactId>,
    /// SHA-256 of the payload.
    #[n(15)]
    pub payload: Digest,
}

impl Envelope {
    /// The canonical bytes, which are signed and whose SHA-256 is the fact's id.
    #[must_use]
    pub fn encode(&self) -> Vec<u8> {
        canonical::encode(self)
    }

    /// The fact's id.
    #[must_use]
    pub fn id(&self) -> FactId {
        FactId(digest_of(&self.encode()).0)
    }

    /// The hash chain it belongs to.
    #[must_use]
    pub fn chain(&self) -> Chain {
        Chain {
            device: self.device,
            epoch: self.epoch,
        }
    }

    /// Reads an envelope.
    ///
    /// # Errors
    /// A [`Refusal`] when the bytes are not canonical, of an unknown version or algorithm, or break
    /// a rule of the format (order of `seen` and `replaces`, a first fact with a predecessor ...).
    /// The version is looked at first: a newer one may have other rules.
    pub fn decode(bytes: &[u8]) -> Result<Self, Refusal> {
        canonical::check(bytes)?;
        let unreadable = |why: minicbor::decode::Error| Refusal::Unreadable {
            what: "an envelope",
            why: why.to_string(),
        };
        let mut decoder = minicbor::Decoder::new(bytes);
        decoder.array().map_err(unreadable)?;
        let version = decoder.u64().map_err(unreadable)?;
        if version != ENVELOPE_VERSION {
            return Err(Refusal::UnknownVersion {
                what: "an envelope",
                found: version,
            });
        }
        let algorithm = decoder.u64().map_err(unreadable)?;
        if algorithm != ALGORITHM_ED25519 {
            return Err(Refusal::UnknownAlgorithm(algorithm));
        }
        let envelope: Self = minicbor::decode(bytes).map_err(unreadable)?;
        envelope.check()?;
        // Version 1 has exactly these members: anything more would be signed but not read.
        if envelope.encode() != bytes {
            return Err(Refusal::NotCanonical {
                at: 0,
                why: "members that version 1 does not have",
            });
        }
        Ok(envelope)
    }

    /// Checks the rules of the format.
    ///
    /// # Errors
    /// [`Refusal::BreaksRule`].
    pub fn check(&self) -> Result<(), Refusal> {
        self.keeps().map_err(|broken| Refusal::BreaksRule {
            what: "an envelope",
            member: broken.member,
            why: broken.why,
        })
    }

    fn keeps_links(&self) -> Kept {
        let fits = (1..=MAX_WHOLE).contains(&self.number);
        holds("number", fits, "is not between 1 and 2^53 - 1")?;
        holds(
            "previous",
            (self.number == 1) == self.previous.is_none(),
            "is missing, or stands in the first fact of a chain",
        )?;
        list("seen", &self.seen, MAX_SEEN)?;
        holds(
            "seen",
            self.seen.is_sorted_by(|a, b| a.chain < b.chain),
            "is not in the order of the chains, or names one twice",
        )?;
        let others = self.seen.iter().all(|seen| seen.chain != self.chain());
        holds("seen", others, "names the fact's own chain")?;
        let fits = |seen: &Seen| (1..=MAX_WHOLE).contains(&seen.number);
        holds(
            "seen",
            self.seen.iter().all(fits),
            "has a number that is not between 1 and 2^53 - 1",
        )?;
        facts("replaces", &self.replaces, MAX_REPLACES)
    }

    fn keeps_kind(&self) -> Kept {
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_';
        let fits = (1..=MAX_KIND_BYTES).contains(&self.kind.len()) && self.kind.bytes().all(plain);
        holds("kind", fits, "is no name: 1 to 40 of a-z, 0-9, underscore")?;
        holds(
            "critical",
            is_critical(&self.kind).is_none_or(|critical| critical == self.critical),
            "is not as the kind has it",
        )?;
        holds(
            "stream",
            !is_of_business_only(&self.kind) || self.stream == Stream::from(self.business),
            "is not the business's own, as the kind wants",
        )
    }
}

impl Rules for Envelope {
    fn keeps(&self) -> Kept {
        self.keeps_links()?;
        self.at.keeps()?;
        self.stamp.keeps()?;
        self.keeps_kind()
    }
}
