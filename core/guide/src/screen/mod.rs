//! Screens as data: described once, painted by each shell.

mod asked;
mod findings;
mod life;
mod loading;
mod make;
mod rules;
mod text;
mod visit;

use serde::Serialize;
use wythe_drawing::Drawing;

pub use findings::{finding_text, read_finding, refusal_text};
pub use life::{InCommon, SameHouse};
pub use make::Make;
pub(crate) use text::reason_code;
pub use text::{
    Finding, ask_in_words, due_label, earlier_texts, figure_lines, figure_remarks, figure_text, findings_of,
    grade_in_words, library_part, rests_on, said_before, value_in_words, way_out, why_in_words,
};

/// A screen: what a shell paints, top to bottom.
#[derive(Debug, Clone, Serialize)]
pub struct Screen {
    /// Its stable id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Where one is: the job, the stage.
    pub place: Vec<String>,
    /// Changes whenever anything on it does.
    pub revision: String,
    /// What it shows.
    pub blocks: Vec<Block>,
    /// The one thing to do next: a block's id.
    pub next: Option<String>,
}

/// How a block's content stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Good to know.
    Note,
    /// Mind this.
    Caution,
    /// Not further.
    Stop,
}

/// One of the choices of an ask.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ChoiceText {
    /// What is recorded.
    pub code: String,
    /// What is read.
    pub label: String,
}

/// One entry of a disagreement, or of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
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

/// How the timer of a span stands. A shell counts from the start; the core keeps what was tapped.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TimerState {
    /// When it was started, in milliseconds since 1970 UTC; none while it does not run.
    pub started_ms: Option<i64>,
    /// Seconds from the start to each tap.
    pub taps: Vec<f64>,
    /// After how many seconds the phone calls: the least time that is usual.
    pub call_after: Option<f64>,
    /// What can be done now: id and label, the one at the thumb first.
    pub actions: Vec<(String, String)>,
}

/// An item of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListItem {
    /// What a touch opens.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What is said below.
    pub detail: String,
    /// How it stands.
    pub state: BlockState,
}

/// A part of a screen.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "block", rename_all = "snake_case")]
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
        /// `length`, `yes_no`, `choice`, `photo` ...
        kind: String,
        /// The choices.
        choices: Vec<ChoiceText>,
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
        /// Photographs and papers by digest.
        originals: Vec<String>,
        /// Of a span: the clock to start, tap and stop.
        timer: Option<TimerState>,
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
        lines: Vec<(String, String)>,
        /// What is missing before they can be worked out.
        missing: Vec<String>,
        /// Findings with their level.
        findings: Vec<(Level, String)>,
        /// Those that were kept because they did not hold, oldest first.
        earlier: Vec<String>,
    },
    /// A drawing.
    Drawing {
        /// Stable id.
        id: String,
        /// The display list.
        drawing: Box<Drawing>,
    },
    /// A list.
    List {
        /// Stable id.
        id: String,
        /// Its items.
        items: Vec<ListItem>,
    },
    /// Something that can be done.
    Action {
        /// Stable id.
        id: String,
        /// The verb on the button.
        label: String,
    },
}
