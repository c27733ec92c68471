//! A disk that loses power, for the tests of the store.
//!
//! [`Disk`](disk::PowerDisk) keeps files in memory and remembers what was synced. When power is cut, of
//! everything that was not synced any part may be there and any part not: sectors of 512 bytes, lengths
//! and names of files, in any combination. The database works on it through [`file_layer`], originals
//! and the rest through the store's own [`wythe_store::Disk`].

pub mod disk;
pub mod file_layer;
