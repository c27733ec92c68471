//! The rules of the house: which crate may use which, what a pure crate may not do, what stands where.
//!
//! Invariant: a rule is a function from what was read ([`Workspace`], [`Tree`], [`Files`]) to the
//! breaches it found, in words that say what to do; nothing here reads the repository twice or
//! differently for one rule. Each rule's own tests break it on made input, so none is vacuous;
//! `tests/house.rs` holds each against the repository.

mod arrows;
mod files;
mod map;
mod members;
mod outside;
mod purity;
mod text;
mod tree;

pub use arrows::broken_arrows;
pub use files::{Files, TrackedFile, long_files, strange_top_level};
pub use map::{unmapped_crates, unpromising_crates};
pub use members::{Dependency, Kind, Member, Workspace};
pub use outside::{missing_libraries, missing_maths, strayed_libraries, twofold_versions};
pub use purity::{PURE, careless_crates, impure_clippy, impure_libraries, weakened_lints};
pub use text::{machine_paths, readme_without_job, registry_hosts};
pub use tree::Tree;
