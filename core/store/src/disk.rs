use std::fmt::Debug;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::Path;

use sha2::{Digest as _, Sha256};

/// An open file that is read.
pub trait Readable: Read + Seek + Send {}
impl<T: Read + Seek + Send> Readable for T {}

/// An open file that is written.
pub trait Writable: Write + Seek + Send {
    /// Returns when the file's bytes would survive a loss of power. Its name survives only after
    /// [`Disk::sync_folder`].
    ///
    /// # Errors
    /// The operating system's.
    fn sync(&mut self) -> io::Result<()>;
}

/// A lock that ends when this is dropped, or the process is.
pub trait Held: Send {}

/// The files that the store uses beside its database. The tests have one that loses power.
pub trait Disk: Debug + Send + Sync {
    /// Makes a folder; one that is there already is left as it is. [`io::ErrorKind::NotFound`] when the
    /// folder above is not there.
    ///
    /// # Errors
    /// The operating system's.
    fn create_folder(&self, path: &Path) -> io::Result<()>;

    /// Makes a new file; [`io::ErrorKind::AlreadyExists`] when there is one.
    ///
    /// # Errors
    /// The operating system's.
    fn create(&self, path: &Path) -> io::Result<Box<dyn Writable>>;

    /// Opens a file to write into it, without shortening it.
    ///
    /// # Errors
    /// The operating system's.
    fn write(&self, path: &Path) -> io::Result<Box<dyn Writable>>;

    /// Opens a file to read it.
    ///
    /// # Errors
    /// The operating system's.
    fn read(&self, path: &Path) -> io::Result<Box<dyn Readable>>;

    /// Gives a file another name, over one that is there.
    ///
    /// # Errors
    /// The operating system's.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// The operating system's.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Returns when the names in a folder would survive a loss of power.
    ///
    /// # Errors
    /// The operating system's.
    fn sync_folder(&self, path: &Path) -> io::Result<()>;

    /// The names in a folder, in order.
    ///
    /// # Errors
    /// The operating system's.
    fn list(&self, path: &Path) -> io::Result<Vec<String>>;

    /// The length of a file; none when there is no such file.
    ///
    /// # Errors
    /// The operating system's.
    fn size(&self, path: &Path) -> io::Result<Option<u64>>;

    /// Takes a lock that no other process then gets; none when another one has it.
    ///
    /// # Errors
    /// The operating system's.
    fn lock(&self, path: &Path) -> io::Result<Option<Box<dyn Held>>>;

    /// Bytes that may still be written, where the platform says so.
    ///
    /// # Errors
    /// The operating system's.
    fn free(&self, path: &Path) -> io::Result<Option<u64>>;
}

/// Makes a folder, with those above it where they are missing, and makes their names last.
pub(crate) fn make_folder(disk: &dyn Disk, path: &Path) -> io::Result<()> {
    let above = path.parent().filter(|above| !above.as_os_str().is_empty());
    match (disk.create_folder(path), above) {
        (Err(error), Some(above)) if error.kind() == io::ErrorKind::NotFound => {
            make_folder(disk, above)?;
            disk.create_folder(path)?;
        }
        (made, _) => made?,
    }
    above.map_or(Ok(()), |above| disk.sync_folder(above))
}

/// The operating system's files.
#[derive(Debug, Clone, Copy, Default)]
pub struct RealDisk;

impl Writable for File {
    fn sync(&mut self) -> io::Result<()> {
        self.sync_all()
    }
}

impl Held for File {}

impl Disk for RealDisk {
    fn create_folder(&self, path: &Path) -> io::Result<()> {
        match std::fs::create_dir(path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && path.is_dir() => Ok(()),
            other => other,
        }
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn Writable>> {
        Ok(Box::new(
            OpenOptions::new().write(true).create_new(true).open(path)?,
        ))
    }

    fn write(&self, path: &Path) -> io::Result<Box<dyn Writable>> {
        Ok(Box::new(OpenOptions::new().write(true).open(path)?))
    }

    fn read(&self, path: &Path) -> io::Result<Box<dyn Readable>> {
        Ok(Box::new(File::open(path)?))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        std::fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        std::fs::remove_file(path)
    }

    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        File::open(path)?.sync_all()
    }

    fn list(&self, path: &Path) -> io::Result<Vec<String>> {
        let mut names = Vec::new();
        for entry in std::fs::read_dir(path)? {
            if let Ok(name) = entry?.file_name().into_string() {
                names.push(name);
            }
        }
        names.sort_unstable();
        Ok(names)
    }

    fn size(&self, path: &Path) -> io::Result<Option<u64>> {
        match std::fs::metadata(path) {
            Ok(found) => Ok(Some(found.len())),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    fn lock(&self, path: &Path) -> io::Result<Option<Box<dyn Held>>> {
        let file = OpenOptions::new()
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)?;
        match file.try_lock() {
            Ok(()) => Ok(Some(Box::new(file))),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(error)) => Err(error),
        }
    }

    fn free(&self, path: &Path) -> io::Result<Option<u64>> {
        free(path)
    }
}

#[cfg(unix)]
fn free(path: &Path) -> io::Result<Option<u64>> {
    let found = rustix::fs::statvfs(path)?;
    Ok(Some(found.f_bavail.saturating_mul(found.f_frsize)))
}

#[cfg(not(unix))]
fn free(_: &Path) -> io::Result<Option<u64>> {
    Ok(None)
}

/// What sets a folder apart from copies of it, for programs that have nothing better to give as
/// [`crate::Options::instance`]: the file system's own number of the folder and when it was made.
/// A phone should give a token from where its platform keeps what backups leave out.
///
/// # Errors
/// The operating system's, when the folder cannot be made or looked at.
pub fn instance_of(folder: &Path) -> io::Result<Vec<u8>> {
    std::fs::create_dir_all(folder)?;
    let found = std::fs::metadata(folder)?;
    let mut hash = Sha256::new();
    #[cfg(unix)]
    hash.update(std::os::unix::fs::MetadataExt::ino(&found).to_be_bytes());
    if let Ok(made) = found.created()
        && let Ok(since) = made.duration_since(std::time::UNIX_EPOCH)
    {
        hash.update(since.as_nanos().to_be_bytes());
    }
    Ok(hash.finalize().to_vec())
}
