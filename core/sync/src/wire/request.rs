use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use minicbor::{Decode, Encode};
use wythe_job::{BusinessId, Chain, DeviceId, Digest, FactId, OfficeEpoch, canonical};

use super::{Bounded, Bytes, WireFault, fits_batch, read, write};
use crate::cursor::Cursor;
use crate::limits::{MAX_IDS, MAX_NAME_BYTES, MAX_ORIGINALS_ASKED, MAX_PIECE_BYTES};
use crate::token::{InviteCode, TokenHash};

/// What a phone asks of the office.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub enum Request {
    /// Take me in. Needs no token.
    #[n(0)]
    Enrol(#[n(0)] Enrol),
    /// Take this key for me, or know me again. Needs no token.
    #[n(1)]
    Renew(#[n(0)] Renew),
    /// Facts both ways.
    #[n(2)]
    Exchange(#[n(0)] Exchange),
    /// Bytes of an original, which follow the message.
    #[n(3)]
    Piece(#[n(0)] Piece),
    /// Give me bytes of an original.
    #[n(4)]
    Fetch(#[n(0)] Fetch),
}

/// A phone asks to be taken in.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
pub struct Enrol {
    /// The one-time code.
    #[cbor(n(0), with = "minicbor::bytes")]
    pub code: [u8; 10],
    /// The phone's name for itself, from chance.
    #[n(1)]
    pub device: DeviceId,
    /// Its public key.
    #[cbor(n(2), with = "minicbor::bytes")]
    pub device_key: [u8; 32],
    /// The hash of the token it will bring.
    #[n(3)]
    pub token: TokenHash,
    /// What people call it.
    #[n(4)]
    pub name: String,
    /// The key's signature over the members before.
    #[cbor(n(5), with = "minicbor::bytes")]
    pub proof: [u8; 64],
}

/// A phone whose store was put back or copied asks for a new key; or one that a restored office does
/// not know shows the certificate it has.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
pub struct Renew {
    /// A certificate that the business gave this phone.
    #[cbor(n(0), with = "minicbor::bytes")]
    pub certificate: Vec<u8>,
    /// The key to go on with; the certificate's own for the same epoch.
    #[cbor(n(1), with = "minicbor::bytes")]
    pub device_key: [u8; 32],
    /// The hash of the token it will bring.
    #[n(2)]
    pub token: TokenHash,
    /// The signature of the certificate's key over the members before.
    #[cbor(n(3), with = "minicbor::bytes")]
    pub old_proof: [u8; 64],
    /// The signature of the key to go on with over the same.
    #[cbor(n(4), with = "minicbor::bytes")]
    pub new_proof: [u8; 64],
}

/// Facts both ways.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Exchange {
    /// The business.
    #[n(0)]
    pub business: BusinessId,
    /// The phone, and its epoch.
    #[n(1)]
    pub chain: Chain,
    /// The office's epoch of the cursor.
    #[n(2)]
    pub office: OfficeEpoch,
    /// How far the phone has come.
    #[n(3)]
    pub cursor: Cursor,
    /// The most bytes of facts wanted in the reply.
    #[n(4)]
    pub room: u32,
    /// Facts for the office, as they are carried.
    #[n(5)]
    pub facts: Vec<Bytes>,
    /// Facts that the phone holds and the office may have lost.
    #[n(6)]
    pub held: Vec<FactId>,
    /// Originals that the phone is about to send.
    #[n(7)]
    pub originals: Vec<Offered>,
    /// Facts that the phone wants again.
    #[n(8)]
    pub wanted: Vec<FactId>,
}

/// An original that a phone is about to send.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
pub struct Offered {
    /// Which.
    #[n(0)]
    pub digest: Digest,
    /// Its length.
    #[n(1)]
    pub bytes: u64,
}

/// Bytes of an original. They follow the message; if they break off, those that came are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
pub struct Piece {
    /// The business.
    #[n(0)]
    pub business: BusinessId,
    /// The original.
    #[n(1)]
    pub digest: Digest,
    /// Its length.
    #[n(2)]
    pub bytes: u64,
    /// The place of the first byte that follows.
    #[n(3)]
    pub at: u64,
    /// How many follow.
    #[n(4)]
    pub length: u32,
}

/// A phone wants bytes of an original. They follow the reply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
pub struct Fetch {
    /// The business.
    #[n(0)]
    pub business: BusinessId,
    /// The original.
    #[n(1)]
    pub digest: Digest,
    /// The place of the first byte wanted.
    #[n(2)]
    pub at: u64,
    /// The most bytes wanted.
    #[n(3)]
    pub most: u32,
}

impl Request {
    /// The message's bytes.
    #[must_use]
    pub fn encode(&self) -> Vec<u8> {
        write(self)
    }

    /// Reads a message, and gives the raw bytes that follow it: those of a piece.
    ///
    /// # Errors
    /// [`WireFault`]; among others when raw bytes follow that do not belong to the message.
    pub fn decode(bytes: &[u8]) -> Result<(Self, &[u8]), WireFault> {
        let (request, rest) = read::<Self>(bytes)?;
        let most = match &request {
            Self::Piece(piece) => usize::try_from(piece.length).unwrap_or(usize::MAX),
            _ => 0,
        };
        if rest.len() > most {
            return Err(WireFault::OutOfBounds("what follows"));
        }
        Ok((request, rest))
    }

    /// The business that the message names; none before enrolment.
    #[must_use]
    pub fn business(&self) -> Option<BusinessId> {
        match self {
            Self::Enrol(_) | Self::Renew(_) => None,
            Self::Exchange(it) => Some(it.business),
            Self::Piece(it) => Some(it.business),
            Self::Fetch(it) => Some(it.business),
        }
    }
}

impl Bounded for Request {
    fn out_of_bounds(&self) -> Option<&'static str> {
        let fits = |fits: bool, member| (!fits).then_some(member);
        match self {
            Self::Enrol(it) => fits((1..=MAX_NAME_BYTES).contains(&it.name.len()), "the name"),
            Self::Renew(it) => fits(
                it.certificate.len() <= wythe_job::limits::MAX_CERTIFICATE_BYTES,
                "the certificate",
            ),
            Self::Exchange(it) => fits(fits_batch(&it.facts), "the batch of facts")
                .or_else(|| fits(it.held.len() <= MAX_IDS, "the list of facts held"))
                .or_else(|| fits(it.wanted.len() <= MAX_IDS, "the list of facts wanted"))
                .or_else(|| fits(it.originals.len() <= MAX_ORIGINALS_ASKED, "the list of originals")),
            Self::Piece(it) => {
                let length = usize::try_from(it.length).unwrap_or(usize::MAX);
                let end = it.at.saturating_add(u64::from(it.length));
                fits(length <= MAX_PIECE_BYTES && end <= it.bytes, "the piece")
            }
            Self::Fetch(it) => {
                let most = usize::try_from(it.most).unwrap_or(usize::MAX);
                fits(most <= MAX_PIECE_BYTES, "the piece wanted")
            }
        }
    }
}

/// What an enrolment's proof is signed over.
#[derive(Encode)]
struct EnrolStatement<'a> {
    #[n(0)]
    purpose: &'static str,
    #[cbor(n(1), with = "minicbor::bytes")]
    code: [u8; 10],
    #[n(2)]
    device: DeviceId,
    #[cbor(n(3), with = "minicbor::bytes")]
    device_key: [u8; 32],
    #[n(4)]
    token: TokenHash,
    #[n(5)]
    name: &'a str,
}

/// What a renewal's proofs are signed over.
#[derive(Encode)]
struct RenewStatement<'a> {
    #[n(0)]
    purpose: &'static str,
    #[cbor(n(1), with = "minicbor::bytes")]
    certificate: &'a [u8],
    #[cbor(n(2), with = "minicbor::bytes")]
    device_key: [u8; 32],
    #[n(3)]
    token: TokenHash,
}

impl Enrol {
    /// A phone's request, proven with its key.
    #[must_use]
    pub fn sign(code: InviteCode, device: DeviceId, key: &SigningKey, token: TokenHash, name: &str) -> Self {
        let mut enrol = Self {
            code: code.0,
            device,
            device_key: key.verifying_key().to_bytes(),
            token,
            name: name.to_owned(),
            proof: [0; 64],
        };
        enrol.proof = key.sign(&enrol.statement()).to_bytes();
        enrol
    }

    /// Whether whoever asks has the key.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        proven(&self.device_key, &self.statement(), &self.proof)
    }

    fn statement(&self) -> Vec<u8> {
        canonical::encode(&EnrolStatement {
            purpose: "wythe enrol 1",
            code: self.code,
            device: self.device,
            device_key: self.device_key,
            token: self.token,
            name: &self.name,
        })
    }
}

impl Renew {
    /// A phone's request, proven with the key it had and the one it goes on with.
    #[must_use]
    pub fn sign(certificate: &[u8], old: &SigningKey, new: &SigningKey, token: TokenHash) -> Self {
        let mut renew = Self {
            certificate: certificate.to_vec(),
            device_key: new.verifying_key().to_bytes(),
            token,
            old_proof: [0; 64],
            new_proof: [0; 64],
        };
        let statement = renew.statement();
        renew.old_proof = old.sign(&statement).to_bytes();
        renew.new_proof = new.sign(&statement).to_bytes();
        renew
    }

    /// Whether whoever asks has both keys: the one that was certified, and the one to go on with.
    #[must_use]
    pub fn is_proven(&self, certified: &VerifyingKey) -> bool {
        let statement = self.statement();
        proven(&certified.to_bytes(), &statement, &self.old_proof)
            && proven(&self.device_key, &statement, &self.new_proof)
    }

    fn statement(&self) -> Vec<u8> {
        canonical::encode(&RenewStatement {
            purpose: "wythe renew 1",
            certificate: &self.certificate,
            device_key: self.device_key,
            token: self.token,
        })
    }
}

fn proven(key: &[u8; 32], statement: &[u8], proof: &[u8; 64]) -> bool {
    VerifyingKey::from_bytes(key).is_ok_and(|key| {
        !key.is_weak()
            && key
                .verify_strict(statement, &Signature::from_bytes(proof))
                .is_ok()
    })
}
