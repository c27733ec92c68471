//! The office server.
//!
//! Invariant: one business never sees what belongs to another.
//!
//! [`Place`] is an office's folder: [`SqliteOffice`] holds the books of its businesses, [`SqliteHouses`] as
//! whom it acts for each, [`FolderOriginals`] the originals. [`serve`] answers phones over HTTP; what it
//! answers is decided by the office's machine in `wythe-sync`, which knows nothing of files and sockets.

mod books;
mod originals;
mod place;
mod serve;

pub use books::{SqliteHouses, SqliteOffice};
pub use originals::FolderOriginals;
pub use place::{CODE_LASTS_MS, Invited, Place};
pub use serve::{Bounds, MAX_BODY_BYTES, serve};
