use minicbor::{Decode, Encode};

use crate::body::Body;
use crate::canonical;
use crate::id::{Digest, digest_of};
use crate::refusal::Refusal;

/// Bytes of chance in each payload, so that a dropped one cannot be guessed from its digest.
pub const SALT_BYTES: usize = 16;

/// What was recorded, with its salt, as canonical bytes: `[salt, body]`, the body as a byte string.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Payload(Vec<u8>);

#[derive(Encode, Decode)]
struct Parts<'b> {
    #[cbor(b(0), with = "minicbor::bytes")]
    salt: &'b [u8],
    #[cbor(b(1), with = "minicbor::bytes")]
    body: &'b [u8],
}

impl Payload {
    /// A payload of this body.
    #[must_use]
    pub fn new(salt: [u8; SALT_BYTES], body: &Body) -> Self {
        let body = body.encode();
        Self(canonical::encode(&Parts {
            salt: &salt,
            body: &body,
        }))
    }

    /// Takes bytes that came from a file or a wire.
    ///
    /// # Errors
    /// [`Refusal::NotCanonical`] or [`Refusal::Unreadable`].
    pub fn from_bytes(bytes: Vec<u8>) -> Result<Self, Refusal> {
        {
            let parts: Parts<'_> = canonical::decode("a payload", &bytes)?;
            if parts.salt.len() != SALT_BYTES {
                return Err(Refusal::Unreadable {
                    what: "a payload",
                    why: "the salt is not 16 bytes".into(),
                });
            }
            canonical::check(parts.body)?;
            if canonical::encode(&parts) != bytes {
                return Err(Refusal::NotCanonical {
                    at: 0,
                    why: "members that a payload does not have",
                });
            }
        }
        Ok(Self(bytes))
    }

    /// The bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }

    /// The SHA-256 that the envelope carries.
    #[must_use]
    pub fn digest(&self) -> Digest {
        digest_of(&self.0)
    }

    /// The chance that makes the digest unguessable; empty when the payload cannot be read.
    #[must_use]
    pub fn salt(&self) -> &[u8] {
        self.parts().map_or(&[], |parts| parts.salt)
    }

    /// The canonical bytes of the body; empty when the payload cannot be read.
    #[must_use]
    pub fn body_bytes(&self) -> &[u8] {
        self.parts().map_or(&[], |parts| parts.body)
    }

    /// Reads the body of the named kind and checks its rules.
    ///
    /// # Errors
    /// As [`Body::decode`].
    pub fn body(&self, kind: &str, critical: bool) -> Result<Body, Refusal> {
        Body::decode(kind, critical, self.body_bytes())
    }

    /// The bytes were checked when they were taken, so this cannot fail.
    fn parts(&self) -> Option<Parts<'_>> {
        minicbor::decode(&self.0).ok()
    }
}
