//! Screens as data: described once, painted by each shell.

use serde::Serialize;
use wythe_drawing::{Drawing, WallSize};
use wythe_job::{Address, Held, PersonId, Value};

use crate::ask::{Ask, AskKind};
use crate::condition::measure;
use crate::entry::show_held;
use crate::figures::Figures;
use crate::known::{Known, Standing};
use crate::readiness::{Readiness, Row, State, Why};
use crate::stops::OpenStop;
use crate::wall::{in_words, row_label, wall_of};
use crate::words::Words;

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

/// What a screen is made from.
pub struct Make<'m, 'k> {
    /// The job.
    pub known: &'m Known<'k>,
    /// The messages.
    pub words: &'m Words,
    /// How it stands.
    pub readiness: &'m Readiness<'k>,
    /// The figures.
    pub figures: &'m [Figures],
    /// What was typed and not yet recorded, by address.
    pub drafts: &'m dyn Fn(&Address) -> Option<String>,
    /// A name for a person.
    pub name: &'m dyn Fn(PersonId) -> String,
}

impl Make<'_, '_> {
    fn job_label(&self) -> String {
        self.known
            .job
            .opened
            .first()
            .map(|opened| opened.body.label.clone())
            .unwrap_or_default()
    }

    fn revision(&self) -> String {
        let mut latest = String::new();
        let facts = self
            .known
            .job
            .record
            .values()
            .flatten()
            .map(|entry| (entry.stamp, entry.fact));
        let photos = self
            .known
            .job
            .photos
            .iter()
            .map(|entry| (entry.stamp, entry.fact));
        if let Some((stamp, fact)) = facts.chain(photos).max() {
            latest = format!("{}-{}-{}", stamp.ms, stamp.counter, fact.short());
        }
        latest
    }

    /// A stage: its cautions and stops, its asks step by step, its figures.
    #[must_use]
    pub fn stage(&self, stage: &str) -> Screen {
        let mut blocks = Vec::new();
        if let Some(caution) = self.words.find(&format!("caution-stage-{stage}"), &[]) {
            blocks.push(self.note(format!("caution-stage-{stage}"), Level::Caution, caution));
        }
        for open in self.readiness.stops_of_stage(stage) {
            blocks.push(self.stop(open));
        }
        let mut step = "";
        for ask in self.known.guide.asks_of_stage(stage) {
            if ask.step != step {
                step = &ask.step;
                let id = format!("step-{stage}-{step}");
                blocks.push(Block::Text {
                    text: self.words.get(&id),
                    id,
                    heading: true,
                });
            }
            if let Some(caution) = &ask.caution {
                let text = self.words.get(&format!("caution-{caution}"));
                blocks.push(self.note(format!("caution-{}", ask.id), Level::Caution, text));
            }
            for address in self.known.addresses(ask, &[]) {
                blocks.push(self.ask(ask, &address));
            }
        }
        for figures in self
            .figures
            .iter()
            .filter(|figures| figures.id.starts_with(&format!("{stage}.")))
        {
            blocks.push(self.figures(figures));
        }
        let next = blocks.iter().find_map(|block| match block {
            Block::Ask {
                id,
                state: BlockState::Empty,
                optional: false,
                ..
            } => Some(id.clone()),
            _ => None,
        });
        Screen {
            id: format!("stage/{stage}"),
            title: self.words.get(&format!("stage-{stage}")),
            place: vec![self.job_label()],
            revision: self.revision(),
            blocks,
            next,
        }
    }

    /// The job's head: its wall, what presses, its stages.
    #[must_use]
    pub fn job(&self) -> Screen {
        let drawing = wall_of(self.known.guide, self.readiness, self.words, WallSize::Phone);
        let mut blocks = vec![
            Block::Drawing {
                id: "wall".to_owned(),
                drawing: Box::new(drawing),
            },
            Block::Text {
                id: "wall-words".to_owned(),
                text: in_words(self.readiness, self.words),
                heading: false,
            },
        ];
        blocks.extend(self.readiness.stops.iter().map(|open| self.stop(open)));
        let items = self
            .known
            .guide
            .stages
            .iter()
            .map(|stage| self.stage_item(&stage.id))
            .collect();
        blocks.push(Block::List {
            id: "stages".to_owned(),
            items,
        });
        let next = self.readiness.missing().first().map(|row| row.id.clone());
        let title = self.job_label();
        Screen {
            id: "job".to_owned(),
            title,
            place: Vec::new(),
            revision: self.revision(),
            blocks,
            next,
        }
    }

    /// What is missing, from whom, by when.
    #[must_use]
    pub fn missing(&self) -> Screen {
        let missing = self.readiness.missing();
        let item = |row: &&Row| ListItem {
            id: row.id.clone(),
            title: row_label(row, self.words),
            detail: self.row_detail(row),
            state: block_state(row.state),
        };
        let mut blocks: Vec<Block> = self.readiness.stops.iter().map(|open| self.stop(open)).collect();
        let text = in_words(self.readiness, self.words);
        blocks.push(Block::Text {
            id: "wall-words".to_owned(),
            text,
            heading: false,
        });
        blocks.push(Block::List {
            id: "missing".to_owned(),
            items: missing.iter().map(item).collect(),
        });
        Screen {
            id: "missing".to_owned(),
            title: self.words.get("screen-missing"),
            place: vec![self.job_label()],
            revision: self.revision(),
            blocks,
            next: missing.first().map(|row| row.id.clone()),
        }
    }

    fn stage_item(&self, stage: &str) -> ListItem {
        let rows: Vec<&Row> = self
            .readiness
            .rows
            .iter()
            .filter(|row| row.stage == stage && row.state != State::NotNeeded)
            .collect();
        let there = rows
            .iter()
            .filter(|row| matches!(row.state, State::Met | State::Doubtful))
            .count();
        let arguments = [("there", there.to_string()), ("all", rows.len().to_string())];
        let arguments: Vec<(&str, &str)> = arguments
            .iter()
            .map(|(name, value)| (*name, value.as_str()))
            .collect();
        ListItem {
            id: format!("stage/{stage}"),
            title: self.words.get(&format!("stage-{stage}")),
            detail: self.words.with("wall-note", &arguments),
            state: if there == rows.len() {
                BlockState::Filled
            } else {
                BlockState::Empty
            },
        }
    }

    /// Who brings a row, by when, and why it does not count.
    #[must_use]
    pub fn row_detail(&self, row: &Row) -> String {
        let mut parts = Vec::new();
        if let Some(why) = &row.why {
            parts.push(self.why(why));
        }
        let who = self.words.get(&format!("role-{}", row.who));
        let id = if row.state == State::Waiting {
            "row-waiting"
        } else {
            "row-from"
        };
        parts.push(self.words.with(id, &[("who", &who)]));
        if let Some(due) = row.due {
            parts.push(self.words.with("row-by", &[("date", &due.to_string())]));
        }
        parts.join(" ")
    }

    /// A reason in words. Arguments behind `#` are messages themselves.
    #[must_use]
    pub fn why(&self, why: &Why) -> String {
        why_in_words(why, self.words)
    }

    fn note(&self, id: String, level: Level, text: String) -> Block {
        let word = self.words.get(match level {
            Level::Note => "word-note",
            Level::Caution => "word-caution",
            Level::Stop => "word-stop",
        });
        Block::Note {
            id,
            level,
            word,
            text,
            lifted_by: None,
        }
    }

    fn stop(&self, open: &OpenStop<'_>) -> Block {
        let text = self.words.get(&format!("stop-{}", open.stop.code));
        let by = serde_json::to_value(open.stop.lifted_by).ok();
        let by = by
            .as_ref()
            .and_then(serde_json::Value::as_str)
            .unwrap_or_default()
            .to_owned();
        Block::Note {
            id: format!("stop-{}", open.stop.code),
            level: Level::Stop,
            word: self.words.get("word-stop"),
            text,
            lifted_by: Some(self.words.get(&format!("lifted-by-{by}"))),
        }
    }

    fn ask(&self, ask: &Ask, address: &Address) -> Block {
        let sign = self.words.language().sign();
        let id = format!("ask-{}", ask.id);
        let mut label = self.words.get(&id);
        for place in &address.path {
            let number = place.number.to_string();
            let place = self
                .words
                .with(&format!("group-{}", place.of), &[("number", &number)]);
            label = format!("{label} ({place})");
        }
        let (mut state, mut value, mut said, mut originals) =
            (BlockState::Empty, None, Vec::new(), Vec::new());
        if !self.known.applies(ask, &address.path) {
            state = BlockState::NotNeeded;
        } else if ask.kind.is_typed() {
            match self.known.standing(address) {
                Standing::Empty => {}
                Standing::Holds(entry) => {
                    let figure = measure(&entry.body.value);
                    let doubtful = figure.is_some_and(|figure| ask.doubtful.misses(figure));
                    state = if doubtful {
                        BlockState::Doubtful
                    } else {
                        BlockState::Filled
                    };
                    value = Some(self.value_text(&entry.body));
                }
                Standing::Disagrees(entries) => {
                    state = BlockState::Disagreeing;
                    let entry = |entry: &&wythe_job::Entry<wythe_job::Held>| Said {
                        fact: entry.fact.to_string(),
                        text: show_held(&entry.body.value, &entry.body.measured, sign),
                        person: (self.name)(entry.person),
                        when: self.when(entry.at),
                    };
                    said = entries.iter().map(entry).collect();
                }
            }
        } else {
            let facts = self.known.evidence(ask, address);
            if !facts.is_empty() {
                state = BlockState::Filled;
                value = Some(
                    self.words
                        .with("evidence-count", &[("count", &facts.len().to_string())]),
                );
            }
            let photos = self
                .known
                .job
                .photos
                .iter()
                .filter(|photo| facts.contains(&photo.fact));
            originals.extend(photos.map(|photo| photo.body.original.digest.to_string()));
            let papers = self
                .known
                .job
                .papers
                .iter()
                .filter(|paper| facts.contains(&paper.fact));
            originals.extend(papers.map(|paper| paper.body.original.digest.to_string()));
        }
        let mut remark = (state == BlockState::Doubtful).then(|| self.words.get("remark-doubtful"));
        let passed_over = self.readiness.rows.iter().flat_map(|row| &row.passed_over);
        let here = self.known.evidence(ask, address);
        if let Some((_, why)) = passed_over.into_iter().find(|(fact, _)| here.contains(fact)) {
            remark = Some(why_in_words(why, self.words));
        }
        Block::Ask {
            label,
            help: self.words.attribute(&id, "help"),
            kind: kind_name(&ask.kind),
            choices: self.choices(ask),
            state,
            value,
            draft: (self.drafts)(address),
            remark,
            said,
            roof: ask.roof,
            optional: ask.optional,
            originals,
            id: address.to_string(),
        }
    }

    fn value_text(&self, held: &Held) -> String {
        match &held.value {
            Value::Choice(code) => self.words.get(&format!("choice-{code}")),
            Value::YesNo(yes) => self.words.get(if *yes { "choice-yes" } else { "choice-no" }),
            Value::Person(person) => (self.name)(*person),
            value => show_held(value, &held.measured, self.words.language().sign()),
        }
    }

    fn choices(&self, ask: &Ask) -> Vec<ChoiceText> {
        let codes: Vec<String> = match &ask.kind {
            AskKind::Choice(codes) => codes.clone(),
            AskKind::YesNo => vec!["yes".to_owned(), "no".to_owned()],
            _ => Vec::new(),
        };
        let choice = |code: String| ChoiceText {
            label: self.words.get(&format!("choice-{code}")),
            code,
        };
        codes.into_iter().map(choice).collect()
    }

    fn when(&self, at: wythe_job::Moment) -> String {
        crate::calendar::local_date(at, self.known.zone()).map_or_else(String::new, |date| date.to_string())
    }

    fn figures(&self, figures: &Figures) -> Block {
        let plan = self.known.guide.figures.iter().find(|plan| plan.id == figures.id);
        let mut lines = Vec::new();
        let mut findings = Vec::new();
        if let Some(result) = figures.good() {
            for at in plan.map(|plan| plan.show.as_slice()).unwrap_or_default() {
                if let Some(value) = result.pointer(at) {
                    let name =
                        self.words
                            .get(&format!("figure-{}{}", figures.reckoning, at.replace('/', "-")));
                    lines.push((name, figure_text(value, self.words)));
                }
            }
            for finding in result
                .get("findings")
                .and_then(serde_json::Value::as_array)
                .into_iter()
                .flatten()
            {
                let text = |key: &str| {
                    finding
                        .get(key)
                        .and_then(serde_json::Value::as_str)
                        .unwrap_or_default()
                };
                let level = match text("severity") {
                    "stop" => Level::Stop,
                    "caution" => Level::Caution,
                    _ => Level::Note,
                };
                findings.push((level, text("message").to_owned()));
            }
        } else if let Some(Err(refusal)) = &figures.result {
            findings.push((Level::Caution, refusal.to_string()));
        }
        let missing = figures.missing.iter();
        let missing = missing.map(|what| {
            self.words
                .find(&format!("ask-{what}"), &[])
                .unwrap_or_else(|| what.clone())
        });
        Block::Figures {
            id: figures.id.clone(),
            title: self.words.get(&format!("figures-{}", figures.id)),
            lines,
            missing: missing.collect(),
            findings,
        }
    }
}

/// A reason in words. Arguments behind `#` are messages themselves.
#[must_use]
pub fn why_in_words(why: &Why, words: &Words) -> String {
    let text = |value: &String| {
        let parts = value.split("; ").map(|part| match part.strip_prefix('#') {
            Some(id) => words.get(id),
            None => part.to_owned(),
        });
        parts.collect::<Vec<_>>().join(", ")
    };
    let arguments: Vec<(&str, String)> = why
        .with
        .iter()
        .map(|(name, value)| (name.as_str(), text(value)))
        .collect();
    let arguments: Vec<(&str, &str)> = arguments
        .iter()
        .map(|(name, value)| (*name, value.as_str()))
        .collect();
    words.with(&why.code, &arguments)
}

/// A figure of a reckoning's result as a person reads it.
#[must_use]
pub fn figure_text(value: &serde_json::Value, words: &Words) -> String {
    use serde_json::Value as Json;
    let sign = words.language().sign();
    match value {
        Json::Object(parts) => {
            let number = parts.get("value").and_then(Json::as_f64);
            let unit = parts.get("unit").and_then(Json::as_str);
            match (number, unit) {
                (Some(number), Some(unit)) => quantity_text(number, unit, sign),
                _ => value.to_string(),
            }
        }
        Json::Bool(yes) => words.get(if *yes { "choice-yes" } else { "choice-no" }),
        Json::Number(number) => number.as_f64().map_or_else(|| number.to_string(), plain_number),
        Json::String(text) => words
            .find(&format!("figure-text-{text}"), &[])
            .unwrap_or_else(|| text.replace('_', " ")),
        Json::Null => "–".to_owned(),
        Json::Array(items) => items
            .iter()
            .map(|item| figure_text(item, words))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

fn plain_number(number: f64) -> String {
    let rounded = (number * 1000.0).round() / 1000.0;
    format!("{rounded}")
}

fn quantity_text(number: f64, unit: &str, sign: wythe_units::DecimalSign) -> String {
    use wythe_units::{Dimension, Style, System, show};
    let dimension = Dimension::ALL
        .into_iter()
        .find(|dimension| dimension.base_unit() == unit);
    let Some(dimension) = dimension else {
        return format!("{} {unit}", plain_number(number));
    };
    let both = [System::Customary, System::Metric].into_iter();
    let shown = both.filter_map(|system| Style::usual(dimension, system, number));
    shown
        .map(|style| show(number, &style.with_sign(sign)))
        .collect::<Vec<_>>()
        .join(" · ")
}

fn kind_name(kind: &AskKind) -> String {
    match kind {
        AskKind::Quantity(dimension) => dimension.code(),
        AskKind::Number(unit) => unit,
        AskKind::Choice(_) => "choice",
        AskKind::YesNo => "yes_no",
        AskKind::Count => "count",
        AskKind::Text => "text",
        AskKind::Date => "date",
        AskKind::Span => "span",
        AskKind::Money => "money",
        AskKind::Place => "place",
        AskKind::Person => "person",
        AskKind::List => "list",
        AskKind::Photo => "photo",
        AskKind::Paper => "paper",
        AskKind::Signature(_) => "signature",
    }
    .to_owned()
}

fn block_state(state: State) -> BlockState {
    match state {
        State::Met => BlockState::Filled,
        State::Doubtful | State::DoesNotCount => BlockState::Doubtful,
        State::NotNeeded => BlockState::NotNeeded,
        State::Waiting => BlockState::Waiting,
        State::Missing => BlockState::Empty,
        State::Disagreeing => BlockState::Disagreeing,
    }
}
