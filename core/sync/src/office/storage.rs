use wythe_job::{
    ArrivalRecord, BusinessId, Certificate, Chain, DeviceId, Digest, Fact, FactId, OfficeEpoch, PersonId,
    Seen, Stream,
};

use crate::cursor::Cursor;
use crate::token::{CodeHash, TokenHash};
use crate::trouble::Trouble;

/// What a transaction is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// Reading: a state in which no number is missing below the last one.
    Read,
    /// Writing: nobody else of this business writes until it ends.
    Write,
}

/// Where an office keeps what it has of all businesses.
///
/// The one rule on which cursors stand: numbers are taken under the business's lock, and the lock is
/// held until the commit is visible. Otherwise a phone could be shown number 6 before number 5 is
/// there, and never ask for 5.
pub trait OfficeStorage {
    /// The business whose open invitation has this code.
    ///
    /// # Errors
    /// [`Trouble`].
    fn business_of_code(&mut self, code: CodeHash) -> Result<Option<BusinessId>, Trouble>;

    /// Begins a transaction in one business's books; for [`Access::Write`] waits for its lock.
    /// Dropped without [`Desk::commit`] it leaves nothing behind.
    ///
    /// # Errors
    /// [`Trouble`].
    fn begin(&mut self, business: BusinessId, access: Access) -> Result<Box<dyn Desk + '_>, Trouble>;
}

/// A phone that was taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its name for itself.
    pub device: DeviceId,
    /// Whose it is, where that is known.
    pub person: Option<PersonId>,
    /// What people call it.
    pub name: String,
    /// Whether it was revoked.
    pub revoked: bool,
}

/// An invitation for one phone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invite {
    /// The hash of its code.
    pub code: CodeHash,
    /// Whose phone it will be.
    pub person: PersonId,
    /// The lost phone whose jobs it gets.
    pub replaces: Option<DeviceId>,
    /// The first moment at which it no longer holds, UTC in milliseconds.
    pub ends_ms: i64,
    /// The phone that used it: device, key, token. The same phone may ask again when the answer was lost.
    pub used: Option<(DeviceId, [u8; 32], TokenHash)>,
}

/// That a phone was given a stream, or that it was taken from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grant {
    /// The stream.
    pub stream: Stream,
    /// The place at which it was given, in the order of the facts' coming.
    pub number: u64,
    /// Whether the office took it away: the phone may still send, and is given nothing.
    pub withdrawn: bool,
}

/// What is known of a fact that the office has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Holding {
    /// Its place in the order of coming.
    pub number: u64,
    /// Its stream.
    pub stream: Stream,
    /// Whether its payload is there.
    pub whole: bool,
}

/// Facts that are due to a phone.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Due {
    /// Each with the cursor at it, in order.
    pub facts: Vec<(Cursor, Vec<u8>)>,
    /// Whether there are more.
    pub more: bool,
}

/// A fact that names an original.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Naming {
    /// The fact's stream.
    pub stream: Stream,
    /// The length it says.
    pub bytes: u64,
    /// The phone that brought it, if the fact is kept apart.
    pub aside: Option<DeviceId>,
}

/// A fact that is kept apart until somebody in the office decides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AsideRow {
    /// The fact.
    pub fact: Fact,
    /// Who brought it.
    pub carrier: Chain,
    /// Why: a stable code.
    pub reason: &'static str,
    /// When it came, UTC in milliseconds by the office's clock.
    pub at_ms: i64,
}

/// One business's books within one transaction. Everything a method here writes becomes visible
/// together, at [`Desk::commit`]. No method reaches another business.
///
/// Every method may fail with [`Trouble`]; the transaction is then given up.
#[allow(clippy::missing_errors_doc, reason = "one sentence for all, above")]
pub trait Desk {
    /// The lives of the store, oldest first; never empty.
    fn epochs(&mut self) -> Result<Vec<OfficeEpoch>, Trouble>;
    /// Begins a life.
    fn put_epoch(&mut self, epoch: OfficeEpoch) -> Result<(), Trouble>;
    /// The last number taken; 0 at first.
    fn last_number(&mut self) -> Result<u64, Trouble>;
    /// Takes numbers up to this one.
    fn set_last_number(&mut self, number: u64) -> Result<(), Trouble>;

    /// The phone whose token has this hash.
    fn device_of(&mut self, token: TokenHash) -> Result<Option<DeviceId>, Trouble>;
    /// A phone.
    fn device(&mut self, device: DeviceId) -> Result<Option<Device>, Trouble>;
    /// The phones of a person.
    fn devices_of(&mut self, person: PersonId) -> Result<Vec<DeviceId>, Trouble>;
    /// Keeps a phone, new or changed.
    fn put_device(&mut self, device: &Device) -> Result<(), Trouble>;
    /// Lets a token in for a phone.
    fn put_token(&mut self, token: TokenHash, device: DeviceId) -> Result<(), Trouble>;
    /// An invitation.
    fn invite(&mut self, code: CodeHash) -> Result<Option<Invite>, Trouble>;
    /// Keeps an invitation, new or used.
    fn put_invite(&mut self, invite: &Invite) -> Result<(), Trouble>;
    /// The certificate of a chain.
    fn certificate(&mut self, chain: Chain) -> Result<Option<Certificate>, Trouble>;
    /// All certificates of a device.
    fn certificates_of(&mut self, device: DeviceId) -> Result<Vec<Certificate>, Trouble>;
    /// Keeps a certificate; one of the same chain that is there stays.
    fn put_certificate(&mut self, certificate: &Certificate) -> Result<(), Trouble>;

    /// What is known of a fact.
    fn holding(&mut self, id: FactId) -> Result<Option<Holding>, Trouble>;
    /// A fact.
    fn fact(&mut self, id: FactId) -> Result<Option<Fact>, Trouble>;
    /// Appends a fact at a number, or, when it lay here without its payload, puts the whole one in its
    /// place at the new number. `carrier` brought it.
    fn put_fact(&mut self, number: u64, fact: &Fact, carrier: Chain) -> Result<(), Trouble>;
    /// Drops a fact's payload, and what it names.
    fn drop_payload(&mut self, id: FactId) -> Result<(), Trouble>;
    /// Whether an erasure of this fact is known.
    fn is_erased(&mut self, id: FactId, stream: Stream) -> Result<bool, Trouble>;
    /// Keeps that a fact is erased.
    fn put_erasure(&mut self, id: FactId, stream: Stream) -> Result<(), Trouble>;
    /// The latest fact of each chain of a stream, in the order of the chains; in a fork the one with
    /// the smaller id.
    fn heads(&mut self, stream: Stream) -> Result<Vec<Seen>, Trouble>;
    /// The facts that name an original, those kept apart too.
    fn named(&mut self, digest: Digest) -> Result<Vec<Naming>, Trouble>;
    /// Keeps an arrival record with the facts it speaks of.
    fn put_record(&mut self, record: &ArrivalRecord, ids: &[FactId]) -> Result<(), Trouble>;

    /// What a phone was given of a stream.
    fn grant(&mut self, device: DeviceId, stream: Stream) -> Result<Option<Grant>, Trouble>;
    /// All streams that a phone was given, withdrawn ones too.
    fn grants(&mut self, device: DeviceId) -> Result<Vec<Grant>, Trouble>;
    /// Gives a stream, or takes it away.
    fn put_grant(&mut self, device: DeviceId, grant: Grant) -> Result<(), Trouble>;
    /// Facts past a cursor in the streams that a phone was given and that were not withdrawn, in the
    /// order of [`Cursor::at`], without those that `own` brought. At most so many, and no more bytes
    /// than that, but at least one when any is due.
    fn due(&mut self, own: Chain, cursor: Cursor, most: usize, most_bytes: usize) -> Result<Due, Trouble>;

    /// How many facts are kept apart that a phone brought.
    fn aside_count(&mut self, device: DeviceId) -> Result<u64, Trouble>;
    /// A fact that is kept apart.
    fn aside(&mut self, id: FactId) -> Result<Option<AsideRow>, Trouble>;
    /// Keeps a fact apart.
    fn put_aside(&mut self, row: &AsideRow) -> Result<(), Trouble>;
    /// Ends that a fact is kept apart.
    fn end_aside(&mut self, id: FactId) -> Result<(), Trouble>;

    /// Makes everything visible and lasting, then lets go of the lock.
    fn commit(self: Box<Self>) -> Result<(), Trouble>;
}

/// The name of an original: no path to it lacks its business.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ObjectKey {
    /// The business.
    pub business: BusinessId,
    /// The SHA-256 of its bytes.
    pub digest: Digest,
}

/// Where an office keeps originals. What comes in pieces lies apart by the phone that sends it, so that
/// no phone spoils what another sends.
///
/// Every method may fail with [`Trouble`], and may be called again.
#[allow(clippy::missing_errors_doc, reason = "one sentence for all, above")]
pub trait OfficeObjects {
    /// The length of an original that is kept; none when it is not.
    fn size(&mut self, key: ObjectKey) -> Result<Option<u64>, Trouble>;
    /// How many bytes of it came from a phone, without a gap from the first.
    fn arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<u64, Trouble>;
    /// Adds bytes at the end of what came; gives how many are there now. When `at` is not that end,
    /// nothing is added.
    fn add(&mut self, key: ObjectKey, from: DeviceId, at: u64, bytes: &[u8]) -> Result<u64, Trouble>;
    /// Reads what came, and gives its SHA-256.
    fn digest_of_arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<Digest, Trouble>;
    /// Keeps what came, whole and checked, under its name; returns when it lasts.
    fn keep(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble>;
    /// Forgets what came.
    fn forget(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble>;
    /// Bytes of an original that is kept.
    fn read(&mut self, key: ObjectKey, at: u64, most: usize) -> Result<Vec<u8>, Trouble>;
    /// Removes an original whose fact was erased.
    fn remove(&mut self, key: ObjectKey) -> Result<(), Trouble>;
}
