use std::collections::BTreeMap;
use std::collections::btree_map::Entry as Slot;

use ed25519_dalek::{Signature, Signer};
use minicbor::{Decode, Encode};

use crate::canonical;
use crate::certificate::Trust;
use crate::fact::Keeper;
use crate::id::{BusinessId, Chain, Digest, FactId, OfficeEpoch, digest_of};
use crate::limits::{MAX_ARRIVING, MAX_WHOLE};
use crate::refusal::Refusal;
use crate::rules::{Rules, holds};
use crate::value::Moment;

const RECORD_VERSION: u64 = 1;
/// The most bytes of a record as it is carried: statement and signature.
const MAX_RECORD_BYTES: usize = 512;

/// What the office signs about facts that came together.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
struct Statement {
    #[n(0)]
    version: u64,
    #[n(1)]
    algorithm: u64,
    #[n(2)]
    business: BusinessId,
    #[n(3)]
    office: Chain,
    #[n(4)]
    epoch: OfficeEpoch,
    #[n(5)]
    first: u64,
    #[n(6)]
    count: u32,
    #[n(7)]
    at: Moment,
    #[n(8)]
    ids: Digest,
}

#[derive(Decode)]
struct Heads {
    #[n(0)]
    version: u64,
    #[n(1)]
    algorithm: u64,
}

#[derive(Encode, Decode)]
struct Wire<'b> {
    #[cbor(b(0), with = "minicbor::bytes")]
    statement: &'b [u8],
    #[cbor(n(1), with = "minicbor::bytes")]
    signature: [u8; 64],
}

/// The office's signed word that facts came to it together: which, in what place, and when by its own
/// clock. It stands outside the job's facts. It proves that each of them was recorded no later than
/// that; never that one was recorded before another.
///
/// The ids themselves are not carried in it, only their digest: whoever checks it has them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArrivalRecord {
    statement: Statement,
    statement_bytes: Vec<u8>,
    signature: [u8; 64],
}

/// Where and when a fact came to the office.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfficeArrival {
    /// In which epoch of the office. Numbers of different epochs cannot be compared.
    pub epoch: OfficeEpoch,
    /// Its place in the order of coming, from 1.
    pub number: u64,
    /// When, by the office's clock.
    pub at: Moment,
}

fn digest_of_ids(ids: &[FactId]) -> Digest {
    let joined: Vec<u8> = ids.iter().flat_map(|id| id.0).collect();
    digest_of(&joined)
}

impl Statement {
    fn check(&self) -> Result<(), Refusal> {
        let numbers = (1..=MAX_WHOLE).contains(&self.first);
        let some = (1..=MAX_ARRIVING).contains(&self.count);
        holds("first", numbers, "is not between 1 and 2^53 - 1")
            .and_then(|()| holds("count", some, "is not between 1 and 1,000"))
            .and_then(|()| self.at.keeps())
            .map_err(|broken| Refusal::BreaksRule {
                what: "an arrival record",
                member: broken.member,
                why: broken.why,
            })
    }
}

impl ArrivalRecord {
    /// Signs a record of facts that came together. `keeper` is the office's own; the first of the facts
    /// has the number `first`, the others follow.
    ///
    /// # Errors
    /// [`Refusal::BreaksRule`] for no facts or more than [`MAX_ARRIVING`], or a moment out of bounds.
    pub fn sign(
        keeper: &Keeper,
        epoch: OfficeEpoch,
        first: u64,
        at: Moment,
        ids: &[FactId],
    ) -> Result<Self, Refusal> {
        let statement = Statement {
            version: RECORD_VERSION,
            algorithm: crate::ALGORITHM_ED25519,
            business: keeper.business,
            office: keeper.chain,
            epoch,
            first,
            count: u32::try_from(ids.len()).unwrap_or(u32::MAX),
            at,
            ids: digest_of_ids(ids),
        };
        statement.check()?;
        let statement_bytes = canonical::encode(&statement);
        let signature = keeper.key.sign(&statement_bytes).to_bytes();
        Ok(Self {
            statement,
            statement_bytes,
            signature,
        })
    }

    /// Reads a record. Its signature and its facts are checked by [`ArrivalRecord::check`].
    ///
    /// # Errors
    /// A [`Refusal`] when the bytes are not a canonical record of a known version.
    pub fn decode(bytes: &[u8]) -> Result<Self, Refusal> {
        if bytes.len() > MAX_RECORD_BYTES {
            return Err(Refusal::TooLong {
                what: "an arrival record",
                found: bytes.len(),
                limit: MAX_RECORD_BYTES,
            });
        }
        let wire: Wire<'_> = canonical::decode("an arrival record", bytes)?;
        let heads: Heads = canonical::decode("an arrival record", wire.statement)?;
        if heads.version != RECORD_VERSION {
            return Err(Refusal::UnknownVersion {
                what: "an arrival record",
                found: heads.version,
            });
        }
        if heads.algorithm != crate::ALGORITHM_ED25519 {
            return Err(Refusal::UnknownAlgorithm(heads.algorithm));
        }
        let statement: Statement = canonical::decode("an arrival record", wire.statement)?;
        statement.check()?;
        let whole = canonical::encode(&statement) == wire.statement && canonical::encode(&wire) == bytes;
        if !whole {
            return Err(Refusal::NotCanonical {
                at: 0,
                why: "members that version 1 does not have",
            });
        }
        Ok(Self {
            statement,
            statement_bytes: wire.statement.to_vec(),
            signature: wire.signature,
        })
    }

    /// The record as it is carried and kept.
    #[must_use]
    pub fn encode(&self) -> Vec<u8> {
        canonical::encode(&Wire {
            statement: &self.statement_bytes,
            signature: self.signature,
        })
    }

    /// Checks that it speaks of exactly these facts, in this order, and that a device which the
    /// business certified signed it. Which device is the office's own is for the caller to know.
    ///
    /// # Errors
    /// [`Refusal::OtherFacts`], [`Refusal::ForeignRecord`], [`Refusal::BadRecord`].
    pub fn check(&self, ids: &[FactId], trust: &Trust) -> Result<(), Refusal> {
        let same = u32::try_from(ids.len()) == Ok(self.statement.count);
        if !same || digest_of_ids(ids) != self.statement.ids {
            return Err(Refusal::OtherFacts);
        }
        let certificate = trust
            .certificate(self.statement.office)
            .filter(|_| self.statement.business == trust.business())
            .ok_or(Refusal::ForeignRecord)?;
        certificate
            .device_key()?
            .verify_strict(&self.statement_bytes, &Signature::from_bytes(&self.signature))
            .map_err(|_| Refusal::BadRecord)
    }

    /// The office's device that signed.
    #[must_use]
    pub fn office(&self) -> Chain {
        self.statement.office
    }

    /// The office's epoch.
    #[must_use]
    pub fn epoch(&self) -> OfficeEpoch {
        self.statement.epoch
    }

    /// The number of the first fact.
    #[must_use]
    pub fn first(&self) -> u64 {
        self.statement.first
    }

    /// When, by the office's clock.
    #[must_use]
    pub fn at(&self) -> Moment {
        self.statement.at
    }
}

/// Where and when facts came to the office, from records that hold.
#[derive(Debug, Clone, Default)]
pub struct OfficeArrivals(BTreeMap<FactId, OfficeArrival>);

impl OfficeArrivals {
    /// Takes a record with the facts it speaks of. Of two arrivals of one fact the earlier stays.
    ///
    /// # Errors
    /// As [`ArrivalRecord::check`]; nothing of it is taken.
    pub fn take(&mut self, record: &ArrivalRecord, ids: &[FactId], trust: &Trust) -> Result<(), Refusal> {
        record.check(ids, trust)?;
        for (number, id) in (record.first()..).zip(ids) {
            let found = OfficeArrival {
                epoch: record.epoch(),
                number,
                at: record.at(),
            };
            match self.0.entry(*id) {
                Slot::Vacant(slot) => {
                    slot.insert(found);
                }
                Slot::Occupied(mut slot) if found.at.utc_ms < slot.get().at.utc_ms => {
                    slot.insert(found);
                }
                Slot::Occupied(_) => {}
            }
        }
        Ok(())
    }

    /// Where and when a fact came; none when no record speaks of it.
    #[must_use]
    pub fn of(&self, id: FactId) -> Option<OfficeArrival> {
        self.0.get(&id).copied()
    }
}

#[cfg(test)]
mod tests {
    use ed25519_dalek::SigningKey;

    use super::*;
    use crate::certificate::{Certificate, Fingerprint};
    use crate::id::DeviceId;

    const AT: Moment = Moment {
        utc_ms: 1_764_000_000_000,
        offset_min: 0,
    };

    fn office(key: u8) -> (Keeper, Trust) {
        let business = BusinessId([7; 16]);
        let business_key = SigningKey::from_bytes(&[9; 32]);
        let chain = Chain {
            device: DeviceId([1; 16]),
            epoch: 1,
        };
        let certified = SigningKey::from_bytes(&[1; 32]).verifying_key();
        let certificate =
            Certificate::issue(business, &business_key, chain, &certified, AT, "office").unwrap();
        let fingerprint = Fingerprint::of(&business_key.verifying_key().to_bytes());
        let mut trust = Trust::in_business(business, fingerprint);
        trust.add(certificate).unwrap();
        let keeper = Keeper {
            business,
            chain,
            key: SigningKey::from_bytes(&[key; 32]),
        };
        (keeper, trust)
    }

    #[test]
    fn a_record_holds_for_its_facts_in_their_order_and_for_nothing_else() {
        let (keeper, trust) = office(1);
        let ids = [FactId([1; 32]), FactId([2; 32])];
        let record = ArrivalRecord::sign(&keeper, OfficeEpoch([3; 16]), 41, AT, &ids).unwrap();
        let read = ArrivalRecord::decode(&record.encode()).unwrap();
        assert_eq!(read, record);
        let mut arrivals = OfficeArrivals::default();
        arrivals.take(&read, &ids, &trust).unwrap();
        assert_eq!(arrivals.of(ids[1]).unwrap().number, 42);
        assert_eq!(arrivals.of(FactId([5; 32])), None);
        let turned = [ids[1], ids[0]];
        for others in [&turned[..], &ids[..1], &[]] {
            assert_eq!(read.check(others, &trust), Err(Refusal::OtherFacts));
        }
    }

    #[test]
    fn every_changed_bit_of_a_record_is_noticed() {
        let (keeper, trust) = office(1);
        let ids = [FactId([1; 32])];
        let bytes = ArrivalRecord::sign(&keeper, OfficeEpoch([3; 16]), 1, AT, &ids)
            .unwrap()
            .encode();
        for bit in 0..bytes.len() * 8 {
            let mut changed = bytes.clone();
            changed[bit / 8] ^= 1 << (bit % 8);
            let found = ArrivalRecord::decode(&changed).and_then(|record| record.check(&ids, &trust));
            assert!(found.is_err(), "bit {bit}");
        }
    }

    #[test]
    fn only_a_certified_key_signs_a_record() {
        let (keeper, trust) = office(2);
        let ids = [FactId([1; 32])];
        let record = ArrivalRecord::sign(&keeper, OfficeEpoch([3; 16]), 1, AT, &ids).unwrap();
        assert_eq!(record.check(&ids, &trust), Err(Refusal::BadRecord));
        let stranger = Trust::in_business(BusinessId([8; 16]), trust.fingerprint());
        assert_eq!(record.check(&ids, &stranger), Err(Refusal::ForeignRecord));
    }
}
