use wythe_job::{DeviceId, Digest, Fact, FactId, Stream};

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
