use std::sync::Arc;

use wythe_job::{Body, Digest, Erased, Fact, FactId, Facts, Stream};

use crate::change::{
    Appended, Area, Arrival, Change, Identity, Kept, Source, Stale, Storage, Waiting, WaitingOriginal,
};
use crate::error::StoreError;
use crate::originals::Originals;
use crate::projection::{Page, Row, Summary};

/// An append-only log of facts with the projections, device state and originals that belong to it.
///
/// All writing is idempotent by fact id. When an append failed, its facts may still be there: append
/// them again. Of two copies the one with its payload stays, unless an erasure of it is known.
pub trait Log: Send {
    /// Makes a change, all of it or none, and returns when it would survive a loss of power.
    ///
    /// # Errors
    /// [`StoreError`]; nothing is shown of a change that failed, though it may appear after the store
    /// is opened again.
    fn commit(&mut self, change: &Change<'_>) -> Result<Appended, StoreError>;

    /// All facts of a stream; empty when there is no such stream.
    ///
    /// # Errors
    /// [`StoreError`].
    fn facts(&self, stream: Stream) -> Result<Arc<Facts>, StoreError>;

    /// One fact.
    ///
    /// # Errors
    /// [`StoreError`].
    fn fact(&self, id: FactId) -> Result<Option<Fact>, StoreError>;

    /// Every stream, in order.
    ///
    /// # Errors
    /// [`StoreError`].
    fn streams(&self) -> Result<Vec<Stream>, StoreError>;

    /// The facts that came after the given arrival number, in the order of their coming.
    ///
    /// # Errors
    /// [`StoreError`].
    fn arrivals(&self, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError>;

    /// The latest arrival number; 0 when the log is empty.
    ///
    /// # Errors
    /// [`StoreError`].
    fn last_arrival(&self) -> Result<u64, StoreError>;

    /// A token that changes whenever arrival numbers may have changed their meaning: a new file, one
    /// put back from a copy, one salvaged. Cursors of another generation are void.
    ///
    /// # Errors
    /// [`StoreError`].
    fn generation(&self) -> Result<[u8; 16], StoreError>;

    /// The summary of a stream.
    ///
    /// # Errors
    /// [`StoreError`].
    fn summary(&self, stream: Stream) -> Result<Option<Summary>, StoreError>;

    /// A page of the list of streams.
    ///
    /// # Errors
    /// [`StoreError`].
    fn summaries(&self, page: &Page) -> Result<Vec<Row>, StoreError>;

    /// Makes all summaries anew from the facts.
    ///
    /// # Errors
    /// [`StoreError`].
    fn rebuild_projections(&mut self) -> Result<(), StoreError>;

    /// A kept value.
    ///
    /// # Errors
    /// [`StoreError`].
    fn kept(&self, area: Area, key: &str) -> Result<Option<Vec<u8>>, StoreError>;

    /// The kept values of an area whose keys begin with a prefix, in the order of their keys.
    ///
    /// # Errors
    /// [`StoreError`].
    fn kept_under(&self, area: Area, prefix: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError>;

    /// What is not yet safe at the office. Always nothing for an office's own log.
    ///
    /// # Errors
    /// [`StoreError`].
    fn waiting(&self) -> Result<Waiting, StoreError>;

    /// Facts not yet safe at the office, in the order of their coming, after an arrival number.
    ///
    /// # Errors
    /// [`StoreError`].
    fn waiting_facts(&self, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError>;

    /// Originals that are here and not yet safe at the office, in the order of their digests.
    ///
    /// # Errors
    /// [`StoreError`].
    fn waiting_originals(&self, limit: u32) -> Result<Vec<WaitingOriginal>, StoreError>;

    /// Whether the office gave its receipt for an original.
    ///
    /// # Errors
    /// [`StoreError`].
    fn original_is_safe(&self, digest: Digest) -> Result<bool, StoreError>;

    /// The facts with a payload that name an original.
    ///
    /// # Errors
    /// [`StoreError`].
    fn named_by(&self, digest: Digest) -> Result<Vec<FactId>, StoreError>;

    /// The files that facts name.
    fn originals(&self) -> &Originals;

    /// How much room there is.
    ///
    /// # Errors
    /// [`StoreError`].
    fn storage(&self) -> Result<Storage, StoreError>;

    /// Lets go of the file, so that the platform may suspend or back up the app. Until
    /// [`Log::resume`], everything else answers [`StoreError::Paused`].
    ///
    /// # Errors
    /// [`StoreError`].
    fn pause(&mut self) -> Result<(), StoreError>;

    /// Goes on after [`Log::pause`].
    ///
    /// # Errors
    /// [`StoreError`], among them [`StoreError::InUse`] when another process took the store meanwhile.
    fn resume(&mut self) -> Result<(), StoreError>;

    /// Appends facts recorded here.
    ///
    /// # Errors
    /// As [`Log::commit`].
    fn append(&mut self, facts: &[Fact]) -> Result<Appended, StoreError> {
        self.commit(&Change {
            facts,
            ..Change::default()
        })
    }

    /// Appends facts that came from the office.
    ///
    /// # Errors
    /// As [`Log::commit`].
    fn receive(&mut self, facts: &[Fact]) -> Result<Appended, StoreError> {
        self.commit(&Change {
            facts,
            source: Source::Office,
            ..Change::default()
        })
    }

    /// Appends a fact that says an erasure, and drops the payload it names in the same transaction.
    /// The original that it names goes too, unless another fact still names it.
    ///
    /// # Errors
    /// [`StoreError::NoErasure`], [`StoreError::NothingToErase`], [`StoreError::NotErasable`], and as
    /// [`Log::commit`].
    fn erase(&mut self, erasure: &Fact) -> Result<Appended, StoreError> {
        let body = erasure_in(erasure).ok_or(StoreError::NoErasure(erasure.id()))?;
        let target = self
            .fact(body.fact)?
            .filter(|target| target.envelope().stream == erasure.envelope().stream)
            .ok_or(StoreError::NothingToErase(body.fact))?;
        if !is_erasable(&target) {
            return Err(StoreError::NotErasable(body.fact));
        }
        self.append(std::slice::from_ref(erasure))
    }

    /// Frees the room of an original that is safe at the office.
    ///
    /// # Errors
    /// [`StoreError::NotYetSafe`], and as the disk.
    fn release_original(&mut self, digest: Digest) -> Result<(), StoreError> {
        if self.original_is_safe(digest)? {
            self.originals().remove(digest)
        } else {
            Err(StoreError::NotYetSafe(digest))
        }
    }

    /// A setting.
    ///
    /// # Errors
    /// As [`Log::kept`].
    fn setting(&self, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.kept(Area::Setting, key)
    }

    /// Keeps a setting, or forgets it.
    ///
    /// # Errors
    /// As [`Log::commit`].
    fn set_setting(&mut self, key: &str, value: Option<&[u8]>) -> Result<(), StoreError> {
        self.keep(Kept::setting(key, value.map(<[u8]>::to_vec)))
    }

    /// Keeps typed text that is not yet recorded.
    ///
    /// # Errors
    /// As [`Log::commit`].
    fn draft_put(&mut self, stream: Stream, key: &str, text: &str) -> Result<(), StoreError> {
        self.keep(Kept::draft(stream, key, Some(text)))
    }

    /// Typed text that is not yet recorded.
    ///
    /// # Errors
    /// As [`Log::kept`].
    fn draft_get(&self, stream: Stream, key: &str) -> Result<Option<String>, StoreError> {
        let held = self.kept(Area::Draft, &format!("{stream}/{key}"))?;
        held.map(text_of).transpose()
    }

    /// Forgets typed text. To forget it together with the fact it became, give [`Kept::draft`] to
    /// [`Log::commit`].
    ///
    /// # Errors
    /// As [`Log::commit`].
    fn draft_drop(&mut self, stream: Stream, key: &str) -> Result<(), StoreError> {
        self.keep(Kept::draft(stream, key, None))
    }

    /// All drafts of a stream, by key.
    ///
    /// # Errors
    /// As [`Log::kept`].
    fn drafts(&self, stream: Stream) -> Result<Vec<(String, String)>, StoreError> {
        let prefix = format!("{stream}/");
        let mut drafts = Vec::new();
        for (key, value) in self.kept_under(Area::Draft, &prefix)? {
            let key = key.strip_prefix(&prefix).unwrap_or_default().to_owned();
            drafts.push((key, text_of(value)?));
        }
        Ok(drafts)
    }

    /// Keeps one value.
    ///
    /// # Errors
    /// As [`Log::commit`].
    fn keep(&mut self, kept: Kept) -> Result<(), StoreError> {
        let change = Change {
            kept: vec![kept],
            ..Change::default()
        };
        self.commit(&change).map(drop)
    }

    /// Who this device is; none before it was enrolled.
    ///
    /// # Errors
    /// As [`Log::kept`].
    fn identity(&self) -> Result<Option<Identity>, StoreError> {
        let held = self.kept(Area::Device, Identity::KEY)?;
        held.map(|bytes| {
            Identity::from_bytes(&bytes).ok_or_else(|| StoreError::damaged("the device's identity"))
        })
        .transpose()
    }

    /// Sets who this device is, and with a new epoch ends [`Log::stale`].
    ///
    /// # Errors
    /// [`StoreError::OldEpoch`] for an epoch below the one held, or the same one when a new one is due.
    fn set_identity(&mut self, identity: &Identity) -> Result<(), StoreError> {
        self.set_identity_with(identity, Vec::new())
    }

    /// The same, with values that change in the same transaction.
    ///
    /// # Errors
    /// As [`Log::set_identity`].
    fn set_identity_with(&mut self, identity: &Identity, with: Vec<Kept>) -> Result<(), StoreError> {
        if let Some(held) = self.identity()?
            && held.device == identity.device
        {
            let least = held.epoch.saturating_add(u32::from(self.stale()?.is_some()));
            if identity.epoch < least {
                return Err(StoreError::OldEpoch {
                    held: held.epoch,
                    found: identity.epoch,
                });
            }
        }
        let kept = |area, key: &str, value| Kept {
            area,
            key: key.to_owned(),
            value,
        };
        let mut all = with;
        all.push(kept(Area::Device, Identity::KEY, Some(identity.to_bytes())));
        all.push(kept(Area::Store, Stale::KEY, None));
        let change = Change {
            kept: all,
            ..Change::default()
        };
        self.commit(&change).map(drop)
    }

    /// Why a new epoch must begin before anything is recorded; none when all is well.
    ///
    /// # Errors
    /// As [`Log::kept`].
    fn stale(&self) -> Result<Option<Stale>, StoreError> {
        let held = self.kept(Area::Store, Stale::KEY)?;
        Ok(held.and_then(|code| Stale::from_code(&code)))
    }
}

fn text_of(bytes: Vec<u8>) -> Result<String, StoreError> {
    String::from_utf8(bytes).map_err(|_| StoreError::damaged("a draft"))
}

/// The erasure that a fact says, if it says one.
pub(crate) fn erasure_in(fact: &Fact) -> Option<Erased> {
    // The kind first: a body is not read for nothing.
    if is_erasable(fact) {
        return None;
    }
    match fact.body() {
        Some(Body::Erased(body)) => Some(body),
        _ => None,
    }
}

/// Whether a fact's payload may be dropped: an erasure's own may not.
pub(crate) fn is_erasable(fact: &Fact) -> bool {
    fact.envelope().kind != "erased"
}
