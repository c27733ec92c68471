//! The log in SQLite.

mod cache;
mod carve;
mod opening;
mod reading;
mod safe;
mod salvage;
mod schema;
mod writing;

use std::cell::RefCell;
use std::path::Path;
use std::sync::Arc;

use rusqlite::Connection;
use wythe_job::{Digest, Fact, FactId, Facts, Stream};

pub use opening::{Opening, Options, Salvaged};
pub use schema::{LEAST_SQLITE, SCHEMA_VERSION};

use crate::change::{Appended, Area, Arrival, Change, Source, Storage, Waiting, WaitingOriginal};
use crate::error::StoreError;
use crate::log::Log;
use crate::marker::Mark;
use crate::originals::Originals;
use crate::projection::{Page, Row, Summary};
use cache::Cache;
use opening::{Opened, Place};

/// A log in a folder: a SQLite file with facts, projections and device state, originals beside it.
pub struct SqliteLog {
    place: Place,
    open: Option<Opened>,
    originals: Originals,
    cache: RefCell<Cache>,
}

impl SqliteLog {
    /// Opens the store in a folder, makes it when there is none, and salvages it when it is damaged.
    ///
    /// # Errors
    /// [`StoreError::InUse`], [`StoreError::Newer`], [`StoreError::Disk`], [`StoreError::NoSpace`],
    /// [`StoreError::Database`].
    pub fn open(folder: &Path, options: Options) -> Result<(Self, Opening), StoreError> {
        let place = Place::new(folder, options);
        let (opened, originals, opening) = place.open()?;
        let log = Self {
            place,
            open: Some(opened),
            originals,
            cache: RefCell::default(),
        };
        Ok((log, opening))
    }

    /// Reads everything and compares it with its hashes: facts, payloads, indexes, kept values. Takes
    /// long in a large store. Damage that is found is noted, and the next opening salvages the store.
    ///
    /// # Errors
    /// [`StoreError::Damaged`].
    pub fn check(&self) -> Result<(), StoreError> {
        self.read(|connection| {
            let said: String = connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
            if said != "ok" {
                return Err(StoreError::damaged(said));
            }
            let mut since = 0;
            loop {
                let arrivals = reading::arrivals(connection, since, 1000)?;
                match arrivals.last() {
                    Some(last) => since = last.number,
                    None => break,
                }
            }
            for area in [Area::Setting, Area::Draft, Area::Device, Area::Store] {
                reading::kept_under(connection, area, "")?;
            }
            Ok(())
        })
    }

    fn read<T>(&self, read: impl FnOnce(&Connection) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let open = self.open.as_ref().ok_or(StoreError::Paused)?;
        let result = read(&open.connection);
        if let Err(StoreError::Damaged { .. }) = &result {
            self.place.note_damage();
        }
        result
    }

    fn write(&mut self, change: &Change<'_>) -> Result<writing::Done, StoreError> {
        let open = self.open.as_mut().ok_or(StoreError::Paused)?;
        let cache = self.cache.get_mut();
        if change.source == Source::Here {
            for fact in writing::not_yet_whole(&open.connection, change.facts)? {
                self.originals.must_have(fact)?;
            }
        }
        let options = &self.place.options;
        let transaction = schema::begin(&mut open.connection)?;
        let mut known = open.known;
        let done = writing::change(&transaction, change, options.waits_for_office, &mut known)?;
        let mut fresh: Vec<(Stream, Arc<Facts>)> = Vec::new();
        for (stream, written) in &done.written {
            // Out of the cache until the commit: what failed must not be shown.
            let facts = match cache.take(*stream) {
                Some(mut facts) if !done.dropped_in.contains(stream) => {
                    Arc::make_mut(&mut facts).extend(written.iter().cloned());
                    facts
                }
                _ => Arc::new(reading::facts(&transaction, *stream)?),
            };
            let summary = options.projector.project(*stream, &facts);
            writing::summary(&transaction, *stream, &summary)?;
            fresh.push((*stream, facts));
        }
        transaction.commit()?;
        open.known = known;
        for (stream, facts) in fresh {
            cache.put(stream, facts);
        }
        open.moved_on(done.appended.last_arrival);
        Ok(done)
    }
}

impl Log for SqliteLog {
    fn commit(&mut self, change: &Change<'_>) -> Result<Appended, StoreError> {
        let done = self.write(change);
        if let Err(StoreError::Damaged { .. }) = &done {
            self.place.note_damage();
        }
        let done = done?;
        // The erasure is recorded; what is left to do is done at the next opening if it fails here.
        if !done.removals.is_empty()
            && let Some(open) = &mut self.open
            && let Err(error) = opening::finish_removals(&mut open.connection, &self.originals)
        {
            tracing::warn!(code = error.code(), "an erased original is still to be removed");
        }
        // Who this device is must not hang on the journal, and what was erased must not stay in it.
        let identified = change.kept.iter().any(|kept| kept.area == Area::Device);
        if (identified || !done.appended.erased.is_empty())
            && let Some(open) = &self.open
        {
            open.empty_journal();
        }
        Ok(done.appended)
    }

    fn facts(&self, stream: Stream) -> Result<Arc<Facts>, StoreError> {
        self.read(|connection| {
            if let Some(facts) = self.cache.borrow_mut().get(stream) {
                return Ok(facts);
            }
            let facts = Arc::new(reading::facts(connection, stream)?);
            self.cache.borrow_mut().put(stream, Arc::clone(&facts));
            Ok(facts)
        })
    }

    fn fact(&self, id: FactId) -> Result<Option<Fact>, StoreError> {
        let found = self.read(|connection| reading::fact(connection, id))?;
        Ok(found.map(|arrival| arrival.fact))
    }

    fn streams(&self) -> Result<Vec<Stream>, StoreError> {
        self.read(reading::streams)
    }

    fn arrivals(&self, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError> {
        self.read(|connection| reading::arrivals(connection, since, limit))
    }

    fn last_arrival(&self) -> Result<u64, StoreError> {
        self.read(reading::last_arrival)
    }

    fn generation(&self) -> Result<[u8; 16], StoreError> {
        let open = self.open.as_ref().ok_or(StoreError::Paused)?;
        Ok(open.mark.generation)
    }

    fn summary(&self, stream: Stream) -> Result<Option<Summary>, StoreError> {
        self.read(|connection| reading::summary(connection, stream))
    }

    fn summaries(&self, page: &Page) -> Result<Vec<Row>, StoreError> {
        self.read(|connection| reading::summaries(connection, page))
    }

    fn rebuild_projections(&mut self) -> Result<(), StoreError> {
        let open = self.open.as_mut().ok_or(StoreError::Paused)?;
        opening::rebuild(&mut open.connection, &*self.place.options.projector)
    }

    fn kept(&self, area: Area, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.read(|connection| reading::kept(connection, area, key))
    }

    fn kept_under(&self, area: Area, prefix: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError> {
        self.read(|connection| reading::kept_under(connection, area, prefix))
    }

    fn waiting(&self) -> Result<Waiting, StoreError> {
        if !self.place.options.waits_for_office {
            return self.read(|_| Ok(Waiting::default()));
        }
        self.read(reading::waiting)
    }

    fn waiting_facts(&self, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError> {
        if !self.place.options.waits_for_office {
            return self.read(|_| Ok(Vec::new()));
        }
        self.read(|connection| safe::waiting_facts(connection, since, limit))
    }

    fn waiting_originals(&self, limit: u32) -> Result<Vec<WaitingOriginal>, StoreError> {
        self.read(|connection| reading::waiting_originals(connection, limit))
    }

    fn original_is_safe(&self, digest: Digest) -> Result<bool, StoreError> {
        let safe = self.read(|connection| reading::original_is_safe(connection, digest))?;
        Ok(safe || !self.place.options.waits_for_office)
    }

    fn named_by(&self, digest: Digest) -> Result<Vec<FactId>, StoreError> {
        self.read(|connection| reading::named_by(connection, digest))
    }

    fn originals(&self) -> &Originals {
        &self.originals
    }

    fn storage(&self) -> Result<Storage, StoreError> {
        self.place.storage()
    }

    fn pause(&mut self) -> Result<(), StoreError> {
        self.cache.get_mut().clear();
        match self.open.take() {
            Some(open) => open.close(),
            None => Ok(()),
        }
    }

    fn resume(&mut self) -> Result<(), StoreError> {
        if self.open.is_none() {
            let (opened, originals, _) = self.place.open()?;
            self.open = Some(opened);
            self.originals = originals;
        }
        Ok(())
    }
}

impl Opened {
    /// Moves the marker on. It may lag behind, so a failure to write it is no failure of the commit.
    fn moved_on(&mut self, arrival: u64) {
        if arrival == self.mark.arrival {
            return;
        }
        self.mark = Mark { arrival, ..self.mark };
        if let Err(error) = self.marker.write(self.mark) {
            tracing::warn!(%error, "the store's marker lags behind");
        }
    }
}
