use std::collections::BTreeSet;

use wythe_guide::readiness::State;
use wythe_guide::row_label;
use wythe_guide::screen::{rests_on, why_in_words};
use wythe_job::FactId;

use crate::claims::{Row, State as Shown};
use crate::members::{original_name, short_name};
use crate::paper::{Align, Block, Column, Level, Rich, Table};

use super::ClaimInput;

/// What stands in a cell where there is nothing to say: an empty cell is no cell to a screen reader.
pub(super) const NOTHING: &str = "–";

/// One row for each thing that the programme wants.
pub(super) fn rows(input: &ClaimInput<'_, '_>) -> Vec<Row> {
    wanted(input).map(|row| made(input, row)).collect()
}

/// What the programme wants, as far as this reader is shown it.
fn wanted<'c>(input: &'c ClaimInput<'_, '_>) -> impl Iterator<Item = &'c wythe_guide::Row> {
    let rows = input.readiness.rows.iter();
    rows.filter(|row| row.required && (input.sees)(row))
}

fn made(input: &ClaimInput<'_, '_>, row: &wythe_guide::Row) -> Row {
    let words = input.words;
    let mut requirement = row.id.clone();
    for (group, number) in &row.path {
        requirement.push_str(&format!("@{group}:{number}"));
    }
    let mut text = row_label(row, words);
    let state = match row.state {
        State::Met => Shown::Met,
        State::Doubtful => Shown::Doubtful,
        State::DoesNotCount => Shown::Failed,
        State::Missing | State::Disagreeing => Shown::Open,
        State::Waiting => Shown::Waiting,
        State::NotNeeded => Shown::NotNeeded,
    };
    text.push_str(&format!(
        ": {}.",
        words.get(&format!("shown-{}", state_code(state)))
    ));
    if let Some(why) = &row.why {
        text.push_str(&format!(" {}", why_in_words(why, words)));
    }
    let facts: BTreeSet<FactId> = row.evidence.iter().copied().collect();
    let members = facts.iter().flat_map(|fact| members_of(input, *fact)).collect();
    Row {
        facts,
        members,
        requirement,
        state,
        text,
    }
}

fn state_code(state: Shown) -> &'static str {
    match state {
        Shown::Met => "met",
        Shown::Doubtful => "doubtful",
        Shown::Failed => "failed",
        Shown::Open => "open",
        Shown::Waiting => "waiting",
        Shown::NotNeeded => "not-needed",
    }
}

/// The names under which a fact's originals lie in the pack.
fn members_of(input: &ClaimInput<'_, '_>, fact: FactId) -> Vec<String> {
    let job = input.known.job;
    let photos = job
        .photos
        .iter()
        .filter(|entry| entry.fact == fact)
        .map(|entry| &entry.body.original);
    let papers = job
        .papers
        .iter()
        .filter(|entry| entry.fact == fact)
        .map(|entry| &entry.body.original);
    let originals = photos
        .chain(papers)
        .filter(|original| (input.shown)(original.digest));
    originals
        .map(|original| original_name(original.digest, &original.media_type))
        .collect()
}

/// The evidence table: what is wanted, how it stands, on what it rests, where it lies.
pub(super) fn blocks(input: &ClaimInput<'_, '_>, rows: &[Row]) -> Vec<Block> {
    let words = input.words;
    let lines = wanted(input).zip(rows).map(|(row, shown)| {
        // The text of the row, letter for letter as claims.json has it; what is asked for in bold.
        let label = row_label(row, words);
        let rest = shown.text.strip_prefix(&label).unwrap_or_default();
        let rests = match rests_on(row, words) {
            Some(rests) => rests,
            None if row.evidence.is_empty() => NOTHING.to_owned(),
            None => words.get("rests-signed"),
        };
        vec![
            Rich::new().bold(label.as_str()).plain(rest),
            rests.as_str().into(),
            where_it_lies(input, shown).as_str().into(),
        ]
    });
    let column = |head: &str, share: f64| Column {
        head: words.get(head),
        share,
        align: Align::Start,
    };
    vec![
        input.heading(Level::Two, "claim-evidence"),
        Block::Paragraph(words.get("claim-evidence-how").as_str().into()),
        Block::Table(Table {
            summary: words.get("claim-evidence-how"),
            columns: vec![
                column("claim-column-wanted", 5.2),
                column("claim-column-rests", 2.6),
                column("claim-column-where", 2.0),
            ],
            rows: lines.collect(),
        }),
    ]
}

fn where_it_lies(input: &ClaimInput<'_, '_>, row: &Row) -> String {
    let mut parts: Vec<String> = row.members.iter().map(|name| short_name(name)).collect();
    let plain = row.facts.len().saturating_sub(row.members.len());
    if plain > 0 {
        parts.push(
            input
                .words
                .with("claim-entries", &[("count", &plain.to_string())]),
        );
    }
    if parts.is_empty() {
        NOTHING.to_owned()
    } else {
        parts.join(", ")
    }
}
