use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use wythe_job::{
    ArrivalRecord, Body, BusinessId, Certificate, Chain, DeviceId, Digest, Fact, FactId, OfficeEpoch,
    PersonId, Seen, Stream, digest_of,
};

use super::storage::{
    Access, AsideRow, Desk, Device, Due, Grant, Holding, Invite, Naming, ObjectKey, OfficeObjects,
    OfficeStorage,
};
use crate::cursor::Cursor;
use crate::token::{CodeHash, TokenHash};
use crate::trouble::Trouble;

/// An office's books in memory: the reference for the others, and what tests use.
#[derive(Debug, Clone, Default)]
pub struct MemoryOffice {
    books: BTreeMap<BusinessId, Books>,
}

/// What is kept of one business.
#[derive(Debug, Clone, Default)]
struct Books {
    epochs: Vec<OfficeEpoch>,
    last: u64,
    tokens: BTreeMap<TokenHash, DeviceId>,
    devices: BTreeMap<DeviceId, Device>,
    invites: BTreeMap<CodeHash, Invite>,
    certificates: BTreeMap<Chain, Certificate>,
    places: BTreeMap<FactId, u64>,
    facts: BTreeMap<u64, Arc<Row>>,
    streams: BTreeMap<Stream, BTreeSet<u64>>,
    erased: BTreeSet<(FactId, Stream)>,
    named: BTreeMap<Digest, BTreeMap<FactId, Naming>>,
    grants: BTreeMap<(DeviceId, Stream), Grant>,
    aside: BTreeMap<FactId, Arc<AsideRow>>,
    records: Vec<Arc<(ArrivalRecord, Vec<FactId>)>>,
}

#[derive(Debug)]
struct Row {
    fact: Fact,
    carrier: Chain,
}

impl MemoryOffice {
    /// Books without a business.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Makes room for a business; [`super::Office::begin_epoch`] begins its books.
    pub fn open(&mut self, business: BusinessId) {
        self.books.entry(business).or_default();
    }

    /// All facts of a business, in the order of their coming.
    #[must_use]
    pub fn facts(&self, business: BusinessId) -> Vec<(u64, Fact)> {
        let books = self.books.get(&business);
        let rows = books.into_iter().flat_map(|books| &books.facts);
        rows.map(|(number, row)| (*number, row.fact.clone())).collect()
    }

    /// The arrival records of a business, with the facts they speak of.
    #[must_use]
    pub fn records(&self, business: BusinessId) -> Vec<(ArrivalRecord, Vec<FactId>)> {
        let books = self.books.get(&business);
        let records = books.into_iter().flat_map(|books| &books.records);
        records.map(|record| (**record).clone()).collect()
    }

    /// The facts of a business that are kept apart.
    #[must_use]
    pub fn kept_apart(&self, business: BusinessId) -> Vec<AsideRow> {
        let books = self.books.get(&business);
        let rows = books.into_iter().flat_map(|books| books.aside.values());
        rows.map(|row| (**row).clone()).collect()
    }

    fn books(&mut self, business: BusinessId) -> Result<&mut Books, Trouble> {
        let books = self.books.get_mut(&business);
        books.ok_or_else(|| Trouble::new("no_business", "there are no books of this business"))
    }
}

impl OfficeStorage for MemoryOffice {
    fn business_of_code(&mut self, code: CodeHash) -> Result<Option<BusinessId>, Trouble> {
        let found = self
            .books
            .iter()
            .find(|(_, books)| books.invites.contains_key(&code));
        Ok(found.map(|(business, _)| *business))
    }

    fn begin(&mut self, business: BusinessId, access: Access) -> Result<Box<dyn Desk + '_>, Trouble> {
        let books = self.books(business)?;
        Ok(Box::new(MemoryDesk {
            now: books.clone(),
            books,
            access,
        }))
    }
}

struct MemoryDesk<'a> {
    books: &'a mut Books,
    now: Books,
    access: Access,
}

impl Books {
    fn name_originals(&mut self, fact: &Fact, aside: Option<DeviceId>) {
        for original in fact.body().iter().flat_map(Body::originals) {
            let naming = Naming {
                stream: fact.envelope().stream,
                bytes: original.bytes,
                aside,
            };
            self.named
                .entry(original.digest)
                .or_default()
                .insert(fact.id(), naming);
        }
    }

    fn unname_originals(&mut self, id: FactId) {
        for namings in self.named.values_mut() {
            namings.remove(&id);
        }
        self.named.retain(|_, namings| !namings.is_empty());
    }

    fn row(&self, id: FactId) -> Option<&Arc<Row>> {
        self.facts.get(self.places.get(&id)?)
    }
}

impl Desk for MemoryDesk<'_> {
    fn epochs(&mut self) -> Result<Vec<OfficeEpoch>, Trouble> {
        Ok(self.now.epochs.clone())
    }

    fn put_epoch(&mut self, epoch: OfficeEpoch) -> Result<(), Trouble> {
        self.now.epochs.push(epoch);
        Ok(())
    }

    fn last_number(&mut self) -> Result<u64, Trouble> {
        Ok(self.now.last)
    }

    fn set_last_number(&mut self, number: u64) -> Result<(), Trouble> {
        self.now.last = number;
        Ok(())
    }

    fn device_of(&mut self, token: TokenHash) -> Result<Option<DeviceId>, Trouble> {
        Ok(self.now.tokens.get(&token).copied())
    }

    fn device(&mut self, device: DeviceId) -> Result<Option<Device>, Trouble> {
        Ok(self.now.devices.get(&device).cloned())
    }

    fn devices_of(&mut self, person: PersonId) -> Result<Vec<DeviceId>, Trouble> {
        let devices = self.now.devices.values();
        let of = devices.filter(|device| device.person == Some(person));
        Ok(of.map(|device| device.device).collect())
    }

    fn put_device(&mut self, device: &Device) -> Result<(), Trouble> {
        self.now.devices.insert(device.device, device.clone());
        Ok(())
    }

    fn put_token(&mut self, token: TokenHash, device: DeviceId) -> Result<(), Trouble> {
        self.now.tokens.insert(token, device);
        Ok(())
    }

    fn invite(&mut self, code: CodeHash) -> Result<Option<Invite>, Trouble> {
        Ok(self.now.invites.get(&code).cloned())
    }

    fn put_invite(&mut self, invite: &Invite) -> Result<(), Trouble> {
        self.now.invites.insert(invite.code, invite.clone());
        Ok(())
    }

    fn certificate(&mut self, chain: Chain) -> Result<Option<Certificate>, Trouble> {
        Ok(self.now.certificates.get(&chain).cloned())
    }

    fn certificates_of(&mut self, device: DeviceId) -> Result<Vec<Certificate>, Trouble> {
        let all = self.now.certificates.values();
        let of = all.filter(|certificate| certificate.chain().device == device);
        Ok(of.cloned().collect())
    }

    fn put_certificate(&mut self, certificate: &Certificate) -> Result<(), Trouble> {
        let slot = self.now.certificates.entry(certificate.chain());
        slot.or_insert_with(|| certificate.clone());
        Ok(())
    }

    fn holding(&mut self, id: FactId) -> Result<Option<Holding>, Trouble> {
        let number = self.now.places.get(&id).copied();
        Ok(number.and_then(|number| {
            let row = self.now.facts.get(&number)?;
            Some(Holding {
                number,
                stream: row.fact.envelope().stream,
                whole: row.fact.payload().is_some(),
            })
        }))
    }

    fn fact(&mut self, id: FactId) -> Result<Option<Fact>, Trouble> {
        Ok(self.now.row(id).map(|row| row.fact.clone()))
    }

    fn put_fact(&mut self, number: u64, fact: &Fact, carrier: Chain) -> Result<(), Trouble> {
        let stream = self.now.streams.entry(fact.envelope().stream).or_default();
        if let Some(before) = self.now.places.insert(fact.id(), number) {
            self.now.facts.remove(&before);
            stream.remove(&before);
        }
        stream.insert(number);
        let row = Row {
            fact: fact.clone(),
            carrier,
        };
        self.now.facts.insert(number, Arc::new(row));
        self.now.name_originals(fact, None);
        Ok(())
    }

    fn drop_payload(&mut self, id: FactId) -> Result<(), Trouble> {
        if let Some(number) = self.now.places.get(&id).copied()
            && let Some(row) = self.now.facts.get(&number)
        {
            let without = Row {
                fact: row.fact.without_payload(),
                carrier: row.carrier,
            };
            self.now.facts.insert(number, Arc::new(without));
            self.now.unname_originals(id);
        }
        Ok(())
    }

    fn is_erased(&mut self, id: FactId, stream: Stream) -> Result<bool, Trouble> {
        Ok(self.now.erased.contains(&(id, stream)))
    }

    fn put_erasure(&mut self, id: FactId, stream: Stream) -> Result<(), Trouble> {
        self.now.erased.insert((id, stream));
        Ok(())
    }

    fn heads(&mut self, stream: Stream) -> Result<Vec<Seen>, Trouble> {
        let mut heads: BTreeMap<Chain, Seen> = BTreeMap::new();
        for number in self.now.streams.get(&stream).into_iter().flatten() {
            let Some(row) = self.now.facts.get(number) else {
                continue;
            };
            let found = Seen {
                chain: row.fact.envelope().chain(),
                number: row.fact.envelope().number,
                id: row.fact.id(),
            };
            let held = heads.entry(found.chain).or_insert(found);
            let later = found.number > held.number;
            if later || (found.number == held.number && found.id < held.id) {
                *held = found;
            }
        }
        Ok(heads.into_values().collect())
    }

    fn named(&mut self, digest: Digest) -> Result<Vec<Naming>, Trouble> {
        let namings = self.now.named.get(&digest);
        Ok(namings.into_iter().flat_map(BTreeMap::values).copied().collect())
    }

    fn put_record(&mut self, record: &ArrivalRecord, ids: &[FactId]) -> Result<(), Trouble> {
        self.now.records.push(Arc::new((record.clone(), ids.to_vec())));
        Ok(())
    }

    fn grant(&mut self, device: DeviceId, stream: Stream) -> Result<Option<Grant>, Trouble> {
        Ok(self.now.grants.get(&(device, stream)).copied())
    }

    fn grants(&mut self, device: DeviceId) -> Result<Vec<Grant>, Trouble> {
        let all = self.now.grants.iter();
        let of = all.filter(|((of, _), _)| *of == device);
        Ok(of.map(|(_, grant)| *grant).collect())
    }

    fn put_grant(&mut self, device: DeviceId, grant: Grant) -> Result<(), Trouble> {
        self.now.grants.insert((device, grant.stream), grant);
        Ok(())
    }

    fn due(&mut self, own: Chain, cursor: Cursor, most: usize, most_bytes: usize) -> Result<Due, Trouble> {
        let mut found: Vec<(Cursor, &Row)> = Vec::new();
        let given = self.grants(own.device)?;
        for grant in given.iter().filter(|grant| !grant.withdrawn) {
            let after = cursor.after(grant.number).saturating_add(1);
            let numbers = self.now.streams.get(&grant.stream);
            for number in numbers.into_iter().flat_map(|numbers| numbers.range(after..)) {
                if let Some(row) = self.now.facts.get(number).filter(|row| row.carrier != own) {
                    found.push((Cursor::at(grant.number, *number), row));
                }
            }
        }
        found.sort_by_key(|(at, _)| *at);
        let mut due = Due::default();
        let mut bytes = 0;
        for (at, row) in found {
            let fact = row.fact.encode();
            bytes += fact.len();
            let full = due.facts.len() >= most || bytes > most_bytes;
            if full && !due.facts.is_empty() {
                due.more = true;
                break;
            }
            due.facts.push((at, fact));
        }
        Ok(due)
    }

    fn aside_count(&mut self, device: DeviceId) -> Result<u64, Trouble> {
        let rows = self.now.aside.values();
        let count = rows.filter(|row| row.carrier.device == device).count();
        Ok(u64::try_from(count).unwrap_or(u64::MAX))
    }

    fn aside(&mut self, id: FactId) -> Result<Option<AsideRow>, Trouble> {
        Ok(self.now.aside.get(&id).map(|row| (**row).clone()))
    }

    fn put_aside(&mut self, row: &AsideRow) -> Result<(), Trouble> {
        self.now.name_originals(&row.fact, Some(row.carrier.device));
        self.now.aside.insert(row.fact.id(), Arc::new(row.clone()));
        Ok(())
    }

    fn end_aside(&mut self, id: FactId) -> Result<(), Trouble> {
        self.now.aside.remove(&id);
        self.now.unname_originals(id);
        Ok(())
    }

    fn commit(self: Box<Self>) -> Result<(), Trouble> {
        if self.access == Access::Write {
            *self.books = self.now;
        }
        Ok(())
    }
}

/// Originals in memory.
#[derive(Debug, Clone, Default)]
pub struct MemoryObjects {
    kept: BTreeMap<ObjectKey, Arc<Vec<u8>>>,
    arriving: BTreeMap<(ObjectKey, DeviceId), Vec<u8>>,
}

impl MemoryObjects {
    /// Without any.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The bytes of an original that is kept.
    #[must_use]
    pub fn bytes(&self, key: ObjectKey) -> Option<&[u8]> {
        self.kept.get(&key).map(|bytes| bytes.as_slice())
    }
}

fn length(bytes: &[u8]) -> u64 {
    u64::try_from(bytes.len()).unwrap_or(u64::MAX)
}

impl OfficeObjects for MemoryObjects {
    fn size(&mut self, key: ObjectKey) -> Result<Option<u64>, Trouble> {
        Ok(self.kept.get(&key).map(|bytes| length(bytes)))
    }

    fn arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<u64, Trouble> {
        Ok(self.arriving.get(&(key, from)).map_or(0, |bytes| length(bytes)))
    }

    fn add(&mut self, key: ObjectKey, from: DeviceId, at: u64, bytes: &[u8]) -> Result<u64, Trouble> {
        let held = self.arriving.entry((key, from)).or_default();
        if length(held) == at {
            held.extend_from_slice(bytes);
        }
        Ok(length(held))
    }

    fn digest_of_arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<Digest, Trouble> {
        let held = self.arriving.get(&(key, from));
        Ok(digest_of(held.map_or(&[], Vec::as_slice)))
    }

    fn keep(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble> {
        let bytes = self.arriving.remove(&(key, from)).unwrap_or_default();
        self.kept.entry(key).or_insert_with(|| Arc::new(bytes));
        Ok(())
    }

    fn forget(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble> {
        self.arriving.remove(&(key, from));
        Ok(())
    }

    fn read(&mut self, key: ObjectKey, at: u64, most: usize) -> Result<Vec<u8>, Trouble> {
        let bytes = self.kept.get(&key);
        let bytes = bytes.ok_or_else(|| Trouble::new("no_object", "this original is not kept here"))?;
        let at = usize::try_from(at).unwrap_or(usize::MAX);
        let rest = bytes.get(at..).unwrap_or_default();
        Ok(rest.get(..most).unwrap_or(rest).to_vec())
    }

    fn remove(&mut self, key: ObjectKey) -> Result<(), Trouble> {
        self.kept.remove(&key);
        Ok(())
    }
}
