use std::path::{Path, PathBuf};
use std::sync::Arc;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use wythe_job::{Digest, digest_of};

use super::{reading, salvage, schema, writing};
use crate::change::{Area, Identity, Kept, Stale, Storage};
use crate::disk::{Disk, Held, RealDisk, make_folder};
use crate::error::StoreError;
use crate::marker::{Mark, Marker};
use crate::originals::Originals;
use crate::projection::{Plain, Projector};

pub(crate) const GENERATION: &str = "generation";
pub(crate) const INSTANCE: &str = "instance";
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
    /// Originals that are here and sound.
    pub originals: u64,
    /// Originals that were damaged too; they were set aside and may be fetched from the office.
    pub damaged_originals: Vec<Digest>,
    /// Sound originals that no saved fact names.
    pub unnamed_originals: Vec<Digest>,
}

/// Where a store is and how it is opened.
pub(crate) struct Place {
    pub(crate) folder: PathBuf,
    pub(crate) options: Options,
}

/// An open store.
pub(crate) struct Opened {
    pub(crate) connection: Connection,
    pub(crate) marker: Marker,
    pub(crate) mark: Mark,
    pub(crate) known: writing::Known,
    /// Held until this is closed.
    lock: Option<Box<dyn Held>>,
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
        make_folder(disk, &self.folder).map_err(wrong)?;
        let lock = disk.lock(&self.folder.join("lock")).map_err(wrong)?;
        let lock = lock.ok_or(StoreError::InUse)?;
        let mut set_aside = self.finish_salvage()?;
        let mark = self.mark_before_file()?;
        if set_aside.is_none() && self.is_damaged(mark)? {
            set_aside = Some(self.salvage()?);
        }
        let mut opening = Opening::default();
        let (mut opened, originals) = match self.go_on(mark, set_aside, &mut opening) {
            Err(StoreError::Damaged { what }) => {
                tracing::warn!(what, "the store is damaged; what is readable is saved");
                opening = Opening::default();
                let set_aside = self.salvage()?;
                self.go_on(mark, Some(set_aside), &mut opening)?
            }
            other => other?,
        };
        opened.lock = Some(lock);
        Ok((opened, originals, opening))
    }

    /// Opens the file and reads all that an opening reads of it, so that damage met there is salvaged.
    fn go_on(
        &self,
        mark: Option<Mark>,
        set_aside: Option<PathBuf>,
        opening: &mut Opening,
    ) -> Result<(Opened, Originals), StoreError> {
        let disk = &self.options.disk;
        // After a salvage the marker tells of the damaged file.
        let before = mark.filter(|_| set_aside.is_none());
        let mut connection = self.connect(before, opening)?;
        let synced = disk.sync_folder(&self.folder);
        synced.map_err(|source| StoreError::disk("opening the store's folder", source))?;
        let originals = Originals::open(Arc::clone(disk), &self.folder.join("originals"))?;
        if let Some(set_aside) = set_aside {
            opening.salvaged = Some(salvage::adopt(&mut connection, &originals, set_aside)?);
        }
        let mark = self.recognise(&mut connection, mark, opening)?;
        finish_removals(&mut connection, &originals)?;
        opening.projected_anew = project_if_newer(&mut connection, &*self.options.projector, mark)?;
        let marker = Marker::begin(&**disk, &self.folder, mark)?;
        let opened = Opened {
            known: writing::Known::of(&connection)?,
            connection,
            marker,
            mark,
            lock: None,
        };
        Ok((opened, originals))
    }

    /// What the marker says. Where there is no store yet it is written first, so that a file without
    /// one is known to be a copy.
    fn mark_before_file(&self) -> Result<Option<Mark>, StoreError> {
        let disk = &*self.options.disk;
        if let Some(mark) = Marker::look(disk, &self.folder)? {
            return Ok(Some(mark));
        }
        let size = disk.size(&self.database());
        let size = size.map_err(|source| StoreError::disk("opening the store's folder", source))?;
        if size.unwrap_or(0) > 0 {
            return Ok(None);
        }
        let mark = Mark {
            generation: self.new_generation(b"", 0),
            arrival: 0,
        };
        Marker::begin(disk, &self.folder, mark)?;
        Ok(Some(mark))
    }

    fn connect(&self, mark: Option<Mark>, opening: &mut Opening) -> Result<Connection, StoreError> {
        let mut connection = self.open_file(&self.database())?;
        let from = schema::version(&connection)?;
        self.has_whole_journal(&connection, from, mark)?;
        if from != schema::SCHEMA_VERSION {
            if from > 0 && from < schema::SCHEMA_VERSION {
                self.back_up(&connection, from)?;
                opening.migrated_from = Some(from);
            }
            schema::migrate(&mut connection, from, schema::MIGRATIONS)?;
            opening.created = from == 0;
        }
        schema::journal(&connection)?;
        if schema::layout(&connection)? != schema::fresh_layout()? {
            return Err(StoreError::damaged(
                "a table or trigger is missing or was changed",
            ));
        }
        Ok(connection)
    }

    /// SQLite takes a journal up to the first frame that is not whole, which is right after a loss of
    /// power and silent about a frame that rotted. The marker tells them apart: what it counts was
    /// acknowledged.
    fn has_whole_journal(
        &self,
        connection: &Connection,
        form: i64,
        mark: Option<Mark>,
    ) -> Result<(), StoreError> {
        let Some(mark) = mark.filter(|mark| mark.arrival > 0) else {
            return Ok(());
        };
        let lost = || StoreError::damaged("the journal lost what had been acknowledged");
        if form == 0 {
            return Err(lost());
        }
        let generation = reading::kept(connection, Area::Store, GENERATION)?;
        let behind = reading::last_arrival(connection)? < mark.arrival;
        // Without a journal the file is simply an older one, put back.
        if behind && generation.as_deref() == Some(&mark.generation[..]) && self.journal_bytes()? > 0 {
            return Err(lost());
        }
        Ok(())
    }

    /// Opens a new file in the newest form.
    pub(crate) fn connect_to(&self, path: &Path) -> Result<Connection, StoreError> {
        let mut connection = self.open_file(path)?;
        schema::migrate(&mut connection, 0, schema::MIGRATIONS)?;
        schema::journal(&connection)?;
        Ok(connection)
    }

    fn open_file(&self, path: &Path) -> Result<Connection, StoreError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = match &self.options.file_layer {
            Some(layer) => Connection::open_with_flags_and_vfs(path, flags, layer.as_str())?,
            None => Connection::open_with_flags(path, flags)?,
        };
        schema::configure(&connection)?;
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
    fn recognise(
        &self,
        connection: &mut Connection,
        mark: Option<Mark>,
        opening: &mut Opening,
    ) -> Result<Mark, StoreError> {
        let held = |key| reading::kept(connection, Area::Store, key);
        let generation = held(GENERATION)?.and_then(|bytes| <[u8; 16]>::try_from(bytes).ok());
        let same_place = held(INSTANCE)?.is_none_or(|found| found == self.options.instance);
        let arrival = reading::last_arrival(connection)?;
        let enrolled = reading::kept(connection, Area::Device, Identity::KEY)?.is_some();
        let goes_on = match (generation, mark) {
            (Some(generation), Some(mark)) => mark.generation == generation && mark.arrival <= arrival,
            (None, _) | (_, None) => false,
        };
        let fresh = self.new_generation(&generation.unwrap_or_default(), arrival);
        let salvaged = opening.salvaged.is_some();
        let stale = match generation {
            // A salvage has begun a generation and said why.
            None => None,
            Some(_) if salvaged => None,
            Some(_) if !same_place => Some(Stale::Copied),
            Some(_) if !goes_on => Some(Stale::PutBack),
            Some(_) => None,
        };
        if stale.is_some() || generation.is_none() {
            let transaction = schema::begin(connection)?;
            let keep = |key: &str, value: &[u8]| {
                let kept = Kept {
                    area: Area::Store,
                    key: key.to_owned(),
                    value: Some(value.to_vec()),
                };
                writing::keep(&transaction, &kept)
            };
            keep(GENERATION, &fresh)?;
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
            _ => fresh,
        };
        Ok(Mark { generation, arrival })
    }

    /// A token unlike any before: one opening may begin several generations by the same chance.
    pub(crate) fn new_generation(&self, before: &[u8], arrival: u64) -> [u8; 16] {
        let mut seed = self.options.chance.to_vec();
        seed.extend_from_slice(&arrival.to_be_bytes());
        seed.extend_from_slice(before);
        let mut token = [0; 16];
        for (to, from) in token.iter_mut().zip(digest_of(&seed).0) {
            *to = from;
        }
        token
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
    /// Moves the journal into the file and empties it, so that erased bytes do not stay in it.
    pub(crate) fn empty_journal(&self) {
        if let Err(error) = checkpoint(&self.connection) {
            tracing::warn!(code = error.code(), "the journal could not be emptied");
        }
    }

    /// Closes the file and frees the lock.
    pub(crate) fn close(self) -> Result<(), StoreError> {
        checkpoint(&self.connection)?;
        let quiet = DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE;
        self.connection.set_db_config(quiet, false)?;
        let closed = self.connection.close().map_err(|(_, error)| error.into());
        drop(self.lock);
        closed
    }
}

fn checkpoint(connection: &Connection) -> Result<(), StoreError> {
    connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
    Ok(())
}

fn project_if_newer(
    connection: &mut Connection,
    projector: &dyn Projector,
    mark: Mark,
) -> Result<bool, StoreError> {
    let held = reading::kept(connection, Area::Store, PROJECTOR)?;
    let newer = held.as_deref() != Some(&projector.version().to_be_bytes()[..]);
    if newer {
        rebuild(connection, projector)?;
    }
    Ok(newer && mark.arrival > 0)
}

/// Makes all summaries anew.
pub(crate) fn rebuild(connection: &mut Connection, projector: &dyn Projector) -> Result<(), StoreError> {
    let transaction = schema::begin(connection)?;
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

/// Removes the files of originals whose erasure is recorded.
pub(crate) fn finish_removals(connection: &mut Connection, originals: &Originals) -> Result<(), StoreError> {
    let removals = reading::removals(connection)?;
    if removals.is_empty() {
        return Ok(());
    }
    for digest in &removals {
        originals.remove(*digest)?;
    }
    let transaction = schema::begin(connection)?;
    for digest in removals {
        writing::removed(&transaction, digest)?;
    }
    transaction.commit()?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_copy_before_a_migration_is_the_whole_file() {
        let folder = tempfile::tempdir().unwrap();
        let place = Place::new(folder.path(), Options::new(b"here".to_vec(), [1; 16]));
        let (mut opened, _, _) = place.open().unwrap();
        let kept = Kept::setting("language", Some(b"es".to_vec()));
        let transaction = schema::begin(&mut opened.connection).unwrap();
        writing::keep(&transaction, &kept).unwrap();
        transaction.commit().unwrap();
        for _ in 0..2 {
            // An opening that was cut off copies again.
            place.back_up(&opened.connection, 1).unwrap();
        }
        let copy = Connection::open(folder.path().join("before-form-2.sqlite")).unwrap();
        assert_eq!(schema::version(&copy).unwrap(), 1);
        let found = reading::kept(&copy, kept.area, &kept.key).unwrap();
        assert_eq!(found.as_deref(), Some(&b"es"[..]));
    }
}
