//! Originals in a folder.

use std::fs::{self, File, OpenOptions};
use std::io::{ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest as _, Sha256};
use wythe_app::job::{DeviceId, Digest};
use wythe_app::sync::{ObjectKey, OfficeObjects, Trouble};

/// How much is read at once.
const CHUNK: usize = 256 * 1024;

/// Originals as files: `kept/BUSINESS/ab/cdef…`, named by the SHA-256 of their bytes; and under
/// `arriving` what has come of others, apart by the phone that sends it. All names are made here, of
/// hexadecimal digits.
#[derive(Debug, Clone)]
pub struct FolderOriginals {
    folder: PathBuf,
}

impl FolderOriginals {
    /// Originals in a folder, which is made when the first comes.
    #[must_use]
    pub fn in_folder(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
        }
    }

    fn kept(&self, key: ObjectKey) -> PathBuf {
        let name = key.digest.to_string();
        let (first, rest) = name.split_at_checked(2).unwrap_or(("", &name));
        let business = self.folder.join("kept").join(key.business.to_string());
        business.join(first).join(rest)
    }

    fn arriving(&self, key: ObjectKey, from: DeviceId) -> PathBuf {
        let business = self.folder.join("arriving").join(key.business.to_string());
        business.join(format!("{}-{from}", key.digest))
    }
}

fn broken(error: std::io::Error) -> Trouble {
    let code = match error.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => "no_space",
        _ => "disk",
    };
    Trouble::new(code, error.to_string())
}

/// None when the file is not there.
fn if_there<T>(done: std::io::Result<T>) -> Result<Option<T>, Trouble> {
    match done {
        Ok(done) => Ok(Some(done)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(broken(error)),
    }
}

fn length(file: &Path) -> Result<Option<u64>, Trouble> {
    Ok(if_there(fs::metadata(file))?.map(|about| about.len()))
}

fn remove(file: &Path) -> Result<(), Trouble> {
    if_there(fs::remove_file(file)).map(drop)
}

/// Makes a file's folder, and each above it, so that they last.
fn make_folder_of(file: &Path) -> Result<PathBuf, Trouble> {
    let folder = file.parent().unwrap_or(Path::new(".")).to_owned();
    let missing: Vec<PathBuf> = folder
        .ancestors()
        .take_while(|above| !above.is_dir())
        .map(Path::to_owned)
        .collect();
    fs::create_dir_all(&folder).map_err(broken)?;
    for above in missing.iter().filter_map(|made| made.parent()) {
        sync_folder(above)?;
    }
    Ok(folder)
}

fn sync_folder(folder: &Path) -> Result<(), Trouble> {
    // A name without a folder lies in the current one. Only Unix lets a folder be synced.
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    if cfg!(unix) {
        File::open(folder).and_then(|it| it.sync_all()).map_err(broken)?;
    }
    Ok(())
}

impl OfficeObjects for FolderOriginals {
    fn size(&mut self, key: ObjectKey) -> Result<Option<u64>, Trouble> {
        length(&self.kept(key))
    }

    fn arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<u64, Trouble> {
        Ok(length(&self.arriving(key, from))?.unwrap_or_default())
    }

    fn add(&mut self, key: ObjectKey, from: DeviceId, at: u64, bytes: &[u8]) -> Result<u64, Trouble> {
        let path = self.arriving(key, from);
        make_folder_of(&path)?;
        let mut file = OpenOptions::new()
            .append(true)
            .create(true)
            .open(&path)
            .map_err(broken)?;
        // A second process that adds at the same time is kept out to the end.
        file.lock().map_err(broken)?;
        if file.metadata().map_err(broken)?.len() == at {
            file.write_all(bytes).map_err(broken)?;
        }
        Ok(file.metadata().map_err(broken)?.len())
    }

    fn digest_of_arrived(&mut self, key: ObjectKey, from: DeviceId) -> Result<Digest, Trouble> {
        let mut hash = Sha256::new();
        if let Some(mut file) = if_there(File::open(self.arriving(key, from)))? {
            let mut chunk = vec![0; CHUNK];
            loop {
                let read = file.read(&mut chunk).map_err(broken)?;
                if read == 0 {
                    break;
                }
                hash.update(chunk.get(..read).unwrap_or_default());
            }
        }
        Ok(Digest(hash.finalize().into()))
    }

    fn keep(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble> {
        let (arrived, kept) = (self.arriving(key, from), self.kept(key));
        let folder = make_folder_of(&kept)?;
        match if_there(File::open(&arrived))? {
            // An original without bytes needs none to come.
            None if length(&kept)?.is_none() => {
                let file = File::create(&kept).map_err(broken)?;
                file.sync_all().map_err(broken)?;
            }
            None => {}
            Some(file) => {
                file.sync_all().map_err(broken)?;
                fs::rename(&arrived, &kept).map_err(broken)?;
            }
        }
        sync_folder(&folder)
    }

    fn forget(&mut self, key: ObjectKey, from: DeviceId) -> Result<(), Trouble> {
        remove(&self.arriving(key, from))
    }

    fn read(&mut self, key: ObjectKey, at: u64, most: usize) -> Result<Vec<u8>, Trouble> {
        let mut file = File::open(self.kept(key)).map_err(broken)?;
        file.seek(SeekFrom::Start(at)).map_err(broken)?;
        let mut bytes = Vec::new();
        let most = u64::try_from(most).unwrap_or(u64::MAX);
        file.take(most).read_to_end(&mut bytes).map_err(broken)?;
        Ok(bytes)
    }

    fn remove(&mut self, key: ObjectKey) -> Result<(), Trouble> {
        remove(&self.kept(key))
    }
}
