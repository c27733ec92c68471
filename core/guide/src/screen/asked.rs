//! Asks as blocks of a screen.

use wythe_job::{Address, Entry, Held};

use crate::ask::{Ask, AskKind};
use crate::known::Standing;
use crate::timer::Timer;

use super::make::Make;
use super::text::{ask_in_words, grade_in_words, rests_on, value_in_words, way_out};
use super::{Block, BlockState, ChoiceText, Level, Said, TimerState};

impl Make<'_, '_> {
    /// Asks with a heading for each step, and their cautions before them.
    pub(super) fn asks(&self, asks: &[&Ask], blocks: &mut Vec<Block>) {
        let mut at = ("", "");
        for ask in asks {
            if at != (ask.stage.as_str(), ask.step.as_str()) {
                at = (ask.stage.as_str(), ask.step.as_str());
                let id = format!("step-{}-{}", ask.stage, ask.step);
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
    }

    fn ask(&self, ask: &Ask, address: &Address) -> Block {
        let id = format!("ask-{}", ask.id);
        let label = ask_in_words(&ask.id, &address.path, self.words);
        let mut block = Content {
            state: BlockState::Empty,
            value: None,
            said: Vec::new(),
            originals: Vec::new(),
        };
        if !self.known.applies(ask, &address.path) {
            block.state = BlockState::NotNeeded;
        } else if ask.kind.is_typed() {
            self.answered(ask, address, &mut block);
        } else {
            self.recorded(ask, address, &mut block);
        }
        let mut remark = (block.state == BlockState::Doubtful).then(|| self.words.get("remark-doubtful"));
        let passed_over = self.readiness.rows.iter().flat_map(|row| &row.passed_over);
        let here = self.known.evidence(ask, address);
        if let Some((_, why)) = passed_over.into_iter().find(|(fact, _)| here.contains(fact)) {
            remark = Some(self.why(why));
        }
        let photos = self.known.job.photos.iter().rev();
        let last = photos
            .filter(|photo| here.contains(&photo.fact))
            .find_map(|photo| photo.body.grade.as_ref());
        if let Some(grade) = last.filter(|grade| grade.code != "good")
            && remark.is_none()
        {
            let way = way_out(grade, self.words).unwrap_or_default();
            remark = Some(
                format!("{} {way}", grade_in_words(grade, self.words))
                    .trim()
                    .to_owned(),
            );
        }
        let rows = self.readiness.rows.iter();
        let mut ordered =
            rows.filter(|row| row.required && row.evidence.iter().any(|fact| here.contains(fact)));
        if let Some(rests) = ordered.find_map(|row| rests_on(row, self.words))
            && ask.kind == AskKind::Photo
            && remark.is_none()
        {
            remark = Some(self.words.with("remark-rests", &[("rests", &rests)]));
        }
        let help = [
            self.words.attribute(&id, "help"),
            ask.tag.then(|| self.words.get("photo-with-tag")),
        ];
        let help: Vec<String> = help.into_iter().flatten().collect();
        let draft = (self.drafts)(address);
        let timer = (ask.kind == AskKind::Span).then(|| self.timer(ask, address, draft.as_deref()));
        let runs = timer.as_ref().is_some_and(|timer| timer.started_ms.is_some());
        Block::Ask {
            label,
            help: (!help.is_empty()).then(|| help.join(" ")),
            kind: ask.kind.name().to_owned(),
            choices: self.choices(ask),
            state: block.state,
            value: block.value,
            draft: draft.filter(|_| !runs),
            remark,
            said: block.said,
            roof: ask.roof,
            optional: ask.optional,
            originals: block.originals,
            timer,
            id: address.to_string(),
        }
    }

    /// The timer of a span, as its draft says it runs.
    fn timer(&self, ask: &Ask, address: &Address, draft: Option<&str>) -> TimerState {
        let action = |deed: &str, label: String| (format!("timer/{address}/{deed}"), label);
        let running = draft.and_then(Timer::read);
        let mut actions = Vec::new();
        if running.is_none() {
            actions.push(action("start", self.words.get("action-timer-start")));
        } else {
            if let Some(tap) = &ask.tap {
                actions.push(action("tap", self.words.get(&format!("tap-{tap}"))));
            }
            actions.push(action("stop", self.words.get("action-timer-stop")));
            actions.push(action("drop", self.words.get("action-timer-drop")));
        }
        TimerState {
            started_ms: running.as_ref().map(|timer| timer.start().utc_ms),
            taps: running.map(|timer| timer.taps()).unwrap_or_default(),
            call_after: self.known.usual(ask, &address.path).least,
            actions,
        }
    }

    fn answered(&self, ask: &Ask, address: &Address, block: &mut Content) {
        match self.known.standing(address) {
            Standing::Empty => {}
            Standing::Holds(entry) => {
                let doubtful = self.known.is_doubtful(ask, &address.path, &entry.body.value);
                block.state = if doubtful {
                    BlockState::Doubtful
                } else {
                    BlockState::Filled
                };
                block.value = Some(self.value_text(&entry.body));
            }
            Standing::Disagrees(entries) => {
                block.state = BlockState::Disagreeing;
                let said = |entry: &&Entry<Held>| Said {
                    fact: entry.fact.to_string(),
                    text: self.value_text(&entry.body),
                    person: (self.name)(entry.person),
                    when: self.when(entry.at),
                };
                block.said = entries.iter().map(said).collect();
            }
        }
    }

    fn recorded(&self, ask: &Ask, address: &Address, block: &mut Content) {
        let facts = self.known.evidence(ask, address);
        if facts.is_empty() {
            return;
        }
        block.state = BlockState::Filled;
        let count = facts.len().to_string();
        block.value = Some(self.words.with("evidence-count", &[("count", &count)]));
        let photos = self.known.job.photos.iter();
        let photos = photos.filter(|photo| facts.contains(&photo.fact));
        let papers = self.known.job.papers.iter();
        let papers = papers.filter(|paper| facts.contains(&paper.fact));
        let originals = photos
            .map(|photo| &photo.body.original)
            .chain(papers.map(|paper| &paper.body.original));
        block
            .originals
            .extend(originals.map(|original| original.digest.to_string()));
    }

    pub(super) fn value_text(&self, held: &Held) -> String {
        value_in_words(held, self.words, self.name)
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
        let ways = match ask.kind {
            AskKind::Signature(_) => WAYS_TO_SIGN.as_slice(),
            _ => &[],
        };
        let ways = ways.iter().map(|(code, message)| ChoiceText {
            label: self.words.get(message),
            code: (*code).to_owned(),
        });
        codes.into_iter().map(choice).chain(ways).collect()
    }

    pub(super) fn when(&self, at: wythe_job::Moment) -> String {
        let date = crate::calendar::local_date(at, self.known.zone());
        date.map_or_else(String::new, |date| self.words.date(date))
    }
}

/// The ways in which a signature can be met, and what each is called.
const WAYS_TO_SIGN: [(&str, &str); 3] = [
    ("signed", "sign-here"),
    ("on_paper", "sign-on-paper"),
    ("declined", "sign-decline"),
];

/// What is so far known of an ask's block.
struct Content {
    state: BlockState,
    value: Option<String>,
    said: Vec<Said>,
    originals: Vec<String>,
}
