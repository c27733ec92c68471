use wythe_job::{Body, Fact};

use super::take::wanted;
use super::{Command, Errand, Flight, Held, Now, ORIGINALS_AT_ONCE, Phone, PhoneStore, Sent, State, Wanted};
use crate::limits::{MAX_BATCH_BYTES, MAX_BATCH_FACTS, MAX_IDS, MAX_PIECE_BYTES, MAX_WRONG, PATIENCE_MS};
use crate::trouble::Trouble;
use crate::wire::{Bytes, Exchange, Fetch, Offered, Piece, Request};

/// How many facts are read at once.
const PAGE: u32 = 500;

impl Phone {
    /// Begins the next call, if it is time for one.
    pub(super) fn go_on(
        &mut self,
        now: Now,
        store: &mut dyn PhoneStore,
        commands: &mut Vec<Command>,
    ) -> Result<(), Trouble> {
        if !self.running {
            return Ok(());
        }
        if let Some(flight) = &self.flight {
            commands.push(Command::WakeAt { ms: flight.until });
            return Ok(());
        }
        let resting = self.failures == 0 && self.not_before.is_some();
        if let Some(ms) = self.not_before.filter(|until| *until > now.ms) {
            // Who rests may be woken by something to do; who failed must wait.
            if !(resting && self.has_news(store)?) {
                commands.push(Command::WakeAt { ms });
                return Ok(());
            }
        }
        if self.not_before.take().is_some() && resting {
            self.later.clear();
        }
        let state = self.load(store)?;
        let (request, raw, what) = if self.due {
            let (exchange, sent) = self.exchange(state, store)?;
            (Request::Exchange(exchange), Vec::new(), Errand::Exchange(sent))
        } else if let Some((piece, raw, what)) = self.piece(store)? {
            (Request::Piece(piece), raw, Errand::Piece { what })
        } else if let Some((fetch, what)) = self.fetch(store)? {
            (
                Request::Fetch(fetch),
                Vec::new(),
                Errand::Fetch { what, at: fetch.at },
            )
        } else {
            self.rest(now, commands);
            return Ok(());
        };
        self.calls += 1;
        let until = now.ms.saturating_add(PATIENCE_MS);
        let mut bytes = request.encode();
        bytes.extend_from_slice(&raw);
        self.flight = Some(Flight {
            call: self.calls,
            until,
            what,
        });
        commands.push(Command::Send {
            call: self.calls,
            bytes,
        });
        commands.push(Command::WakeAt { ms: until });
        Ok(())
    }

    /// Whether there is something that should not wait for the next asking.
    fn has_news(&self, store: &dyn PhoneStore) -> Result<bool, Trouble> {
        if self
            .next_facts(store, 1)?
            .is_some_and(|(facts, _)| !facts.is_empty())
        {
            return Ok(true);
        }
        Ok(self.next_wanted(store)?.is_some())
    }

    /// The state, read when it is not in memory.
    pub(super) fn load(&mut self, store: &dyn PhoneStore) -> Result<State, Trouble> {
        if let Some(state) = self.state {
            return Ok(state);
        }
        let generation = store.generation()?;
        let mut state = store.state()?.unwrap_or(State::new(generation));
        if state.generation != generation {
            // Facts may have gone that the cursor has passed; the office gives them again.
            state.generation = generation;
            state.cursor = crate::Cursor::default();
        }
        self.skipped.clear();
        self.ask_again.clear();
        for aside in store.set_aside()? {
            if !aside.incoming {
                self.skipped.insert(aside.id);
            } else if self.ask_again.len() < MAX_IDS {
                self.ask_again.push(aside.id);
            }
        }
        self.again = super::Again::default();
        self.uploads.clear();
        self.due = true;
        self.state = Some(state);
        Ok(state)
    }

    fn exchange(&mut self, state: State, store: &dyn PhoneStore) -> Result<(Exchange, Sent), Trouble> {
        let mut sent = Sent::default();
        let mut batch = Batch::new(self.batch_bytes);
        for id in &self.again.facts {
            if let Some(fact) = store.fact(*id)?
                && !batch.add(&fact, &mut sent)
            {
                break;
            }
        }
        if let Some((facts, more)) = self.next_facts(store, PAGE)? {
            sent.more = more;
            for fact in facts {
                if !sent.facts.contains(&fact.id()) && !batch.add(&fact, &mut sent) {
                    break;
                }
            }
        }
        let held = self.offer_again(state, store, &mut sent)?;
        // The office takes an original only when it has the fact that names it.
        if !sent.more {
            sent.originals = self.originals_to_ask(store)?;
        }
        let originals = sent.originals.iter().map(|what| Offered {
            digest: what.digest,
            bytes: what.bytes,
        });
        let exchange = Exchange {
            business: self.who.business,
            chain: self.who.chain,
            office: state.office,
            cursor: state.cursor,
            room: u32::try_from(self.batch_bytes).unwrap_or(u32::MAX),
            facts: batch.facts,
            held,
            originals: originals.collect(),
            wanted: self.ask_again.clone(),
        };
        Ok((exchange, sent))
    }

    /// The next facts that wait and were not set aside, and whether there may be more.
    fn next_facts(&self, store: &dyn PhoneStore, most: u32) -> Result<Option<(Vec<Fact>, bool)>, Trouble> {
        let mut since = 0;
        loop {
            let page = store.waiting_facts(since, PAGE.max(most))?;
            let Some((last, _)) = page.last() else {
                return Ok(None);
            };
            since = *last;
            let more = page.len() >= usize::try_from(PAGE.max(most)).unwrap_or(usize::MAX);
            let facts = page.into_iter().map(|(_, fact)| fact);
            let facts: Vec<Fact> = facts.filter(|fact| !self.skipped.contains(&fact.id())).collect();
            if !facts.is_empty() {
                return Ok(Some((facts, more)));
            }
        }
    }

    /// The next ids to offer again, while that goes on.
    fn offer_again(
        &self,
        state: State,
        store: &dyn PhoneStore,
        sent: &mut Sent,
    ) -> Result<Vec<wythe_job::FactId>, Trouble> {
        let Some(since) = state.offering.filter(|_| self.again.until.is_none()) else {
            return Ok(Vec::new());
        };
        let page = store.facts_since(since, PAGE)?;
        let mut originals = Vec::new();
        for (_, fact) in &page {
            for original in fact.body().iter().flat_map(Body::originals) {
                if store.has_original(original.digest)? {
                    originals.push(wanted(original));
                }
            }
        }
        sent.held = Some(Held {
            until: page.last().map_or(since, |(place, _)| *place),
            originals,
        });
        Ok(page.iter().map(|(_, fact)| fact.id()).collect())
    }

    /// Originals whose state at the office is to be asked: it may have a part of them.
    pub(super) fn originals_to_ask(&self, store: &dyn PhoneStore) -> Result<Vec<Wanted>, Trouble> {
        let mut asked: Vec<Wanted> = Vec::new();
        let left_alone = u32::try_from(self.wrong.len() + self.later.len()).unwrap_or(u32::MAX);
        let limit = u32::try_from(ORIGINALS_AT_ONCE).unwrap_or(u32::MAX);
        let waiting = store.waiting_originals(limit.saturating_add(left_alone))?;
        let again = self.again.originals.iter().copied();
        for what in again.chain(waiting).chain(self.wanted_and_here(store)?) {
            let on_its_way = self.uploads.iter().any(|upload| upload.what == what);
            if !on_its_way && !self.is_left_alone(what) && !asked.contains(&what) {
                asked.push(what);
            }
            if asked.len() >= ORIGINALS_AT_ONCE {
                break;
            }
        }
        Ok(asked)
    }

    pub(super) fn is_left_alone(&self, what: Wanted) -> bool {
        let often = self
            .wrong
            .get(&what.digest)
            .is_some_and(|times| *times >= MAX_WRONG);
        often || self.later.contains(&what.digest)
    }

    fn piece(&mut self, store: &dyn PhoneStore) -> Result<Option<(Piece, Vec<u8>, Wanted)>, Trouble> {
        while let Some(upload) = self.uploads.front().copied() {
            let most = self.piece_bytes.min(MAX_PIECE_BYTES);
            let raw = match store.has_original(upload.what.digest)? {
                true => store.read_original(upload.what.digest, upload.there, most)?,
                false => Vec::new(),
            };
            if raw.is_empty() && upload.what.bytes > 0 {
                // It is gone, or shorter than it was: nothing here can make it whole.
                self.wrong.insert(upload.what.digest, MAX_WRONG);
                self.uploads.pop_front();
                continue;
            }
            let piece = Piece {
                business: self.who.business,
                digest: upload.what.digest,
                bytes: upload.what.bytes,
                at: upload.there,
                length: u32::try_from(raw.len()).unwrap_or(u32::MAX),
            };
            return Ok(Some((piece, raw, upload.what)));
        }
        Ok(None)
    }

    fn fetch(&self, store: &dyn PhoneStore) -> Result<Option<(Fetch, Wanted)>, Trouble> {
        let Some(what) = self.next_wanted(store)? else {
            return Ok(None);
        };
        let fetch = Fetch {
            business: self.who.business,
            digest: what.digest,
            at: store.arrived(what.digest)?,
            most: u32::try_from(self.piece_bytes.min(MAX_PIECE_BYTES)).unwrap_or(u32::MAX),
        };
        Ok(Some((fetch, what)))
    }

    /// The next original to fetch.
    fn next_wanted(&self, store: &dyn PhoneStore) -> Result<Option<Wanted>, Trouble> {
        if self.revoked {
            return Ok(None);
        }
        for what in store.wanted()? {
            if !self.is_left_alone(what) && !store.has_original(what.digest)? {
                return Ok(Some(what));
            }
        }
        Ok(None)
    }

    /// Originals that are wanted and here: they came and were not yet taken off the list, or a store
    /// that was put back has forgotten that they were still to be sent.
    fn wanted_and_here(&self, store: &dyn PhoneStore) -> Result<Vec<Wanted>, Trouble> {
        let mut here = Vec::new();
        for what in store.wanted()? {
            if store.has_original(what.digest)? {
                here.push(what);
            }
        }
        Ok(here)
    }
}

/// Facts that go out together.
struct Batch {
    facts: Vec<Bytes>,
    bytes: usize,
    room: usize,
}

impl Batch {
    fn new(room: usize) -> Self {
        Self {
            facts: Vec::new(),
            bytes: 0,
            room: room.min(MAX_BATCH_BYTES),
        }
    }

    /// Adds a fact if there is room; the first always has.
    fn add(&mut self, fact: &Fact, sent: &mut Sent) -> bool {
        let bytes = fact.encode();
        let full = self.facts.len() >= MAX_BATCH_FACTS || self.bytes + bytes.len() > self.room;
        if full && !self.facts.is_empty() {
            sent.more = true;
            return false;
        }
        self.bytes += bytes.len();
        sent.facts.push(fact.id());
        self.facts.push(Bytes(bytes));
        true
    }
}
