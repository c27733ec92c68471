//! Screens, as the guide describes them.

use wythe_app::AppError;
use wythe_app::guide::screen;

use crate::picture::{Canvas, Picture};

/// A screen: what a shell paints, top to bottom.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Screen {
    /// Its stable id: `job`, `missing`, `visits`, `claim_life`, `stage/ID`, `visit/ID`.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Where one is.
    pub place: Vec<String>,
    /// Changes whenever anything recorded on it does.
    pub revision: String,
    /// What it shows.
    pub blocks: Vec<Block>,
    /// The one thing to do next: the id of a block, or of what `Field::opening` leads to.
    pub next: Option<String>,
}

/// How a block's content stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum BlockState {
    /// Nothing yet.
    Empty,
    /// There.
    Filled,
    /// There, and outside of what is usual.
    Doubtful,
    /// People's entries differ.
    Disagreeing,
    /// Does not apply.
    NotNeeded,
    /// Waiting for somebody outside.
    Waiting,
}

/// How strongly a note speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Level {
    /// Good to know.
    Note,
    /// Mind this.
    Caution,
    /// Not further.
    Stop,
}

/// One of the choices of an ask.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Choice {
    /// What is recorded.
    pub code: String,
    /// What is read.
    pub label: String,
}

/// One entry of a disagreement.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Said {
    /// The fact.
    pub fact: String,
    /// The value as read.
    pub text: String,
    /// Who.
    pub person: String,
    /// When, at the site.
    pub when: String,
}

/// Something that can be done with a timer.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct TimerAction {
    /// `timer/ADDRESS/DEED`.
    pub id: String,
    /// The verb on the button.
    pub label: String,
}

/// How the timer of a span stands. A shell counts from the start; the core keeps what was tapped.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Timer {
    /// When it was started, in milliseconds since 1970 UTC; none while it does not run.
    pub started_ms: Option<i64>,
    /// Seconds from the start to each tap.
    pub taps: Vec<f64>,
    /// After how many seconds the phone calls.
    pub call_after: Option<f64>,
    /// What can be done now, the one at the thumb first.
    pub actions: Vec<TimerAction>,
}

/// An item of a list.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Item {
    /// What a touch opens.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What is said below; may be empty.
    pub detail: String,
    /// How it stands.
    pub state: BlockState,
}

/// A name and what belongs to it, with how strongly it speaks.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Line {
    /// What it is; empty for a remark.
    pub name: String,
    /// The figure, or the remark.
    pub text: String,
    /// How strongly it speaks.
    pub level: Level,
}

/// A part of a screen.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Block {
    /// Words.
    Text {
        /// Stable id.
        id: String,
        /// The words.
        text: String,
        /// Whether they head what follows.
        heading: bool,
    },
    /// Something asked.
    Ask {
        /// The address.
        id: String,
        /// What is asked.
        label: String,
        /// How to do it.
        help: Option<String>,
        /// `length`, `yes_no`, `choice`, `photo`, `paper`, `signature`, `span`, `text` ...
        kind: String,
        /// The choices.
        choices: Vec<Choice>,
        /// How it stands.
        state: BlockState,
        /// The value as read back.
        value: Option<String>,
        /// What was typed and not yet recorded.
        draft: Option<String>,
        /// Why it is doubtful, or what does not count.
        remark: Option<String>,
        /// The entries, when they disagree.
        said: Vec<Said>,
        /// Large targets, one ask at a time.
        roof: bool,
        /// Not needed for the stage to be whole.
        optional: bool,
        /// Photographs and papers by digest, for `Field::preview`.
        originals: Vec<String>,
        /// Of a span: the clock to start, tap and stop.
        timer: Option<Timer>,
    },
    /// A note, a caution or a stop.
    Note {
        /// Stable id.
        id: String,
        /// How strongly.
        level: Level,
        /// The word that begins it.
        word: String,
        /// What is so, and what to do.
        text: String,
        /// Who may lift a stop.
        lifted_by: Option<String>,
    },
    /// Figures.
    Figures {
        /// Their id.
        id: String,
        /// What they are about.
        title: String,
        /// Name and value, in order.
        lines: Vec<Line>,
        /// What is missing before they can be worked out.
        missing: Vec<String>,
        /// What they say, with how strongly.
        remarks: Vec<Line>,
        /// Those that were kept because they did not hold, oldest first.
        earlier: Vec<String>,
    },
    /// A drawing.
    Drawing {
        /// Stable id.
        id: String,
        /// The display list.
        picture: Picture,
    },
    /// A list.
    Items {
        /// Stable id: `stages`, `visits`, `missing`, `load`, `left-safe`, `claim-life`.
        id: String,
        /// Its items.
        items: Vec<Item>,
    },
    /// Something that can be done.
    Action {
        /// Stable id: `timer/ADDRESS/DEED`, `again/FIGURES`, `print/WHAT`, `visit-moment-MOMENT`.
        id: String,
        /// The verb on the button.
        label: String,
    },
}

impl Screen {
    pub(crate) fn of(screen: screen::Screen, canvas: Canvas) -> Result<Self, AppError> {
        let blocks = screen.blocks.into_iter();
        Ok(Self {
            id: screen.id,
            title: screen.title,
            place: screen.place,
            revision: screen.revision,
            blocks: blocks
                .map(|block| Block::of(block, canvas))
                .collect::<Result<_, _>>()?,
            next: screen.next,
        })
    }
}

impl Block {
    fn of(block: screen::Block, canvas: Canvas) -> Result<Self, AppError> {
        Ok(match block {
            screen::Block::Text { id, text, heading } => Self::Text { id, text, heading },
            screen::Block::Ask {
                id,
                label,
                help,
                kind,
                choices,
                state,
                value,
                draft,
                remark,
                said,
                roof,
                optional,
                originals,
                timer,
            } => Self::Ask {
                id,
                label,
                help,
                kind,
                choices: choices.into_iter().map(Into::into).collect(),
                state: state.into(),
                value,
                draft,
                remark,
                said: said.into_iter().map(Into::into).collect(),
                roof,
                optional,
                originals,
                timer: timer.map(Into::into),
            },
            screen::Block::Note {
                id,
                level,
                word,
                text,
                lifted_by,
            } => Self::Note {
                id,
                level: level.into(),
                word,
                text,
                lifted_by,
            },
            screen::Block::Figures {
                id,
                title,
                lines,
                missing,
                findings,
                earlier,
            } => Self::Figures {
                id,
                title,
                lines: lines.into_iter().map(named).collect(),
                missing,
                remarks: findings.into_iter().map(remark).collect(),
                earlier,
            },
            screen::Block::Drawing { id, drawing } => Self::Drawing {
                id,
                picture: Picture::of(&drawing, canvas, true)?,
            },
            screen::Block::List { id, items } => Self::Items {
                id,
                items: items.into_iter().map(Into::into).collect(),
            },
            screen::Block::Action { id, label } => Self::Action { id, label },
        })
    }
}

fn named((name, text): (String, String)) -> Line {
    Line {
        name,
        text,
        level: Level::Note,
    }
}

fn remark((level, text): (screen::Level, String)) -> Line {
    Line {
        name: String::new(),
        text,
        level: level.into(),
    }
}

impl From<screen::BlockState> for BlockState {
    fn from(state: screen::BlockState) -> Self {
        match state {
            screen::BlockState::Empty => Self::Empty,
            screen::BlockState::Filled => Self::Filled,
            screen::BlockState::Doubtful => Self::Doubtful,
            screen::BlockState::Disagreeing => Self::Disagreeing,
            screen::BlockState::NotNeeded => Self::NotNeeded,
            screen::BlockState::Waiting => Self::Waiting,
        }
    }
}

impl From<screen::Level> for Level {
    fn from(level: screen::Level) -> Self {
        match level {
            screen::Level::Note => Self::Note,
            screen::Level::Caution => Self::Caution,
            screen::Level::Stop => Self::Stop,
        }
    }
}

impl From<screen::ChoiceText> for Choice {
    fn from(screen::ChoiceText { code, label }: screen::ChoiceText) -> Self {
        Self { code, label }
    }
}

impl From<screen::Said> for Said {
    fn from(said: screen::Said) -> Self {
        Self {
            fact: said.fact,
            text: said.text,
            person: said.person,
            when: said.when,
        }
    }
}

impl From<screen::ListItem> for Item {
    fn from(item: screen::ListItem) -> Self {
        Self {
            id: item.id,
            title: item.title,
            detail: item.detail,
            state: item.state.into(),
        }
    }
}

impl From<screen::TimerState> for Timer {
    fn from(timer: screen::TimerState) -> Self {
        let actions = timer.actions.into_iter();
        Self {
            started_ms: timer.started_ms,
            taps: timer.taps,
            call_after: timer.call_after,
            actions: actions.map(|(id, label)| TimerAction { id, label }).collect(),
        }
    }
}
