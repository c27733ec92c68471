use std::io::{Read, Seek, SeekFrom};

use wythe_job::{ArrivalRecord, Digest, Fact, FactId, canonical};
use wythe_store::{Area, Arrival, Change, Kept, Log, Source, StoreError};
use wythe_sync::{Keeping, PhoneStore, SetAside, State, Trouble, Wanted};

const STATE: &str = "exchange/state";
const ASIDE: &str = "exchange/aside/";
const WANT: &str = "exchange/want/";
const ARRIVAL: &str = "exchange/arrival/";

/// A phone's log as the exchange sees it. What belongs to the exchange lies among the log's settings,
/// so that it changes in the transactions in which facts come.
pub struct LogStore<'a, L: Log>(pub &'a mut L);

fn trouble(error: StoreError) -> Trouble {
    Trouble::new(error.code(), error.to_string())
}

fn places(arrivals: Vec<Arrival>) -> Vec<(u64, Fact)> {
    arrivals
        .into_iter()
        .map(|arrival| (arrival.number, arrival.fact))
        .collect()
}

impl<L: Log> LogStore<'_, L> {
    fn under<T>(&self, prefix: &str, read: impl Fn(&str, &[u8]) -> Option<T>) -> Result<Vec<T>, Trouble> {
        under(self.0, prefix, read)
    }

    /// The office's records of facts that this phone sent, each with its facts.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn arrival_records(&self) -> Result<Vec<(ArrivalRecord, Vec<FactId>)>, Trouble> {
        arrival_records(self.0)
    }
}

fn under<L: Log, T>(
    log: &L,
    prefix: &str,
    read: impl Fn(&str, &[u8]) -> Option<T>,
) -> Result<Vec<T>, Trouble> {
    let held = log.kept_under(Area::Setting, prefix).map_err(trouble)?;
    let held = held.iter().filter_map(|(key, value)| {
        let name = key.strip_prefix(prefix)?;
        read(name, value)
    });
    Ok(held.collect())
}

pub(super) fn arrival_records<L: Log>(log: &L) -> Result<Vec<(ArrivalRecord, Vec<FactId>)>, Trouble> {
    under(log, ARRIVAL, |_, value| {
        let (record, ids) = canonical::split_first(value).ok()?;
        let ids = ids.chunks(32).filter_map(FactId::from_slice).collect();
        Some((ArrivalRecord::decode(record).ok()?, ids))
    })
}

impl<L: Log> PhoneStore for LogStore<'_, L> {
    fn state(&self) -> Result<Option<State>, Trouble> {
        let held = self.0.setting(STATE).map_err(trouble)?;
        Ok(held.and_then(|bytes| State::from_bytes(&bytes)))
    }

    fn generation(&self) -> Result<[u8; 16], Trouble> {
        self.0.generation().map_err(trouble)
    }

    fn waiting_facts(&self, since: u64, limit: u32) -> Result<Vec<(u64, Fact)>, Trouble> {
        self.0.waiting_facts(since, limit).map(places).map_err(trouble)
    }

    fn facts_since(&self, since: u64, limit: u32) -> Result<Vec<(u64, Fact)>, Trouble> {
        self.0.arrivals(since, limit).map(places).map_err(trouble)
    }

    fn fact(&self, id: FactId) -> Result<Option<Fact>, Trouble> {
        self.0.fact(id).map_err(trouble)
    }

    fn waiting_originals(&self, limit: u32) -> Result<Vec<Wanted>, Trouble> {
        let waiting = self.0.waiting_originals(limit).map_err(trouble)?;
        let waiting = waiting.into_iter().map(|original| Wanted {
            digest: original.digest,
            bytes: original.bytes,
        });
        Ok(waiting.collect())
    }

    fn has_original(&self, digest: Digest) -> Result<bool, Trouble> {
        self.0.originals().has(digest).map_err(trouble)
    }

    fn read_original(&self, digest: Digest, at: u64, most: usize) -> Result<Vec<u8>, Trouble> {
        let mut file = self.0.originals().read(digest).map_err(trouble)?;
        let wrong = |why| trouble(StoreError::disk("reading an original", why));
        file.seek(SeekFrom::Start(at)).map_err(wrong)?;
        let mut bytes = Vec::new();
        let most = u64::try_from(most).unwrap_or(u64::MAX);
        file.take(most).read_to_end(&mut bytes).map_err(wrong)?;
        Ok(bytes)
    }

    fn arrived(&self, digest: Digest) -> Result<u64, Trouble> {
        self.0.originals().arrived_bytes(digest).map_err(trouble)
    }

    fn arrive(&mut self, digest: Digest, at: u64, bytes: &[u8]) -> Result<u64, Trouble> {
        match self.0.originals().arrive(digest, at, bytes) {
            Err(StoreError::OutOfPlace { wanted, .. }) => Ok(wanted),
            other => other.map_err(trouble),
        }
    }

    fn finish(&mut self, digest: Digest) -> Result<bool, Trouble> {
        match self.0.originals().arrived(digest) {
            Ok(()) => Ok(true),
            Err(StoreError::OriginalDamaged(_)) => Ok(false),
            Err(error) => Err(trouble(error)),
        }
    }

    fn set_aside(&self) -> Result<Vec<SetAside>, Trouble> {
        self.under(ASIDE, |_, value| {
            canonical::decode("a fact set aside", value).ok()
        })
    }

    fn wanted(&self) -> Result<Vec<Wanted>, Trouble> {
        self.under(WANT, |name, value| {
            Some(Wanted {
                digest: Digest::from_hex(name)?,
                bytes: u64::from_be_bytes(value.try_into().ok()?),
            })
        })
    }

    fn commit(&mut self, keeping: &Keeping) -> Result<(), Trouble> {
        let change = Change {
            facts: &keeping.facts,
            source: Source::Office,
            kept: settings(keeping),
            safe_facts: &keeping.safe_facts,
            safe_originals: &keeping.safe_originals,
        };
        self.0.commit(&change).map(drop).map_err(trouble)
    }
}

fn settings(keeping: &Keeping) -> Vec<Kept> {
    let keep = |prefix: &str, name: String, value| Kept::setting(&format!("{prefix}{name}"), value);
    let mut kept = Vec::new();
    if let Some(state) = &keeping.state {
        kept.push(Kept::setting(STATE, Some(state.to_bytes())));
    }
    for aside in &keeping.aside {
        kept.push(keep(ASIDE, aside.id.to_string(), Some(canonical::encode(aside))));
    }
    for id in &keeping.no_longer_aside {
        kept.push(keep(ASIDE, id.to_string(), None));
    }
    for want in &keeping.want {
        let bytes = want.bytes.to_be_bytes().to_vec();
        kept.push(keep(WANT, want.digest.to_string(), Some(bytes)));
    }
    for digest in &keeping.no_longer_want {
        kept.push(keep(WANT, digest.to_string(), None));
    }
    if let Some((record, ids)) = &keeping.record {
        let mut value = record.encode();
        value.extend(ids.iter().flat_map(|id| id.0));
        // Numbers begin anew with a life of the office: the epoch is part of the name.
        let name = format!("{}/{:016}", record.epoch(), record.first());
        kept.push(keep(ARRIVAL, name, Some(value)));
    }
    kept
}
