use std::collections::{BTreeMap, BTreeSet};

use crate::address::Address;
use crate::body::{
    Assigned, Body, ClaimMoved, DeviceCertified, DeviceRevoked, Erased, FiguresKept, Instance, JobLinked,
    JobMoved, JobOpened, LibraryKept, Noted, PaperAdded, PhotoTaken, RulesPinned, Signed, StopLifted, Visit,
};
use crate::clock::Stamp;
use crate::fact::Fact;
use crate::facts::Facts;
use crate::id::{Chain, FactId, PersonId, VisitId};
use crate::value::{Measured, Moment, Value};

/// One entry of a folded job: what was recorded, and by whom, when, where in which chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<T> {
    /// The fact it comes from.
    pub fact: FactId,
    /// Who recorded it.
    pub person: PersonId,
    /// When, as claimed.
    pub at: Moment,
    /// For the order of display.
    pub stamp: Stamp,
    /// Its chain.
    pub chain: Chain,
    /// Its place there.
    pub number: u64,
    /// The fact that struck it out, and why.
    pub struck: Option<(FactId, String)>,
    /// What was recorded.
    pub body: T,
}

/// An answer as it is held: typed, or agreed after a disagreement.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// The value.
    pub value: Value,
    /// How it came about.
    pub measured: Measured,
    /// On which visit.
    pub visit: Option<VisitId>,
    /// The reason, when it was agreed.
    pub agreed: Option<String>,
    /// The facts it replaced.
    pub replaces: Vec<FactId>,
}

/// A job (or the business's own stream) as its facts tell it. Every list is in the order of display.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Job {
    /// How it began; several when the same stream was opened twice.
    pub opened: Vec<Entry<JobOpened>>,
    /// The rules that hold: more than one when two devices pinned at once.
    pub rules: Vec<Entry<RulesPinned>>,
    /// Other jobs of the same house.
    pub links: Vec<Entry<JobLinked>>,
    /// Pauses and ends.
    pub moves: Vec<Entry<JobMoved>>,
    /// Visits by their id.
    pub visits: BTreeMap<VisitId, Vec<Entry<Visit>>>,
    /// Every answer ever given, struck ones too, by address.
    pub record: BTreeMap<Address, Vec<Entry<Held>>>,
    /// The answers that hold: those which no other replaces and nobody struck out.
    pub heads: BTreeMap<Address, Vec<Entry<Held>>>,
    /// What there are several of; the ask of each address is empty.
    pub instances: BTreeMap<Address, Vec<Entry<Instance>>>,
    /// Photographs.
    pub photos: Vec<Entry<PhotoTaken>>,
    /// Documents.
    pub papers: Vec<Entry<PaperAdded>>,
    /// Signatures.
    pub signatures: Vec<Entry<Signed>>,
    /// Kept figures.
    pub figures: Vec<Entry<FiguresKept>>,
    /// Notes.
    pub notes: Vec<Entry<Noted>>,
    /// People.
    pub people: Vec<Entry<Assigned>>,
    /// Lifted stops.
    pub lifted: Vec<Entry<StopLifted>>,
    /// The claim's life.
    pub claim: Vec<Entry<ClaimMoved>>,
    /// Business stream: its library.
    pub library: Vec<Entry<LibraryKept>>,
    /// Business stream: certificates.
    pub certificates: Vec<Entry<DeviceCertified>>,
    /// Business stream: revocations.
    pub revoked: Vec<Entry<DeviceRevoked>>,
    /// Erasures, by the fact whose payload was dropped.
    pub erased: BTreeMap<FactId, Entry<Erased>>,
    /// Facts without payload here that no erasure explains: left out of this copy.
    pub absent: Vec<FactId>,
    /// Facts of kinds that a newer program knows, and whether each is critical.
    pub unknown: BTreeMap<FactId, bool>,
    /// What facts replaced.
    replaced: BTreeMap<FactId, BTreeSet<FactId>>,
}

/// Folds a set of facts. The same set gives the same job, in whatever order it came about.
#[must_use]
pub fn fold(facts: &Facts) -> Job {
    let mut job = Job::default();
    let mut order: Vec<&Fact> = facts.iter().collect();
    order.sort_by_key(|fact| {
        let envelope = fact.envelope();
        (envelope.stamp, envelope.chain(), envelope.number, fact.id())
    });
    let bodies: Vec<(&Fact, Option<Body>)> = order.into_iter().map(|fact| (fact, fact.body())).collect();
    let struck = strikes(&bodies);
    for (fact, body) in &bodies {
        if let Some(Body::Erased(body)) = body {
            job.erased
                .entry(body.fact)
                .or_insert_with(|| entry(fact, &struck, body.clone()));
        }
    }
    for (fact, body) in bodies {
        if !struck.contains_key(&fact.id()) {
            for replaced in &fact.envelope().replaces {
                job.replaced.entry(*replaced).or_default().insert(fact.id());
            }
        }
        match body {
            // A payload that still lies here although it was erased is not looked at.
            Some(body) if !job.erased.contains_key(&fact.id()) => job.take(fact, &struck, body),
            Some(_) => {}
            None if job.erased.contains_key(&fact.id()) => {}
            None => job.absent.push(fact.id()),
        }
    }
    job.find_heads();
    job
}

type Strikes = BTreeMap<FactId, (FactId, String)>;

/// Which facts are struck out. A struck strike-out does not count; strikes are read from the latest
/// back, so that taking back a strike restores what it struck.
fn strikes(bodies: &[(&Fact, Option<Body>)]) -> Strikes {
    let mut struck = Strikes::new();
    for (fact, body) in bodies.iter().rev() {
        if let Some(Body::StruckOut(body)) = body
            && !struck.contains_key(&fact.id())
        {
            for id in &body.facts {
                struck.insert(*id, (fact.id(), body.reason.clone()));
            }
        }
    }
    struck
}

fn entry<T>(fact: &Fact, struck: &Strikes, body: T) -> Entry<T> {
    let envelope = fact.envelope();
    Entry {
        fact: fact.id(),
        person: envelope.person,
        at: envelope.at,
        stamp: envelope.stamp,
        chain: envelope.chain(),
        number: envelope.number,
        struck: struck.get(&fact.id()).cloned(),
        body,
    }
}

impl Job {
    fn take(&mut self, fact: &Fact, struck: &Strikes, body: Body) {
        let replaces = fact.envelope().replaces.clone();
        match body {
            Body::JobOpened(body) => self.opened.push(entry(fact, struck, body)),
            Body::RulesPinned(body) => self.rules.push(entry(fact, struck, body)),
            Body::JobLinked(body) => self.links.push(entry(fact, struck, body)),
            Body::JobMoved(body) => self.moves.push(entry(fact, struck, body)),
            Body::Visit(body) => {
                self.visits
                    .entry(body.visit)
                    .or_default()
                    .push(entry(fact, struck, body));
            }
            Body::Answered(body) => {
                let held = Held {
                    value: body.value,
                    measured: body.measured,
                    visit: body.visit,
                    agreed: None,
                    replaces,
                };
                self.record
                    .entry(body.address)
                    .or_default()
                    .push(entry(fact, struck, held));
            }
            Body::Agreed(body) => {
                let held = Held {
                    value: body.value,
                    measured: body.measured,
                    visit: None,
                    agreed: Some(body.reason),
                    replaces,
                };
                self.record
                    .entry(body.address)
                    .or_default()
                    .push(entry(fact, struck, held));
            }
            Body::Instance(body) => {
                self.instances
                    .entry(body.address.clone())
                    .or_default()
                    .push(entry(fact, struck, body));
            }
            Body::PhotoTaken(body) => self.photos.push(entry(fact, struck, body)),
            Body::PaperAdded(body) => self.papers.push(entry(fact, struck, body)),
            Body::Signed(body) => self.signatures.push(entry(fact, struck, body)),
            Body::FiguresKept(body) => self.figures.push(entry(fact, struck, body)),
            Body::Noted(body) => self.notes.push(entry(fact, struck, body)),
            Body::Assigned(body) => self.people.push(entry(fact, struck, body)),
            Body::StopLifted(body) => self.lifted.push(entry(fact, struck, body)),
            Body::ClaimMoved(body) => self.claim.push(entry(fact, struck, body)),
            Body::LibraryKept(body) => self.library.push(entry(fact, struck, body)),
            Body::DeviceCertified(body) => self.certificates.push(entry(fact, struck, body)),
            Body::DeviceRevoked(body) => self.revoked.push(entry(fact, struck, body)),
            Body::Unknown { .. } => {
                self.unknown.insert(fact.id(), fact.envelope().critical);
            }
            // Both were read before everything else.
            Body::StruckOut(_) | Body::Erased(_) => {}
        }
    }

    fn find_heads(&mut self) {
        let replaced = &self.replaced;
        let holds = |fact: FactId, struck: bool| !struck && !replaced.contains_key(&fact);
        for (address, entries) in &self.record {
            let heads: Vec<Entry<Held>> = entries
                .iter()
                .filter(|e| holds(e.fact, e.struck.is_some()))
                .cloned()
                .collect();
            if !heads.is_empty() {
                self.heads.insert(address.clone(), heads);
            }
        }
        self.rules.retain(|e| holds(e.fact, e.struck.is_some()));
        for entries in self.instances.values_mut() {
            entries.retain(|e| holds(e.fact, e.struck.is_some()));
        }
        self.instances.retain(|_, entries| !entries.is_empty());
    }

    /// Whether another fact that holds has replaced this one.
    #[must_use]
    pub fn is_replaced(&self, fact: FactId) -> bool {
        self.replaced.contains_key(&fact)
    }

    /// The answers that hold at an address.
    #[must_use]
    pub fn heads_of(&self, address: &Address) -> &[Entry<Held>] {
        self.heads.get(address).map_or(&[], Vec::as_slice)
    }

    /// The facts that a new answer at this address replaces: all that hold now.
    #[must_use]
    pub fn to_replace(&self, address: &Address) -> Vec<FactId> {
        self.heads_of(address).iter().map(|head| head.fact).collect()
    }

    /// The numbers of the instances of something under a path (the path's ask is ignored).
    #[must_use]
    pub fn instances_of(&self, under: &Address, of: &str) -> Vec<u32> {
        let mut numbers = Vec::new();
        for (address, entries) in &self.instances {
            let there = entries.iter().any(|entry| entry.body.there);
            if let Some((last, outer)) = address.path.split_last()
                && there
                && last.of == of
                && outer == under.path
            {
                numbers.push(last.number);
            }
        }
        numbers
    }

    /// Whether a kind that this program does not know forbids it to sign off.
    #[must_use]
    pub fn needs_newer_program(&self) -> bool {
        self.unknown.values().any(|critical| *critical)
    }
}

impl<T> Entry<T> {
    /// Whether it counts: nobody struck it out.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.struck.is_none()
    }
}
