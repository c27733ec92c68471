//! Files in memory that may be lost.

use std::collections::BTreeSet;
use std::io::{self, Cursor, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use wythe_store::{Disk, Held, Readable, Writable};

use crate::inside::{All, Edit, Entry, File, ROOT, Stop};

/// Bytes that are written whole or not at all.
pub const SECTOR: usize = 512;

/// What goes wrong at an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// Power goes: this operation and all after it fail until [`PowerDisk::power_on`].
    Cut,
    /// The disk says that it is full, to this and every later write until it is told otherwise.
    Full,
    /// This one operation fails.
    Fault,
    /// The n-th reading fails; the count of operations is that of readings then.
    Unreadable,
}

/// A planted mistake: something that should be synced and is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mistake {
    /// The database and its journal: what `PRAGMA synchronous = OFF` does.
    Database,
    /// The bytes of originals.
    Originals,
    /// The names in the folders of originals.
    OriginalsFolders,
    /// The names in the store's own folder.
    StoreFolder,
    /// The journal alone: what `PRAGMA synchronous = NORMAL` does.
    Journal,
}

/// The disk. Clones are the same disk.
#[derive(Debug, Clone, Default)]
pub struct PowerDisk {
    all: Arc<Mutex<All>>,
}

impl PowerDisk {
    /// An empty disk whose losses are decided by a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let disk = Self::default();
        disk.reset(seed);
        disk
    }

    /// Empties the disk.
    pub fn reset(&self, seed: u64) {
        *self.held() = All {
            chance: seed,
            ..All::default()
        };
    }

    /// How many operations that change something were tried so far.
    #[must_use]
    pub fn operations(&self) -> u64 {
        self.held().operations
    }

    /// How often something was read so far.
    #[must_use]
    pub fn readings(&self) -> u64 {
        self.held().readings
    }

    /// Plans trouble at the n-th operation from here, counted from 1.
    pub fn plan(&self, after: u64, trouble: Trouble) {
        let mut all = self.held();
        match trouble {
            Trouble::Unreadable => all.unreadable = Some(all.readings + after),
            _ => all.trouble = Some((all.operations + after, trouble)),
        }
    }

    /// No more trouble, and room on the disk.
    pub fn calm(&self) {
        let mut all = self.held();
        all.trouble = None;
        all.unreadable = None;
        all.is_full = false;
    }

    /// Plants a mistake, or takes it out.
    pub fn plant(&self, mistake: Option<Mistake>) {
        self.held().mistake = mistake;
    }

    /// Whether power is gone.
    #[must_use]
    pub fn is_off(&self) -> bool {
        self.held().is_off
    }

    /// Cuts power now, if it is not gone, and brings it back: what was not synced is there or not, as
    /// chance has it.
    pub fn power_on(&self) {
        let mut all = self.held();
        let mut names = all.synced.clone();
        let unsynced = std::mem::take(&mut all.unsynced);
        // A journaling file system keeps the first of them; another keeps any.
        let in_order = all.random().is_multiple_of(2);
        for (_, entry) in unsynced {
            if all.random().is_multiple_of(2) {
                names.apply(&entry);
            } else if in_order {
                break;
            }
        }
        names.prune(Path::new(ROOT));
        let files = std::mem::take(&mut all.files);
        for (number, file) in files {
            let bytes = all.survive(&file);
            let survivor = File {
                now: bytes.clone(),
                synced: bytes,
                unsynced: Vec::new(),
            };
            all.files.insert(number, survivor);
        }
        all.now = names.clone();
        all.synced = names;
        all.locked.clear();
        all.trouble = None;
        all.is_off = false;
        all.is_full = false;
    }

    fn held(&self) -> MutexGuard<'_, All> {
        self.all.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn find(&self, path: &Path) -> Option<u64> {
        self.held().now.files.get(path).copied()
    }

    pub(crate) fn make(&self, path: &Path) -> io::Result<u64> {
        let mut all = self.held();
        let stop = all.operate(true);
        if let Err(Stop::Without(error)) = stop {
            return Err(error);
        }
        all.next += 1;
        let number = all.next;
        all.files.insert(number, File::default());
        let folder = folder_of(path);
        all.name(&folder, Entry::Link(path.to_owned(), number));
        stop?;
        Ok(number)
    }

    pub(crate) fn edit(&self, file: u64, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.change(file, Edit::Write(usize_of(at), bytes.to_vec()))
    }

    pub(crate) fn cut_short(&self, file: u64, length: u64) -> io::Result<()> {
        self.change(file, Edit::Length(usize_of(length)))
    }

    fn change(&self, file: u64, edit: Edit) -> io::Result<()> {
        let mut all = self.held();
        let stop = all.operate(true);
        if let Err(Stop::Without(error)) = stop {
            return Err(error);
        }
        all.edit(file, edit);
        Ok(stop?)
    }

    pub(crate) fn bytes(&self, file: u64, at: u64, buffer: &mut [u8]) -> io::Result<usize> {
        let mut all = self.held();
        all.readings += 1;
        if all.is_off {
            return Err(io::Error::other("no power"));
        }
        if all.unreadable == Some(all.readings) {
            return Err(io::Error::other("a bad sector"));
        }
        let file = all.files.get(&file);
        let from = file
            .and_then(|file| file.now.get(usize_of(at)..))
            .unwrap_or_default();
        let mut read = 0;
        for (to, from) in buffer.iter_mut().zip(from) {
            *to = *from;
            read += 1;
        }
        Ok(read)
    }

    pub(crate) fn length(&self, file: u64) -> u64 {
        let all = self.held();
        let length = all.files.get(&file).map_or(0, |file| file.now.len());
        u64::try_from(length).unwrap_or(u64::MAX)
    }

    pub(crate) fn sync_file(&self, file: u64, path: &Path) -> io::Result<()> {
        let mut all = self.held();
        all.operate(false)?;
        if !all.skips(path, false)
            && let Some(file) = all.files.get_mut(&file)
        {
            file.synced = file.now.clone();
            file.unsynced.clear();
        }
        Ok(())
    }
}

fn folder_of(path: &Path) -> PathBuf {
    path.parent().unwrap_or(Path::new(ROOT)).to_owned()
}

fn usize_of(number: u64) -> usize {
    usize::try_from(number).unwrap_or(usize::MAX)
}

fn absent() -> io::Error {
    io::ErrorKind::NotFound.into()
}

struct Open {
    disk: PowerDisk,
    file: u64,
    path: PathBuf,
    at: u64,
}

impl Write for Open {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        // A large write reaches the disk in parts; power may go between them.
        let part = bytes.get(..bytes.len().min(8 * SECTOR)).unwrap_or_default();
        self.disk.edit(self.file, self.at, part)?;
        self.at += u64::try_from(part.len()).unwrap_or(0);
        Ok(part.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for Open {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let mut cursor = Cursor::new(vec![0u8; usize_of(self.disk.length(self.file))]);
        cursor.set_position(self.at);
        self.at = cursor.seek(to)?;
        Ok(self.at)
    }
}

impl Writable for Open {
    fn sync(&mut self) -> io::Result<()> {
        self.disk.sync_file(self.file, &self.path)
    }
}

struct Lock {
    disk: PowerDisk,
    path: PathBuf,
}

impl Held for Lock {}

impl Drop for Lock {
    fn drop(&mut self) {
        self.disk.held().locked.remove(&self.path);
    }
}

impl Disk for PowerDisk {
    fn create_folder(&self, path: &Path) -> io::Result<()> {
        let mut all = self.held();
        if all.now.folders.contains(path) {
            return Ok(());
        }
        let folder = folder_of(path);
        if folder != Path::new(ROOT) && !all.now.folders.contains(&folder) {
            return Err(absent());
        }
        let stop = all.operate(true);
        if let Err(Stop::Without(error)) = stop {
            return Err(error);
        }
        all.name(&folder, Entry::Folder(path.to_owned()));
        Ok(stop?)
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn Writable>> {
        if self.find(path).is_some() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let file = self.make(path)?;
        Ok(Box::new(Open {
            disk: self.clone(),
            file,
            path: path.to_owned(),
            at: 0,
        }))
    }

    fn write(&self, path: &Path) -> io::Result<Box<dyn Writable>> {
        let file = self.find(path).ok_or_else(absent)?;
        Ok(Box::new(Open {
            disk: self.clone(),
            file,
            path: path.to_owned(),
            at: 0,
        }))
    }

    fn read(&self, path: &Path) -> io::Result<Box<dyn Readable>> {
        let file = self.find(path).ok_or_else(absent)?;
        let mut bytes = vec![0; usize_of(self.length(file))];
        self.bytes(file, 0, &mut bytes)?;
        Ok(Box::new(Cursor::new(bytes)))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let file = self.find(from).ok_or_else(absent)?;
        let mut all = self.held();
        let stop = all.operate(true);
        if let Err(Stop::Without(error)) = stop {
            return Err(error);
        }
        let (old, new) = (folder_of(from), folder_of(to));
        if old == new {
            all.name(&new, Entry::Rename(from.to_owned(), to.to_owned(), file));
        } else {
            all.name(&old, Entry::Unlink(from.to_owned()));
            all.name(&new, Entry::Link(to.to_owned(), file));
        }
        Ok(stop?)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.find(path).ok_or_else(absent)?;
        let mut all = self.held();
        let stop = all.operate(false);
        if let Err(Stop::Without(error)) = stop {
            return Err(error);
        }
        all.name(&folder_of(path), Entry::Unlink(path.to_owned()));
        Ok(stop?)
    }

    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        let mut all = self.held();
        all.operate(false)?;
        if !all.skips(path, true) {
            all.sync_names(path);
        }
        Ok(())
    }

    fn list(&self, path: &Path) -> io::Result<Vec<String>> {
        let all = self.held();
        if all.is_off {
            return Err(io::Error::other("no power"));
        }
        let within = all.now.files.keys().chain(&all.now.folders);
        let names: BTreeSet<String> = within
            .filter(|found| found.parent() == Some(path))
            .filter_map(|found| found.file_name()?.to_str().map(str::to_owned))
            .collect();
        Ok(names.into_iter().collect())
    }

    fn size(&self, path: &Path) -> io::Result<Option<u64>> {
        if self.is_off() {
            return Err(io::Error::other("no power"));
        }
        Ok(self.find(path).map(|file| self.length(file)))
    }

    fn lock(&self, path: &Path) -> io::Result<Option<Box<dyn Held>>> {
        let got = self.held().locked.insert(path.to_owned());
        Ok(got.then(|| {
            Box::new(Lock {
                disk: self.clone(),
                path: path.to_owned(),
            }) as Box<dyn Held>
        }))
    }

    fn free(&self, _: &Path) -> io::Result<Option<u64>> {
        Ok(self.held().is_full.then_some(0))
    }
}
