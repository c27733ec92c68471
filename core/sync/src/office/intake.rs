use std::collections::{BTreeMap, BTreeSet};

use wythe_job::{
    ArrivalRecord, Body, Certificate, Chain, DeviceId, Digest, Draft, Fact, FactId, Moment, PersonId,
    Refusal, Stamp, Stream, Trust,
};

use super::House;
use super::Stop;
use super::storage::{AsideRow, Desk, Device, Grant};
use crate::limits::MAX_ASIDE_FACTS;

/// The sort of library entry in which the office says whose phone a device is.
pub(super) const PHONE: &str = "phone";

/// Facts that somebody brought, as they are carried.
#[derive(Debug, Clone, Copy)]
pub struct Brought<'a> {
    /// Who brought them; the office's own chain for what was recorded at the desk.
    pub carrier: Chain,
    /// Whether all of them are kept apart, whoever wrote them.
    pub apart: bool,
    /// The facts.
    pub facts: &'a [Vec<u8>],
}

/// What became of facts that were brought.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outcome {
    /// Places of those that were there before.
    pub known: Vec<u32>,
    /// Places of those kept apart.
    pub aside: Vec<u32>,
    /// Places of those not taken, with the reason's code.
    pub refused: Vec<(u32, &'static str)>,
    /// The new ones, in order.
    pub new: Vec<FactId>,
    /// The record of the new ones.
    pub record: Option<ArrivalRecord>,
    /// Originals that no fact names any more: to be removed after the commit.
    pub unnamed: Vec<Digest>,
}

/// What may befall one fact.
enum Fate {
    New(Box<Fact>),
    Known,
    Aside(Box<Fact>, &'static str),
    Refused(&'static str),
}

/// Takes facts into one business's books, within one transaction.
pub(super) struct Intake<'a> {
    pub house: &'a House,
    pub desk: &'a mut dyn Desk,
    pub now: Moment,
    trust: Trust,
    revoked: BTreeMap<DeviceId, bool>,
    grants: BTreeSet<(DeviceId, Stream)>,
    unnamed: Vec<Digest>,
}

impl<'a> Intake<'a> {
    pub(super) fn new(house: &'a House, desk: &'a mut dyn Desk, now: Moment) -> Self {
        Self {
            trust: house.trust(),
            house,
            desk,
            now,
            revoked: BTreeMap::new(),
            grants: BTreeSet::new(),
            unnamed: Vec::new(),
        }
    }

    /// Takes what can be taken; one fact that cannot keeps no other out.
    pub(super) fn take(&mut self, brought: Brought<'_>) -> Result<Outcome, Stop> {
        let mut outcome = Outcome::default();
        for (place, bytes) in (0u32..).zip(brought.facts) {
            match self.fate(bytes, brought)? {
                Fate::Known => outcome.known.push(place),
                Fate::Refused(code) => outcome.refused.push((place, code)),
                Fate::Aside(fact, reason) => {
                    self.keep_certificate(&fact)?;
                    self.desk.put_aside(&AsideRow {
                        fact: *fact,
                        carrier: brought.carrier,
                        reason,
                        at_ms: self.now.utc_ms,
                    })?;
                    outcome.aside.push(place);
                }
                Fate::New(fact) => self.accept(&fact, brought.carrier, &mut outcome)?,
            }
        }
        self.close(outcome)
    }

    /// Takes facts that were kept apart after all.
    pub(super) fn release(&mut self, ids: &[FactId]) -> Result<Outcome, Stop> {
        let mut outcome = Outcome::default();
        for id in ids {
            let Some(row) = self.desk.aside(*id)? else {
                continue;
            };
            let erased = self.desk.is_erased(*id, row.fact.envelope().stream)?;
            let fact = if erased {
                row.fact.without_payload()
            } else {
                row.fact
            };
            if self.desk.holding(*id)?.is_none() {
                self.accept(&fact, row.carrier, &mut outcome)?;
            }
        }
        self.close(outcome)
    }

    fn accept(&mut self, fact: &Fact, carrier: Chain, outcome: &mut Outcome) -> Result<(), Stop> {
        if self.desk.aside(fact.id())?.is_some() {
            // A phone in order brought it as well.
            self.desk.end_aside(fact.id())?;
        }
        let number = self.desk.last_number()?.saturating_add(1);
        self.desk.set_last_number(number)?;
        self.desk.put_fact(number, fact, carrier)?;
        outcome.new.push(fact.id());
        self.effects(fact, carrier)
    }

    /// Signs the record of what is new, and gives the streams that came with it. Grants take their
    /// place after the facts, so that the record's numbers follow each other.
    fn close(&mut self, mut outcome: Outcome) -> Result<Outcome, Stop> {
        let count = u64::try_from(outcome.new.len()).unwrap_or_default();
        if count > 0 {
            let first = (self.desk.last_number()? + 1).saturating_sub(count);
            let epoch = super::exchange::current(self.desk)?;
            let record = ArrivalRecord::sign(&self.house.keeper, epoch, first, self.now, &outcome.new)?;
            self.desk.put_record(&record, &outcome.new)?;
            outcome.record = Some(record);
        }
        self.give()?;
        outcome.unnamed = std::mem::take(&mut self.unnamed);
        Ok(outcome)
    }

    fn fate(&mut self, bytes: &[u8], brought: Brought<'_>) -> Result<Fate, Stop> {
        let fact = match Fact::decode(bytes) {
            Ok(fact) => fact,
            Err(why) => return Ok(Fate::Refused(why.code())),
        };
        let (id, stream) = (fact.id(), fact.envelope().stream);
        if fact.envelope().business != self.house.business() {
            return Ok(Fate::Refused(Refusal::WrongBusiness(id).code()));
        }
        let erased = self.desk.is_erased(id, stream)?;
        let whole = fact.payload().is_some() && !erased;
        if self.desk.holding(id)?.is_some_and(|held| held.whole || !whole) {
            return Ok(Fate::Known);
        }
        let author = fact.envelope().chain();
        self.learn_chain(author)?;
        // A certificate stands by itself, and may be the one under which its own fact is signed.
        if let Some(Body::DeviceCertified(body)) = fact.body()
            && let Ok(certificate) = Certificate::decode(&body.certificate)
        {
            // One that another key signed certifies nothing here.
            let _passed_over = self.trust.add(certificate);
        }
        if let Err(why) = fact.verify_in(&self.trust) {
            return Ok(Fate::Refused(why.code()));
        }
        let of_office = author.device == self.house.keeper.chain.device;
        if fact.envelope().kind == "device_revoked" && !of_office {
            return Ok(Fate::Refused("not_the_office"));
        }
        let reason = match (brought.apart, !of_office && self.is_revoked(author.device)?) {
            (true, _) => Some("brought_by_revoked"),
            (_, true) => Some("written_by_revoked"),
            _ => None,
        };
        let Some(reason) = reason else {
            let fact = if erased { fact.without_payload() } else { fact };
            return Ok(Fate::New(Box::new(fact)));
        };
        if self.desk.aside(id)?.is_some() {
            return Ok(Fate::Known);
        }
        if self.desk.aside_count(brought.carrier.device)? >= MAX_ASIDE_FACTS {
            return Ok(Fate::Refused("aside_full"));
        }
        Ok(Fate::Aside(Box::new(fact), reason))
    }

    fn learn_chain(&mut self, chain: Chain) -> Result<(), Stop> {
        if self.trust.certificate(chain).is_none()
            && let Some(certificate) = self.desk.certificate(chain)?
        {
            // One that another key signed certifies nothing here.
            let _passed_over = self.trust.add(certificate);
        }
        Ok(())
    }

    fn is_revoked(&mut self, device: DeviceId) -> Result<bool, Stop> {
        if let Some(known) = self.revoked.get(&device) {
            return Ok(*known);
        }
        let revoked = self.desk.device(device)?.is_some_and(|device| device.revoked);
        self.revoked.insert(device, revoked);
        Ok(revoked)
    }

    /// What a fact that was taken does beyond being there.
    fn effects(&mut self, fact: &Fact, carrier: Chain) -> Result<(), Stop> {
        let stream = fact.envelope().stream;
        let business: Stream = self.house.business().into();
        let of_office = fact.envelope().device == self.house.keeper.chain.device;
        if stream != business && carrier.device != self.house.keeper.chain.device {
            // Who records in a job is of it: its number cannot be guessed.
            self.grants.insert((carrier.device, stream));
        }
        match fact.body() {
            Some(Body::DeviceCertified(_)) => self.keep_certificate(fact)?,
            Some(Body::DeviceRevoked(body)) => self.revoke(body.device)?,
            Some(Body::LibraryKept(body)) if body.sort == PHONE && of_office => {
                if let (Some(device), Some(person)) = (DeviceId::from_hex(&body.id), person_in(&body.content))
                {
                    let mut known = self.device(device)?;
                    known.person = Some(person);
                    self.desk.put_device(&known)?;
                }
            }
            Some(Body::Assigned(body)) if stream != business => {
                for device in self.desk.devices_of(body.person)? {
                    self.grants.insert((device, stream));
                }
            }
            Some(Body::Erased(body)) => self.erase(body.fact, stream)?,
            _ => {}
        }
        Ok(())
    }

    /// Keeps the certificate that a fact holds. It is the business's own word, whoever brings it; that
    /// its device was revoked is written elsewhere.
    fn keep_certificate(&mut self, fact: &Fact) -> Result<(), Stop> {
        if let Some(Body::DeviceCertified(body)) = fact.body()
            && let Ok(certificate) = Certificate::decode(&body.certificate)
            && self.trust.add(certificate.clone()).is_ok()
        {
            self.desk.put_certificate(&certificate)?;
        }
        Ok(())
    }

    fn revoke(&mut self, device: DeviceId) -> Result<(), Stop> {
        let mut known = self.device(device)?;
        known.revoked = true;
        self.desk.put_device(&known)?;
        self.revoked.insert(device, true);
        Ok(())
    }

    /// A phone; one that the books lost when they were put back begins a row anew.
    fn device(&mut self, device: DeviceId) -> Result<Device, Stop> {
        let held = self.desk.device(device)?;
        Ok(held.unwrap_or(Device {
            device,
            person: None,
            name: String::new(),
            revoked: false,
        }))
    }

    fn erase(&mut self, target: FactId, stream: Stream) -> Result<(), Stop> {
        self.desk.put_erasure(target, stream)?;
        let Some(fact) = self.desk.fact(target)? else {
            return Ok(());
        };
        if fact.envelope().stream != stream || fact.envelope().kind == "erased" {
            return Ok(());
        }
        self.desk.drop_payload(target)?;
        for original in fact.body().iter().flat_map(Body::originals) {
            if self.desk.named(original.digest)?.is_empty() {
                self.unnamed.push(original.digest);
            }
        }
        Ok(())
    }

    /// Whoever is of a stream and was not given it is given it, at the next place.
    pub(super) fn give_also(&mut self, device: DeviceId, stream: Stream) {
        self.grants.insert((device, stream));
    }

    /// Gives what was collected; what was withdrawn stays so.
    pub(super) fn give(&mut self) -> Result<(), Stop> {
        let mut number = None;
        for (device, stream) in std::mem::take(&mut self.grants) {
            if self.desk.grant(device, stream)?.is_some() {
                continue;
            }
            let number = match number {
                Some(number) => number,
                None => {
                    let next = self.desk.last_number()?.saturating_add(1);
                    self.desk.set_last_number(next)?;
                    *number.insert(next)
                }
            };
            let grant = Grant {
                stream,
                number,
                withdrawn: false,
            };
            self.desk.put_grant(device, grant)?;
        }
        Ok(())
    }

    /// Signs something as the office's own and takes it in.
    pub(super) fn record(&mut self, stream: Stream, body: Body, salt: [u8; 16]) -> Result<Fact, Stop> {
        let keeper = &self.house.keeper;
        let heads = self.desk.heads(stream)?;
        let own = heads.iter().find(|seen| seen.chain == keeper.chain);
        let last = own.map(|seen| (seen.number, seen.id));
        let others = heads.iter().filter(|seen| seen.chain != keeper.chain).copied();
        let draft = Draft {
            stream,
            person: self.house.person,
            at: self.now,
            stamp: Stamp {
                ms: self.now.utc_ms,
                counter: 0,
            },
            replaces: Vec::new(),
            body,
            salt,
        };
        let fact = keeper.sign(draft, last, others.collect())?;
        self.take(Brought {
            carrier: keeper.chain,
            apart: false,
            facts: &[fact.encode()],
        })?;
        Ok(fact)
    }
}

/// The person that a library entry about a phone names.
fn person_in(content: &str) -> Option<PersonId> {
    let content: serde_json::Value = serde_json::from_str(content).ok()?;
    PersonId::from_hex(content.get("person")?.as_str()?)
}

/// What the office says of whose phone a device is.
pub(super) fn phone_content(person: PersonId, name: &str) -> String {
    serde_json::json!({ "person": person.to_string(), "name": name }).to_string()
}
