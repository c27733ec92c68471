use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use wythe_job::{BusinessId, Digest, Fact, FactId, Facts, Stream};

use crate::change::{Appended, Area, Arrival, Change, Source, Storage, Waiting, WaitingOriginal};
use crate::error::StoreError;
use crate::log::{Log, erasure_in, is_erasable};
use crate::originals::Originals;
use crate::projection::{Page, Plain, Projector, Row, Summary};

/// A log in memory: everything a log does but last. Upper crates test against it. A clone is as a copy
/// of its file would be; the originals of both are the same.
#[derive(Clone)]
pub struct MemoryLog {
    projector: Arc<dyn Projector>,
    originals: Originals,
    waits_for_office: bool,
    paused: bool,
    held: Held,
}

#[derive(Clone, Default)]
struct Held {
    business: Option<BusinessId>,
    places: BTreeMap<FactId, u64>,
    arrivals: BTreeMap<u64, Fact>,
    streams: BTreeMap<Stream, Arc<Facts>>,
    erasures: BTreeSet<(FactId, Stream)>,
    named: BTreeMap<Digest, BTreeSet<FactId>>,
    waiting: BTreeSet<u64>,
    originals: BTreeMap<Digest, (u64, bool)>,
    kept: BTreeMap<(Area, String), Vec<u8>>,
    summaries: BTreeMap<Stream, Summary>,
    removals: Vec<Digest>,
}

impl MemoryLog {
    /// An empty log of a device that waits for its office.
    ///
    /// # Errors
    /// None in practice.
    pub fn new() -> Result<Self, StoreError> {
        Ok(Self::with(Arc::new(Plain), Originals::in_memory()?, true))
    }

    /// An empty log. `waits_for_office` is false for the office's own.
    #[must_use]
    pub fn with(projector: Arc<dyn Projector>, originals: Originals, waits_for_office: bool) -> Self {
        Self {
            projector,
            originals,
            waits_for_office,
            paused: false,
            held: Held::default(),
        }
    }

    fn held(&self) -> Result<&Held, StoreError> {
        if self.paused {
            return Err(StoreError::Paused);
        }
        Ok(&self.held)
    }
}

impl Held {
    fn get(&self, id: FactId) -> Option<&Fact> {
        self.arrivals.get(self.places.get(&id)?)
    }

    fn last(&self) -> u64 {
        self.arrivals.last_key_value().map_or(0, |(number, _)| *number)
    }

    fn take(&mut self, fact: &Fact, source: Source, waits: bool, done: &mut Appended) {
        let id = fact.id();
        let stream = fact.envelope().stream;
        let erased = is_erasable(fact) && self.erasures.contains(&(id, stream));
        let gains_payload = fact.payload().is_some() && !erased;
        let kept = if erased {
            fact.without_payload()
        } else {
            fact.clone()
        };
        let number = match self.places.get(&id).copied() {
            None => {
                let number = self.last() + 1;
                self.places.insert(id, number);
                done.new.push(id);
                number
            }
            Some(number) if gains_payload && self.get(id).is_some_and(|held| held.payload().is_none()) => {
                done.filled.push(id);
                number
            }
            Some(number) => {
                if source == Source::Office && fact.payload().is_some() {
                    self.waiting.remove(&number);
                }
                return;
            }
        };
        self.arrivals.insert(number, kept.clone());
        Arc::make_mut(self.streams.entry(stream).or_default()).insert(kept);
        if source == Source::Here && waits {
            self.waiting.insert(number);
        } else {
            self.waiting.remove(&number);
        }
        if !gains_payload {
            return;
        }
        for original in fact.body().iter().flat_map(wythe_job::Body::originals) {
            self.named.entry(original.digest).or_default().insert(id);
            if source == Source::Here && waits {
                let slot = self.originals.entry(original.digest);
                slot.or_insert((original.bytes, false));
            }
        }
        self.apply_erasure(fact, done);
    }

    fn apply_erasure(&mut self, by: &Fact, done: &mut Appended) {
        let stream = by.envelope().stream;
        let Some(erasure) = erasure_in(by) else { return };
        self.erasures.insert((erasure.fact, stream));
        let Some(target) = self.get(erasure.fact).cloned() else {
            return;
        };
        if target.payload().is_none() || target.envelope().stream != stream || !is_erasable(&target) {
            return;
        }
        if let Some(number) = self.places.get(&target.id()) {
            self.arrivals.insert(*number, target.without_payload());
        }
        if let Some(facts) = self.streams.get_mut(&stream) {
            let without = facts.iter().map(|fact| {
                if fact.id() == target.id() {
                    fact.without_payload()
                } else {
                    fact.clone()
                }
            });
            *facts = Arc::new(without.collect());
        }
        done.erased.push(target.id());
        for original in target.body().iter().flat_map(wythe_job::Body::originals) {
            let namers = self.named.entry(original.digest).or_default();
            namers.remove(&target.id());
            if namers.is_empty() && erasure.original.is_some() {
                self.originals.remove(&original.digest);
                self.removals.push(original.digest);
            }
        }
        self.named.retain(|_, namers| !namers.is_empty());
    }

    fn arrivals_of(&self, since: u64, limit: u32, wanted: impl Fn(u64) -> bool) -> Vec<Arrival> {
        let after = self.arrivals.range(since.saturating_add(1)..);
        after
            .filter(|(number, _)| wanted(**number))
            .take(usize::try_from(limit).unwrap_or(usize::MAX))
            .map(|(number, fact)| Arrival {
                number: *number,
                fact: fact.clone(),
            })
            .collect()
    }
}

impl Log for MemoryLog {
    fn commit(&mut self, change: &Change<'_>) -> Result<Appended, StoreError> {
        let mut held = self.held()?.clone();
        let mut done = Appended::default();
        for fact in change.facts {
            let found = fact.envelope().business;
            let expected = *held.business.get_or_insert(found);
            if found != expected {
                return Err(StoreError::OtherBusiness {
                    fact: fact.id(),
                    found,
                    expected,
                });
            }
            let whole = held.get(fact.id()).is_some_and(|held| held.payload().is_some());
            let erased = held.erasures.contains(&(fact.id(), fact.envelope().stream));
            if change.source == Source::Here && !whole && !erased {
                self.originals.must_have(fact)?;
            }
            held.take(fact, change.source, self.waits_for_office, &mut done);
        }
        for id in change.safe_facts {
            if let Some(number) = held.places.get(id) {
                held.waiting.remove(number);
            }
        }
        for digest in change.safe_originals {
            held.originals.entry(*digest).or_insert((0, true)).1 = true;
        }
        for kept in &change.kept {
            let key = (kept.area, kept.key.clone());
            match &kept.value {
                Some(value) => held.kept.insert(key, value.clone()),
                None => held.kept.remove(&key),
            };
        }
        let touched: BTreeSet<Stream> = change.facts.iter().map(|fact| fact.envelope().stream).collect();
        for stream in touched {
            if let Some(facts) = held.streams.get(&stream) {
                held.summaries
                    .insert(stream, self.projector.project(stream, facts));
            }
        }
        done.last_arrival = held.last();
        let removals = std::mem::take(&mut held.removals);
        self.held = held;
        for digest in removals {
            self.originals.remove(digest)?;
        }
        Ok(done)
    }

    fn facts(&self, stream: Stream) -> Result<Arc<Facts>, StoreError> {
        Ok(self.held()?.streams.get(&stream).cloned().unwrap_or_default())
    }

    fn fact(&self, id: FactId) -> Result<Option<Fact>, StoreError> {
        Ok(self.held()?.get(id).cloned())
    }

    fn streams(&self) -> Result<Vec<Stream>, StoreError> {
        Ok(self.held()?.streams.keys().copied().collect())
    }

    fn arrivals(&self, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError> {
        Ok(self.held()?.arrivals_of(since, limit, |_| true))
    }

    fn last_arrival(&self) -> Result<u64, StoreError> {
        Ok(self.held()?.last())
    }

    fn generation(&self) -> Result<[u8; 16], StoreError> {
        self.held().map(|_| [0; 16])
    }

    fn summary(&self, stream: Stream) -> Result<Option<Summary>, StoreError> {
        Ok(self.held()?.summaries.get(&stream).cloned())
    }

    fn summaries(&self, page: &Page) -> Result<Vec<Row>, StoreError> {
        let mut rows: Vec<Row> = self
            .held()?
            .summaries
            .iter()
            .filter(|(_, summary)| {
                let wanted = page.search.as_ref();
                wanted.is_none_or(|wanted| summary.search.contains(wanted))
            })
            .map(|(stream, summary)| Row {
                stream: *stream,
                summary: summary.clone(),
            })
            .collect();
        rows.sort_by(|a, b| (&a.summary.sort_key, a.stream).cmp(&(&b.summary.sort_key, b.stream)));
        if let Some((key, stream)) = &page.after {
            rows.retain(|row| (&row.summary.sort_key, row.stream) > (key, *stream));
        }
        rows.truncate(usize::try_from(page.limit).unwrap_or(usize::MAX));
        Ok(rows)
    }

    fn rebuild_projections(&mut self) -> Result<(), StoreError> {
        self.held()?;
        self.held.summaries = self
            .held
            .streams
            .iter()
            .map(|(stream, facts)| (*stream, self.projector.project(*stream, facts)))
            .collect();
        Ok(())
    }

    fn kept(&self, area: Area, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        Ok(self.held()?.kept.get(&(area, key.to_owned())).cloned())
    }

    fn kept_under(&self, area: Area, prefix: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError> {
        let from = self.held()?.kept.range((area, prefix.to_owned())..);
        Ok(from
            .take_while(|((found, key), _)| *found == area && key.starts_with(prefix))
            .map(|((_, key), value)| (key.clone(), value.clone()))
            .collect())
    }

    fn waiting(&self) -> Result<Waiting, StoreError> {
        let held = self.held()?;
        let count = |length: usize| u64::try_from(length).unwrap_or(u64::MAX);
        let originals = held.originals.values().filter(|(_, safe)| !safe);
        Ok(Waiting {
            facts: count(held.waiting.len()),
            originals: count(originals.clone().count()),
            bytes: originals.map(|(bytes, _)| bytes).sum(),
        })
    }

    fn waiting_facts(&self, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError> {
        let held = self.held()?;
        Ok(held.arrivals_of(since, limit, |number| held.waiting.contains(&number)))
    }

    fn waiting_originals(&self, limit: u32) -> Result<Vec<WaitingOriginal>, StoreError> {
        let waiting = self.held()?.originals.iter().filter(|(_, (_, safe))| !safe);
        Ok(waiting
            .take(usize::try_from(limit).unwrap_or(usize::MAX))
            .map(|(digest, (bytes, _))| WaitingOriginal {
                digest: *digest,
                bytes: *bytes,
            })
            .collect())
    }

    fn original_is_safe(&self, digest: Digest) -> Result<bool, StoreError> {
        let held = self.held()?;
        Ok(!self.waits_for_office || held.originals.get(&digest).is_some_and(|(_, safe)| *safe))
    }

    fn named_by(&self, digest: Digest) -> Result<Vec<FactId>, StoreError> {
        let namers = self.held()?.named.get(&digest);
        Ok(namers.into_iter().flatten().copied().collect())
    }

    fn originals(&self) -> &Originals {
        &self.originals
    }

    fn storage(&self) -> Result<Storage, StoreError> {
        self.held().map(|_| Storage::default())
    }

    fn pause(&mut self) -> Result<(), StoreError> {
        self.paused = true;
        Ok(())
    }

    fn resume(&mut self) -> Result<(), StoreError> {
        self.paused = false;
        Ok(())
    }
}
