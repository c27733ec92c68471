//! The office's storage with faults of its disk, and with planted mistakes.

use std::collections::BTreeSet;

use wythe_app::job::{
    ArrivalRecord, BusinessId, Certificate, Chain, DeviceId, Digest, Fact, FactId, OfficeEpoch, PersonId,
    Seen, Stream,
};
use wythe_app::sync::{
    Access, AsideRow, CodeHash, Cursor, Desk, Device, Due, Grant, Holding, Invite, MemoryObjects, Naming,
    ObjectKey, OfficeObjects, OfficeStorage, TokenHash, Trouble,
};

use crate::books::Books;
use crate::chance::Chance;
use crate::mistake::Mistake;

/// How badly things go, in a thousand.
#[derive(Debug, Clone, Copy)]
pub struct Faults {
    pub disk: usize,
    pub rot: usize,
}

/// The office's books, as its disk is.
pub struct SimStorage<'a> {
    pub books: &'a mut Books,
    pub chance: &'a mut Chance,
    pub faults: Faults,
    pub mistake: Option<Mistake>,
    /// Numbers that are taken and not yet seen, for [`Mistake::LostLock`].
    pub unseen: &'a mut BTreeSet<u64>,
    /// Facts that are another's, for mistakes that give them out.
    pub foreign: Vec<Vec<u8>>,
}

struct SimDesk<'a> {
    inner: Box<dyn Desk + 'a>,
    chance: &'a mut Chance,
    faults: Faults,
    mistake: Option<Mistake>,
    unseen: &'a mut BTreeSet<u64>,
    foreign: &'a [Vec<u8>],
    access: Access,
    put: Vec<u64>,
}

fn broken() -> Trouble {
    Trouble::new("disk", "the disk did not take it")
}

impl OfficeStorage for SimStorage<'_> {
    fn business_of_code(&mut self, code: CodeHash) -> Result<Option<BusinessId>, Trouble> {
        self.books.business_of_code(code)
    }

    fn begin(&mut self, business: BusinessId, access: Access) -> Result<Box<dyn Desk + '_>, Trouble> {
        if self.chance.happens(self.faults.disk) {
            return Err(broken());
        }
        // What the other process took is there by now, sometimes.
        if self.chance.happens(500) {
            self.unseen.clear();
        }
        Ok(Box::new(SimDesk {
            inner: self.books.begin(business, access)?,
            chance: self.chance,
            faults: self.faults,
            mistake: self.mistake,
            unseen: self.unseen,
            foreign: &self.foreign,
            access,
            put: Vec::new(),
        }))
    }
}

macro_rules! hand_on {
    ($($name:ident($($argument:ident: $of:ty),*) -> $gives:ty;)*) => {
        $(fn $name(&mut self, $($argument: $of),*) -> Result<$gives, Trouble> {
            self.inner.$name($($argument),*)
        })*
    };
}

impl Desk for SimDesk<'_> {
    hand_on! {
        epochs() -> Vec<OfficeEpoch>;
        put_epoch(epoch: OfficeEpoch) -> ();
        last_number() -> u64;
        set_last_number(number: u64) -> ();
        device_of(token: TokenHash) -> Option<DeviceId>;
        device(device: DeviceId) -> Option<Device>;
        devices_of(person: PersonId) -> Vec<DeviceId>;
        put_device(device: &Device) -> ();
        put_token(token: TokenHash, device: DeviceId) -> ();
        invite(code: CodeHash) -> Option<Invite>;
        certificate(chain: Chain) -> Option<Certificate>;
        certificates_of(device: DeviceId) -> Vec<Certificate>;
        put_certificate(certificate: &Certificate) -> ();
        fact(id: FactId) -> Option<Fact>;
        drop_payload(id: FactId) -> ();
        is_erased(id: FactId, stream: Stream) -> bool;
        put_erasure(id: FactId, stream: Stream) -> ();
        heads(stream: Stream) -> Vec<Seen>;
        named(digest: Digest) -> Vec<Naming>;
        put_record(record: &ArrivalRecord, ids: &[FactId]) -> ();
        grant(device: DeviceId, stream: Stream) -> Option<Grant>;
        grants(device: DeviceId) -> Vec<Grant>;
        aside_count(device: DeviceId) -> u64;
        aside(id: FactId) -> Option<AsideRow>;
        end_aside(id: FactId) -> ();
    }

    fn put_invite(&mut self, invite: &Invite) -> Result<(), Trouble> {
        if self.mistake == Some(Mistake::CodeUsedTwice) && invite.used.is_some() {
            return Ok(());
        }
        self.inner.put_invite(invite)
    }

    fn holding(&mut self, id: FactId) -> Result<Option<Holding>, Trouble> {
        match self.mistake {
            Some(Mistake::DroppedDedupe) => Ok(None),
            _ => self.inner.holding(id),
        }
    }

    fn put_fact(&mut self, number: u64, fact: &Fact, carrier: Chain) -> Result<(), Trouble> {
        self.put.push(number);
        self.inner.put_fact(number, fact, carrier)
    }

    fn put_grant(&mut self, device: DeviceId, grant: Grant) -> Result<(), Trouble> {
        let mut grant = grant;
        if self.mistake == Some(Mistake::WithdrawalIgnored) {
            grant.withdrawn = false;
        }
        self.inner.put_grant(device, grant)
    }

    fn due(&mut self, own: Chain, cursor: Cursor, most: usize, most_bytes: usize) -> Result<Due, Trouble> {
        let mut cursor = cursor;
        if self.mistake == Some(Mistake::SkippedCursor) {
            cursor.key += 1;
            cursor.number += 1;
        }
        let mut due = self.inner.due(own, cursor, most, most_bytes)?;
        due.facts.retain(|(at, _)| !self.unseen.contains(&at.number));
        let last = due.facts.last().map_or(cursor, |(at, _)| *at);
        let gives_foreign = matches!(
            self.mistake,
            Some(Mistake::WrongBusiness | Mistake::GrantsIgnored)
        );
        if gives_foreign && !due.more {
            due.facts
                .extend(self.foreign.iter().take(3).map(|fact| (last, fact.clone())));
        }
        Ok(due)
    }

    fn put_aside(&mut self, row: &AsideRow) -> Result<(), Trouble> {
        if self.mistake == Some(Mistake::QuarantineMerged) {
            let number = self.inner.last_number()? + 1;
            self.inner.set_last_number(number)?;
            self.inner.put_fact(number, &row.fact, row.carrier)?;
        }
        self.inner.put_aside(row)
    }

    fn commit(self: Box<Self>) -> Result<(), Trouble> {
        let this = *self;
        if this.access == Access::Write {
            if this.mistake == Some(Mistake::AcknowledgedBeforeCommit) && this.chance.happens(200) {
                return Ok(());
            }
            if this.mistake == Some(Mistake::LostLock) && this.chance.happens(300) {
                this.unseen.extend(this.put);
            }
            if this.chance.happens(this.faults.disk) {
                return Err(broken());
            }
        }
        this.inner.commit()?;
        // It was done, and nobody is told.
        match this.chance.happens(this.faults.disk) {
            true => Err(broken()),
            false => Ok(()),
        }
    }
}

/// The office's originals, as their disk is.
pub struct SimObjects<'a> {
    pub inner: &'a mut MemoryObjects,
    pub chance: &'a mut Chance,
    pub faults: Faults,
    pub mistake: Option<Mistake>,
}

impl SimObjects<'_> {
    fn may_break(&mut self) -> Result<(), Trouble> {
        match self.chance.happens(self.faults.disk) {
            true => Err(broken()),
            false => Ok(()),
        }
    }
}

impl OfficeObjects for SimObjects<'_> {
    fn size(&mut self, key: ObjectKey) -> Result<Option<u64>, Trouble> {
        self.inner.size(key)
    }

    fn arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<u64, Trouble> {
        let arrived = self.inner.arrived(key, from)?;
        let wrong = self.mistake == Some(Mistake::ResumeOffByOne) && arrived > 0;
        Ok(arrived + u64::from(wrong))
    }

    fn add(&mut self, key: ObjectKey, from: DeviceId, at: u64, bytes: &[u8]) -> Result<u64, Trouble> {
        let mut bytes = bytes.to_vec();
        if self.chance.happens(self.faults.rot)
            && let Some(byte) = bytes.last_mut()
        {
            *byte ^= 1;
        }
        // A disk that fails may have taken a part.
        if self.chance.happens(self.faults.disk) {
            let part = self.chance.below(bytes.len() + 1);
            self.inner.add(key, from, at, &bytes[..part])?;
            return Err(broken());
        }
        self.inner.add(key, from, at, &bytes)
    }

    fn digest_of_arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<Digest, Trouble> {
        match self.mistake {
            Some(Mistake::ReceiptBeforeHash) => Ok(key.digest),
            _ => self.inner.digest_of_arrived(key, from),
        }
    }

    fn keep(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble> {
        self.may_break()?;
        self.inner.keep(key, from)?;
        self.may_break()
    }

    fn forget(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble> {
        self.inner.forget(key, from)
    }

    fn read(&mut self, key: ObjectKey, at: u64, most: usize) -> Result<Vec<u8>, Trouble> {
        self.may_break()?;
        self.inner.read(key, at, most)
    }

    fn remove(&mut self, key: ObjectKey) -> Result<(), Trouble> {
        self.inner.remove(key)
    }
}
