use rusqlite::config::DbConfig;
use rusqlite::{Connection, TransactionBehavior};

use crate::error::StoreError;

/// The oldest SQLite that is taken: 3.51.3.
pub const LEAST_SQLITE: i32 = 3_051_003;
/// The form of the file that this program writes.
#[expect(clippy::cast_possible_wrap, reason = "a handful of migrations")]
pub const SCHEMA_VERSION: i64 = MIGRATIONS.len() as i64;

/// `WYTH`: says whose file it is to tools that ask.
const APPLICATION_ID: i64 = 0x5759_5448;
/// Bytes of a page. The salvage relies on it when a file's own head is gone.
pub(crate) const PAGE_BYTES: u16 = 4096;

/// Each brings a file from the form before it to its own.
pub(crate) const MIGRATIONS: &[&str] = &[include_str!("schema_1.sql")];

/// Sets what each connection needs, and checks that it took.
pub(crate) fn configure(connection: &Connection) -> Result<(), StoreError> {
    let found = rusqlite::version_number();
    if found < LEAST_SQLITE {
        return Err(StoreError::OldSqlite {
            found,
            least: LEAST_SQLITE,
        });
    }
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_FKEY, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DML, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DDL, false)?;
    connection.pragma_update(None, "page_size", PAGE_BYTES)?;
    let mode: String = connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    if mode != "wal" {
        return Err(StoreError::Database(format!("the journal is {mode}, not wal")));
    }
    connection.execute_batch(
        "PRAGMA synchronous = FULL;
         -- Apple's fsync does not reach the disk without it; elsewhere it changes nothing.
         PRAGMA fullfsync = ON;
         PRAGMA checkpoint_fullfsync = ON;
         PRAGMA recursive_triggers = ON;
         PRAGMA cell_size_check = ON;
         -- What an erasure drops is overwritten, not only unlinked.
         PRAGMA secure_delete = ON;
         PRAGMA temp_store = MEMORY;
         PRAGMA mmap_size = 0;
         PRAGMA busy_timeout = 2000;
         PRAGMA journal_size_limit = 16777216;",
    )?;
    connection.set_prepared_statement_cache_capacity(48);
    Ok(())
}

/// The form of a file; 0 when it is empty.
pub(crate) fn version(connection: &Connection) -> Result<i64, StoreError> {
    let number = |name| connection.query_row(name, [], |row| row.get::<_, i64>(0));
    let version = number("PRAGMA user_version")?;
    let id = number("PRAGMA application_id")?;
    let tables = number("SELECT count(*) FROM sqlite_schema")?;
    match (version, id, tables) {
        (0, 0, 0) => Ok(0),
        (version, APPLICATION_ID, _) if version > 0 => Ok(version),
        _ => Err(StoreError::damaged("the file is no store of Wythe")),
    }
}

/// Brings a file to the newest form, in one transaction. `migrations` are those of this program, or a
/// test's.
pub(crate) fn migrate(connection: &mut Connection, from: i64, migrations: &[&str]) -> Result<(), StoreError> {
    let known = i64::try_from(migrations.len()).unwrap_or(i64::MAX);
    if from > known {
        return Err(StoreError::Newer { found: from, known });
    }
    let done = usize::try_from(from).unwrap_or(usize::MAX);
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    for migration in migrations.iter().skip(done) {
        transaction.execute_batch(migration)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
    transaction.pragma_update(None, "user_version", known)?;
    transaction.commit()?;
    Ok(())
}

/// What a file consists of: the text of each table, index and trigger, by name.
pub(crate) fn layout(connection: &Connection) -> Result<Vec<(String, String)>, StoreError> {
    let mut statement =
        connection.prepare("SELECT name, coalesce(sql, '') FROM sqlite_schema ORDER BY type, name")?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// The layout that a fresh file has.
pub(crate) fn fresh_layout() -> Result<Vec<(String, String)>, StoreError> {
    let mut connection = Connection::open_in_memory()?;
    migrate(&mut connection, 0, MIGRATIONS)?;
    layout(&connection)
}
