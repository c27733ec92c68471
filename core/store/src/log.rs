use std::sync::Arc;

use wythe_job::{Body, DeviceId, Digest, Erased, Fact, FactId, Facts, Stream};

use crate::error::StoreError;
use crate::originals::Originals;
use crate::projection::{Page, Row, Summary};

/// Where facts come from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Source {
    /// Recorded here: the originals they name must be here, and they wait for the office's receipt.
    #[default]
    Here,
    /// From the office, which has them already; originals follow on demand.
    Office,
}

/// What a kept value is for. Values are this device's own state, no record: they may be overwritten.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Area {
    /// A setting, a cursor of the exchange, and the like.
    Setting,
    /// Typed text that is not yet recorded.
    Draft,
    /// Who this device is.
    Device,
    /// The store's own book-keeping.
    Store,
}

impl Area {
    /// The name in the file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Setting => "setting",
            Self::Draft => "draft",
            Self::Device => "device",
            Self::Store => "store",
        }
    }
}

/// A value to keep, or (without one) to forget.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// What it is for.
    pub area: Area,
    /// Its name.
    pub key: String,
    /// Its bytes.
    pub value: Option<Vec<u8>>,
}

impl Kept {
    /// A setting.
    #[must_use]
    pub fn setting(key: &str, value: Option<Vec<u8>>) -> Self {
        Self {
            area: Area::Setting,
            key: key.to_owned(),
            value,
        }
    }

    /// A draft.
    #[must_use]
    pub fn draft(stream: Stream, key: &str, text: Option<&str>) -> Self {
        Self {
            area: Area::Draft,
            key: format!("{stream}/{key}"),
            value: text.map(|text| text.as_bytes().to_vec()),
        }
    }
}

/// Everything that changes together, in one durable transaction.
#[derive(Debug, Clone, Default)]
pub struct Change<'a> {
    /// Facts to append.
    pub facts: &'a [Fact],
    /// Where they come from.
    pub source: Source,
    /// Values to keep or to forget: settings, cursors, drafts that became facts.
    pub kept: Vec<Kept>,
    /// Facts for which the office gave its receipt.
    pub safe_facts: &'a [FactId],
    /// Originals for which the office gave its receipt.
    pub safe_originals: &'a [Digest],
}

/// What an append did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Appended {
    /// Facts that were not here before.
    pub new: Vec<FactId>,
    /// Facts that were here without the payload that now came.
    pub filled: Vec<FactId>,
    /// Facts whose payload was dropped by an erasure among the appended facts.
    pub erased: Vec<FactId>,
    /// The arrival number of the latest fact in the store; 0 when it is empty.
    pub last_arrival: u64,
}

/// A fact with its place in the order in which facts came here, from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arrival {
    /// The place.
    pub number: u64,
    /// The fact.
    pub fact: Fact,
}

/// Who this device is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identity {
    /// The device.
    pub device: DeviceId,
    /// Its epoch.
    pub epoch: u32,
    /// Its key, wrapped by the platform's key store.
    pub wrapped_key: Vec<u8>,
}

impl Identity {
    pub(crate) const KEY: &'static str = "identity";

    pub(crate) fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = self.device.0.to_vec();
        bytes.extend_from_slice(&self.epoch.to_be_bytes());
        bytes.extend_from_slice(&self.wrapped_key);
        bytes
    }

    pub(crate) fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (device, rest) = bytes.split_at_checked(16)?;
        let (epoch, key) = rest.split_at_checked(4)?;
        Some(Self {
            device: DeviceId::from_slice(device)?,
            epoch: u32::from_be_bytes(epoch.try_into().ok()?),
            wrapped_key: key.to_vec(),
        })
    }
}

/// Why this device must begin a new epoch, with a new key, before it records anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stale {
    /// The store is older than what was written here: it was put back from a copy.
    PutBack,
    /// The store was made on another device or installation.
    Copied,
    /// The store was damaged; its latest facts may be lost.
    Salvaged,
}

impl Stale {
    /// The stable code.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::PutBack => "put_back",
            Self::Copied => "copied",
            Self::Salvaged => "salvaged",
        }
    }

    pub(crate) const KEY: &'static str = "stale";

    pub(crate) fn from_code(code: &[u8]) -> Option<Self> {
        [Self::PutBack, Self::Copied, Self::Salvaged]
            .into_iter()
            .find(|stale| stale.code().as_bytes() == code)
    }
}

/// What is not yet safe at the office.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Waiting {
    /// How many facts.
    pub facts: u64,
    /// How many originals.
    pub originals: u64,
    /// The bytes of those originals.
    pub bytes: u64,
}

impl Waiting {
    /// Whether everything is safe at the office.
    #[must_use]
    pub fn is_none(self) -> bool {
        self.facts == 0 && self.originals == 0
    }
}

/// An original that is not yet safe at the office.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WaitingOriginal {
    /// Which.
    pub digest: Digest,
    /// Its length.
    pub bytes: u64,
}

/// How much room there is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Storage {
    /// Bytes that this program may still write, where the platform says so.
    pub free: Option<u64>,
}

impl Storage {
    /// Below this a screen says that storage is low: about forty photographs and their previews.
    pub const LOW_BYTES: u64 = 256 * 1024 * 1024;

    /// Whether storage is low.
    #[must_use]
    pub fn is_low(self) -> bool {
        self.free.is_some_and(|free| free < Self::LOW_BYTES)
    }
}

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
        let change = Change {
            kept: vec![
                kept(Area::Device, Identity::KEY, Some(identity.to_bytes())),
                kept(Area::Store, Stale::KEY, None),
            ],
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
    match fact.body() {
        Some(Body::Erased(body)) => Some(body),
        _ => None,
    }
}

/// Whether a fact's payload may be dropped: an erasure's own may not.
pub(crate) fn is_erasable(fact: &Fact) -> bool {
    fact.envelope().kind != "erased"
}
