//! Between columns and what they mean.

use rusqlite::types::FromSql;
use rusqlite::{Row, Statement};
use wythe_app::job::{Fact, Stream};
use wythe_app::sync::Trouble;

/// What the database said, with a stable code.
pub fn broken(error: rusqlite::Error) -> Trouble {
    use rusqlite::ErrorCode;
    let code = match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => "busy",
        Some(ErrorCode::DiskFull) => "no_space",
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => "damaged",
        _ => "database",
    };
    Trouble::new(code, error.to_string())
}

pub fn damaged(why: &str) -> Trouble {
    Trouble::new("damaged", format!("the books hold what cannot be read: {why}"))
}

/// SQLite counts with a sign.
pub fn signed(number: u64) -> Result<i64, Trouble> {
    i64::try_from(number).map_err(|_| Trouble::new("out_of_bounds", "a number is too large"))
}

pub fn get<T: FromSql>(row: &Row<'_>, column: usize) -> Result<T, Trouble> {
    row.get(column).map_err(broken)
}

pub fn whole_number(row: &Row<'_>, column: usize) -> Result<u64, Trouble> {
    u64::try_from(get::<i64>(row, column)?).map_err(|_| damaged("a number below zero"))
}

pub fn epoch(row: &Row<'_>, column: usize) -> Result<u32, Trouble> {
    u32::try_from(get::<i64>(row, column)?).map_err(|_| damaged("an epoch out of bounds"))
}

pub fn stream(row: &Row<'_>, column: usize) -> Result<Stream, Trouble> {
    get(row, column).map(Stream)
}

pub fn fact(row: &Row<'_>, column: usize) -> Result<Fact, Trouble> {
    let bytes: Vec<u8> = get(row, column)?;
    Fact::decode(&bytes).map_err(|why| damaged(why.code()))
}

/// All rows of a statement.
pub fn all<T>(
    statement: &mut Statement<'_>,
    with: impl rusqlite::Params,
    read: impl Fn(&Row<'_>) -> Result<T, Trouble>,
) -> Result<Vec<T>, Trouble> {
    let mut rows = statement.query(with).map_err(broken)?;
    let mut found = Vec::new();
    while let Some(row) = rows.next().map_err(broken)? {
        found.push(read(row)?);
    }
    Ok(found)
}
