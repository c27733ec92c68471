use std::collections::BTreeMap;
use std::fmt;

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use minicbor::{Decode, Encode};

use crate::canonical;
use crate::id::{BusinessId, Chain, DeviceId, digest_of};
use crate::limits::MAX_CERTIFICATE_BYTES;
use crate::refusal::Refusal;
use crate::rules::{Rules, name};
use crate::value::Moment;

/// The version of the certificate written here.
const CERTIFICATE_VERSION: u64 = 1;

/// What the business signs about a device's key.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
struct Statement {
    #[n(0)]
    version: u64,
    #[n(1)]
    algorithm: u64,
    #[n(2)]
    business: BusinessId,
    #[cbor(n(3), with = "minicbor::bytes")]
    business_key: [u8; 32],
    #[n(4)]
    device: DeviceId,
    #[n(5)]
    epoch: u32,
    #[cbor(n(6), with = "minicbor::bytes")]
    device_key: [u8; 32],
    #[n(7)]
    issued: Moment,
    #[n(8)]
    name: String,
}

/// What is read first: a newer version may have other members.
#[derive(Decode)]
struct Heads {
    #[n(0)]
    version: u64,
    #[n(1)]
    algorithm: u64,
}

impl Statement {
    fn check(&self) -> Result<(), Refusal> {
        self.issued
            .keeps()
            .and_then(|()| name("name", &self.name))
            .map_err(|broken| Refusal::BreaksRule {
                what: "a certificate",
                member: broken.member,
                why: broken.why,
            })
    }
}

#[derive(Encode, Decode)]
struct Wire<'b> {
    #[cbor(b(0), with = "minicbor::bytes")]
    statement: &'b [u8],
    #[cbor(n(1), with = "minicbor::bytes")]
    signature: [u8; 64],
}

/// A business's word that a device's key in one epoch is its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Certificate {
    statement: Statement,
    bytes: Vec<u8>,
}

impl Certificate {
    /// Certifies a device's key.
    ///
    /// # Errors
    /// A [`Refusal`] when the name or the moment breaks a rule: what could not be read again is not
    /// written either.
    pub fn issue(
        business: BusinessId,
        business_key: &SigningKey,
        chain: Chain,
        device_key: &VerifyingKey,
        issued: Moment,
        name: &str,
    ) -> Result<Self, Refusal> {
        let statement = Statement {
            version: CERTIFICATE_VERSION,
            algorithm: crate::ALGORITHM_ED25519,
            business,
            business_key: business_key.verifying_key().to_bytes(),
            device: chain.device,
            epoch: chain.epoch,
            device_key: device_key.to_bytes(),
            issued,
            name: name.to_owned(),
        };
        let signed = canonical::encode(&statement);
        let signature = business_key.sign(&signed).to_bytes();
        let bytes = canonical::encode(&Wire {
            statement: &signed,
            signature,
        });
        Self::decode(&bytes)
    }

    /// Reads a certificate and checks its business's signature.
    ///
    /// # Errors
    /// A [`Refusal`] when it is unreadable, of an unknown version, or not signed by the key it names.
    pub fn decode(bytes: &[u8]) -> Result<Self, Refusal> {
        if bytes.len() > MAX_CERTIFICATE_BYTES {
            return Err(Refusal::TooLong {
                what: "a certificate",
                found: bytes.len(),
                limit: MAX_CERTIFICATE_BYTES,
            });
        }
        let wire: Wire<'_> = canonical::decode("a certificate", bytes)?;
        let heads: Heads = canonical::decode("a certificate", wire.statement)?;
        if heads.version != CERTIFICATE_VERSION {
            return Err(Refusal::UnknownVersion {
                what: "a certificate",
                found: heads.version,
            });
        }
        if heads.algorithm != crate::ALGORITHM_ED25519 {
            return Err(Refusal::UnknownAlgorithm(heads.algorithm));
        }
        let statement: Statement = canonical::decode("a certificate", wire.statement)?;
        statement.check()?;
        let whole = canonical::encode(&statement) == wire.statement && canonical::encode(&wire) == bytes;
        if !whole {
            return Err(Refusal::NotCanonical {
                at: 0,
                why: "members that version 1 does not have",
            });
        }
        let key = usable(&statement.business_key)?;
        key.verify_strict(wire.statement, &Signature::from_bytes(&wire.signature))
            .map_err(|_| Refusal::BadCertificate)?;
        usable(&statement.device_key)?;
        Ok(Self {
            statement,
            bytes: bytes.to_vec(),
        })
    }

    /// The bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The business that signed.
    #[must_use]
    pub fn business(&self) -> BusinessId {
        self.statement.business
    }

    /// The fingerprint of the business's key: what a programme is told once.
    #[must_use]
    pub fn fingerprint(&self) -> Fingerprint {
        Fingerprint::of(&self.statement.business_key)
    }

    /// The device and epoch whose key it certifies.
    #[must_use]
    pub fn chain(&self) -> Chain {
        Chain {
            device: self.statement.device,
            epoch: self.statement.epoch,
        }
    }

    /// What the device is called.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.statement.name
    }

    /// When it was issued.
    #[must_use]
    pub fn issued(&self) -> Moment {
        self.statement.issued
    }

    /// The device's key.
    ///
    /// # Errors
    /// [`Refusal::BadKey`] when the bytes are no key.
    pub fn device_key(&self) -> Result<VerifyingKey, Refusal> {
        usable(&self.statement.device_key)
    }
}

fn usable(key: &[u8; 32]) -> Result<VerifyingKey, Refusal> {
    let key = VerifyingKey::from_bytes(key).map_err(|_| Refusal::BadKey)?;
    if key.is_weak() {
        Err(Refusal::BadKey)
    } else {
        Ok(key)
    }
}

/// The SHA-256 of a business's public key, shown in groups of four digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fingerprint([u8; 32]);

impl Fingerprint {
    /// The fingerprint of a key.
    #[must_use]
    pub fn of(key: &[u8; 32]) -> Self {
        Self(digest_of(key).0)
    }

    /// Reads what a person copied: hexadecimal digits, any spaces or hyphens between.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let digits: String = text.chars().filter(|c| !c.is_whitespace() && *c != '-').collect();
        let mut bytes = [0; 32];
        hex::decode_to_slice(digits, &mut bytes).ok()?;
        Some(Self(bytes))
    }
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, pair) in self.0.chunks(2).enumerate() {
            write!(f, "{}{}", if index == 0 { "" } else { "-" }, hex::encode(pair))?;
        }
        Ok(())
    }
}

/// The certificates of one business, by device and epoch.
#[derive(Debug, Clone)]
pub struct Trust {
    business: BusinessId,
    fingerprint: Fingerprint,
    certificates: BTreeMap<Chain, Certificate>,
}

impl Trust {
    /// Trust in one business's key.
    #[must_use]
    pub fn in_business(business: BusinessId, fingerprint: Fingerprint) -> Self {
        Self {
            business,
            fingerprint,
            certificates: BTreeMap::new(),
        }
    }

    /// Takes a certificate of this business. One already held for the same chain and key stays.
    ///
    /// # Errors
    /// [`Refusal::BadCertificate`] when another business, or another key, signed it;
    /// [`Refusal::SecondKey`] when it names another key than the one held for its chain.
    pub fn add(&mut self, certificate: Certificate) -> Result<(), Refusal> {
        if certificate.business() != self.business || certificate.fingerprint() != self.fingerprint {
            return Err(Refusal::BadCertificate);
        }
        let held = self.certificates.get(&certificate.chain());
        if held.is_some_and(|held| held.statement.device_key != certificate.statement.device_key) {
            return Err(Refusal::SecondKey);
        }
        self.certificates
            .entry(certificate.chain())
            .or_insert(certificate);
        Ok(())
    }

    /// Whose trust this is.
    #[must_use]
    pub fn business(&self) -> BusinessId {
        self.business
    }

    /// The fingerprint of the business's key.
    #[must_use]
    pub fn fingerprint(&self) -> Fingerprint {
        self.fingerprint
    }

    /// The certificate of a chain.
    #[must_use]
    pub fn certificate(&self, chain: Chain) -> Option<&Certificate> {
        self.certificates.get(&chain)
    }

    /// All certificates, in the order of their chains.
    pub fn certificates(&self) -> impl Iterator<Item = &Certificate> {
        self.certificates.values()
    }
}
