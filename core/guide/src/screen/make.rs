use wythe_drawing::WallSize;
use wythe_job::{Address, PersonId};

use crate::ask::Ask;
use crate::evidence::Lapse;
use crate::figures::{Figures, FiguresPlan, holds_not};
use crate::known::Known;
use crate::readiness::{Readiness, Row, State, Why};
use crate::stops::OpenStop;
use crate::wall::{in_words, row_label, wall_of};
use crate::words::Words;

use super::life::SameHouse;
use super::text::{earlier_texts, figure_lines, figure_remarks, library_part, said_before, why_in_words};
use super::{Block, BlockState, Level, ListItem, Screen};

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
    pub(super) fn job_label(&self) -> String {
        self.known
            .job
            .opened
            .first()
            .map(|opened| opened.body.label.clone())
            .unwrap_or_default()
    }

    pub(super) fn revision(&self) -> String {
        let job = self.known.job;
        let answers = job.record.values().flatten();
        let answers = answers.map(|entry| (entry.stamp, entry.fact));
        let photos = job.photos.iter().map(|entry| (entry.stamp, entry.fact));
        let papers = job.papers.iter().map(|entry| (entry.stamp, entry.fact));
        let signed = job.signatures.iter().map(|entry| (entry.stamp, entry.fact));
        let latest = answers.chain(photos).chain(papers).chain(signed).max();
        latest.map_or_else(String::new, |(stamp, fact)| {
            format!("{}-{}-{}", stamp.ms, stamp.counter, fact.short())
        })
    }

    /// A stage: its cautions and stops, its asks step by step, its figures.
    #[must_use]
    pub fn stage(&self, stage: &str) -> Screen {
        let mut blocks = Vec::new();
        if let Some(caution) = self.words.find(&format!("caution-stage-{stage}"), &[]) {
            blocks.push(self.note(format!("caution-stage-{stage}"), Level::Caution, caution));
        }
        let asks: Vec<&Ask> = self.known.guide.asks_of_stage(stage).collect();
        for open in &self.readiness.stops {
            if self.holds_back(open, stage) {
                blocks.push(self.stop(open));
            }
        }
        if asks.iter().any(|ask| ask.tag) {
            blocks.push(Block::Action {
                id: "print/tag".to_owned(),
                label: self.words.get("action-print-tag"),
            });
        }
        self.asks(&asks, &mut blocks);
        self.worked_out(&|plan| plan.stage == stage, &mut blocks);
        Screen {
            id: format!("stage/{stage}"),
            title: self.words.get(&format!("stage-{stage}")),
            place: vec![self.job_label()],
            revision: self.revision(),
            next: first_empty(&blocks),
            blocks,
        }
    }

    /// The job's head: its wall, what presses, its stages.
    /// `others` are jobs that look like ones of the same house.
    #[must_use]
    pub fn job(&self, others: &[SameHouse]) -> Screen {
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
        blocks.extend(self.job_state());
        blocks.extend(self.same_house(others));
        blocks.extend(self.pressing().map(|open| self.stop(open)));
        blocks.extend(self.lapses());
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
        let mut blocks: Vec<Block> = self.pressing().map(|open| self.stop(open)).collect();
        blocks.extend(self.lapses());
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

    /// What has lapsed on the day of the work, as the programme weighs it.
    pub(super) fn lapses(&self) -> Vec<Block> {
        let block = |row: &Row| {
            let (level, word) = match row.lapse {
                Some(Lapse::Stop) => (Level::Stop, "word-stop"),
                _ => (Level::Caution, "word-caution"),
            };
            let why = row.why.as_ref().map(|why| self.why(why)).unwrap_or_default();
            Block::Note {
                id: format!("lapse-{}", row.id),
                level,
                word: self.words.get(word),
                text: format!("{}: {why}", row_label(row, self.words)),
                lifted_by: (level == Level::Stop).then(|| self.words.get("lapse-ends")),
            }
        };
        self.readiness.lapses().map(block).collect()
    }

    /// The stops that say something now: what is wrong, and what holds back the stage that is next. A stop
    /// of a later stage that stands only because nothing is recorded there yet would only be noise.
    pub(super) fn pressing(&self) -> impl Iterator<Item = &OpenStop<'_>> {
        let stage = self.stage_now();
        self.readiness
            .stops
            .iter()
            .filter(move |open| !open.not_yet || stage.is_some_and(|stage| self.holds_back(open, stage)))
    }

    /// The first stage in which something is still to be done on site.
    fn stage_now(&self) -> Option<&str> {
        let open = |row: &&Row| row.state == State::Missing;
        self.readiness
            .rows
            .iter()
            .find(open)
            .map(|row| row.stage.as_str())
    }

    fn holds_back(&self, open: &OpenStop<'_>, stage: &str) -> bool {
        let stop = open.stop;
        let mut asks = self.known.guide.asks_of_stage(stage);
        stop.blocks_stage(stage)
            || asks.any(|ask| stop.blocks_ask(ask) || (ask.sign_off && stop.blocks_sign_off()))
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
        // What was due says its day already.
        let said = row.why.as_ref().is_some_and(|why| why.code == "why-overdue");
        if let Some(due) = row.due.filter(|_| !said) {
            parts.push(self.words.with("row-by", &[("date", &self.words.date(due))]));
        }
        parts.join(" ")
    }

    /// A reason in words. Arguments behind `#` are messages themselves.
    #[must_use]
    pub fn why(&self, why: &Why) -> String {
        why_in_words(why, self.words)
    }

    pub(super) fn note(&self, id: String, level: Level, text: String) -> Block {
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

    pub(super) fn stop(&self, open: &OpenStop<'_>) -> Block {
        let text = self.words.get(&format!("stop-{}", open.stop.code));
        Block::Note {
            id: format!("stop-{}", open.stop.code),
            level: Level::Stop,
            word: self.words.get("word-stop"),
            text,
            lifted_by: Some(self.words.get(&open.stop.lifted_by.message())),
        }
    }

    /// What is missing in the business's library: `model halcyon-30/pressure_drop`.
    fn library_missing(&self, what: &str) -> String {
        let in_words = || {
            let (sort, rest) = what.split_once(' ')?;
            let (id, part) = rest.split_once('/')?;
            let part = part.split('/').next()?;
            let needs = self.words.find(&format!("library-needs-{sort}-{part}"), &[]);
            let part = needs.unwrap_or_else(|| library_part(sort, part, self.words));
            Some(format!("{id}: {part}"))
        };
        let what = in_words().unwrap_or_else(|| what.to_owned());
        self.words.with("library-missing", &[("what", &what)])
    }

    /// Figures with their drawings and what can be done with them.
    pub(super) fn worked_out(&self, wanted: &dyn Fn(&FiguresPlan) -> bool, blocks: &mut Vec<Block>) {
        for plan in self.known.guide.figures.iter().filter(|plan| wanted(plan)) {
            self.of_plan(plan, blocks);
        }
    }

    fn of_plan(&self, plan: &FiguresPlan, blocks: &mut Vec<Block>) {
        let now: Vec<&Figures> = self
            .figures
            .iter()
            .filter(|figures| figures.id == plan.id)
            .collect();
        if now.is_empty() {
            blocks.extend(self.only_earlier(plan));
        }
        for figures in now {
            for (text, number) in said_before(figures, self.words).into_iter().zip(1..) {
                blocks.push(Block::Note {
                    id: format!("{}/said-{number}", figures.id),
                    level: Level::Note,
                    word: self.words.get("word-note"),
                    text,
                    lifted_by: None,
                });
            }
            blocks.push(self.figures(figures, plan));
            if !plan.again.is_empty() && figures.good().is_some_and(holds_not) {
                blocks.push(Block::Action {
                    id: format!("again/{}", plan.id),
                    label: self.words.get("action-again"),
                });
            }
            for (drawing, number) in crate::pictures::pictures(figures, self.words)
                .into_iter()
                .zip(1..)
            {
                blocks.push(Block::Drawing {
                    id: format!("{}/drawing-{number}", figures.id),
                    drawing: Box::new(drawing),
                });
            }
            if crate::pictures::full_size(figures, self.words).is_some() {
                blocks.push(Block::Action {
                    id: "print/trim_sheet".to_owned(),
                    label: self.words.get("action-print-trim-sheet"),
                });
            }
        }
    }

    /// Figures that wait to be measured again: what was kept of them.
    fn only_earlier(&self, plan: &FiguresPlan) -> Option<Block> {
        let earlier = earlier_texts(self.known, plan, &[], None, self.words);
        (!earlier.is_empty()).then(|| Block::Figures {
            id: plan.id.clone(),
            title: self.words.get(&format!("figures-{}", plan.id)),
            lines: Vec::new(),
            missing: Vec::new(),
            findings: Vec::new(),
            earlier,
        })
    }

    fn figures(&self, figures: &Figures, plan: &FiguresPlan) -> Block {
        let mut lines = Vec::new();
        if let Some(result) = figures.good() {
            lines = figure_lines(plan, result, self.words);
            let sources = figures.sources();
            if !sources.is_empty() {
                lines.push((self.words.get("figures-by"), sources.join("; ")));
            }
        }
        let findings = figure_remarks(figures, self.words).into_iter();
        let findings = findings.map(|remark| (remark.level, remark.message)).collect();
        let missing = figures.missing.iter().map(|what| self.lacking(what));
        Block::Figures {
            id: figures.id.clone(),
            title: self.words.get(&format!("figures-{}", figures.id)),
            lines,
            missing: missing.collect(),
            findings,
            earlier: earlier_texts(self.known, plan, &figures.path, Some(figures), self.words),
        }
    }

    /// What figures wait for, in words.
    pub(super) fn lacking(&self, what: &str) -> String {
        let known = self.words.find(&format!("ask-{what}"), &[]);
        known
            .or_else(|| self.words.find(&format!("figures-{what}"), &[]))
            .unwrap_or_else(|| self.library_missing(what))
    }
}

pub(super) fn first_empty(blocks: &[Block]) -> Option<String> {
    blocks.iter().find_map(|block| match block {
        Block::Ask {
            id,
            state: BlockState::Empty,
            optional: false,
            ..
        } => Some(id.clone()),
        _ => None,
    })
}

pub(super) fn block_state(state: State) -> BlockState {
    match state {
        State::Met => BlockState::Filled,
        State::Doubtful | State::DoesNotCount => BlockState::Doubtful,
        State::NotNeeded => BlockState::NotNeeded,
        State::Waiting => BlockState::Waiting,
        State::Missing => BlockState::Empty,
        State::Disagreeing => BlockState::Disagreeing,
    }
}
