//! The log of facts: in memory, and in SQLite with projections and originals beside it.
//!
//! Invariant: what was acknowledged is never lost, and nothing is changed or deleted. Only an erasure
//! drops a payload, and only in the transaction in which the fact that says so is written.
//!
//! [`Log`] is what the use cases are written against. [`MemoryLog`] and [`SqliteLog`] keep it.
//! Everything that changes goes through one door, [`Log::commit`], one [`Change`] a transaction.
//! [`Originals`] are the files that facts name, kept by their content on a [`Disk`].

mod error;

mod change;
mod log;
mod projection;

mod disk;
mod memory_disk;
mod originals;

mod memory_log;

mod marker;
mod sqlite;

pub use change::{
    Appended, Area, Arrival, Change, Identity, Kept, Source, Stale, Storage, Waiting, WaitingOriginal,
};
pub use disk::{Disk, Held, Readable, RealDisk, Writable, instance_of};
pub use error::StoreError;
pub use log::Log;
pub use memory_disk::MemoryDisk;
pub use memory_log::MemoryLog;
pub use originals::{MAX_ORIGINAL_BYTES, Originals, Soundness};
pub use projection::{Page, Plain, Projector, Row, Summary};
pub use sqlite::{LEAST_SQLITE, Opening, Options, SCHEMA_VERSION, Salvaged, SqliteLog};
