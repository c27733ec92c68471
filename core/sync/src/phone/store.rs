use minicbor::{Decode, Encode};
use wythe_job::{ArrivalRecord, Digest, Fact, FactId, OfficeEpoch, canonical};

use crate::cursor::Cursor;
use crate::trouble::Trouble;

/// How far a phone has come with its office. Kept in the phone's store, in the same transaction as the
/// facts that it speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
pub struct State {
    /// The office's epoch.
    #[n(0)]
    pub office: OfficeEpoch,
    /// How far the phone has come in what the office gives.
    #[n(1)]
    pub cursor: Cursor,
    /// The generation of the phone's own log for which this holds.
    #[cbor(n(2), with = "minicbor::bytes")]
    pub generation: [u8; 16],
    /// While the phone offers again what it holds, because the office was put back from a copy: the
    /// place in its own log up to which it has.
    #[n(3)]
    pub offering: Option<u64>,
}

impl State {
    /// The state of a phone that never spoke with its office.
    #[must_use]
    pub fn new(generation: [u8; 16]) -> Self {
        Self {
            office: OfficeEpoch([0; 16]),
            cursor: Cursor::default(),
            generation,
            offering: None,
        }
    }

    /// Whether the phone ever spoke with its office.
    #[must_use]
    pub fn has_met(&self) -> bool {
        self.office != OfficeEpoch([0; 16])
    }

    /// The bytes in which it is kept.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        canonical::encode(self)
    }

    /// Reads what [`State::to_bytes`] wrote; none when it says nothing, which only costs time.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        canonical::decode("a phone's state", bytes).ok()
    }
}

/// A fact that was set aside, with its reason: it is not sent, or not shown, and blocks nothing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
pub struct SetAside {
    /// The fact; of one that cannot be read, the SHA-256 of its bytes.
    #[n(0)]
    pub id: FactId,
    /// The reason's stable code.
    #[n(1)]
    pub reason: String,
    /// Whether it came from the office.
    #[n(2)]
    pub incoming: bool,
}

/// An original that this phone is to fetch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wanted {
    /// Which.
    pub digest: Digest,
    /// Its length.
    pub bytes: u64,
}

/// What the phone's store keeps in one transaction.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Keeping {
    /// Facts that came from the office.
    pub facts: Vec<Fact>,
    /// Facts that are safe at the office.
    pub safe_facts: Vec<FactId>,
    /// Originals that are safe at the office.
    pub safe_originals: Vec<Digest>,
    /// How far the phone has come.
    pub state: Option<State>,
    /// Facts to set aside.
    pub aside: Vec<SetAside>,
    /// Facts that are set aside no longer.
    pub no_longer_aside: Vec<FactId>,
    /// Originals to fetch.
    pub want: Vec<Wanted>,
    /// Originals not to fetch any more: they are here, or not to be had.
    pub no_longer_want: Vec<Digest>,
    /// The office's record of facts that this phone sent.
    pub record: Option<(ArrivalRecord, Vec<FactId>)>,
}

impl Keeping {
    /// Whether there is nothing to keep.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// What the machine asks of the phone's store. Every method may fail with [`Trouble`]; the machine then
/// waits and does it again.
#[allow(clippy::missing_errors_doc, reason = "one sentence for all, above")]
pub trait PhoneStore {
    /// The state kept last.
    fn state(&self) -> Result<Option<State>, Trouble>;
    /// A token that changes whenever places in the log may have changed their meaning.
    fn generation(&self) -> Result<[u8; 16], Trouble>;
    /// Facts not yet safe at the office, past a place in the log, in order, with their places.
    fn waiting_facts(&self, since: u64, limit: u32) -> Result<Vec<(u64, Fact)>, Trouble>;
    /// All facts past a place in the log, in order, with their places.
    fn facts_since(&self, since: u64, limit: u32) -> Result<Vec<(u64, Fact)>, Trouble>;
    /// A fact.
    fn fact(&self, id: FactId) -> Result<Option<Fact>, Trouble>;
    /// Originals that are here and not yet safe at the office.
    fn waiting_originals(&self, limit: u32) -> Result<Vec<Wanted>, Trouble>;
    /// Whether an original is here.
    fn has_original(&self, digest: Digest) -> Result<bool, Trouble>;
    /// Bytes of an original that is here.
    fn read_original(&self, digest: Digest, at: u64, most: usize) -> Result<Vec<u8>, Trouble>;
    /// How many bytes have come of an original that is being fetched.
    fn arrived(&self, digest: Digest) -> Result<u64, Trouble>;
    /// Adds bytes at the end of what has come; gives how many are there now.
    fn arrive(&mut self, digest: Digest, at: u64, bytes: &[u8]) -> Result<u64, Trouble>;
    /// Checks what has come, and keeps it. When it is not what its name says it is forgotten, and the
    /// answer is `false`.
    fn finish(&mut self, digest: Digest) -> Result<bool, Trouble>;
    /// What is set aside.
    fn set_aside(&self) -> Result<Vec<SetAside>, Trouble>;
    /// What is to be fetched.
    fn wanted(&self) -> Result<Vec<Wanted>, Trouble>;
    /// Keeps all of it or nothing, and returns when it would survive a loss of power.
    fn commit(&mut self, keeping: &Keeping) -> Result<(), Trouble>;
}
