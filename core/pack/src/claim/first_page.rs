use wythe_drawing::WallSize;
use wythe_guide::readiness::Due;
use wythe_guide::screen::{value_in_words, why_in_words};
use wythe_guide::{Standing, row_label, wall_of};
use wythe_job::Held;

use crate::paper::{Block, Figure, FigureSize, Level, Notice, NoticeKind, Rich};

use super::ClaimInput;

/// What may be paid, for what, and what stands in the way.
pub(super) fn blocks(input: &ClaimInput<'_, '_>) -> Vec<Block> {
    let words = input.words;
    let title = words.with("claim-title", &[("programme", &input.programme.name)]);
    let mut blocks = vec![Block::Heading(Level::One, title)];
    if !input.asks_payment {
        blocks.push(Block::Pairs(facts_at_a_glance(input)));
        return blocks;
    }
    blocks.push(verdict(input));
    blocks.push(Block::Pairs(facts_at_a_glance(input)));
    let drawing = wall_of(input.known.guide, input.readiness, words, WallSize::Page);
    blocks.push(Block::Figure(Figure {
        drawing,
        size: FigureSize::Fit {
            share: 1.0,
            height: 92.0,
        },
        caption: words.get("claim-wall").as_str().into(),
    }));
    let missing = input.readiness.missing();
    if !missing.is_empty() {
        blocks.push(input.heading(Level::Two, "claim-missing"));
        let item = |row: &&wythe_guide::Row| {
            let mut text = Rich::new().bold(row_label(row, words));
            if let Some(why) = &row.why {
                text = text.plain(format!(". {}", why_in_words(why, words)));
            }
            if let Some(due) = row.due {
                text = text.plain(format!(
                    " {}",
                    words.with("row-by", &[("date", &input.date(due))])
                ));
            }
            text
        };
        blocks.push(Block::List(missing.iter().map(item).collect()));
    }
    let deadlines: Vec<(String, Rich)> = input
        .readiness
        .deadlines
        .iter()
        .filter_map(|due| deadline(input, due))
        .collect();
    if !deadlines.is_empty() {
        blocks.push(input.heading(Level::Two, "claim-deadlines"));
        blocks.push(Block::Pairs(deadlines));
    }
    blocks
}

fn deadline(input: &ClaimInput<'_, '_>, due: &Due) -> Option<(String, Rich)> {
    let on = input.date(due.on?);
    let text = match due.met {
        Some(met) => input
            .words
            .with("claim-due-met", &[("due", &on), ("met", &input.date(met))]),
        None => input.words.with("claim-due-open", &[("due", &on)]),
    };
    Some((
        wythe_guide::screen::due_label(due, input.words),
        text.as_str().into(),
    ))
}

fn verdict(input: &ClaimInput<'_, '_>) -> Block {
    let words = input.words;
    let readiness = input.readiness;
    if readiness.claim_is_whole() {
        return Block::Notice(Notice {
            kind: NoticeKind::Note,
            word: words.get("claim-whole-word"),
            text: vec![
                words
                    .with("claim-whole", &[("programme", &input.programme.name)])
                    .as_str()
                    .into(),
            ],
        });
    }
    let mut text: Vec<Rich> = Vec::new();
    for open in &readiness.stops {
        text.push(words.get(&format!("stop-{}", open.stop.code)).as_str().into());
    }
    if readiness.needs_newer_program {
        text.push(words.get("newer-program").as_str().into());
    }
    let count = readiness.missing().len().to_string();
    text.push(
        words
            .with("claim-not-whole", &[("count", &count)])
            .as_str()
            .into(),
    );
    let kind = if readiness.sign_off_is_open() {
        NoticeKind::Caution
    } else {
        NoticeKind::Stop
    };
    Block::Notice(Notice {
        kind,
        word: words.get("claim-not-whole-word"),
        text,
    })
}

/// The head of the claim: who, where, what, how much. The asks are named in the messages, so that a
/// guide with other asks needs no code.
fn facts_at_a_glance(input: &ClaimInput<'_, '_>) -> Vec<(String, Rich)> {
    let words = input.words;
    let mut pairs: Vec<(String, Rich)> = Vec::new();
    if let Some(opened) = input.known.job.opened.first() {
        pairs.push((
            words.get("claim-house"),
            opened.body.address.join(", ").as_str().into(),
        ));
    }
    pairs.push((
        words.get("claim-programme"),
        format!("{}, {}", input.programme.name, input.programme.edition)
            .as_str()
            .into(),
    ));
    pairs.push((words.get("claim-business"), input.business.into()));
    for ask in &input.known.guide.glance {
        let Some(known) = input.known.guide.ask(ask) else {
            continue;
        };
        let addresses = input.known.addresses(known, &[]);
        let standings = addresses.iter().map(|address| input.known.standing(address));
        let answers: Vec<String> = standings
            .filter_map(|standing| match standing {
                Standing::Holds(entry) => Some(input.value(&entry.body)),
                _ => None,
            })
            .collect();
        if !answers.is_empty() {
            pairs.push((
                words.get(&format!("ask-{ask}")),
                answers.join("; ").as_str().into(),
            ));
        }
    }
    if input.asks_payment {
        let grant = format!("{} {}", input.programme.grant, input.programme.currency);
        pairs.push((words.get("claim-grant"), Rich::new().bold(grant)));
    }
    pairs.push((words.get("claim-as-of"), input.date(input.as_of).as_str().into()));
    pairs
}

impl ClaimInput<'_, '_> {
    /// An answer as the claim shows it.
    pub(super) fn value(&self, held: &Held) -> String {
        value_in_words(held, self.words, self.name)
    }
}
