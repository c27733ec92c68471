//! Which facts are safe at the office, as runs of arrival numbers.

use rusqlite::{Connection, OptionalExtension as _, Transaction, params};

use super::reading;
use crate::change::Arrival;
use crate::error::StoreError;

type Run = (i64, i64);

fn run_at(connection: &Connection, arrival: i64) -> Result<Option<Run>, StoreError> {
    let mut statement = connection
        .prepare_cached("SELECT first, last FROM safe WHERE first <= ?1 ORDER BY first DESC LIMIT 1")?;
    let found = statement.query_row([arrival], |row| Ok((row.get(0)?, row.get(1)?)));
    Ok(found.optional()?)
}

/// How many facts wait.
pub(super) fn waiting(connection: &Connection) -> Result<u64, StoreError> {
    let mut statement = connection.prepare_cached("SELECT coalesce(sum(last - first + 1), 0) FROM safe")?;
    let safe = reading::unsigned(statement.query_row([], |row| row.get(0))?)?;
    Ok(reading::last_arrival(connection)?.saturating_sub(safe))
}

/// The facts that wait, after an arrival number.
pub(super) fn waiting_facts(
    connection: &Connection,
    since: u64,
    limit: u32,
) -> Result<Vec<Arrival>, StoreError> {
    let mut found: Vec<Arrival> = Vec::new();
    let mut next = reading::signed(since.saturating_add(1));
    if let Some((_, last)) = run_at(connection, next)? {
        next = next.max(last.saturating_add(1));
    }
    let mut statement =
        connection.prepare_cached("SELECT first, last FROM safe WHERE first >= ?1 ORDER BY first LIMIT 1")?;
    loop {
        let held = u32::try_from(found.len()).unwrap_or(u32::MAX);
        let run: Option<Run> = statement
            .query_row([next], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        let end = run.map_or(i64::MAX, |(first, _)| first.saturating_sub(1));
        found.extend(reading::arrivals_within(
            connection,
            next,
            end,
            limit.saturating_sub(held),
        )?);
        match run {
            Some((_, last)) if found.len() < usize::try_from(limit).unwrap_or(usize::MAX) => {
                next = last.saturating_add(1);
            }
            _ => return Ok(found),
        }
    }
}

/// Takes note of a receipt.
pub(super) fn is_safe(transaction: &Transaction<'_>, arrival: i64) -> Result<(), StoreError> {
    let before = run_at(transaction, arrival)?;
    if before.is_some_and(|(_, last)| last >= arrival) {
        return Ok(());
    }
    let (mut first, mut last) = (arrival, arrival);
    if let Some((start, _)) = before.filter(|(_, last)| last.saturating_add(1) == arrival) {
        first = start;
    }
    let after = run_at(transaction, arrival.saturating_add(1))?;
    if let Some((start, end)) = after.filter(|(start, _)| *start > arrival) {
        remove(transaction, start)?;
        last = end;
    }
    put(transaction, first, last)
}

/// A fact that was safe waits again: it has got something that the office has not.
pub(super) fn waits_again(transaction: &Transaction<'_>, arrival: i64) -> Result<(), StoreError> {
    let Some((first, last)) = run_at(transaction, arrival)?.filter(|(_, last)| *last >= arrival) else {
        return Ok(());
    };
    remove(transaction, first)?;
    if first < arrival {
        put(transaction, first, arrival - 1)?;
    }
    if arrival < last {
        put(transaction, arrival + 1, last)?;
    }
    Ok(())
}

fn put(transaction: &Transaction<'_>, first: i64, last: i64) -> Result<(), StoreError> {
    let mut statement = transaction.prepare_cached(
        "INSERT INTO safe (first, last) VALUES (?1, ?2) ON CONFLICT (first) DO UPDATE SET last = excluded.last",
    )?;
    statement.execute(params![first, last])?;
    Ok(())
}

fn remove(transaction: &Transaction<'_>, first: i64) -> Result<(), StoreError> {
    transaction
        .prepare_cached("DELETE FROM safe WHERE first = ?1")?
        .execute([first])?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::sqlite::schema;

    #[test]
    fn runs_hold_exactly_the_numbers_that_were_given() {
        let mut connection = Connection::open_in_memory().unwrap();
        schema::migrate(&mut connection, 0, schema::MIGRATIONS).unwrap();
        let mut expected = BTreeSet::new();
        let mut chance = 1u64;
        for _ in 0..600 {
            chance = chance
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let arrival = i64::try_from((chance >> 33) % 60 + 1).unwrap();
            let transaction = schema::begin(&mut connection).unwrap();
            if (chance >> 20).is_multiple_of(3) {
                waits_again(&transaction, arrival).unwrap();
                expected.remove(&arrival);
            } else {
                is_safe(&transaction, arrival).unwrap();
                expected.insert(arrival);
            }
            transaction.commit().unwrap();
            let mut statement = connection
                .prepare("SELECT first, last FROM safe ORDER BY first")
                .unwrap();
            let runs: Vec<Run> = statement
                .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
                .unwrap()
                .map(Result::unwrap)
                .collect();
            let held: BTreeSet<i64> = runs.iter().flat_map(|(first, last)| *first..=*last).collect();
            assert_eq!(held, expected);
            assert!(
                runs.windows(2).all(|two| two[0].1 + 1 < two[1].0),
                "runs do not touch: {runs:?}"
            );
        }
    }
}
