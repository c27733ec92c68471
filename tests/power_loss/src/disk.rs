//! Files in memory that may be lost.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use wythe_store::{Disk, Held, Readable, Writable};

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

#[derive(Debug, Default)]
struct All {
    files: BTreeMap<u64, File>,
    /// What the program sees.
    now: Names,
    /// What is certain to survive.
    synced: Names,
    /// Changes to names that are not synced, in order, with the folder they are in.
    unsynced: Vec<(PathBuf, Entry)>,
    locked: BTreeSet<PathBuf>,
    operations: u64,
    readings: u64,
    unreadable: Option<u64>,
    trouble: Option<(u64, Trouble)>,
    is_off: bool,
    is_full: bool,
    mistake: Option<Mistake>,
    chance: u64,
    next: u64,
}

#[derive(Debug, Clone, Default)]
struct Names {
    files: BTreeMap<PathBuf, u64>,
    folders: BTreeSet<PathBuf>,
}

#[derive(Debug, Clone)]
enum Entry {
    Folder(PathBuf),
    Link(PathBuf, u64),
    Unlink(PathBuf),
    /// Within one folder: both or neither.
    Rename(PathBuf, PathBuf, u64),
}

#[derive(Debug, Clone, Default)]
struct File {
    now: Vec<u8>,
    synced: Vec<u8>,
    unsynced: Vec<Edit>,
}

#[derive(Debug, Clone)]
enum Edit {
    Write(usize, Vec<u8>),
    Length(usize),
}

impl Edit {
    fn apply(&self, bytes: &mut Vec<u8>) {
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
    fn apply(&mut self, entry: &Entry) {
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
    fn prune(&mut self, root: &Path) {
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
    fn random(&mut self) -> u64 {
        // SplitMix64 (Steele, Lea and Flood, 2014).
        self.chance = self.chance.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.chance ^ (self.chance >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Counts an operation that changes something, and says whether it takes effect.
    fn operate(&mut self, is_write: bool) -> Result<(), Stop> {
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

    fn skips(&self, path: &Path, is_folder: bool) -> bool {
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

    fn edit(&mut self, file: u64, edit: Edit) {
        let file = self.files.entry(file).or_default();
        edit.apply(&mut file.now);
        file.unsynced.push(edit);
    }

    fn name(&mut self, folder: &Path, entry: Entry) {
        self.now.apply(&entry);
        self.unsynced.push((folder.to_owned(), entry));
    }

    fn sync_names(&mut self, folder: &Path) {
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
    fn survive(&mut self, file: &File) -> Vec<u8> {
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
enum Stop {
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

/// The folder above everything; it is always there.
const ROOT: &str = "/";

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
