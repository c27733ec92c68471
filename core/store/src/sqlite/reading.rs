//! What is read. Each takes a connection, which a transaction is too.

use rusqlite::{Connection, OptionalExtension as _, Row as SqlRow, params};
use sha2::{Digest as _, Sha256};
use wythe_job::{Digest, Fact, FactId, Facts, Stream};

use super::safe;
use crate::change::{Area, Arrival, Waiting, WaitingOriginal};
use crate::error::StoreError;
use crate::projection::{Page, Row, Summary};

const FACT: &str =
    "SELECT facts.arrival, facts.id, facts.envelope, facts.signature, facts.sum, payloads.bytes
    FROM facts LEFT JOIN payloads ON payloads.arrival = facts.arrival";

/// What a fact's row carries beside its envelope and signature, to notice when bytes have rotted.
pub(crate) fn fact_sum(envelope: &[u8], signature: &[u8; 64]) -> [u8; 8] {
    let mut hash = Sha256::new();
    hash.update(envelope);
    hash.update(signature);
    first_eight(hash)
}

/// The same for a kept value.
pub(crate) fn kept_sum(area: &str, key: &str, revision: i64, value: Option<&[u8]>) -> [u8; 8] {
    let mut hash = Sha256::new();
    for part in [area.as_bytes(), key.as_bytes()] {
        hash.update(u64::try_from(part.len()).unwrap_or(u64::MAX).to_be_bytes());
        hash.update(part);
    }
    hash.update(revision.to_be_bytes());
    hash.update([u8::from(value.is_some())]);
    hash.update(value.unwrap_or_default());
    first_eight(hash)
}

fn first_eight(hash: Sha256) -> [u8; 8] {
    let mut sum = [0; 8];
    for (to, from) in sum.iter_mut().zip(hash.finalize()) {
        *to = from;
    }
    sum
}

/// A count or number that SQLite keeps signed.
pub(crate) fn unsigned(number: i64) -> Result<u64, StoreError> {
    u64::try_from(number).map_err(|_| StoreError::damaged("a number below zero"))
}

/// The same the other way; far beyond any number that occurs, it stays at the largest.
pub(crate) fn signed(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

type Parts = (i64, Vec<u8>, Vec<u8>, Vec<u8>, Vec<u8>, Option<Vec<u8>>);

fn parts(row: &SqlRow<'_>) -> rusqlite::Result<Parts> {
    Ok((
        row.get(0)?,
        row.get(1)?,
        row.get(2)?,
        row.get(3)?,
        row.get(4)?,
        row.get(5)?,
    ))
}

/// Puts a fact together and checks that it is what was written.
fn arrival_of(parts: Parts) -> Result<Arrival, StoreError> {
    let (number, id, envelope, signature, sum, payload) = parts;
    let wrong = || StoreError::damaged(format!("the fact that came as number {number}"));
    let signature: [u8; 64] = signature.try_into().map_err(|_| wrong())?;
    if fact_sum(&envelope, &signature).as_slice() != sum.as_slice() {
        return Err(wrong());
    }
    let fact = Fact::from_parts(&envelope, signature, payload).map_err(|_| wrong())?;
    if fact.id().0.as_slice() != id.as_slice() {
        return Err(wrong());
    }
    Ok(Arrival {
        number: unsigned(number)?,
        fact,
    })
}

pub(crate) fn fact(connection: &Connection, id: FactId) -> Result<Option<Arrival>, StoreError> {
    let mut statement = connection.prepare_cached(&format!("{FACT} WHERE facts.id = ?1"))?;
    let found = statement.query_row([id.0], parts).optional()?;
    found.map(arrival_of).transpose()
}

/// Where a fact stands, and whether its payload is here.
pub(crate) fn place(connection: &Connection, id: FactId) -> Result<Option<(i64, bool)>, StoreError> {
    let mut statement = connection.prepare_cached(
        "SELECT arrival, EXISTS (SELECT 1 FROM payloads WHERE payloads.arrival = facts.arrival)
         FROM facts WHERE id = ?1",
    )?;
    let found = statement.query_row([id.0], |row| Ok((row.get(0)?, row.get(1)?)));
    Ok(found.optional()?)
}

pub(crate) fn facts(connection: &Connection, stream: Stream) -> Result<Facts, StoreError> {
    let mut statement = connection.prepare_cached(&format!("{FACT} WHERE facts.stream = ?1"))?;
    let mut facts = Facts::new();
    for row in statement.query_map([stream.0], parts)? {
        facts.insert(arrival_of(row?)?.fact);
    }
    Ok(facts)
}

pub(crate) fn arrivals(connection: &Connection, since: u64, limit: u32) -> Result<Vec<Arrival>, StoreError> {
    arrivals_within(connection, signed(since.saturating_add(1)), i64::MAX, limit)
}

/// The facts of a run of arrival numbers, both ends included.
pub(crate) fn arrivals_within(
    connection: &Connection,
    first: i64,
    last: i64,
    limit: u32,
) -> Result<Vec<Arrival>, StoreError> {
    let mut statement = connection.prepare_cached(&format!(
        "{FACT} WHERE facts.arrival BETWEEN ?1 AND ?2 ORDER BY facts.arrival LIMIT ?3"
    ))?;
    let rows = statement.query_map(params![first, last, limit], parts)?;
    rows.map(|row| arrival_of(row?)).collect()
}

/// Whether an erasure in the fact's own stream names it.
pub(crate) fn is_erased(connection: &Connection, id: FactId, stream: Stream) -> Result<bool, StoreError> {
    let mut statement = connection.prepare_cached(
        "SELECT EXISTS (SELECT 1 FROM erasures JOIN facts ON facts.arrival = erasures.by
         WHERE erasures.target = ?1 AND facts.stream = ?2)",
    )?;
    Ok(statement.query_row(params![id.0, stream.0], |row| row.get(0))?)
}

pub(crate) fn last_arrival(connection: &Connection) -> Result<u64, StoreError> {
    let mut statement = connection.prepare_cached("SELECT coalesce(max(arrival), 0) FROM facts")?;
    unsigned(statement.query_row([], |row| row.get(0))?)
}

pub(crate) fn streams(connection: &Connection) -> Result<Vec<Stream>, StoreError> {
    // Goes from each stream to the next one by the index, without looking at every fact.
    let mut statement = connection.prepare_cached(
        "WITH RECURSIVE each (stream) AS (
           SELECT min(stream) FROM facts
           UNION ALL
           SELECT (SELECT min(stream) FROM facts WHERE stream > each.stream) FROM each
           WHERE each.stream IS NOT NULL
         ) SELECT stream FROM each WHERE stream IS NOT NULL",
    )?;
    let rows = statement.query_map([], |row| row.get::<_, [u8; 16]>(0))?;
    Ok(rows.map(|row| row.map(Stream)).collect::<Result<_, _>>()?)
}

fn summary_of(row: &SqlRow<'_>) -> rusqlite::Result<Row> {
    Ok(Row {
        stream: Stream(row.get(0)?),
        summary: Summary {
            label: row.get(1)?,
            sort_key: row.get(2)?,
            json: row.get(3)?,
            search: row.get(4)?,
        },
    })
}

pub(crate) fn summary(connection: &Connection, stream: Stream) -> Result<Option<Summary>, StoreError> {
    let mut statement = connection
        .prepare_cached("SELECT stream, label, sort_key, json, search FROM summaries WHERE stream = ?1")?;
    let found = statement.query_row([stream.0], summary_of).optional()?;
    Ok(found.map(|row| row.summary))
}

pub(crate) fn summaries(connection: &Connection, page: &Page) -> Result<Vec<Row>, StoreError> {
    let mut statement = connection.prepare_cached(
        "SELECT stream, label, sort_key, json, search FROM summaries
         WHERE (sort_key, stream) > (?1, ?2) AND (?3 IS NULL OR instr(search, ?3) > 0)
         ORDER BY sort_key, stream LIMIT ?4",
    )?;
    // An empty blob is below every stream, and nothing is below an empty text.
    let (key, stream) = page
        .after
        .as_ref()
        .map_or(("", &[][..]), |(key, stream)| (key.as_str(), &stream.0[..]));
    let rows = statement.query_map(params![key, stream, page.search, page.limit], summary_of)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

type KeptRow = (String, Option<Vec<u8>>, i64, Vec<u8>);

fn kept_row(row: &SqlRow<'_>) -> rusqlite::Result<KeptRow> {
    Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
}

fn checked(area: Area, row: KeptRow) -> Result<(String, Option<Vec<u8>>), StoreError> {
    let (key, value, revision, sum) = row;
    if kept_sum(area.name(), &key, revision, value.as_deref()).as_slice() == sum.as_slice() {
        Ok((key, value))
    } else {
        Err(StoreError::damaged(format!("a kept {}", area.name())))
    }
}

pub(crate) fn kept(connection: &Connection, area: Area, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
    let mut statement = connection
        .prepare_cached("SELECT key, value, revision, sum FROM kept WHERE area = ?1 AND key = ?2")?;
    let found = statement
        .query_row(params![area.name(), key], kept_row)
        .optional()?;
    Ok(found
        .map(|row| checked(area, row))
        .transpose()?
        .and_then(|(_, value)| value))
}

pub(crate) fn kept_under(
    connection: &Connection,
    area: Area,
    prefix: &str,
) -> Result<Vec<(String, Vec<u8>)>, StoreError> {
    let mut statement = connection.prepare_cached(
        "SELECT key, value, revision, sum FROM kept WHERE area = ?1 AND key >= ?2 ORDER BY key",
    )?;
    let mut found = Vec::new();
    for row in statement.query_map(params![area.name(), prefix], kept_row)? {
        let (key, value) = checked(area, row?)?;
        if !key.starts_with(prefix) {
            break;
        }
        found.extend(value.map(|value| (key, value)));
    }
    Ok(found)
}

pub(crate) fn waiting(connection: &Connection) -> Result<Waiting, StoreError> {
    let mut statement = connection
        .prepare_cached("SELECT count(*), coalesce(sum(bytes), 0) FROM originals WHERE safe = 0")?;
    let (originals, bytes) = statement.query_row([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(Waiting {
        facts: safe::waiting(connection)?,
        originals: unsigned(originals)?,
        bytes: unsigned(bytes)?,
    })
}

pub(crate) fn waiting_originals(
    connection: &Connection,
    limit: u32,
) -> Result<Vec<WaitingOriginal>, StoreError> {
    let mut statement = connection
        .prepare_cached("SELECT digest, bytes FROM originals WHERE safe = 0 ORDER BY digest LIMIT ?1")?;
    let rows = statement.query_map([limit], |row| Ok((row.get(0)?, row.get::<_, i64>(1)?)))?;
    rows.map(|row| {
        let (digest, bytes) = row?;
        Ok(WaitingOriginal {
            digest: Digest(digest),
            bytes: unsigned(bytes)?,
        })
    })
    .collect()
}

pub(crate) fn original_is_safe(connection: &Connection, digest: Digest) -> Result<bool, StoreError> {
    let mut statement = connection
        .prepare_cached("SELECT EXISTS (SELECT 1 FROM originals WHERE digest = ?1 AND safe = 1)")?;
    Ok(statement.query_row([digest.0], |row| row.get(0))?)
}

pub(crate) fn named_by(connection: &Connection, digest: Digest) -> Result<Vec<FactId>, StoreError> {
    let mut statement = connection.prepare_cached(
        "SELECT facts.id FROM named JOIN facts ON facts.arrival = named.fact
         WHERE named.digest = ?1 ORDER BY facts.id",
    )?;
    let rows = statement.query_map([digest.0], |row| row.get(0))?;
    Ok(rows.map(|row| row.map(FactId)).collect::<Result<_, _>>()?)
}

pub(crate) fn removals(connection: &Connection) -> Result<Vec<Digest>, StoreError> {
    let mut statement = connection.prepare_cached("SELECT digest FROM removals")?;
    let rows = statement.query_map([], |row| row.get(0))?;
    Ok(rows.map(|row| row.map(Digest)).collect::<Result<_, _>>()?)
}
