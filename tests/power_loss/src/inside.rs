//! What the disk holds, what of it is synced, and what becomes of the rest.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

use crate::disk::{Mistake, SECTOR, Trouble};

/// The folder above everything; it is always there.
pub(crate) const ROOT: &str = "/";

#[derive(Debug, Default)]
pub(crate) struct All {
    pub(crate) files: BTreeMap<u64, File>,
    /// What the program sees.
    pub(crate) now: Names,
    /// What is certain to survive.
    pub(crate) synced: Names,
    /// Changes to names that are not synced, in order, with the folder they are in.
    pub(crate) unsynced: Vec<(PathBuf, Entry)>,
    pub(crate) locked: BTreeSet<PathBuf>,
    pub(crate) operations: u64,
    pub(crate) readings: u64,
    pub(crate) unreadable: Option<u64>,
    pub(crate) trouble: Option<(u64, Trouble)>,
    pub(crate) is_off: bool,
    pub(crate) is_full: bool,
    pub(crate) mistake: Option<Mistake>,
    pub(crate) chance: u64,
    pub(crate) next: u64,
}

#[derive(Debug, Clone, Default)]
pub(crate) struct Names {
    pub(crate) files: BTreeMap<PathBuf, u64>,
    pub(crate) folders: BTreeSet<PathBuf>,
}

#[derive(Debug, Clone)]
pub(crate) enum Entry {
    Folder(PathBuf),
    Link(PathBuf, u64),
    Unlink(PathBuf),
    /// Within one folder: both or neither.
    Rename(PathBuf, PathBuf, u64),
}

#[derive(Debug, Clone, Default)]
pub(crate) struct File {
    pub(crate) now: Vec<u8>,
    pub(crate) synced: Vec<u8>,
    pub(crate) unsynced: Vec<Edit>,
}

#[derive(Debug, Clone)]
pub(crate) enum Edit {
    Write(usize, Vec<u8>),
    Length(usize),
}

impl Edit {
    pub(crate) fn apply(&self, bytes: &mut Vec<u8>) {
        match self {
            Self::Write(at, from) => {
                if bytes.len() < at + from.len() {
                    bytes.resize(at + from.len(), 0);
                }
                for (to, from) in bytes.iter_mut().skip(*at).zip(from) {
                    *to = *from;
                }
            }
            Self::Length(length) => bytes.resize(*length, 0),
        }
    }
}

impl Names {
    pub(crate) fn apply(&mut self, entry: &Entry) {
        match entry {
            Entry::Folder(path) => {
                self.folders.insert(path.clone());
            }
            Entry::Link(path, file) => {
                self.files.insert(path.clone(), *file);
            }
            Entry::Unlink(path) => {
                self.files.remove(path);
            }
            Entry::Rename(from, to, file) => {
                self.files.remove(from);
                self.files.insert(to.clone(), *file);
            }
        }
    }

    /// Forgets what lies in folders that are not there.
    pub(crate) fn prune(&mut self, root: &Path) {
        let folders = self.folders.clone();
        let is_there = |path: &Path| {
            let mut above = path.ancestors().skip(1).take_while(|above| *above != root);
            above.all(|above| folders.contains(above))
        };
        self.folders.retain(|path| is_there(path));
        self.files.retain(|path, _| is_there(path));
    }
}

impl All {
    pub(crate) fn random(&mut self) -> u64 {
        // SplitMix64 (Steele, Lea and Flood, 2014).
        self.chance = self.chance.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.chance ^ (self.chance >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Counts an operation that changes something, and says whether it takes effect.
    pub(crate) fn operate(&mut self, is_write: bool) -> Result<(), Stop> {
        if self.is_off {
            return Err(Stop::Without(io::Error::other("no power")));
        }
        self.operations += 1;
        if let Some((at, trouble)) = self.trouble
            && at == self.operations
        {
            self.trouble = None;
            match trouble {
                Trouble::Cut => {
                    self.is_off = true;
                    return Err(Stop::InTheMiddle(io::Error::other("power went")));
                }
                Trouble::Full => self.is_full = true,
                Trouble::Fault | Trouble::Unreadable => {
                    return Err(Stop::Without(io::Error::other("a bad sector")));
                }
            }
        }
        if is_write && self.is_full {
            return Err(Stop::Without(io::ErrorKind::StorageFull.into()));
        }
        Ok(())
    }

    pub(crate) fn skips(&self, path: &Path, is_folder: bool) -> bool {
        let text = path.to_string_lossy();
        let original = text.contains("/originals");
        let journal = text.ends_with("-wal");
        match self.mistake {
            None => false,
            Some(Mistake::Database) => text.contains("log.sqlite"),
            Some(Mistake::Journal) => journal,
            Some(Mistake::Originals) => original && !is_folder,
            Some(Mistake::OriginalsFolders) => original && is_folder,
            Some(Mistake::StoreFolder) => !original && is_folder,
        }
    }

    pub(crate) fn edit(&mut self, file: u64, edit: Edit) {
        let file = self.files.entry(file).or_default();
        edit.apply(&mut file.now);
        file.unsynced.push(edit);
    }

    pub(crate) fn name(&mut self, folder: &Path, entry: Entry) {
        self.now.apply(&entry);
        self.unsynced.push((folder.to_owned(), entry));
    }

    pub(crate) fn sync_names(&mut self, folder: &Path) {
        let unsynced = std::mem::take(&mut self.unsynced);
        for (within, entry) in unsynced {
            if within == folder {
                self.synced.apply(&entry);
            } else {
                self.unsynced.push((within, entry));
            }
        }
    }

    /// What of a file survives: of what was not synced any sector may be old or new.
    pub(crate) fn survive(&mut self, file: &File) -> Vec<u8> {
        let mut bytes = file.synced.clone();
        let bias = self.random() % 4;
        for edit in &file.unsynced {
            match edit {
                Edit::Length(_) => {
                    if self.random().is_multiple_of(2) {
                        edit.apply(&mut bytes);
                    }
                }
                Edit::Write(at, from) => {
                    let mut start = 0;
                    while start < from.len() {
                        let end = from.len().min(start + SECTOR - (at + start) % SECTOR);
                        // A quarter of the files keep nothing, a quarter everything.
                        let keeps = match bias {
                            0 => false,
                            1 => true,
                            _ => self.random().is_multiple_of(2),
                        };
                        if keeps && let Some(sector) = from.get(start..end) {
                            Edit::Write(at + start, sector.to_vec()).apply(&mut bytes);
                        }
                        start = end;
                    }
                }
            }
        }
        bytes
    }
}

/// Why an operation did not end well.
pub(crate) enum Stop {
    /// Nothing of it was done.
    Without(io::Error),
    /// Power went while it was done: it counts among what was not synced.
    InTheMiddle(io::Error),
}

impl From<Stop> for io::Error {
    fn from(stop: Stop) -> Self {
        match stop {
            Stop::Without(error) | Stop::InTheMiddle(error) => error,
        }
    }
}
