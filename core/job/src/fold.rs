use std::collections::{BTreeMap, BTreeSet};

use crate::address::Address;
use crate::body::{
    Assigned, Body, ClaimMoved, DeviceCertified, DeviceRevoked, Erased, FiguresKept, Instance, JobLinked,
    JobMoved, JobOpened, LibraryKept, Noted, PaperAdded, PhotoTaken, RulesPinned, Signed, StopLifted, Visit,
    is_critical, may_be_erased,
};
use crate::clock::Stamp;
use crate::fact::Fact;
use crate::facts::Facts;
use crate::id::{Chain, FactId, PersonId, VisitId};
use crate::strikes::{Strikes, strikes};
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
    /// Every pinning there ever was.
    pub rules_record: Vec<Entry<RulesPinned>>,
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
    /// What there are several of, as it holds; the ask of each address is empty.
    pub instances: BTreeMap<Address, Vec<Entry<Instance>>>,
    /// Every adding and removing there ever was.
    pub instance_record: BTreeMap<Address, Vec<Entry<Instance>>>,
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
    /// What facts struck out.
    struck: Strikes,
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
        if let Some(Body::Erased(body)) = body
            && facts
                .get(body.fact)
                .is_none_or(|target| may_be_erased(&target.envelope().kind))
        {
            job.erased
                .entry(body.fact)
                .or_insert_with(|| entry(fact, &struck, body.clone()));
        }
    }
    for (fact, body) in bodies {
        if !struck.contains_key(&fact.id()) {
            job.replace(facts, &struck, fact);
        }
        if is_critical(&fact.envelope().kind).is_none() {
            // The envelope alone says that something is here that is not understood.
            job.unknown.insert(fact.id(), fact.envelope().critical);
        }
        match body {
            // A payload that still lies here although it was erased is not looked at.
            Some(body) if !job.erased.contains_key(&fact.id()) => job.take(fact, &struck, body),
            Some(_) => {}
            None if job.erased.contains_key(&fact.id()) => {}
            None => job.absent.push(fact.id()),
        }
    }
    job.struck = struck;
    job.find_heads();
    job
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
    /// Notes what a fact that holds replaced: what it names and, where that was struck out since, what
    /// that one had replaced. Its author saw those give way, so they must not come back.
    fn replace(&mut self, facts: &Facts, struck: &Strikes, fact: &Fact) {
        let mut open: Vec<FactId> = fact.envelope().replaces.clone();
        let mut met: BTreeSet<FactId> = BTreeSet::new();
        while let Some(id) = open.pop() {
            if !met.insert(id) {
                continue;
            }
            self.replaced.entry(id).or_default().insert(fact.id());
            if struck.contains_key(&id)
                && let Some(between) = facts.get(id)
            {
                open.extend(&between.envelope().replaces);
            }
        }
    }

    fn take(&mut self, fact: &Fact, struck: &Strikes, body: Body) {
        let replaces = fact.envelope().replaces.clone();
        match body {
            Body::JobOpened(body) => self.opened.push(entry(fact, struck, body)),
            Body::RulesPinned(body) => self.rules_record.push(entry(fact, struck, body)),
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
                self.instance_record
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
            // All were read before everything else.
            Body::StruckOut(_) | Body::Erased(_) | Body::Unknown { .. } => {}
        }
    }

    fn find_heads(&mut self) {
        let replaced = &self.replaced;
        let holds = |fact: FactId, struck: bool| !struck && !replaced.contains_key(&fact);
        fn holding<T: Clone>(entries: &[Entry<T>], holds: impl Fn(FactId, bool) -> bool) -> Vec<Entry<T>> {
            let heads = entries.iter().filter(|e| holds(e.fact, e.struck.is_some()));
            heads.cloned().collect()
        }
        for (address, entries) in &self.record {
            let heads = holding(entries, holds);
            if !heads.is_empty() {
                self.heads.insert(address.clone(), heads);
            }
        }
        for (address, entries) in &self.instance_record {
            let heads = holding(entries, holds);
            if !heads.is_empty() {
                self.instances.insert(address.clone(), heads);
            }
        }
        self.rules = holding(&self.rules_record, holds);
    }

    /// Whether another fact that holds has replaced this one.
    #[must_use]
    pub fn is_replaced(&self, fact: FactId) -> bool {
        self.replaced.contains_key(&fact)
    }

    /// Whether anything that a signature covers was replaced or struck out since: it then stands for
    /// an earlier state.
    #[must_use]
    pub fn has_changed_since(&self, signed: &Signed) -> bool {
        signed
            .covers
            .iter()
            .any(|fact| self.is_replaced(*fact) || self.is_struck(*fact))
    }

    /// Whether a strike that counts names this fact.
    #[must_use]
    pub fn is_struck(&self, fact: FactId) -> bool {
        self.struck.contains_key(&fact)
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
