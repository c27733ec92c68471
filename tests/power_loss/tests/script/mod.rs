//! A phone that works by a script of chance, and what must be true of its store after each loss.

#![allow(dead_code, reason = "each test file uses a part")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use wythe_job::{DeviceId, Digest, Fact, FactId, Stream, digest_of};
use wythe_store::{Change, Identity, Kept, Log as _, Opening, Options, Page, SqliteLog, StoreError};
use wythe_test_power_loss::disk::{PowerDisk, Trouble};

use crate::crew::{Chance, JOB, OTHER_JOB, Phone, Tally, erased, named, paper};

/// One phone, its disk, and what it was promised.
pub struct Crew {
    pub disk: PowerDisk,
    layer: String,
    chance: Chance,
    phone: Phone,
    openings: u8,
    /// Facts whose append was acknowledged.
    safe: BTreeMap<FactId, Fact>,
    /// Changes that were not acknowledged: each is there whole, or not at all.
    open: Vec<Vec<Fact>>,
    originals: BTreeSet<Digest>,
    /// The value that was acknowledged last, and those that may be there instead.
    settings: BTreeMap<String, Vec<Option<Vec<u8>>>>,
    receipts: BTreeSet<FactId>,
    generation: Option<[u8; 16]>,
    identity: Option<Identity>,
}

impl Crew {
    pub fn new(disk: PowerDisk, layer: &str, seed: u64) -> Self {
        disk.reset(seed);
        Self {
            disk,
            layer: layer.to_owned(),
            chance: Chance::of(seed),
            phone: Phone::new(1),
            openings: 0,
            safe: BTreeMap::new(),
            open: Vec::new(),
            originals: BTreeSet::new(),
            settings: BTreeMap::new(),
            receipts: BTreeSet::new(),
            generation: None,
            identity: None,
        }
    }

    pub fn open_store(&mut self) -> Result<(SqliteLog, Opening), StoreError> {
        self.openings += 1;
        let options = Options {
            disk: Arc::new(self.disk.clone()),
            file_layer: Some(self.layer.clone()),
            ..Options::new(b"this phone".to_vec(), [self.openings; 16]).projecting(Arc::new(Tally(1)))
        };
        SqliteLog::open(Path::new("/phone/store"), options)
    }

    /// Works until power goes, or so many things are done.
    pub fn work(&mut self, things: usize) {
        let Ok((mut log, _)) = self.open_store() else {
            return;
        };
        for _ in 0..things {
            if self.disk.is_off() {
                return;
            }
            self.one_thing(&mut log);
        }
    }

    pub fn one_thing(&mut self, log: &mut SqliteLog) {
        match self.chance.below(20) {
            0..=8 => {
                let facts = self.some_facts(log);
                self.append(log, facts);
            }
            9..=11 => {
                let _in_doubt = self.put_original(log);
            }
            12..=14 => self.keep(log),
            15 => self.erase(log),
            16 => self.give_receipts(log),
            17 => {
                let _power_gone = log.pause().and_then(|()| log.resume());
            }
            18 => self.identify(log),
            _ => {
                // What could not be acknowledged is tried again.
                if let Some(facts) = self.open.pop() {
                    self.append(log, facts);
                }
            }
        }
    }

    fn stream(&mut self) -> Stream {
        if self.chance.below(3) == 0 { OTHER_JOB } else { JOB }
    }

    fn some_facts(&mut self, log: &SqliteLog) -> Vec<Fact> {
        let mut facts = Vec::new();
        for _ in 0..=self.chance.below(4) {
            let stream = self.stream();
            if self.chance.below(4) == 0
                && let Ok((digest, bytes)) = self.put_original(log)
            {
                facts.push(self.phone.record(stream, paper(named(digest, bytes))));
            } else {
                let text = self.chance.text(8);
                facts.push(self.phone.answer(stream, &text));
            }
        }
        facts
    }

    fn append(&mut self, log: &mut SqliteLog, facts: Vec<Fact>) {
        let kept = match self.chance.below(3) {
            0 => vec![Kept::setting("cursor", Some(facts[0].id().0.to_vec()))],
            _ => Vec::new(),
        };
        let change = Change {
            facts: &facts,
            kept: kept.clone(),
            ..Change::default()
        };
        let done = log.commit(&change);
        self.settled(
            "cursor",
            kept.into_iter().next().map(|kept| kept.value),
            done.is_ok(),
        );
        if done.is_ok() {
            self.acknowledge(facts);
            self.generation = log.generation().ok();
        } else {
            self.open.push(facts);
        }
    }

    /// Facts that are there for good, and what they do to others.
    fn acknowledge(&mut self, facts: Vec<Fact>) {
        for fact in facts {
            if let Some(wythe_job::Body::Erased(erasure)) = fact.body() {
                let target = self.safe.get(&erasure.fact).map(Fact::without_payload);
                self.safe.extend(target.map(|target| (target.id(), target)));
            }
            self.safe.insert(fact.id(), fact);
        }
    }

    fn put_original(&mut self, log: &SqliteLog) -> Result<(Digest, u64), StoreError> {
        let length = 1 + self.chance.below(9_000);
        let bytes = self.chance.bytes(length);
        if self.chance.below(4) == 0 {
            let digest = digest_of(&bytes);
            let half = length / 2;
            let arrived = log.originals().arrived_bytes(digest)?;
            assert_eq!(arrived, 0, "these bytes are new");
            log.originals().arrive(digest, 0, &bytes[..half])?;
            log.originals()
                .arrive(digest, u64::try_from(half).unwrap(), &bytes[half..])?;
            log.originals().arrived(digest)?;
            self.originals.insert(digest);
            return Ok((digest, u64::try_from(length).unwrap()));
        }
        let original = log.originals().put(&mut &bytes[..], "a.pdf", "application/pdf")?;
        self.originals.insert(original.digest);
        Ok((original.digest, original.bytes))
    }

    fn keep(&mut self, log: &mut SqliteLog) {
        let key = format!("setting-{}", self.chance.below(3));
        let value = (self.chance.below(4) > 0).then(|| self.chance.bytes(20));
        let done = log.set_setting(&key, value.as_deref());
        self.settled(&key, Some(value), done.is_ok());
    }

    /// Notes what a setting may be: with an acknowledgement it is that value alone.
    fn settled(&mut self, key: &str, value: Option<Option<Vec<u8>>>, is_sure: bool) {
        let Some(value) = value else { return };
        let values = self.settings.entry(key.to_owned()).or_insert_with(|| vec![None]);
        if is_sure {
            values.clear();
        }
        values.push(value);
    }

    fn erase(&mut self, log: &mut SqliteLog) {
        let whole: Vec<FactId> = self
            .safe
            .values()
            .filter(|fact| fact.payload().is_some())
            .map(Fact::id)
            .collect();
        if whole.is_empty() {
            return;
        }
        let target = self.safe[&whole[self.chance.below(whole.len())]].clone();
        if target.envelope().kind == "erased" {
            return;
        }
        let digest = target
            .body()
            .unwrap()
            .originals()
            .first()
            .map(|original| original.digest);
        let erasure = self
            .phone
            .record(target.envelope().stream, erased(target.id(), digest));
        if let Some(digest) = digest {
            // Whatever becomes of it, nobody counts on that file any more.
            self.originals.remove(&digest);
        }
        if log.erase(&erasure).is_ok() {
            self.acknowledge(vec![erasure]);
        } else {
            self.open.push(vec![erasure]);
        }
    }

    fn give_receipts(&mut self, log: &mut SqliteLog) {
        let facts: Vec<FactId> = self.safe.keys().copied().take(self.chance.below(30)).collect();
        let receipt = Change {
            safe_facts: &facts,
            ..Change::default()
        };
        // Acknowledged or not, it may have been written down.
        let _in_doubt = log.commit(&receipt);
        self.receipts.extend(facts);
    }

    fn identify(&mut self, log: &mut SqliteLog) {
        let identity = Identity {
            device: DeviceId([1; 16]),
            epoch: 1,
            wrapped_key: vec![7; 48],
        };
        if log.set_identity(&identity).is_ok() {
            self.identity = Some(identity);
        }
    }

    /// Brings power back and looks whether every promise was kept; says which one was not.
    pub fn look(&mut self) -> Result<(), String> {
        self.disk.power_on();
        let (mut log, opening) = self
            .open_store()
            .map_err(|error| format!("it does not open: {error}"))?;
        self.look_at(&mut log, &opening)
    }

    pub fn look_at(&mut self, log: &mut SqliteLog, opening: &Opening) -> Result<(), String> {
        let is = |truth: bool, what: &str| if truth { Ok(()) } else { Err(what.to_owned()) };
        is(opening.salvaged.is_none(), "a loss of power is no damage")?;
        is(opening.stale.is_none(), "a loss of power begins no epoch")?;
        log.check()
            .map_err(|error| format!("the file is not whole: {error}"))?;
        if self.identity.is_some() {
            is(
                log.identity().is_ok_and(|held| held == self.identity),
                "the device knows who it is",
            )?;
        }
        let arrivals = log.arrivals(0, 100_000).map_err(|error| error.to_string())?;
        let mut held: BTreeMap<FactId, Fact> = arrivals
            .iter()
            .map(|arrival| (arrival.fact.id(), arrival.fact.clone()))
            .collect();
        is(held.len() == arrivals.len(), "no fact is there twice")?;
        is(
            arrivals
                .iter()
                .zip(1..)
                .all(|(arrival, number)| arrival.number == number),
            "arrivals have no gap",
        )?;
        self.decide_open(&held)?;
        for (id, fact) in &self.safe {
            let found = held
                .remove(id)
                .ok_or_else(|| format!("fact {id} was acknowledged and is lost"))?;
            is(found == *fact, "a fact is as it was acknowledged")?;
        }
        is(held.is_empty(), "nothing is there that was not appended")?;
        for fact in self.safe.values() {
            for original in fact.body().iter().flat_map(wythe_job::Body::originals) {
                let sound = log.originals().verify(original.digest);
                sound.map_err(|error| format!("a fact names what is not whole: {error}"))?;
            }
        }
        for digest in &self.originals {
            let sound = log.originals().verify(*digest);
            sound.map_err(|error| format!("an original was acknowledged: {error}"))?;
        }
        for digest in log.originals().all().map_err(|error| error.to_string())? {
            let sound = log.originals().verify(digest);
            sound.map_err(|error| format!("half an original is shown: {error}"))?;
        }
        let generation = log.generation().ok();
        is(
            self.generation.is_none() || self.generation == generation,
            "the generation goes on",
        )?;
        for (key, values) in &mut self.settings {
            let found = log.setting(key).map_err(|error| error.to_string())?;
            is(values.contains(&found), "a setting is one that was set")?;
            *values = vec![found];
        }
        let waiting = log.waiting_facts(0, 100_000).map_err(|error| error.to_string())?;
        let waiting: BTreeSet<FactId> = waiting.iter().map(|arrival| arrival.fact.id()).collect();
        let unsafe_yet = self.safe.keys().filter(|id| !self.receipts.contains(id));
        is(
            unsafe_yet.clone().all(|id| waiting.contains(id)),
            "what has no receipt waits",
        )?;
        let kept_up = log
            .summaries(&Page::default())
            .map_err(|error| error.to_string())?;
        log.rebuild_projections().map_err(|error| error.to_string())?;
        let anew = log
            .summaries(&Page::default())
            .map_err(|error| error.to_string())?;
        is(kept_up == anew, "the summaries are those of the facts")
    }

    /// Each change that was not acknowledged is there whole or not at all.
    fn decide_open(&mut self, held: &BTreeMap<FactId, Fact>) -> Result<(), String> {
        let mut still_open = Vec::new();
        for facts in std::mem::take(&mut self.open) {
            let there = facts.iter().filter(|fact| held.contains_key(&fact.id())).count();
            if there == 0 {
                still_open.push(facts);
            } else if there == facts.len() {
                self.acknowledge(facts);
            } else {
                return Err(format!(
                    "{there} of {} facts of one change are there",
                    facts.len()
                ));
            }
        }
        self.open = still_open;
        Ok(())
    }

    /// A life of so many cuts. Says which promise was broken first.
    pub fn live(&mut self, cuts: usize) -> Result<(), String> {
        for cut in 1..=cuts {
            // Some cuts fall into the opening, most into the work, some behind it.
            let reach = [20, 80, 400][self.chance.below(3)];
            let after = 1 + self.chance.below(reach);
            self.disk.plan(u64::try_from(after).unwrap(), Trouble::Cut);
            let things = 5 + self.chance.below(30);
            self.work(things);
            self.look()
                .map_err(|broken| format!("cut {cut}, operation {after}: {broken}"))?;
        }
        Ok(())
    }

    /// Works through trouble that is no loss of power: goes on in the same opening, then in another.
    pub fn suffer(&mut self, things: usize) -> Result<(), String> {
        let mut opened = self.open_store();
        for _ in 0..things {
            match &mut opened {
                Ok((log, _)) => self.one_thing(log),
                Err(_) => {
                    // The lock must be free again.
                    opened = self.open_store();
                }
            }
        }
        self.disk.calm();
        let (mut log, opening) = match opened {
            Ok(opened) => opened,
            Err(_) => self
                .open_store()
                .map_err(|error| format!("it does not open: {error}"))?,
        };
        let resumed = log.resume();
        resumed.map_err(|error| format!("it does not go on: {error}"))?;
        self.look_at(&mut log, &opening)
            .map_err(|broken| format!("in the same opening: {broken}"))?;
        while let Some(facts) = self.open.pop() {
            let again = log.append(&facts);
            again.map_err(|error| format!("what failed is refused: {error}"))?;
            self.acknowledge(facts);
        }
        drop(log);
        let (mut log, opening) = self
            .open_store()
            .map_err(|error| format!("it does not open: {error}"))?;
        self.look_at(&mut log, &opening)
            .map_err(|broken| format!("opened again: {broken}"))
    }
}
