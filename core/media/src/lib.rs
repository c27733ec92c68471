//! Intake of photographs and papers: hash, metadata, preview, measures.
//!
//! Invariant: an original is copied byte for byte, and its SHA-256 taken, before anything is read
//! from it; nothing here writes to an original again. Every read, decode and nesting is bounded by a
//! name in [`limits`].
//!
//! - [`intake_photo`] takes a photo in from any reader, [`intake_photo_file`] from a path.
//! - [`intake_paper`] takes in a PDF or a photographed paper.
//! - [`PhotoIntake`] is all that is known of it afterwards.
//! - [`grade::grade`] says how good a photo is as evidence, and why.
//! - [`OriginalSink`] is where the bytes go; [`FolderSink`] keeps them in a folder, durably.

mod error;
mod fingerprint;
mod format;
pub mod grade;
mod intake;
pub mod limits;
mod look;
mod metadata;
mod orientation;
mod original;
mod paper;
mod pdf;
mod picture;
mod place;
mod preview;
mod reduce;
pub mod tag;
mod taken;

#[cfg(feature = "made")]
pub mod made;

pub use error::MediaError;
pub use fingerprint::Fingerprint;
pub use format::Format;
pub use intake::{PhotoIntake, PixelSize, TagLook, intake_photo, intake_photo_file, intake_photo_looking};
pub use look::{Light, Look};
pub use metadata::{Metadata, Position, PositionFix, read_metadata};
pub use orientation::Orientation;
pub use original::{FolderSink, Kept, MemorySink, Original, OriginalSink, copy_and_hash};
pub use paper::{PaperIntake, intake_paper, intake_paper_file};
pub use pdf::{PdfSummary, read_pdf};
pub use picture::{Grey, Picture};
pub use place::{EARTH_RADIUS_M, degrees, distance_and_bearing, distance_m};
pub use preview::Preview;
pub use taken::Taken;
