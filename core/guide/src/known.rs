use std::collections::{BTreeMap, BTreeSet};

use wythe_job::{Address, Causality, Entry, FactId, Held, Job, Place, Value};

use crate::ask::{Ask, AskKind, Careful, Range};
use crate::calendar::Date;
use crate::condition::{Scope, measure};
use crate::figures::{Figures, codes_of};
use crate::guide::Guide;

/// A folded job in the guide's terms: what is answered, what is there, what the figures found.
#[derive(Debug, Clone)]
pub struct Known<'a> {
    /// What is asked.
    pub guide: &'a Guide,
    /// What was recorded.
    pub job: &'a Job,
    /// What came before what.
    pub causality: &'a Causality,
    /// The day at the site for which it is looked at, where one was said.
    pub today: Option<Date>,
    findings: BTreeMap<String, BTreeSet<String>>,
}

/// How an ask stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing<'a> {
    /// Not answered.
    Empty,
    /// Answered; of several within the tolerance, the careful one.
    Holds(&'a Entry<Held>),
    /// Answers that differ by more than the tolerance.
    Disagrees(Vec<&'a Entry<Held>>),
}

/// An answer with the fact it stands on.
#[derive(Debug, Clone, Copy)]
pub struct Answer<'a> {
    /// The value used.
    pub value: &'a Value,
    /// The fact.
    pub fact: FactId,
}

impl<'a> Known<'a> {
    /// What a job knows, before any figures.
    #[must_use]
    pub fn new(guide: &'a Guide, job: &'a Job, causality: &'a Causality) -> Self {
        Self {
            guide,
            job,
            causality,
            today: None,
            findings: BTreeMap::new(),
        }
    }

    /// The same, looked at on a day at the site: what has lapsed by then is seen.
    #[must_use]
    pub fn on(mut self, today: Date) -> Self {
        self.today = Some(today);
        self
    }

    /// Takes note of what figures found that were worked out.
    pub fn note_findings(&mut self, figures: &Figures) {
        if let Some(result) = figures.good() {
            let noted = self.findings.entry(figures.id.clone()).or_default();
            noted.extend(codes_of(result).map(str::to_owned));
        }
    }

    /// Whether figures carry a finding: as they stand, or, while they wait to be measured again, as they
    /// were last kept. What did not hold is not ended by taking its readings back.
    pub(crate) fn has_finding(&self, figures: &str, code: &str) -> bool {
        if let Some(codes) = self.findings.get(figures) {
            return codes.contains(code);
        }
        let mut kept = self.job.figures.iter().filter(|entry| entry.holds());
        let last = kept.rfind(|entry| entry.body.address.ask == figures);
        let result = last.and_then(|entry| serde_json::from_str(&entry.body.result).ok());
        result.is_some_and(|result: serde_json::Value| codes_of(&result).any(|found| found == code))
    }

    /// The site's time zone.
    #[must_use]
    pub fn zone(&self) -> &'a str {
        self.job
            .opened
            .iter()
            .find(|entry| entry.holds())
            .map_or("UTC", |entry| entry.body.zone.as_str())
    }

    /// The numbers of what there are several of.
    #[must_use]
    pub fn instances(&self, group: &str) -> Vec<u32> {
        let least = self
            .guide
            .groups
            .iter()
            .find(|known| known.id == group)
            .map_or(0, |group| group.least);
        let mut numbers: BTreeSet<u32> = (1..=least).collect();
        let used = self
            .job
            .heads
            .keys()
            .chain(self.job.photos.iter().map(|photo| &photo.body.address))
            .chain(self.job.papers.iter().map(|paper| &paper.body.address))
            .chain(
                self.job
                    .signatures
                    .iter()
                    .map(|signature| &signature.body.address),
            );
        for address in used {
            numbers.extend(
                address
                    .path
                    .iter()
                    .filter(|place| place.of == group)
                    .map(|place| place.number),
            );
        }
        for (address, entries) in &self.job.instances {
            if let Some(place) = address.path.last()
                && place.of == group
            {
                if entries.iter().any(|entry| entry.body.there) {
                    numbers.insert(place.number);
                } else {
                    numbers.remove(&place.number);
                }
            }
        }
        numbers.into_iter().collect()
    }

    /// The addresses of an ask within a scope: one, or one for each instance.
    #[must_use]
    pub fn addresses(&self, ask: &Ask, scope: Scope<'_>) -> Vec<Address> {
        let Some(group) = &ask.each else {
            return vec![Address::of(ask.id.as_str())];
        };
        if let Some(place) = scope.iter().find(|place| place.of == *group) {
            return vec![Address::of(ask.id.as_str()).at(group.as_str(), place.number)];
        }
        let all = self.instances(group).into_iter();
        all.map(|number| Address::of(ask.id.as_str()).at(group.as_str(), number))
            .collect()
    }

    /// Whether an ask applies at an address.
    #[must_use]
    pub fn applies(&self, ask: &Ask, path: &[Place]) -> bool {
        ask.when.as_ref().is_none_or(|when| when.holds(self, path))
    }

    /// Between which bounds an answer is usual in this job.
    #[must_use]
    pub fn usual<'g>(&self, ask: &'g Ask, path: &[Place]) -> &'g Range {
        let here = ask.usual_when.iter().find(|(when, _)| when.holds(self, path));
        here.map_or(&ask.doubtful, |(_, range)| range)
    }

    /// Whether an answer is outside of what is usual in this job.
    #[must_use]
    pub fn is_doubtful(&self, ask: &Ask, path: &[Place], value: &Value) -> bool {
        measure(value).is_some_and(|figure| self.usual(ask, path).misses(figure))
    }

    /// How an ask stands at an address.
    #[must_use]
    pub fn standing(&self, address: &Address) -> Standing<'a> {
        let heads = self.job.heads_of(address);
        let [first, rest @ ..] = heads else {
            return Standing::Empty;
        };
        if rest.is_empty() {
            return Standing::Holds(first);
        }
        let ask = self.guide.ask(&address.ask);
        let tolerance = ask.map_or(0.0, |ask| ask.tolerance);
        let careful = ask.map_or(Careful::Smaller, |ask| ask.careful);
        let figures: Option<Vec<(f64, &Entry<Held>)>> = heads
            .iter()
            .map(|head| measure(&head.body.value).map(|figure| (figure, head)))
            .collect();
        if let Some(mut figures) = figures {
            figures.sort_by(|a, b| a.0.total_cmp(&b.0));
            if let (Some(low), Some(high)) = (figures.first(), figures.last())
                && high.0 - low.0 <= tolerance * (1.0 + 1e-9)
            {
                return Standing::Holds(match careful {
                    Careful::Smaller => low.1,
                    Careful::Larger => high.1,
                });
            }
        } else if rest.iter().all(|head| head.body.value == first.body.value) {
            return Standing::Holds(first);
        }
        Standing::Disagrees(heads.iter().collect())
    }

    /// The answer that is used at an address, when there is one and nobody disagrees.
    #[must_use]
    pub fn answer(&self, address: &Address) -> Option<Answer<'a>> {
        match self.standing(address) {
            Standing::Holds(entry) => Some(Answer {
                value: &entry.body.value,
                fact: entry.fact,
            }),
            _ => None,
        }
    }

    /// The answer of an ask within a scope; of several instances, the first.
    #[must_use]
    pub fn answer_in(&self, ask: &str, scope: Scope<'_>) -> Option<Answer<'a>> {
        let ask = self.guide.ask(ask)?;
        self.addresses(ask, scope)
            .iter()
            .find_map(|address| self.answer(address))
    }

    /// The values of an ask within a scope. Where people disagree, all that hold: a comparison that one of
    /// them fulfils is not overlooked.
    pub(crate) fn values(&self, ask: &str, scope: Scope<'_>) -> Vec<&'a Value> {
        let Some(ask) = self.guide.ask(ask) else {
            return Vec::new();
        };
        let addresses = self.addresses(ask, scope);
        let mut values = Vec::new();
        for address in &addresses {
            match self.standing(address) {
                Standing::Empty => {}
                Standing::Holds(entry) => values.push(&entry.body.value),
                Standing::Disagrees(entries) => {
                    values.extend(entries.into_iter().map(|entry| &entry.body.value));
                }
            }
        }
        values
    }

    /// Whether anything that counts is recorded for an ask within a scope.
    pub(crate) fn is_there(&self, ask: &str, scope: Scope<'_>) -> bool {
        let Some(ask) = self.guide.ask(ask) else {
            return false;
        };
        self.addresses(ask, scope)
            .iter()
            .any(|address| !self.evidence(ask, address).is_empty())
    }

    /// The facts that count as the ask's answer, photographs, papers or signatures at an address.
    #[must_use]
    pub fn evidence(&self, ask: &Ask, address: &Address) -> Vec<FactId> {
        match ask.kind {
            AskKind::Photo => {
                let photos = self.job.photos.iter().filter(|photo| photo.holds());
                photos
                    .filter(|photo| photo.body.address == *address)
                    .map(|photo| photo.fact)
                    .collect()
            }
            AskKind::Paper => {
                let papers = self.job.papers.iter().filter(|paper| paper.holds());
                papers
                    .filter(|paper| paper.body.address == *address)
                    .map(|paper| paper.fact)
                    .collect()
            }
            AskKind::Signature(_) => {
                let signed = self.job.signatures.iter().filter(|signed| signed.holds());
                let here = signed.filter(|signed| signed.body.address == *address);
                here.filter(|signed| signed.body.act != "declined")
                    .map(|signed| signed.fact)
                    .collect()
            }
            _ => self.job.to_replace(address),
        }
    }
}
