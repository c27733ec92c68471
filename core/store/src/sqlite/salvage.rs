//! Saving what is readable in a damaged store into a new one.
//!
//! The new file is finished and synced under another name before the damaged one is moved aside, so
//! that a crash at any moment leaves either the damaged file or the whole new one to go on with.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use wythe_job::{Digest, Fact, FactId, digest_of};

use super::carve::{Column, Kind, Remains};
use super::opening::{Place, Salvaged};
use super::{reading, schema, writing};
use crate::change::{Area, Change, Identity, Kept, Stale};
use crate::disk::{Disk, Readable, make_folder};
use crate::error::StoreError;
use crate::marker::Mark;
use crate::originals::Originals;

/// Facts that are written together.
const BATCH: usize = 2_000;
const KEPT_COLUMNS: usize = 6;

const DATABASE: &str = "log.sqlite";
const JOURNAL: &str = "log.sqlite-wal";
const JOURNAL_INDEX: &str = "log.sqlite-shm";
const UNFINISHED: &str = "salvaging.sqlite";
const FINISHED: &str = "salvaged.sqlite";
const NOTE: &str = "damaged";
const ASIDE: &str = "set-aside";

fn wrong(source: std::io::Error) -> StoreError {
    StoreError::disk("salvaging the store", source)
}

impl Place {
    /// Whether an earlier opening noticed damage that is not yet dealt with, or the file is plainly no
    /// database of this store.
    pub(crate) fn is_damaged(&self, mark: Option<Mark>) -> Result<bool, StoreError> {
        let disk = &*self.options.disk;
        let size = |name: &str| disk.size(&self.folder.join(name)).map_err(wrong);
        if size(NOTE)?.is_some() {
            return Ok(true);
        }
        let journal = self.journal_bytes()?;
        match size(DATABASE)? {
            // SQLite would throw away a journal that belongs to an empty or missing file.
            None | Some(0) => Ok(journal > 0 || mark.is_some_and(|mark| mark.arrival > 0)),
            // Without a marker nothing says whether the journal is whole.
            Some(_) if journal > 0 && mark.is_none() => Ok(true),
            // Power was lost while the file was made; SQLite takes that back itself.
            Some(_) if size("log.sqlite-journal")?.is_some() => Ok(false),
            Some(_) => {
                let mut file = disk.read(&self.folder.join(DATABASE)).map_err(wrong)?;
                Ok(!has_sound_head(&mut *file, journal).map_err(wrong)?)
            }
        }
    }

    pub(crate) fn journal_bytes(&self) -> Result<u64, StoreError> {
        let size = self
            .options
            .disk
            .size(&self.folder.join(JOURNAL))
            .map_err(wrong)?;
        Ok(size.unwrap_or(0))
    }

    /// Leaves a note that the next opening must salvage.
    pub(crate) fn note_damage(&self) {
        let disk = &*self.options.disk;
        let noted = disk.create(&self.folder.join(NOTE));
        let noted = noted.and_then(|mut note| note.sync());
        if let Err(error) = noted.and_then(|()| disk.sync_folder(&self.folder))
            && error.kind() != std::io::ErrorKind::AlreadyExists
        {
            tracing::warn!(%error, "the damage could not be noted");
        }
    }

    /// Saves what is readable into a new file and puts that in the damaged one's place.
    pub(crate) fn salvage(&self) -> Result<PathBuf, StoreError> {
        let disk = &*self.options.disk;
        for name in [UNFINISHED, "salvaging.sqlite-wal", "salvaging.sqlite-shm"] {
            remove(disk, &self.folder.join(name))?;
        }
        let open = |name: &str| -> Result<Option<Box<dyn Readable>>, StoreError> {
            let path = self.folder.join(name);
            match disk.size(&path).map_err(wrong)? {
                Some(_) => Ok(Some(disk.read(&path).map_err(wrong)?)),
                None => Ok(None),
            }
        };
        let mut remains = Remains::new(open(DATABASE)?, open(JOURNAL)?);
        let unfinished = self.folder.join(UNFINISHED);
        let mut connection = self.connect_to(&unfinished)?;
        // Nobody counts on this file before it is finished; it is synced whole at the end.
        connection.pragma_update(None, "synchronous", "OFF")?;
        let waits = self.options.waits_for_office;
        let payloads = save_facts_and_kept(&mut remains, &mut connection, waits)?;
        save_payloads(&mut remains, &mut connection, &payloads, waits)?;
        self.begin_anew(&mut connection)?;
        connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        connection.close().map_err(|(_, error)| StoreError::from(error))?;
        let mut file = disk.write(&unfinished).map_err(wrong)?;
        file.sync().map_err(wrong)?;
        drop(file);
        disk.rename(&unfinished, &self.folder.join(FINISHED))
            .map_err(wrong)?;
        disk.sync_folder(&self.folder).map_err(wrong)?;
        self.finish_salvage()?
            .ok_or_else(|| StoreError::damaged("the salvaged file is gone"))
    }

    /// Puts a finished salvage in its place; none when there is none.
    pub(crate) fn finish_salvage(&self) -> Result<Option<PathBuf>, StoreError> {
        let disk = &*self.options.disk;
        let finished = self.folder.join(FINISHED);
        if disk.size(&finished).map_err(wrong)?.is_none() {
            return Ok(None);
        }
        let aside = self.folder.join(ASIDE);
        make_folder(disk, &aside).map_err(wrong)?;
        let number = disk.list(&aside).map_err(wrong)?.len();
        let place = aside.join(format!("log-{number}.sqlite"));
        for (name, place) in [
            (DATABASE, place.clone()),
            (JOURNAL, aside.join(format!("log-{number}.sqlite-wal"))),
        ] {
            let from = self.folder.join(name);
            if disk.size(&from).map_err(wrong)?.is_some() {
                disk.rename(&from, &place).map_err(wrong)?;
            }
        }
        remove(disk, &self.folder.join(JOURNAL_INDEX))?;
        disk.sync_folder(&aside).map_err(wrong)?;
        disk.sync_folder(&self.folder).map_err(wrong)?;
        disk.rename(&finished, &self.folder.join(DATABASE))
            .map_err(wrong)?;
        disk.sync_folder(&self.folder).map_err(wrong)?;
        remove(disk, &self.folder.join(NOTE))?;
        disk.sync_folder(&self.folder).map_err(wrong)?;
        Ok(Some(place))
    }

    /// What the device must know after a salvage: a new generation, and a new epoch when it had one.
    fn begin_anew(&self, connection: &mut Connection) -> Result<(), StoreError> {
        let enrolled = reading::kept(connection, Area::Device, Identity::KEY)?.is_some();
        let arrival = reading::last_arrival(connection)?;
        let transaction = schema::begin(connection)?;
        let stale = enrolled.then(|| Stale::Salvaged.code().as_bytes().to_vec());
        for (key, value) in [
            (
                super::opening::GENERATION,
                Some(self.new_generation(b"salvaged", arrival).to_vec()),
            ),
            (super::opening::INSTANCE, Some(self.options.instance.clone())),
            (Stale::KEY, stale),
        ] {
            let kept = Kept {
                area: Area::Store,
                key: key.to_owned(),
                value,
            };
            writing::keep(&transaction, &kept)?;
        }
        transaction.commit()?;
        Ok(())
    }
}

/// Reads the originals against their names and takes those that are here back into the books.
pub(crate) fn adopt(
    connection: &mut Connection,
    originals: &Originals,
    set_aside: PathBuf,
) -> Result<Salvaged, StoreError> {
    let found = originals.check_all()?;
    let count = |sql: &str| -> Result<u64, StoreError> {
        reading::unsigned(connection.query_row(sql, [], |row| row.get(0))?)
    };
    let mut salvaged = Salvaged {
        facts: count("SELECT count(*) FROM facts")?,
        payloads: count("SELECT count(*) FROM payloads")?,
        kept: count("SELECT count(*) FROM kept WHERE area <> 'store'")?,
        set_aside,
        originals: reading::unsigned(i64::try_from(found.sound.len()).unwrap_or(i64::MAX))?,
        damaged_originals: found.damaged,
        unnamed_originals: Vec::new(),
    };
    for digest in found.sound {
        if reading::named_by(connection, digest)?.is_empty() {
            salvaged.unnamed_originals.push(digest);
        }
    }
    let waiting = reading::waiting_originals(connection, u32::MAX)?;
    let transaction = schema::begin(connection)?;
    for original in waiting {
        if !originals.has(original.digest)? {
            // Another device's: this one never had it, or lost it.
            transaction.execute("DELETE FROM originals WHERE digest = ?1", [original.digest.0])?;
        }
    }
    transaction.commit()?;
    Ok(salvaged)
}

/// A kept value and which revision of it this is.
type Revision = (i64, Option<Vec<u8>>);

/// Saves the facts and the kept values; gives the digests of the payloads to look for.
fn save_facts_and_kept(
    remains: &mut Remains,
    connection: &mut Connection,
    waits: bool,
) -> Result<HashMap<Digest, FactId>, StoreError> {
    let mut payloads = HashMap::new();
    let mut batch: Vec<Fact> = Vec::new();
    // The latest revision of each; a change to a value leaves older ones in the file.
    let mut kept: BTreeMap<(String, String), Revision> = BTreeMap::new();
    remains.rows(
        |kinds| is_fact(kinds) || is_kept(kinds),
        |columns| {
            if columns.len() == KEPT_COLUMNS {
                let Some((area, key, revision, value)) = kept_of(columns) else {
                    return Ok::<_, StoreError>(false);
                };
                let held = kept.entry((area, key)).or_insert((0, None));
                if held.0 < revision {
                    *held = (revision, value);
                }
                return Ok(true);
            }
            let Some(fact) = fact_of(columns) else {
                return Ok(false);
            };
            payloads.insert(fact.envelope().payload, fact.id());
            batch.push(fact);
            if batch.len() >= BATCH {
                save(connection, &mut batch, waits)?;
            }
            Ok(true)
        },
    )?;
    save(connection, &mut batch, waits)?;
    let transaction = schema::begin(connection)?;
    for ((area, key), (revision, value)) in kept {
        // The store's own book-keeping begins anew.
        if area != Area::Store.name() {
            writing::keep_revision(&transaction, &area, &key, revision, value.as_deref())?;
        }
    }
    transaction.commit()?;
    Ok(payloads)
}

fn save_payloads(
    remains: &mut Remains,
    connection: &mut Connection,
    payloads: &HashMap<Digest, FactId>,
    waits: bool,
) -> Result<(), StoreError> {
    let mut batch: Vec<Fact> = Vec::new();
    remains.rows(
        |kinds| matches!(kinds, [Kind::Null, Kind::Blob(_)]),
        |columns| {
            let Some(Column::Blob(bytes)) = columns.into_iter().nth(1) else {
                return Ok::<_, StoreError>(false);
            };
            let Some(id) = payloads.get(&digest_of(&bytes)) else {
                return Ok(false);
            };
            let Some(held) = reading::fact(connection, *id)? else {
                return Ok(false);
            };
            let held = held.fact;
            let whole = Fact::from_parts(held.envelope_bytes(), *held.signature(), Some(bytes));
            let Ok(whole) = whole else {
                return Ok(false);
            };
            if held.payload().is_none() {
                batch.push(whole);
            }
            if batch.len() >= BATCH {
                save(connection, &mut batch, waits)?;
            }
            Ok(true)
        },
    )?;
    save(connection, &mut batch, waits)
}

fn save(connection: &mut Connection, batch: &mut Vec<Fact>, waits: bool) -> Result<(), StoreError> {
    let transaction = schema::begin(connection)?;
    // The office's receipts are lost with the file: everything is offered to it again.
    let change = Change {
        facts: batch,
        ..Change::default()
    };
    let mut known = writing::Known::of(&transaction)?;
    writing::change(&transaction, &change, waits, &mut known)?;
    transaction.commit()?;
    batch.clear();
    Ok(())
}

fn is_fact(kinds: &[Kind]) -> bool {
    matches!(
        kinds,
        [
            Kind::Null,
            Kind::Blob(32),
            Kind::Blob(16),
            Kind::Text(_),
            Kind::Blob(_),
            Kind::Blob(64),
            Kind::Blob(8)
        ]
    )
}

fn fact_of(columns: Vec<Column>) -> Option<Fact> {
    let columns: [Column; 7] = columns.try_into().ok()?;
    let [
        _,
        Column::Blob(id),
        _,
        _,
        Column::Blob(envelope),
        Column::Blob(signature),
        Column::Blob(sum),
    ] = columns
    else {
        return None;
    };
    let signature: [u8; 64] = signature.try_into().ok()?;
    if reading::fact_sum(&envelope, &signature).as_slice() != sum {
        return None;
    }
    let fact = Fact::from_parts(&envelope, signature, None).ok()?;
    (fact.id().0.as_slice() == id).then_some(fact)
}

fn is_kept(kinds: &[Kind]) -> bool {
    matches!(
        kinds,
        [
            Kind::Null,
            Kind::Text(_),
            Kind::Text(_),
            Kind::Blob(_) | Kind::Null,
            Kind::Integer(_),
            Kind::Blob(8)
        ]
    )
}

fn kept_of(columns: Vec<Column>) -> Option<(String, String, i64, Option<Vec<u8>>)> {
    let columns: [Column; KEPT_COLUMNS] = columns.try_into().ok()?;
    let [
        _,
        Column::Text(area),
        Column::Text(key),
        value,
        Column::Integer(revision),
        Column::Blob(sum),
    ] = columns
    else {
        return None;
    };
    let area = String::from_utf8(area).ok()?;
    let key = String::from_utf8(key).ok()?;
    let value = match value {
        Column::Null => None,
        Column::Blob(bytes) => Some(bytes),
        _ => return None,
    };
    let right = reading::kept_sum(&area, &key, revision, value.as_deref()).as_slice() == sum;
    right.then_some((area, key, revision, value))
}

/// Whether the first hundred bytes are those that this store's files begin with. SQLite itself takes
/// some wrong ones for a file that it may only read, or for one that is empty.
fn has_sound_head(file: &mut dyn Readable, journal: u64) -> std::io::Result<bool> {
    let mut head = [0u8; 100];
    match file.read_exact(&mut head) {
        Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => return Ok(false),
        read => read?,
    }
    let mode: &[u8] = if head.get(18) == Some(&1) {
        &[1, 1]
    } else {
        &[2, 2]
    };
    let fixed: [(usize, &[u8]); 6] = [
        (0, b"SQLite format 3\0"),
        (16, &super::schema::PAGE_BYTES.to_be_bytes()),
        // A file whose making was cut off may not be in WAL mode yet; one that has a journal is.
        (18, if journal > 0 { &[2, 2] } else { mode }),
        // No bytes reserved, the three fractions.
        (20, &[0, 64, 32, 32]),
        // Schema format 4, or none yet: the first transaction may still be in the journal.
        (44, &[0, 0, 0]),
        (56, &[0, 0, 0]),
    ];
    let mut fixed = fixed.iter();
    Ok(fixed.all(|(at, bytes)| head.get(*at..at + bytes.len()) == Some(*bytes)))
}

fn remove(disk: &dyn Disk, path: &Path) -> Result<(), StoreError> {
    match disk.remove(path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(()),
        other => other.map_err(wrong),
    }
}
