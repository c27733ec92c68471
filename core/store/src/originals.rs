use std::collections::HashSet;
use std::io::{Read, SeekFrom};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use sha2::{Digest as _, Sha256};
use wythe_job::{Body, Digest, Fact, Original};

use crate::disk::{Disk, Readable, Writable, make_folder};
use crate::error::StoreError;
use crate::memory_disk::MemoryDisk;

/// The longest file that is taken: 512 MiB.
pub const MAX_ORIGINAL_BYTES: u64 = 512 * 1024 * 1024;

/// How much is copied at once.
const CHUNK: usize = 256 * 1024;
const ARRIVING: &str = "arriving";
const SET_ASIDE: &str = "set-aside";

/// The files that facts name: a folder where each is called by the SHA-256 of its bytes, as
/// `ab/cdef…`. Once there a file is never rewritten; it goes only when its fact is erased, or when the
/// office has it and the phone needs room.
#[derive(Debug, Clone)]
pub struct Originals {
    disk: Arc<dyn Disk>,
    folder: PathBuf,
    lasting: Arc<Mutex<HashSet<PathBuf>>>,
    next: Arc<AtomicU64>,
}

/// What was found when all originals were read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Soundness {
    /// Those that hold the bytes their name says.
    pub sound: Vec<Digest>,
    /// Those that do not; they were set aside.
    pub damaged: Vec<Digest>,
}

impl Originals {
    /// Opens the folder, made if need be, and clears away what a crash left half written.
    ///
    /// # Errors
    /// [`StoreError::Disk`].
    pub fn open(disk: Arc<dyn Disk>, folder: &Path) -> Result<Self, StoreError> {
        let originals = Self {
            disk,
            folder: folder.to_owned(),
            lasting: Arc::default(),
            next: Arc::default(),
        };
        originals.make_lasting(folder)?;
        let arriving = folder.join(ARRIVING);
        originals.make_lasting(&arriving)?;
        let wrong = |source| StoreError::disk("looking into the folder of originals", source);
        for name in originals.disk.list(&arriving).map_err(wrong)? {
            if name.starts_with("put-") {
                originals.disk.remove(&arriving.join(name)).map_err(wrong)?;
            }
        }
        Ok(originals)
    }

    /// Originals in memory, for tests of what lies above.
    ///
    /// # Errors
    /// None in practice.
    pub fn in_memory() -> Result<Self, StoreError> {
        Self::open(Arc::new(MemoryDisk::default()), Path::new("originals"))
    }

    /// Copies a file in. When this returns, the file would survive a loss of power, so that a fact may
    /// name it.
    ///
    /// # Errors
    /// [`StoreError::Disk`], [`StoreError::NoSpace`], [`StoreError::OriginalTooLong`]; nothing is left
    /// behind.
    pub fn put(&self, from: &mut dyn Read, name: &str, media_type: &str) -> Result<Original, StoreError> {
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        let temporary = self.folder.join(ARRIVING).join(format!("put-{number}"));
        let written = self.write_whole(from, &temporary);
        let kept = written.and_then(|(digest, bytes)| {
            self.keep(&temporary, digest)?;
            Ok(Original {
                digest,
                bytes,
                media_type: media_type.to_owned(),
                name: name.to_owned(),
            })
        });
        if kept.is_err() {
            // What cannot be removed now is cleared away at the next opening.
            let _still_there = self.disk.remove(&temporary);
        }
        kept
    }

    fn write_whole(&self, from: &mut dyn Read, to: &Path) -> Result<(Digest, u64), StoreError> {
        let wrong = |source| StoreError::disk("keeping an original", source);
        let mut file = self.disk.create(to).map_err(wrong)?;
        let (digest, bytes) = copy_hashed(from, Some(&mut *file))?;
        file.sync().map_err(wrong)?;
        Ok((digest, bytes))
    }

    /// Moves a synced file to its place and makes the place last.
    fn keep(&self, temporary: &Path, digest: Digest) -> Result<(), StoreError> {
        let wrong = |source| StoreError::disk("keeping an original", source);
        let (folder, place) = self.place(digest);
        self.make_lasting(&folder)?;
        match self.look(digest)? {
            Some(found) if found == digest => self.disk.remove(temporary).map_err(wrong)?,
            Some(_) => {
                self.set_aside(digest)?;
                self.disk.rename(temporary, &place).map_err(wrong)?;
            }
            None => self.disk.rename(temporary, &place).map_err(wrong)?,
        }
        self.disk.sync_folder(&folder).map_err(wrong)
    }

    /// Opens an original for reading; [`Originals::verify`] says whether its bytes are right.
    ///
    /// # Errors
    /// [`StoreError::NoOriginal`], [`StoreError::Disk`].
    pub fn read(&self, digest: Digest) -> Result<Box<dyn Readable>, StoreError> {
        let (_, place) = self.place(digest);
        self.disk.read(&place).map_err(|source| match source.kind() {
            std::io::ErrorKind::NotFound => StoreError::NoOriginal(digest),
            _ => StoreError::disk("reading an original", source),
        })
    }

    /// Whether it is here.
    ///
    /// # Errors
    /// [`StoreError::Disk`].
    pub fn has(&self, digest: Digest) -> Result<bool, StoreError> {
        Ok(self.size(digest)?.is_some())
    }

    /// Its length; none when it is not here.
    ///
    /// # Errors
    /// [`StoreError::Disk`].
    pub fn size(&self, digest: Digest) -> Result<Option<u64>, StoreError> {
        let (_, place) = self.place(digest);
        let size = self.disk.size(&place);
        size.map_err(|source| StoreError::disk("looking for an original", source))
    }

    /// Refuses a fact whose originals are not here.
    pub(crate) fn must_have(&self, fact: &Fact) -> Result<(), StoreError> {
        for original in fact.body().iter().flat_map(Body::originals) {
            if !self.has(original.digest)? {
                return Err(StoreError::OriginalMissing {
                    fact: fact.id(),
                    digest: original.digest,
                });
            }
        }
        Ok(())
    }

    /// Reads an original whole and compares its bytes with its name.
    ///
    /// # Errors
    /// [`StoreError::NoOriginal`], [`StoreError::OriginalDamaged`], [`StoreError::Disk`].
    pub fn verify(&self, digest: Digest) -> Result<(), StoreError> {
        match self.look(digest)? {
            Some(found) if found == digest => Ok(()),
            Some(_) => Err(StoreError::OriginalDamaged(digest)),
            None => Err(StoreError::NoOriginal(digest)),
        }
    }

    fn look(&self, digest: Digest) -> Result<Option<Digest>, StoreError> {
        match self.read(digest) {
            Ok(mut file) => Ok(Some(copy_hashed(&mut *file, None)?.0)),
            Err(StoreError::NoOriginal(_)) => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Every original that is here, in the order of the digests.
    ///
    /// # Errors
    /// [`StoreError::Disk`].
    pub fn all(&self) -> Result<Vec<Digest>, StoreError> {
        let wrong = |source| StoreError::disk("looking into the folder of originals", source);
        let mut all = Vec::new();
        for outer in self.disk.list(&self.folder).map_err(wrong)? {
            if outer.len() == 2 {
                let names = self.disk.list(&self.folder.join(&outer)).map_err(wrong)?;
                all.extend(
                    names
                        .iter()
                        .filter_map(|name| Digest::from_hex(&format!("{outer}{name}"))),
                );
            }
        }
        Ok(all)
    }

    /// Reads every original; those whose bytes are not what their name says are set aside, so that
    /// they can be fetched again.
    ///
    /// # Errors
    /// [`StoreError::Disk`].
    pub fn check_all(&self) -> Result<Soundness, StoreError> {
        let mut found = Soundness::default();
        for digest in self.all()? {
            match self.verify(digest) {
                Ok(()) => found.sound.push(digest),
                Err(StoreError::OriginalDamaged(_)) => {
                    self.set_aside(digest)?;
                    found.damaged.push(digest);
                }
                Err(error) => return Err(error),
            }
        }
        Ok(found)
    }

    fn set_aside(&self, digest: Digest) -> Result<(), StoreError> {
        let wrong = |source| StoreError::disk("setting a damaged original aside", source);
        let aside = self.folder.join(SET_ASIDE);
        self.make_lasting(&aside)?;
        let (folder, place) = self.place(digest);
        let taken = self.disk.list(&aside).map_err(wrong)?.len();
        self.disk
            .rename(&place, &aside.join(format!("{digest}-{taken}")))
            .map_err(wrong)?;
        self.disk.sync_folder(&aside).map_err(wrong)?;
        self.disk.sync_folder(&folder).map_err(wrong)
    }

    /// How many bytes of an original that comes in pieces are here.
    ///
    /// # Errors
    /// [`StoreError::Disk`].
    pub fn arrived_bytes(&self, digest: Digest) -> Result<u64, StoreError> {
        let size = self.disk.size(&self.arriving(digest));
        let size = size.map_err(|source| StoreError::disk("looking for an original", source))?;
        Ok(size.unwrap_or(0))
    }

    /// Takes a piece of an original that comes in pieces. They survive the end of the program; after
    /// a loss of power fewer of them may be here.
    ///
    /// # Errors
    /// [`StoreError::OutOfPlace`] when the piece does not begin where the last one ended,
    /// [`StoreError::OriginalTooLong`], [`StoreError::Disk`].
    pub fn arrive(&self, digest: Digest, at: u64, bytes: &[u8]) -> Result<u64, StoreError> {
        let wrong = |source| StoreError::disk("keeping a piece of an original", source);
        let wanted = self.arrived_bytes(digest)?;
        if at != wanted {
            return Err(StoreError::OutOfPlace {
                digest,
                wanted,
                found: at,
            });
        }
        let after = wanted.saturating_add(u64::try_from(bytes.len()).unwrap_or(u64::MAX));
        if after > MAX_ORIGINAL_BYTES {
            return Err(StoreError::OriginalTooLong {
                limit: MAX_ORIGINAL_BYTES,
            });
        }
        let path = self.arriving(digest);
        let mut file = match self.disk.write(&path) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => self.disk.create(&path),
            other => other,
        }
        .map_err(wrong)?;
        file.seek(SeekFrom::Start(at)).map_err(wrong)?;
        file.write_all(bytes).map_err(wrong)?;
        Ok(after)
    }

    /// Ends the coming of an original: checks its bytes and makes it last.
    ///
    /// # Errors
    /// [`StoreError::OriginalDamaged`] when the pieces are not the original; they are forgotten, so
    /// that it can be sent again. [`StoreError::NoOriginal`], [`StoreError::Disk`].
    pub fn arrived(&self, digest: Digest) -> Result<(), StoreError> {
        let wrong = |source| StoreError::disk("keeping an original", source);
        let path = self.arriving(digest);
        if self.disk.size(&path).map_err(wrong)?.is_none() {
            return Err(StoreError::NoOriginal(digest));
        }
        let (found, _) = copy_hashed(&mut *self.disk.read(&path).map_err(wrong)?, None)?;
        if found != digest {
            self.disk.remove(&path).map_err(wrong)?;
            return Err(StoreError::OriginalDamaged(digest));
        }
        self.disk.write(&path).map_err(wrong)?.sync().map_err(wrong)?;
        self.keep(&path, digest)
    }

    /// Removes an original. Whether it may go is for [`crate::Log`] to say.
    pub(crate) fn remove(&self, digest: Digest) -> Result<(), StoreError> {
        let wrong = |source| StoreError::disk("removing an original", source);
        let (folder, place) = self.place(digest);
        match self.disk.remove(&place) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
            other => other.map_err(wrong)?,
        }
        self.disk.sync_folder(&folder).map_err(wrong)
    }

    /// Makes a folder and sees to it that its name lasts, once for each opening.
    fn make_lasting(&self, folder: &Path) -> Result<(), StoreError> {
        let wrong = |source| StoreError::disk("making a folder for originals", source);
        let mut lasting = self.lasting.lock().unwrap_or_else(PoisonError::into_inner);
        if !lasting.contains(folder) {
            make_folder(&*self.disk, folder).map_err(wrong)?;
            lasting.insert(folder.to_owned());
        }
        Ok(())
    }

    fn place(&self, digest: Digest) -> (PathBuf, PathBuf) {
        let name = digest.to_string();
        let (outer, inner) = name.split_at_checked(2).unwrap_or((&name, ""));
        let folder = self.folder.join(outer);
        let place = folder.join(inner);
        (folder, place)
    }

    fn arriving(&self, digest: Digest) -> PathBuf {
        self.folder.join(ARRIVING).join(digest.to_string())
    }
}

/// Reads to the end, hashing, and copies if there is somewhere to copy to.
fn copy_hashed(from: &mut dyn Read, mut to: Option<&mut dyn Writable>) -> Result<(Digest, u64), StoreError> {
    let wrong = |source| StoreError::disk("copying an original", source);
    let mut hash = Sha256::new();
    let mut length = 0u64;
    let mut chunk = vec![0u8; CHUNK];
    loop {
        let read = match from.read(&mut chunk) {
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
            other => other.map_err(wrong)?,
        };
        let Some(bytes) = chunk.get(..read).filter(|bytes| !bytes.is_empty()) else {
            return Ok((Digest(hash.finalize().into()), length));
        };
        length = length.saturating_add(u64::try_from(read).unwrap_or(u64::MAX));
        if length > MAX_ORIGINAL_BYTES {
            return Err(StoreError::OriginalTooLong {
                limit: MAX_ORIGINAL_BYTES,
            });
        }
        hash.update(bytes);
        if let Some(to) = &mut to {
            to.write_all(bytes).map_err(wrong)?;
        }
    }
}
