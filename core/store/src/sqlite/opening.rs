use std::path::{Path, PathBuf};
use std::sync::Arc;

use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use super::{reading, schema, writing};
use crate::disk::{Disk, Held, RealDisk};
use crate::error::StoreError;
use crate::log::{Area, Identity, Kept, Stale, Storage};
use crate::marker::{Mark, Marker};
use crate::originals::Originals;
use crate::projection::{Plain, Projector};

const GENERATION: &str = "generation";
const INSTANCE: &str = "instance";
const PROJECTOR: &str = "projector";

/// How a store is opened.
#[derive(Clone)]
pub struct Options {
    /// What makes the summaries.
    pub projector: Arc<dyn Projector>,
    /// A token of this installation that its platform leaves out of backups, or
    /// [`crate::instance_of`] the folder. A store that was made under another token is a copy.
    pub instance: Vec<u8>,
    /// Chance: names a new generation, should this opening begin one.
    pub chance: [u8; 16],
    /// Whether facts recorded here wait for an office's receipt; false for the office itself.
    pub waits_for_office: bool,
    /// Where the files beside the database are.
    pub disk: Arc<dyn Disk>,
    /// The name of the SQLite file layer; none for the platform's own.
    pub file_layer: Option<String>,
}

impl Options {
    /// A device's store on the operating system's disk, with plain summaries.
    #[must_use]
    pub fn new(instance: Vec<u8>, chance: [u8; 16]) -> Self {
        Self {
            projector: Arc::new(Plain),
            instance,
            chance,
            waits_for_office: true,
            disk: Arc::new(RealDisk),
            file_layer: None,
        }
    }

    /// The same with another projector.
    #[must_use]
    pub fn projecting(self, projector: Arc<dyn Projector>) -> Self {
        Self { projector, ..self }
    }

    /// The same for the office, which waits for nobody.
    #[must_use]
    pub fn for_office(self) -> Self {
        Self {
            waits_for_office: false,
            ..self
        }
    }
}

/// What opening a store found and did.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Opening {
    /// There was no store; now there is an empty one.
    pub created: bool,
    /// The form the file had before it was brought to the newest.
    pub migrated_from: Option<i64>,
    /// The summaries were made anew, for a newer projector.
    pub projected_anew: bool,
    /// A new epoch is due, and why; stays until [`crate::Log::set_identity`].
    pub stale: Option<Stale>,
    /// The file was damaged; what was saved from it.
    pub salvaged: Option<Salvaged>,
}

/// What was saved from a damaged file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Salvaged {
    /// Facts that were readable.
    pub facts: u64,
    /// How many of them have their payload.
    pub payloads: u64,
    /// Settings, drafts and the like.
    pub kept: u64,
    /// Where the damaged file lies now.
    pub set_aside: PathBuf,
}

/// Where a store is and how it is opened.
pub(crate) struct Place {
    folder: PathBuf,
    pub(crate) options: Options,
}

/// An open store.
pub(crate) struct Opened {
    pub(crate) connection: Connection,
    pub(crate) marker: Marker,
    pub(crate) mark: Mark,
    _lock: Box<dyn Held>,
}

impl Place {
    pub(crate) fn new(folder: &Path, options: Options) -> Self {
        Self {
            folder: folder.to_owned(),
            options,
        }
    }

    pub(crate) fn open(&self) -> Result<(Opened, Originals, Opening), StoreError> {
        let disk = &*self.options.disk;
        let wrong = |source| StoreError::disk("opening the store's folder", source);
        disk.create_folder(&self.folder).map_err(wrong)?;
        if let Some(parent) = self.folder.parent() {
            disk.sync_folder(parent).map_err(wrong)?;
        }
        let lock = disk.lock(&self.folder.join("lock")).map_err(wrong)?;
        let lock = lock.ok_or(StoreError::InUse)?;
        let mut opening = Opening::default();
        let mut connection = self.connect(&mut opening)?;
        disk.sync_folder(&self.folder).map_err(wrong)?;
        let originals = Originals::open(Arc::clone(&self.options.disk), &self.folder.join("originals"))?;
        let mark = self.recognise(&mut connection, &mut opening)?;
        let mut opened = Opened {
            connection,
            marker: Marker::begin(disk, &self.folder, mark)?,
            mark,
            _lock: lock,
        };
        opening.projected_anew = opened.project_if_newer(&*self.options.projector)?;
        Ok((opened, originals, opening))
    }

    fn connect(&self, opening: &mut Opening) -> Result<Connection, StoreError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let path = self.database();
        let mut connection = match &self.options.file_layer {
            Some(layer) => Connection::open_with_flags_and_vfs(path, flags, layer.as_str())?,
            None => Connection::open_with_flags(path, flags)?,
        };
        schema::configure(&connection)?;
        let from = schema::version(&connection)?;
        if from != schema::SCHEMA_VERSION {
            if from > 0 && from < schema::SCHEMA_VERSION {
                self.back_up(&connection, from)?;
                opening.migrated_from = Some(from);
            }
            schema::migrate(&mut connection, from, schema::MIGRATIONS)?;
            opening.created = from == 0;
        }
        if schema::layout(&connection)? != schema::fresh_layout()? {
            return Err(StoreError::damaged(
                "a table or trigger is missing or was changed",
            ));
        }
        Ok(connection)
    }

    /// Copies the file before its first migration.
    fn back_up(&self, connection: &Connection, from: i64) -> Result<(), StoreError> {
        let wrong = |source| StoreError::disk("copying the store before it is changed", source);
        checkpoint(connection)?;
        let disk = &*self.options.disk;
        let copy = self.folder.join(format!("before-form-{}.sqlite", from + 1));
        if disk.size(&copy).map_err(wrong)?.is_some() {
            disk.remove(&copy).map_err(wrong)?;
        }
        let mut from = disk.read(&self.database()).map_err(wrong)?;
        let mut to = disk.create(&copy).map_err(wrong)?;
        std::io::copy(&mut *from, &mut *to).map_err(wrong)?;
        to.sync().map_err(wrong)?;
        disk.sync_folder(&self.folder).map_err(wrong)
    }

    /// Finds out whether this is the store that was here last, or a copy of it.
    fn recognise(&self, connection: &mut Connection, opening: &mut Opening) -> Result<Mark, StoreError> {
        let held = |key| reading::kept(connection, Area::Store, key);
        let generation = held(GENERATION)?.and_then(|bytes| <[u8; 16]>::try_from(bytes).ok());
        let same_place = held(INSTANCE)?.is_none_or(|found| found == self.options.instance);
        let arrival = reading::last_arrival(connection)?;
        let enrolled = reading::kept(connection, Area::Device, Identity::KEY)?.is_some();
        let mark = Marker::look(&*self.options.disk, &self.folder);
        let goes_on = match (generation, mark) {
            (Some(generation), Some(mark)) => mark.generation == generation && mark.arrival <= arrival,
            // Power was lost between the making of the file and that of its marker.
            (Some(_), None) => arrival == 0 && !enrolled,
            (None, _) => false,
        };
        let stale = match generation {
            None => None,
            Some(_) if !same_place => Some(Stale::Copied),
            Some(_) if !goes_on => Some(Stale::PutBack),
            Some(_) => None,
        };
        if stale.is_some() || generation.is_none() {
            let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let keep = |key: &str, value: &[u8]| {
                let kept = Kept {
                    area: Area::Store,
                    key: key.to_owned(),
                    value: Some(value.to_vec()),
                };
                writing::keep(&transaction, &kept)
            };
            keep(GENERATION, &self.options.chance)?;
            keep(INSTANCE, &self.options.instance)?;
            if let Some(stale) = stale.filter(|_| enrolled) {
                keep(Stale::KEY, stale.code().as_bytes())?;
            }
            transaction.commit()?;
        }
        let held = reading::kept(connection, Area::Store, Stale::KEY)?;
        opening.stale = held.and_then(|code| Stale::from_code(&code));
        let generation = match (stale, generation) {
            (None, Some(generation)) => generation,
            _ => self.options.chance,
        };
        Ok(Mark { generation, arrival })
    }

    /// Leaves a note that the next opening must salvage.
    pub(crate) fn note_damage(&self) {
        let disk = &*self.options.disk;
        let noted = disk.create(&self.folder.join("damaged"));
        let noted = noted.and_then(|mut note| note.sync());
        if let Err(error) = noted.and_then(|()| disk.sync_folder(&self.folder))
            && error.kind() != std::io::ErrorKind::AlreadyExists
        {
            tracing::warn!(%error, "the damage could not be noted");
        }
    }

    pub(crate) fn storage(&self) -> Result<Storage, StoreError> {
        let free = self.options.disk.free(&self.folder);
        let free = free.map_err(|source| StoreError::disk("asking how much room there is", source))?;
        Ok(Storage { free })
    }

    fn database(&self) -> PathBuf {
        self.folder.join("log.sqlite")
    }
}

impl Opened {
    fn project_if_newer(&mut self, projector: &dyn Projector) -> Result<bool, StoreError> {
        let held = reading::kept(&self.connection, Area::Store, PROJECTOR)?;
        let newer = held.as_deref() != Some(&projector.version().to_be_bytes()[..]);
        let any = self.mark.arrival > 0;
        if newer {
            self.rebuild(projector)?;
        }
        Ok(newer && any)
    }

    pub(crate) fn rebuild(&mut self, projector: &dyn Projector) -> Result<(), StoreError> {
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        transaction.execute("DELETE FROM summaries", [])?;
        for stream in reading::streams(&transaction)? {
            let summary = projector.project(stream, &reading::facts(&transaction, stream)?);
            writing::summary(&transaction, stream, &summary)?;
        }
        let version = Kept {
            area: Area::Store,
            key: PROJECTOR.into(),
            value: Some(projector.version().to_be_bytes().to_vec()),
        };
        writing::keep(&transaction, &version)?;
        transaction.commit()?;
        Ok(())
    }

    /// Moves the journal into the file and empties it, so that erased bytes do not stay in it.
    pub(crate) fn empty_journal(&self) {
        if let Err(error) = checkpoint(&self.connection) {
            tracing::warn!(code = error.code(), "the journal could not be emptied");
        }
    }

    /// Closes the file and frees the lock.
    pub(crate) fn close(self) -> Result<(), StoreError> {
        checkpoint(&self.connection)?;
        self.connection.close().map_err(|(_, error)| error.into())
    }
}

fn checkpoint(connection: &Connection) -> Result<(), StoreError> {
    connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
    Ok(())
}
