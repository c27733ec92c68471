//! The office's books in SQLite: one file for all businesses, the business first in every key.

mod columns;
mod desk;
mod house;

use std::path::Path;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use wythe_app::job::{ArrivalRecord, BusinessId, Fact, FactId};
use wythe_app::sync::{Access, AsideRow, CodeHash, Desk, OfficeStorage, Trouble};

use columns::{broken, whole_number};
use desk::SqliteDesk;
pub use house::SqliteHouses;

/// `WYOF`: says whose file it is to tools that ask.
const APPLICATION_ID: i64 = 0x5759_4f46;
/// Each brings a file from the form before it to its own.
const MIGRATIONS: &[&str] = &[include_str!("schema_1.sql")];
/// How long a writer waits for another, in milliseconds.
const LOCK_WAIT_MS: u32 = 10_000;

/// An office's books in a file of SQLite. Several processes may have the file open: whoever writes has
/// the lock from the beginning of the transaction to its commit.
#[derive(Debug)]
pub struct SqliteOffice {
    connection: Connection,
}

impl SqliteOffice {
    /// Opens the books, made if need be.
    ///
    /// # Errors
    /// [`Trouble`]: `database`, `newer` when a newer program wrote the file, `damaged` when the file is
    /// something else.
    pub fn open(file: &Path) -> Result<Self, Trouble> {
        let mut connection = Connection::open(file).map_err(broken)?;
        configure(&connection)?;
        migrate(&mut connection)?;
        Ok(Self { connection })
    }

    /// Makes room for a business; [`wythe_app::sync::Office::begin_epoch`] begins its books.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn make_room(&mut self, business: BusinessId) -> Result<(), Trouble> {
        let sql = "INSERT OR IGNORE INTO book (business) VALUES (?1)";
        self.connection
            .execute(sql, [business.0])
            .map(drop)
            .map_err(broken)
    }

    /// Writes a copy of the books, as they are at one moment, to a file that is not there yet.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn copy_to(&self, file: &Path) -> Result<(), Trouble> {
        let name = file
            .to_str()
            .ok_or_else(|| Trouble::new("database", "the copy's name is not text"))?;
        self.connection
            .execute("VACUUM INTO ?1", [name])
            .map(drop)
            .map_err(broken)
    }

    /// Whether the file answers.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn check(&self) -> Result<(), Trouble> {
        let count = "SELECT count(*) FROM book";
        let counted: Result<i64, _> = self.connection.query_row(count, [], |row| row.get(0));
        counted.map(drop).map_err(broken)
    }

    /// All facts of a business, in the order of their coming.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn facts(&self, business: BusinessId) -> Result<Vec<(u64, Fact)>, Trouble> {
        let sql = "SELECT number, bytes FROM fact WHERE business = ?1 ORDER BY number";
        self.rows(sql, business, |row| {
            Ok((whole_number(row, 0)?, columns::fact(row, 1)?))
        })
    }

    /// The arrival records of a business, with the facts they speak of.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn records(&self, business: BusinessId) -> Result<Vec<(ArrivalRecord, Vec<FactId>)>, Trouble> {
        let sql = "SELECT bytes, ids FROM record WHERE business = ?1 ORDER BY place";
        self.rows(sql, business, |row| {
            let bytes: Vec<u8> = row.get(0).map_err(broken)?;
            let record = ArrivalRecord::decode(&bytes).map_err(|why| columns::damaged(why.code()))?;
            let ids: Vec<u8> = row.get(1).map_err(broken)?;
            let ids = ids.as_chunks::<32>().0.iter().map(|id| FactId(*id)).collect();
            Ok((record, ids))
        })
    }

    /// The facts of a business that are kept apart.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn kept_apart(&self, business: BusinessId) -> Result<Vec<AsideRow>, Trouble> {
        let sql = format!(
            "SELECT {} FROM aside WHERE business = ?1 ORDER BY id",
            desk::ASIDE
        );
        self.rows(&sql, business, desk::aside_row)
    }

    fn rows<T>(
        &self,
        sql: &str,
        business: BusinessId,
        read: impl Fn(&rusqlite::Row<'_>) -> Result<T, Trouble>,
    ) -> Result<Vec<T>, Trouble> {
        let mut statement = self.connection.prepare_cached(sql).map_err(broken)?;
        columns::all(&mut statement, params![business.0], read)
    }
}

impl OfficeStorage for SqliteOffice {
    fn business_of_code(&mut self, code: CodeHash) -> Result<Option<BusinessId>, Trouble> {
        let sql = "SELECT business FROM invite WHERE code = ?1";
        let mut statement = self.connection.prepare_cached(sql).map_err(broken)?;
        let found = statement.query_row([code.0.0], |row| row.get(0).map(BusinessId));
        found.optional().map_err(broken)
    }

    #[expect(clippy::disallowed_methods, reason = "this is where they all begin")]
    fn begin(&mut self, business: BusinessId, access: Access) -> Result<Box<dyn Desk + '_>, Trouble> {
        // Who writes has the lock from the beginning; who reads sees one state to the end.
        let behaviour = match access {
            Access::Write => TransactionBehavior::Immediate,
            Access::Read => TransactionBehavior::Deferred,
        };
        let transaction = self
            .connection
            .transaction_with_behavior(behaviour)
            .map_err(broken)?;
        let known: Option<i64> = transaction
            .query_row("SELECT 1 FROM book WHERE business = ?1", [business.0], |row| {
                row.get(0)
            })
            .optional()
            .map_err(broken)?;
        if known.is_none() {
            return Err(Trouble::new("no_business", "there are no books of this business"));
        }
        Ok(Box::new(SqliteDesk::new(transaction, business, access)))
    }
}

fn configure(connection: &Connection) -> Result<(), Trouble> {
    for (flag, value) in [
        (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
        (DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, true),
        (DbConfig::SQLITE_DBCONFIG_DQS_DML, false),
        (DbConfig::SQLITE_DBCONFIG_DQS_DDL, false),
    ] {
        connection.set_db_config(flag, value).map_err(broken)?;
    }
    let wait = std::time::Duration::from_millis(LOCK_WAIT_MS.into());
    connection.busy_timeout(wait).map_err(broken)?;
    let mode: String = connection
        .query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))
        .map_err(broken)?;
    if mode != "wal" {
        return Err(Trouble::new(
            "database",
            format!("the journal is {mode}, not wal"),
        ));
    }
    connection
        .execute_batch(
            "PRAGMA synchronous = FULL;
             PRAGMA fullfsync = ON;
             PRAGMA checkpoint_fullfsync = ON;
             PRAGMA recursive_triggers = ON;
             PRAGMA cell_size_check = ON;
             -- What an erasure drops is overwritten, not only unlinked.
             PRAGMA secure_delete = ON;
             PRAGMA temp_store = MEMORY;
             PRAGMA mmap_size = 0;
             PRAGMA journal_size_limit = 67108864;",
        )
        .map_err(broken)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(())
}

#[expect(
    clippy::disallowed_methods,
    reason = "as in begin: nobody else migrates meanwhile"
)]
fn migrate(connection: &mut Connection) -> Result<(), Trouble> {
    let known = i64::try_from(MIGRATIONS.len()).unwrap_or(i64::MAX);
    let transaction = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(broken)?;
    let number = |sql| transaction.query_row(sql, [], |row| row.get::<_, i64>(0));
    let version = number("PRAGMA user_version").map_err(broken)?;
    let id = number("PRAGMA application_id").map_err(broken)?;
    let tables = number("SELECT count(*) FROM sqlite_schema").map_err(broken)?;
    match (version, id, tables) {
        (0, 0, 0) => {}
        (version, APPLICATION_ID, _) if version > known => {
            return Err(Trouble::new(
                "newer",
                "a newer version of Wythe wrote these books; update this one",
            ));
        }
        (version, APPLICATION_ID, _) if version > 0 => {}
        _ => return Err(Trouble::new("damaged", "the file holds no office's books")),
    }
    let done = usize::try_from(version).unwrap_or(usize::MAX);
    if done == MIGRATIONS.len() {
        return Ok(());
    }
    for migration in MIGRATIONS.iter().skip(done) {
        transaction.execute_batch(migration).map_err(broken)?;
    }
    transaction
        .pragma_update(None, "application_id", APPLICATION_ID)
        .map_err(broken)?;
    transaction
        .pragma_update(None, "user_version", known)
        .map_err(broken)?;
    transaction.commit().map_err(broken)
}

#[cfg(test)]
mod tests;
