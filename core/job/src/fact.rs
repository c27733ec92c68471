use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use minicbor::{Decode, Encode};

use crate::body::Body;
use crate::canonical;
use crate::certificate::Trust;
use crate::clock::Stamp;
use crate::envelope::{ALGORITHM_ED25519, ENVELOPE_VERSION, Envelope, Seen};
use crate::id::{BusinessId, Chain, FactId, PersonId, Stream, digest_of};
use crate::limits::MAX_FACT_BYTES;
use crate::payload::{Payload, SALT_BYTES};
use crate::refusal::Refusal;
use crate::value::Moment;

/// One thing recorded, once, by one person on one device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    id: FactId,
    envelope: Envelope,
    envelope_bytes: Vec<u8>,
    signature: [u8; 64],
    payload: Option<Payload>,
}

/// What is to be recorded, before it has a place in a chain.
#[derive(Debug, Clone)]
pub struct Draft {
    /// Of which job, or of the business.
    pub stream: Stream,
    /// Who records it.
    pub person: PersonId,
    /// When.
    pub at: Moment,
    /// The stamp for display.
    pub stamp: Stamp,
    /// What its author saw and replaces.
    pub replaces: Vec<FactId>,
    /// What is recorded.
    pub body: Body,
    /// Chance, given by the caller.
    pub salt: [u8; SALT_BYTES],
}

/// Who signs: a device in its epoch, with its key.
#[derive(Clone)]
pub struct Keeper {
    /// The business it belongs to.
    pub business: BusinessId,
    /// The device and its epoch.
    pub chain: Chain,
    /// Its key.
    pub key: SigningKey,
}

#[derive(Encode, Decode)]
struct Wire<'b> {
    #[cbor(b(0), with = "minicbor::bytes")]
    envelope: &'b [u8],
    #[cbor(n(1), with = "minicbor::bytes")]
    signature: [u8; 64],
    #[cbor(b(2), with = "minicbor::bytes")]
    payload: Option<&'b [u8]>,
}

impl Keeper {
    /// Signs a draft as the next fact of this keeper's chain in the draft's stream.
    ///
    /// `last` is the chain's latest fact, `seen` the latest of the others, in the order of chains.
    ///
    /// # Errors
    /// [`Refusal::BreaksRule`], [`Refusal::TooLong`] or [`Refusal::NotCanonical`]: what could not be
    /// read again is not written either.
    pub fn sign(&self, draft: Draft, last: Option<(u64, FactId)>, seen: Vec<Seen>) -> Result<Fact, Refusal> {
        let body = draft.body.in_order();
        body.check()?;
        let payload = Payload::new(draft.salt, &body);
        let mut replaces = draft.replaces;
        replaces.sort_unstable();
        replaces.dedup();
        let envelope = Envelope {
            version: ENVELOPE_VERSION,
            algorithm: ALGORITHM_ED25519,
            business: self.business,
            stream: draft.stream,
            device: self.chain.device,
            epoch: self.chain.epoch,
            number: last.map_or(1, |(number, _)| number.saturating_add(1)),
            previous: last.map(|(_, id)| id),
            seen,
            person: draft.person,
            at: draft.at,
            stamp: draft.stamp,
            kind: body.kind().to_owned(),
            critical: body.critical(),
            replaces,
            payload: payload.digest(),
        };
        let envelope = envelope.encode();
        let signature = self.key.sign(&envelope).to_bytes();
        Fact::from_parts(&envelope, signature, Some(payload.bytes().to_vec()))
    }
}

impl Fact {
    /// Puts a fact together from its stored parts.
    ///
    /// # Errors
    /// A [`Refusal`] when a part is not canonical, too long, or the payload is not the one signed.
    /// The signature is checked by [`Fact::verify`].
    pub fn from_parts(
        envelope: &[u8],
        signature: [u8; 64],
        payload: Option<Vec<u8>>,
    ) -> Result<Self, Refusal> {
        let length = envelope.len() + payload.as_ref().map_or(0, Vec::len);
        if length > MAX_FACT_BYTES {
            return Err(Refusal::TooLong {
                what: "a fact",
                found: length,
                limit: MAX_FACT_BYTES,
            });
        }
        let envelope_bytes = envelope.to_vec();
        let envelope = Envelope::decode(envelope)?;
        let id = FactId(digest_of(&envelope_bytes).0);
        let payload = payload.map(Payload::from_bytes).transpose()?;
        if payload
            .as_ref()
            .is_some_and(|payload| payload.digest() != envelope.payload)
        {
            return Err(Refusal::WrongPayload(id));
        }
        if let Some(payload) = &payload {
            payload.body(&envelope.kind, envelope.critical)?;
        }
        Ok(Self {
            id,
            envelope,
            envelope_bytes,
            signature,
            payload,
        })
    }

    /// Reads a fact as it is carried: `[envelope, signature, payload]`, the payload left out when dropped.
    ///
    /// # Errors
    /// As [`Fact::from_parts`].
    pub fn decode(bytes: &[u8]) -> Result<Self, Refusal> {
        // 3 heads of at most 5 bytes, that of the array and the signature come on top.
        if bytes.len() > MAX_FACT_BYTES + 128 {
            return Err(Refusal::TooLong {
                what: "a fact",
                found: bytes.len(),
                limit: MAX_FACT_BYTES,
            });
        }
        let wire: Wire<'_> = canonical::decode("a fact", bytes)?;
        let fact = Self::from_parts(wire.envelope, wire.signature, wire.payload.map(<[u8]>::to_vec))?;
        if fact.encode() != bytes {
            return Err(Refusal::NotCanonical {
                at: 0,
                why: "members that a fact does not have",
            });
        }
        Ok(fact)
    }

    /// The fact as it is carried.
    #[must_use]
    pub fn encode(&self) -> Vec<u8> {
        canonical::encode(&Wire {
            envelope: &self.envelope_bytes,
            signature: self.signature,
            payload: self.payload.as_ref().map(Payload::bytes),
        })
    }

    /// Checks that the signature is this key's.
    ///
    /// # Errors
    /// [`Refusal::BadSignature`].
    pub fn verify(&self, key: &VerifyingKey) -> Result<(), Refusal> {
        key.verify_strict(&self.envelope_bytes, &Signature::from_bytes(&self.signature))
            .map_err(|_| Refusal::BadSignature(self.id))
    }

    /// Checks the fact against a business's certificates.
    ///
    /// # Errors
    /// [`Refusal::WrongBusiness`], [`Refusal::UnknownDevice`] or [`Refusal::BadSignature`].
    pub fn verify_in(&self, trust: &Trust) -> Result<(), Refusal> {
        if self.envelope.business != trust.business() {
            return Err(Refusal::WrongBusiness(self.id));
        }
        let certificate = trust
            .certificate(self.envelope.chain())
            .ok_or(Refusal::UnknownDevice(self.id))?;
        self.verify(&certificate.device_key()?)
    }

    /// The SHA-256 of the envelope's bytes.
    #[must_use]
    pub fn id(&self) -> FactId {
        self.id
    }

    /// Who, where, when, after what.
    #[must_use]
    pub fn envelope(&self) -> &Envelope {
        &self.envelope
    }

    /// The bytes that are signed.
    #[must_use]
    pub fn envelope_bytes(&self) -> &[u8] {
        &self.envelope_bytes
    }

    /// The signature.
    #[must_use]
    pub fn signature(&self) -> &[u8; 64] {
        &self.signature
    }

    /// The payload; none when it was dropped.
    #[must_use]
    pub fn payload(&self) -> Option<&Payload> {
        self.payload.as_ref()
    }

    /// What was recorded; none when the payload was dropped.
    #[must_use]
    pub fn body(&self) -> Option<Body> {
        let payload = self.payload.as_ref()?;
        Body::read(&self.envelope.kind, self.envelope.critical, payload.body_bytes()).ok()
    }

    /// The same fact without its payload.
    #[must_use]
    pub fn without_payload(&self) -> Self {
        Self {
            payload: None,
            ..self.clone()
        }
    }
}
