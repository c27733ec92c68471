//! What is written. Each takes a transaction, so that nothing is written outside of one.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::{Transaction, params};
use wythe_job::{Body, BusinessId, Digest, Fact, FactId, Stream};

use super::{reading, safe};
use crate::change::{Appended, Area, Change, Kept, Source};
use crate::error::StoreError;
use crate::log::{erasure_in, is_erasable};
use crate::projection::Summary;

const BUSINESS: &str = "business";

/// What a change did, beyond what its caller is told.
#[derive(Default)]
pub(crate) struct Done {
    pub(crate) appended: Appended,
    /// Facts as they were written, by stream.
    pub(crate) written: BTreeMap<Stream, Vec<Fact>>,
    /// Streams in which a payload was dropped.
    pub(crate) dropped_in: BTreeSet<Stream>,
    /// Originals whose erasure is recorded.
    pub(crate) removals: Vec<Digest>,
}

/// Applies a change but for the summaries.
pub(crate) fn change(
    transaction: &Transaction<'_>,
    change: &Change<'_>,
    waits_for_office: bool,
) -> Result<Done, StoreError> {
    let mut done = Done::default();
    let mut last = reading::last_arrival(transaction)?;
    if !change.facts.is_empty() {
        same_business(transaction, change.facts)?;
    }
    let waits = waits_for_office && change.source == Source::Here;
    for fact in change.facts {
        take(transaction, fact, change.source, waits, &mut last, &mut done)?;
    }
    for id in change.safe_facts {
        if let Some((arrival, _)) = reading::place(transaction, *id)? {
            safe::is_safe(transaction, arrival)?;
        }
    }
    for digest in change.safe_originals {
        let mut statement = transaction.prepare_cached(
            "INSERT INTO originals (digest, bytes, safe) VALUES (?1, 0, 1)
             ON CONFLICT (digest) DO UPDATE SET safe = 1",
        )?;
        statement.execute([digest.0])?;
    }
    for kept in &change.kept {
        keep(transaction, kept)?;
    }
    done.appended.last_arrival = last;
    Ok(done)
}

fn same_business(transaction: &Transaction<'_>, facts: &[Fact]) -> Result<(), StoreError> {
    let held = reading::kept(transaction, Area::Store, BUSINESS)?;
    let mut expected = held.and_then(|bytes| BusinessId::from_slice(&bytes));
    for fact in facts {
        let found = fact.envelope().business;
        match expected {
            None => {
                keep(
                    transaction,
                    &Kept {
                        area: Area::Store,
                        key: BUSINESS.into(),
                        value: Some(found.0.to_vec()),
                    },
                )?;
                expected = Some(found);
            }
            Some(expected) if found != expected => {
                return Err(StoreError::OtherBusiness {
                    fact: fact.id(),
                    found,
                    expected,
                });
            }
            Some(_) => {}
        }
    }
    Ok(())
}

fn take(
    transaction: &Transaction<'_>,
    fact: &Fact,
    source: Source,
    waits: bool,
    last: &mut u64,
    done: &mut Done,
) -> Result<(), StoreError> {
    let id = fact.id();
    let stream = fact.envelope().stream;
    let erased = is_erasable(fact) && reading::is_erased(transaction, id, stream)?;
    let payload = fact.payload().filter(|_| !erased);
    let arrival = match reading::place(transaction, id)? {
        None => {
            *last += 1;
            let arrival = reading::signed(*last);
            insert(transaction, arrival, fact)?;
            done.appended.new.push(id);
            arrival
        }
        Some((arrival, false)) if payload.is_some() => {
            done.appended.filled.push(id);
            arrival
        }
        Some((arrival, _)) => {
            if source == Source::Office && fact.payload().is_some() {
                safe::is_safe(transaction, arrival)?;
            }
            return Ok(());
        }
    };
    match source {
        Source::Here if waits => safe::waits_again(transaction, arrival)?,
        Source::Office => safe::is_safe(transaction, arrival)?,
        Source::Here => {}
    }
    let written = done.written.entry(stream).or_default();
    let Some(payload) = payload else {
        written.push(fact.without_payload());
        return Ok(());
    };
    written.push(fact.clone());
    let mut statement =
        transaction.prepare_cached("INSERT INTO payloads (arrival, bytes) VALUES (?1, ?2)")?;
    statement.execute(params![arrival, payload.bytes()])?;
    name_originals(transaction, arrival, fact, waits)?;
    erase(transaction, arrival, fact, done)
}

fn insert(transaction: &Transaction<'_>, arrival: i64, fact: &Fact) -> Result<(), StoreError> {
    let mut statement = transaction.prepare_cached(
        "INSERT INTO facts (arrival, id, stream, kind, envelope, signature, sum)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    let envelope = fact.envelope();
    statement.execute(params![
        arrival,
        fact.id().0,
        envelope.stream.0,
        envelope.kind,
        fact.envelope_bytes(),
        fact.signature(),
        reading::fact_sum(fact.envelope_bytes(), fact.signature()),
    ])?;
    Ok(())
}

fn name_originals(
    transaction: &Transaction<'_>,
    arrival: i64,
    fact: &Fact,
    waits: bool,
) -> Result<(), StoreError> {
    for original in fact.body().iter().flat_map(Body::originals) {
        let mut statement =
            transaction.prepare_cached("INSERT OR IGNORE INTO named (digest, fact) VALUES (?1, ?2)")?;
        statement.execute(params![original.digest.0, arrival])?;
        if waits {
            let mut statement = transaction
                .prepare_cached("INSERT OR IGNORE INTO originals (digest, bytes, safe) VALUES (?1, ?2, 0)")?;
            statement.execute(params![original.digest.0, reading::signed(original.bytes)])?;
        }
    }
    Ok(())
}

/// If the fact says an erasure, writes that down and drops the payload it names.
fn erase(transaction: &Transaction<'_>, by: i64, fact: &Fact, done: &mut Done) -> Result<(), StoreError> {
    let Some(erasure) = erasure_in(fact) else {
        return Ok(());
    };
    let mut statement =
        transaction.prepare_cached("INSERT OR IGNORE INTO erasures (target, by) VALUES (?1, ?2)")?;
    statement.execute(params![erasure.fact.0, by])?;
    let stream = fact.envelope().stream;
    let Some(target) = reading::fact(transaction, erasure.fact)? else {
        return Ok(());
    };
    let droppable = target.fact.envelope().stream == stream && is_erasable(&target.fact);
    if target.fact.payload().is_none() || !droppable {
        return Ok(());
    }
    let arrival = reading::signed(target.number);
    transaction.execute("DELETE FROM payloads WHERE arrival = ?1", [arrival])?;
    for original in target.fact.body().iter().flat_map(Body::originals) {
        let digest = original.digest;
        transaction.execute(
            "DELETE FROM named WHERE digest = ?1 AND fact = ?2",
            params![digest.0, arrival],
        )?;
        if erasure.original.is_some() && reading::named_by(transaction, digest)?.is_empty() {
            transaction.execute("DELETE FROM originals WHERE digest = ?1", [digest.0])?;
            transaction.execute("INSERT OR IGNORE INTO removals (digest) VALUES (?1)", [digest.0])?;
            done.removals.push(digest);
        }
    }
    done.appended.erased.push(erasure.fact);
    done.dropped_in.insert(stream);
    Ok(())
}

pub(crate) fn keep(transaction: &Transaction<'_>, kept: &Kept) -> Result<(), StoreError> {
    let area = kept.area.name();
    let mut statement = transaction
        .prepare_cached("SELECT coalesce(max(revision), 0) + 1 FROM kept WHERE area = ?1 AND key = ?2")?;
    let revision: i64 = statement.query_row(params![area, kept.key], |row| row.get(0))?;
    keep_revision(transaction, area, &kept.key, revision, kept.value.as_deref())
}

/// Writes a value with the revision it has; a salvage keeps those it found.
pub(crate) fn keep_revision(
    transaction: &Transaction<'_>,
    area: &str,
    key: &str,
    revision: i64,
    value: Option<&[u8]>,
) -> Result<(), StoreError> {
    let mut statement = transaction.prepare_cached(
        "INSERT INTO kept (area, key, value, revision, sum) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (area, key) DO UPDATE
         SET value = excluded.value, revision = excluded.revision, sum = excluded.sum
         WHERE excluded.revision > kept.revision",
    )?;
    let sum = reading::kept_sum(area, key, revision, value);
    statement.execute(params![area, key, value, revision, sum])?;
    Ok(())
}

pub(crate) fn summary(
    transaction: &Transaction<'_>,
    stream: Stream,
    summary: &Summary,
) -> Result<(), StoreError> {
    let row = params![
        stream.0,
        summary.label,
        summary.sort_key,
        summary.json,
        summary.search
    ];
    // Mostly a job keeps its place in the list: then the list's index is not written.
    let mut statement = transaction.prepare_cached(
        "UPDATE summaries SET label = ?2, json = ?4, search = ?5 WHERE stream = ?1 AND sort_key = ?3",
    )?;
    if statement.execute(row)? == 0 {
        let mut statement = transaction.prepare_cached(
            "INSERT INTO summaries (stream, label, sort_key, json, search) VALUES (?1, ?2, ?3, ?4, ?5)
             ON CONFLICT (stream) DO UPDATE SET label = excluded.label, sort_key = excluded.sort_key,
               json = excluded.json, search = excluded.search",
        )?;
        statement.execute(row)?;
    }
    Ok(())
}

pub(crate) fn removed(transaction: &Transaction<'_>, digest: Digest) -> Result<(), StoreError> {
    transaction.execute("DELETE FROM removals WHERE digest = ?1", [digest.0])?;
    Ok(())
}

/// The facts of a change that name originals and that the store has not yet whole.
pub(crate) fn not_yet_whole<'a>(
    connection: &rusqlite::Connection,
    facts: &'a [Fact],
) -> Result<Vec<&'a Fact>, StoreError> {
    let mut open = Vec::new();
    for fact in facts {
        if fact.body().is_none_or(|body| body.originals().is_empty()) {
            continue;
        }
        let id: FactId = fact.id();
        let whole = reading::place(connection, id)?.is_some_and(|(_, whole)| whole);
        if !whole && !reading::is_erased(connection, id, fact.envelope().stream)? {
            open.push(fact);
        }
    }
    Ok(open)
}
