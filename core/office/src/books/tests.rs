//! What the file itself refuses, and how each connection is set.

use super::*;

fn open() -> (tempfile::TempDir, SqliteOffice) {
    let folder = tempfile::tempdir().unwrap();
    let mut office = SqliteOffice::open(&folder.path().join("office.sqlite")).unwrap();
    office.make_room(BusinessId([7; 16])).unwrap();
    (folder, office)
}

#[test]
fn each_connection_is_set_for_what_must_last() {
    let (_folder, office) = open();
    for (name, expected) in [
        ("journal_mode", "wal"),
        ("synchronous", "2"),
        ("foreign_keys", "1"),
        ("trusted_schema", "0"),
        ("recursive_triggers", "1"),
        ("secure_delete", "1"),
    ] {
        let value: rusqlite::types::Value = office
            .connection
            .query_row(&format!("PRAGMA {name}"), [], |row| row.get(0))
            .unwrap();
        let found = match value {
            rusqlite::types::Value::Integer(number) => number.to_string(),
            rusqlite::types::Value::Text(text) => text,
            other => panic!("{name} is {other:?}"),
        };
        assert_eq!(found, expected, "{name}");
    }
    let loose: i64 = office
        .connection
        .query_row(
            "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table'
             AND name NOT LIKE 'sqlite_%' AND NOT strict",
            [],
            |row| row.get(0),
        )
        .unwrap();
    assert_eq!(loose, 0, "every table is strict");
}

#[test]
fn the_file_itself_refuses_to_change_what_came() {
    let (_folder, office) = open();
    let business = format!("x'{}'", "07".repeat(16));
    let id = format!("x'{}'", "22".repeat(32));
    let short = format!("x'{}'", "33".repeat(16));
    let setting_up = format!(
        "INSERT INTO fact VALUES ({business}, 4, {id}, {short}, {short}, 1, 1, 1, {short}, 1, x'00');
         INSERT INTO record VALUES ({business}, 1, x'00', {id});
         INSERT INTO certificate VALUES ({business}, {short}, 1, x'00');
         INSERT INTO life VALUES ({business}, 1, {short});
         UPDATE book SET last = 4;"
    );
    office.connection.execute_batch(&setting_up).unwrap();
    let refused = [
        "UPDATE fact SET bytes = x'01'",
        "UPDATE fact SET number = 9",
        "UPDATE fact SET carrier_epoch = 2",
        "UPDATE fact SET whole = 0, bytes = x'01'",
        "DELETE FROM fact",
        "INSERT OR REPLACE INTO fact SELECT business, number, id, stream, device, epoch, chain_number, whole,
             carrier_device, carrier_epoch, x'01' FROM fact",
        "UPDATE record SET bytes = x'01'",
        "DELETE FROM record",
        "UPDATE certificate SET bytes = x'01'",
        "DELETE FROM certificate",
        "UPDATE life SET place = 2",
        "DELETE FROM life",
        "UPDATE book SET last = 3",
    ];
    for sql in refused {
        assert!(office.connection.execute_batch(sql).is_err(), "{sql}");
    }
    let erased = format!(
        "INSERT INTO erasure VALUES ({business}, {id}, {short});
         UPDATE fact SET whole = 0, bytes = x'01';
         UPDATE fact SET whole = 1, bytes = x'00', number = 5;"
    );
    office.connection.execute_batch(&erased).unwrap();
    for sql in ["DELETE FROM erasure", "UPDATE erasure SET stream = fact"] {
        assert!(office.connection.execute_batch(sql).is_err(), "{sql}");
    }
}

#[test]
fn another_file_or_a_newer_one_is_refused_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    for (sql, code) in [
        ("CREATE TABLE a (n INTEGER)", "damaged"),
        (
            "PRAGMA application_id = 1465470790; PRAGMA user_version = 99; CREATE TABLE a (n INTEGER)",
            "newer",
        ),
    ] {
        let file = folder.path().join(code);
        Connection::open(&file).unwrap().execute_batch(sql).unwrap();
        assert_eq!(SqliteOffice::open(&file).unwrap_err().code, code);
        let left: i64 = Connection::open(&file)
            .unwrap()
            .query_row("SELECT count(*) FROM a", [], |row| row.get(0))
            .unwrap();
        assert_eq!(left, 0);
    }
}
