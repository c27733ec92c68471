use std::sync::OnceLock;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, Transaction, TransactionBehavior};

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
    // Closing writes nothing of itself: a journal that turned out to be damaged is still to be read.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DML, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DDL, false)?;
    connection.pragma_update(None, "page_size", PAGE_BYTES)?;
    // One process has the store. Nobody then writes behind its back, and no transaction takes locks.
    connection.query_row("PRAGMA locking_mode = EXCLUSIVE", [], |_| Ok(()))?;
    journal(connection)?;
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

/// Puts a file into WAL mode. When a disk fails while a new file is made, SQLite may say that it is in
/// that mode when it is not; so this is asked again once there is something in the file.
pub(crate) fn journal(connection: &Connection) -> Result<(), StoreError> {
    let mode: String = connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    if mode == "wal" {
        Ok(())
    } else {
        Err(StoreError::Database(format!("the journal is {mode}, not wal")))
    }
}

/// Begins a transaction that may write from its first moment (`BEGIN IMMEDIATE`): what it reads cannot
/// change before it writes, and it is refused at its beginning or not at all. The only way to begin one.
#[expect(clippy::disallowed_methods, reason = "this is where they all begin")]
pub(crate) fn begin(connection: &mut Connection) -> Result<Transaction<'_>, StoreError> {
    Ok(connection.transaction_with_behavior(TransactionBehavior::Immediate)?)
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
    let transaction = begin(connection)?;
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
pub(crate) fn fresh_layout() -> Result<&'static [(String, String)], StoreError> {
    static FRESH: OnceLock<Vec<(String, String)>> = OnceLock::new();
    if let Some(fresh) = FRESH.get() {
        return Ok(fresh);
    }
    let mut connection = Connection::open_in_memory()?;
    migrate(&mut connection, 0, MIGRATIONS)?;
    let fresh = layout(&connection)?;
    Ok(FRESH.get_or_init(|| fresh))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FROZEN: &[&str] = &[include_str!("../../../../fixtures/schemas/store-1.sql")];

    fn open() -> (tempfile::TempDir, Connection) {
        let folder = tempfile::tempdir().unwrap();
        let connection = Connection::open(folder.path().join("log.sqlite")).unwrap();
        configure(&connection).unwrap();
        (folder, connection)
    }

    #[test]
    fn each_connection_is_set_as_the_design_says() {
        let (_folder, connection) = open();
        assert!(rusqlite::version_number() >= LEAST_SQLITE);
        let pragmas = [
            ("journal_mode", "wal"),
            ("synchronous", "2"),
            ("fullfsync", "1"),
            ("checkpoint_fullfsync", "1"),
            ("foreign_keys", "1"),
            ("trusted_schema", "0"),
            ("recursive_triggers", "1"),
            ("cell_size_check", "1"),
            ("secure_delete", "1"),
            ("page_size", "4096"),
            ("writable_schema", "0"),
            ("locking_mode", "exclusive"),
        ];
        for (name, expected) in pragmas {
            let value: rusqlite::types::Value = connection
                .query_row(&format!("PRAGMA {name}"), [], |row| row.get(0))
                .unwrap();
            let found = match value {
                rusqlite::types::Value::Integer(number) => number.to_string(),
                rusqlite::types::Value::Text(text) => text,
                other => panic!("{name} is {other:?}"),
            };
            assert_eq!(found, expected, "{name}");
        }
        for (flag, expected) in [
            (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
            (DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, true),
            (DbConfig::SQLITE_DBCONFIG_DQS_DML, false),
        ] {
            assert_eq!(connection.db_config(flag).unwrap(), expected);
        }
        let tables = "CREATE TABLE a (n INTEGER PRIMARY KEY) STRICT;
                      CREATE TABLE b (n INTEGER REFERENCES a (n)) STRICT;";
        connection.execute_batch(tables).unwrap();
        let refused = [
            ("INSERT INTO b VALUES (1)", "a foreign key"),
            ("INSERT INTO a VALUES ('one')", "a strict table"),
            (
                "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = 'CREATE TABLE a (m)' WHERE name = 'a'",
                "the schema's own table",
            ),
        ];
        for (sql, what) in refused {
            assert!(connection.execute_batch(sql).is_err(), "{what} does not hold");
        }
    }

    #[test]
    fn a_transaction_is_refused_at_its_beginning_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("plain.sqlite");
        // Without this store's exclusive lock, so that a second writer can come as far as beginning.
        let [mut first, mut second] = [(); 2].map(|()| {
            let connection = Connection::open(&path).unwrap();
            connection.busy_timeout(std::time::Duration::ZERO).unwrap();
            journal(&connection).unwrap();
            connection
        });
        let begun = begin(&mut first).unwrap();
        assert_eq!(
            begun.transaction_state::<&str>(None).unwrap(),
            rusqlite::TransactionState::Write,
            "before it has written anything"
        );
        assert!(matches!(begin(&mut second), Err(StoreError::InUse)));
        drop(begun);
        begin(&mut second).unwrap().commit().unwrap();
    }

    #[test]
    fn every_table_is_strict() {
        let (_folder, mut connection) = open();
        migrate(&mut connection, 0, MIGRATIONS).unwrap();
        let loose: i64 = connection
            .query_row(
                "SELECT count(*) FROM pragma_table_list
                 WHERE schema = 'main' AND strict = 0 AND name NOT LIKE 'sqlite_%'",
                [],
                |row| row.get(0),
            )
            .unwrap();
        assert_eq!(loose, 0);
    }

    #[test]
    fn a_file_of_each_old_form_becomes_what_a_fresh_one_is() {
        assert_eq!(
            FROZEN.len(),
            MIGRATIONS.len(),
            "freeze the newest form in fixtures/schemas"
        );
        for (form, frozen) in (1i64..).zip(FROZEN) {
            let (_folder, mut connection) = open();
            connection.execute_batch(frozen).unwrap();
            connection
                .pragma_update(None, "application_id", APPLICATION_ID)
                .unwrap();
            connection.pragma_update(None, "user_version", form).unwrap();
            assert_eq!(version(&connection).unwrap(), form);
            migrate(&mut connection, form, MIGRATIONS).unwrap();
            assert_eq!(layout(&connection).unwrap(), *fresh_layout().unwrap());
            assert_eq!(version(&connection).unwrap(), SCHEMA_VERSION);
        }
    }

    #[test]
    fn a_migration_that_fails_leaves_the_file_as_it_was() {
        let (_folder, mut connection) = open();
        let first = &["CREATE TABLE a (n INTEGER) STRICT; INSERT INTO a VALUES (1);"];
        migrate(&mut connection, 0, first).unwrap();
        let broken = &[
            first[0],
            "ALTER TABLE a ADD COLUMN m INTEGER;",
            "INSERT INTO nowhere VALUES (1);",
        ];
        migrate(&mut connection, 1, broken).unwrap_err();
        assert_eq!(version(&connection).unwrap(), 1);
        assert!(connection.prepare("SELECT m FROM a").is_err());
        let whole = &[
            first[0],
            "ALTER TABLE a ADD COLUMN m INTEGER;",
            "UPDATE a SET m = n + 1;",
        ];
        migrate(&mut connection, 1, whole).unwrap();
        let m: i64 = connection
            .query_row("SELECT m FROM a", [], |row| row.get(0))
            .unwrap();
        assert_eq!((m, version(&connection).unwrap()), (2, 3));
    }

    #[test]
    fn a_file_of_a_newer_form_is_left_alone() {
        let (_folder, mut connection) = open();
        let newer = ["CREATE TABLE a (n INTEGER) STRICT;"; 1];
        migrate(&mut connection, 0, &newer).unwrap();
        connection.pragma_update(None, "user_version", 9).unwrap();
        let refused = migrate(&mut connection, 9, &newer).unwrap_err();
        assert!(matches!(refused, StoreError::Newer { found: 9, known: 1 }));
        assert_eq!(version(&connection).unwrap(), 9);
    }
}
