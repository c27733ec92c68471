use wythe_drawing::{Brick as Drawn, BrickState, Course, Drawing, Wall, WallSize, wall};

use crate::guide::Guide;
use crate::readiness::{Readiness, Row, State};
use crate::words::Words;

/// One brick: a row of readiness in the wall.
pub type Brick = Drawn;

/// The job as a wall: a course for each stage, a brick for each thing needed.
#[must_use]
pub fn wall_of(guide: &Guide, readiness: &Readiness<'_>, words: &Words, size: WallSize) -> Drawing {
    let courses = guide
        .stages
        .iter()
        .map(|stage| course(&stage.id, readiness, words))
        .collect();
    let key = [
        BrickState::There,
        BrickState::Missing,
        BrickState::DoesNotCount,
        BrickState::Disagreeing,
        BrickState::Waiting,
        BrickState::Doubtful,
    ];
    let key = if size == WallSize::Thumbnail {
        Vec::new()
    } else {
        key.into_iter()
            .map(|state| (state, words.get(state_word(state))))
            .collect()
    };
    wall(
        &Wall {
            courses,
            alt: in_words(readiness, words),
            key,
        },
        size,
    )
}

/// The same in words: "3 missing: hinge cut, weight ticket, permit final".
#[must_use]
pub fn in_words(readiness: &Readiness<'_>, words: &Words) -> String {
    let missing = readiness.missing();
    if missing.is_empty() {
        return words.get(if readiness.claim_is_whole() {
            "wall-whole"
        } else {
            "wall-stopped"
        });
    }
    let count = missing.len().to_string();
    let mut names: Vec<String> = missing.iter().take(3).map(|row| row_label(row, words)).collect();
    if missing.len() > names.len() {
        let more = (missing.len() - names.len()).to_string();
        names.push(words.with("wall-more", &[("count", &more)]));
    }
    words.with("wall-missing", &[("count", &count), ("names", &names.join(", "))])
}

/// What a row is called: in the programme's own words, by its message, or as what is asked.
#[must_use]
pub fn row_label(row: &Row, words: &Words) -> String {
    let own = row.words.as_ref();
    let own = own.and_then(|own| own.get(words.language().tag()).cloned());
    let by_message = || {
        let id = format!("{}-{}", if row.required { "need" } else { "ask" }, row.id);
        words.find(&id, &[])
    };
    let by_ask = || {
        let ask = row.about.as_ref()?;
        words.find(&format!("ask-{ask}"), &[])
    };
    let mut label = own
        .or_else(by_message)
        .or_else(by_ask)
        .unwrap_or_else(|| row.id.replace('_', " "));
    if row.path.iter().any(|(_, number)| *number > 1) || row.path.len() > 1 {
        for (group, number) in &row.path {
            let place = words.with(&format!("group-{group}"), &[("number", &number.to_string())]);
            label = format!("{label} ({place})");
        }
    }
    label
}

fn course(stage: &str, readiness: &Readiness<'_>, words: &Words) -> Course {
    let rows: Vec<&Row> = readiness
        .rows
        .iter()
        .filter(|row| row.stage == stage && row.state != State::NotNeeded)
        .collect();
    let there = rows
        .iter()
        .filter(|row| matches!(row.state, State::Met | State::Doubtful))
        .count();
    let bricks = rows.iter().map(|row| brick(row, words)).collect();
    let arguments = [("there", there.to_string()), ("all", rows.len().to_string())];
    let arguments: Vec<(&str, &str)> = arguments
        .iter()
        .map(|(name, value)| (*name, value.as_str()))
        .collect();
    Course {
        name: words.get(&format!("stage-{stage}")),
        note: words.with("wall-note", &arguments),
        bricks,
    }
}

fn brick(row: &Row, words: &Words) -> Drawn {
    let state = match row.state {
        State::Met | State::NotNeeded => BrickState::There,
        State::Doubtful => BrickState::Doubtful,
        State::Waiting => BrickState::Waiting,
        State::Missing => BrickState::Missing,
        State::Disagreeing => BrickState::Disagreeing,
        State::DoesNotCount => BrickState::DoesNotCount,
    };
    Drawn {
        id: row.key(),
        label: format!("{}: {}", row_label(row, words), words.get(state_word(state))),
        state,
    }
}

fn state_word(state: BrickState) -> &'static str {
    match state {
        BrickState::There => "state-there",
        BrickState::Missing => "state-missing",
        BrickState::Disagreeing => "state-disagreeing",
        BrickState::DoesNotCount => "state-does-not-count",
        BrickState::Waiting => "state-waiting",
        BrickState::Doubtful => "state-doubtful",
    }
}
