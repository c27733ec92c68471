use std::{
    fs::{self, File, OpenOptions},
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::{Format, MediaError};

/// A file as it was taken in, known by its content.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Original {
    /// SHA-256 of all bytes.
    #[serde(with = "hex::serde")]
    pub sha256: [u8; 32],
    /// Length, bytes.
    pub length: u64,
    /// What it is.
    pub format: Format,
}

impl Original {
    /// The file's name by content: 64 hexadecimal digits, a dot, the extension.
    #[must_use]
    pub fn file_name(&self) -> String {
        format!("{}.{}", hex::encode(self.sha256), self.format.extension())
    }
}

/// Whether an original was new.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// It was written now.
    New,
    /// The same content was there already and was left alone.
    AlreadyThere,
}

/// Where the bytes of an original go while its hash is taken.
///
/// `write` is called with consecutive pieces, then exactly one of `keep` and `abandon`; after that
/// the sink is ready for another original. When `keep` returns, the original is on stable storage
/// under its content's name, and it was never visible there in part.
pub trait OriginalSink {
    /// Takes the next piece.
    ///
    /// # Errors
    /// What the storage said.
    fn write(&mut self, piece: &[u8]) -> io::Result<()>;

    /// Makes the pieces durable under the original's name.
    ///
    /// # Errors
    /// What the storage said; the original is then not kept.
    fn keep(&mut self, original: &Original) -> io::Result<Kept>;

    /// Forgets the pieces.
    fn abandon(&mut self);
}

/// Reads `source` to its end, at most `limit` bytes, handing every piece to `sink` and to SHA-256 as
/// it passes. Returns the bytes and their hash; the sink still waits for `keep` or `abandon`.
///
/// # Errors
/// [`MediaError::Empty`], [`MediaError::TooLarge`], [`MediaError::Read`], [`MediaError::Write`]; the
/// sink is then abandoned.
pub fn copy_and_hash(
    mut source: impl Read,
    limit: u64,
    sink: &mut dyn OriginalSink,
) -> Result<(Vec<u8>, [u8; 32]), MediaError> {
    let copied = copy(&mut source, limit, sink);
    if copied.is_err() {
        sink.abandon();
    }
    copied
}

fn copy(
    source: &mut impl Read,
    limit: u64,
    sink: &mut dyn OriginalSink,
) -> Result<(Vec<u8>, [u8; 32]), MediaError> {
    const PIECE: u64 = 256 << 10;
    let mut bytes = Vec::new();
    let mut hash = Sha256::new();
    loop {
        let before = bytes.len();
        let read = source
            .by_ref()
            .take(PIECE)
            .read_to_end(&mut bytes)
            .map_err(MediaError::Read)?;
        if read == 0 {
            break;
        }
        if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > limit {
            return Err(MediaError::TooLarge { limit });
        }
        let piece = bytes.get(before..).unwrap_or_default();
        hash.update(piece);
        sink.write(piece).map_err(MediaError::Write)?;
    }
    if bytes.is_empty() {
        return Err(MediaError::Empty);
    }
    Ok((bytes, hash.finalize().into()))
}

/// Keeps originals as files named by content in one folder: written under a passing name, synced,
/// renamed, the folder synced. A file that is there already is never written again.
#[derive(Debug)]
pub struct FolderSink {
    folder: PathBuf,
    passing: Option<(PathBuf, File)>,
}

impl FolderSink {
    /// A sink into `folder`, which is made if it is not there.
    ///
    /// # Errors
    /// What the file system said.
    pub fn new(folder: &Path) -> io::Result<Self> {
        fs::create_dir_all(folder)?;
        Ok(Self {
            folder: folder.to_owned(),
            passing: None,
        })
    }

    /// Where an original of this content lies, or would lie.
    #[must_use]
    pub fn path_of(&self, original: &Original) -> PathBuf {
        self.folder.join(original.file_name())
    }

    /// A new file under a name that no original has, unused by others at work in the same folder.
    fn open(&self) -> io::Result<(PathBuf, File)> {
        let mut turn = 0_u32;
        loop {
            let path = self
                .folder
                .join(format!("arriving-{}-{turn}", std::process::id()));
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(file) => return Ok((path, file)),
                Err(taken) if taken.kind() == io::ErrorKind::AlreadyExists && turn < 10_000 => turn += 1,
                Err(other) => return Err(other),
            }
        }
    }
}

impl OriginalSink for FolderSink {
    fn write(&mut self, piece: &[u8]) -> io::Result<()> {
        if self.passing.is_none() {
            self.passing = Some(self.open()?);
        }
        match &mut self.passing {
            Some((_, file)) => file.write_all(piece),
            None => Ok(()),
        }
    }

    fn keep(&mut self, original: &Original) -> io::Result<Kept> {
        let Some((passing, file)) = self.passing.take() else {
            return Err(io::Error::new(
                io::ErrorKind::InvalidInput,
                "nothing was written to keep",
            ));
        };
        let target = self.path_of(original);
        if target.try_exists()? {
            drop(file);
            fs::remove_file(passing)?;
            return Ok(Kept::AlreadyThere);
        }
        let kept = file.sync_all().and_then(|()| fs::rename(&passing, &target));
        if let Err(failed) = kept {
            // The first failure is the one to tell; a passing file left behind does no harm.
            let _ = fs::remove_file(&passing);
            return Err(failed);
        }
        sync_folder(&self.folder)?;
        Ok(Kept::New)
    }

    fn abandon(&mut self) {
        if let Some((passing, file)) = self.passing.take() {
            drop(file);
            // A passing file that cannot be removed does no harm: no original has its name.
            let _ = fs::remove_file(passing);
        }
    }
}

impl Drop for FolderSink {
    fn drop(&mut self) {
        self.abandon();
    }
}

/// The name of a renamed file is durable only once its folder is synced.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Other systems give no handle to a folder that can be synced; the rename is journalled there.
#[cfg(not(unix))]
fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

/// Keeps originals in memory: for tests and for measuring.
#[derive(Debug, Default)]
pub struct MemorySink {
    passing: Vec<u8>,
    /// What was kept, in order.
    pub kept: Vec<(Original, Vec<u8>)>,
}

impl OriginalSink for MemorySink {
    fn write(&mut self, piece: &[u8]) -> io::Result<()> {
        self.passing.extend_from_slice(piece);
        Ok(())
    }

    fn keep(&mut self, original: &Original) -> io::Result<Kept> {
        let bytes = std::mem::take(&mut self.passing);
        if self.kept.iter().any(|(kept, _)| kept == original) {
            return Ok(Kept::AlreadyThere);
        }
        self.kept.push((original.clone(), bytes));
        Ok(Kept::New)
    }

    fn abandon(&mut self) {
        self.passing.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn original(bytes: &[u8]) -> Original {
        let length = u64::try_from(bytes.len()).unwrap();
        Original {
            sha256: Sha256::digest(bytes).into(),
            length,
            format: Format::Jpeg,
        }
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<_> = fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn an_original_lies_under_its_hash_and_is_byte_identical() {
        let folder = tempfile::tempdir().unwrap();
        let mut sink = FolderSink::new(folder.path()).unwrap();
        let bytes: Vec<u8> = (0..700_000_u32).map(|n| u8::try_from(n % 251).unwrap()).collect();
        let (copied, sha256) = copy_and_hash(bytes.as_slice(), 1 << 20, &mut sink).unwrap();
        let original = original(&bytes);
        assert_eq!(copied, bytes);
        assert_eq!(sha256, original.sha256);
        assert_eq!(sink.keep(&original).unwrap(), Kept::New);
        assert_eq!(fs::read(sink.path_of(&original)).unwrap(), bytes);
        assert_eq!(names(folder.path()), [original.file_name()]);
    }

    #[test]
    fn the_same_content_is_written_once() {
        let folder = tempfile::tempdir().unwrap();
        let mut sink = FolderSink::new(folder.path()).unwrap();
        let original = original(b"stove");
        for expected in [Kept::New, Kept::AlreadyThere] {
            sink.write(b"stove").unwrap();
            assert_eq!(sink.keep(&original).unwrap(), expected);
        }
        assert_eq!(names(folder.path()), [original.file_name()]);
    }

    #[test]
    fn what_is_too_large_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let mut sink = FolderSink::new(folder.path()).unwrap();
        let endless = io::repeat(7);
        let refused = copy_and_hash(endless, 1 << 20, &mut sink).unwrap_err();
        assert_eq!(refused.code(), "media_too_large");
        assert!(names(folder.path()).is_empty());
    }

    #[test]
    fn an_empty_file_is_refused() {
        let refused = copy_and_hash(io::empty(), 10, &mut MemorySink::default()).unwrap_err();
        assert_eq!(refused.code(), "media_empty");
    }

    #[test]
    fn two_sinks_in_one_folder_do_not_meet() {
        let folder = tempfile::tempdir().unwrap();
        let mut one = FolderSink::new(folder.path()).unwrap();
        let mut other = FolderSink::new(folder.path()).unwrap();
        one.write(b"one").unwrap();
        other.write(b"other").unwrap();
        one.keep(&original(b"one")).unwrap();
        other.keep(&original(b"other")).unwrap();
        assert_eq!(fs::read(one.path_of(&original(b"one"))).unwrap(), b"one");
        assert_eq!(fs::read(one.path_of(&original(b"other"))).unwrap(), b"other");
    }
}
