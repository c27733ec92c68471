use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::disk::{Disk, Held, Readable, Writable};

/// Files in memory, for tests of what lies above the store.
#[derive(Debug, Clone, Default)]
pub struct MemoryDisk {
    all: Arc<Mutex<All>>,
}

#[derive(Debug, Default)]
struct All {
    files: BTreeMap<PathBuf, Arc<Mutex<Vec<u8>>>>,
    folders: BTreeSet<PathBuf>,
    locked: BTreeSet<PathBuf>,
}

struct Open {
    bytes: Arc<Mutex<Vec<u8>>>,
    at: u64,
}

struct Lock {
    all: Arc<Mutex<All>>,
    path: PathBuf,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn absent() -> io::Error {
    io::Error::from(io::ErrorKind::NotFound)
}

impl Write for Open {
    fn write(&mut self, from: &[u8]) -> io::Result<usize> {
        let mut bytes = held(&self.bytes);
        let mut cursor = Cursor::new(&mut *bytes);
        cursor.set_position(self.at);
        let written = cursor.write(from)?;
        self.at = cursor.position();
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for Open {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let bytes = held(&self.bytes);
        let mut cursor = Cursor::new(&*bytes);
        cursor.set_position(self.at);
        self.at = cursor.seek(to)?;
        Ok(self.at)
    }
}

impl Writable for Open {
    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Held for Lock {}

impl Drop for Lock {
    fn drop(&mut self) {
        held(&self.all).locked.remove(&self.path);
    }
}

impl MemoryDisk {
    fn found(&self, path: &Path) -> io::Result<Arc<Mutex<Vec<u8>>>> {
        held(&self.all).files.get(path).cloned().ok_or_else(absent)
    }
}

impl Disk for MemoryDisk {
    fn create_folder(&self, path: &Path) -> io::Result<()> {
        held(&self.all).folders.insert(path.to_owned());
        Ok(())
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn Writable>> {
        let mut all = held(&self.all);
        if all.files.contains_key(path) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let bytes = Arc::new(Mutex::new(Vec::new()));
        all.files.insert(path.to_owned(), Arc::clone(&bytes));
        Ok(Box::new(Open { bytes, at: 0 }))
    }

    fn write(&self, path: &Path) -> io::Result<Box<dyn Writable>> {
        let bytes = self.found(path)?;
        Ok(Box::new(Open { bytes, at: 0 }))
    }

    fn read(&self, path: &Path) -> io::Result<Box<dyn Readable>> {
        let bytes = held(&*self.found(path)?).clone();
        Ok(Box::new(Cursor::new(bytes)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let mut all = held(&self.all);
        let file = all.files.remove(from).ok_or_else(absent)?;
        all.files.insert(to.to_owned(), file);
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        held(&self.all).files.remove(path).map(drop).ok_or_else(absent)
    }

    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }

    fn list(&self, path: &Path) -> io::Result<Vec<String>> {
        let all = held(&self.all);
        let within = all.files.keys().chain(&all.folders);
        let names: BTreeSet<String> = within
            .filter(|found| found.parent() == Some(path))
            .filter_map(|found| found.file_name()?.to_str().map(str::to_owned))
            .collect();
        Ok(names.into_iter().collect())
    }

    fn size(&self, path: &Path) -> io::Result<Option<u64>> {
        let found = held(&self.all).files.get(path).cloned();
        Ok(found.map(|bytes| u64::try_from(held(&bytes).len()).unwrap_or(u64::MAX)))
    }

    fn lock(&self, path: &Path) -> io::Result<Option<Box<dyn Held>>> {
        let got = held(&self.all).locked.insert(path.to_owned());
        Ok(got.then(|| {
            Box::new(Lock {
                all: Arc::clone(&self.all),
                path: path.to_owned(),
            }) as Box<dyn Held>
        }))
    }

    fn free(&self, _: &Path) -> io::Result<Option<u64>> {
        Ok(None)
    }
}
