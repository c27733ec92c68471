//! Visits on a screen: one of them with what it still needs, and all of them.

use crate::ask::Ask;
use crate::figures::FiguresPlan;
use crate::visits::{VisitNeed, VisitStand, VisitState, visit_needs, visit_not_left, visits};
use crate::wall::row_label;

use super::make::{Make, first_empty};
use super::text::ask_in_words;
use super::{Block, BlockState, ListItem, Screen};

/// How many of the things still needed are named in the line at the top.
const NAMED: usize = 3;

impl Make<'_, '_> {
    /// A visit: who is there, what it still needs before the truck leaves, its asks in the order of the
    /// stages, and what leaves the house safe. The next thing is to arrive, then the first open ask, then
    /// to leave.
    #[must_use]
    pub fn visit(&self, visit: &str) -> Screen {
        let now = visit_not_left(self.known.job, Some(visit));
        let needs = visit_needs(self.known, self.readiness, visit);
        let mut blocks = Vec::new();
        if let Some(now) = &now {
            blocks.push(self.visit_now(now));
        }
        blocks.extend(self.pressing().map(|open| self.stop(open)));
        blocks.extend(self.lapses());
        blocks.extend(self.loading(visit));
        blocks.push(Block::Text {
            id: "visit-needs".to_owned(),
            text: self.needs_in_words(&needs),
            heading: false,
        });
        for stage in &self.known.guide.stages {
            let asks = self.known.guide.asks_of_visit(visit);
            let asks: Vec<&Ask> = asks.filter(|ask| ask.stage == stage.id).collect();
            self.asks(&asks, &mut blocks);
            let here =
                |plan: &FiguresPlan| plan.stage == stage.id && plan.visits.iter().any(|at| at == visit);
            self.worked_out(&here, &mut blocks);
        }
        let sort = self.known.guide.visits.iter().find(|sort| sort.id == visit);
        if sort.is_some_and(|sort| sort.leaves_house_open) {
            blocks.push(self.left_safe(now.as_ref()));
        }
        let state = now.as_ref().map(|now| now.state);
        let moments: &[&str] = match state {
            None | Some(VisitState::Left) => &["arrived"],
            Some(VisitState::Paused) => &["resumed", "left"],
            Some(VisitState::Open) => &["paused", "left"],
        };
        for moment in moments {
            blocks.push(Block::Action {
                id: format!("visit-moment-{moment}"),
                label: self.words.get(&format!("moment-{moment}")),
            });
        }
        let next = match state {
            Some(VisitState::Open) => first_empty(&blocks).or_else(|| Some("visit-moment-left".to_owned())),
            _ => moments.first().map(|moment| format!("visit-moment-{moment}")),
        };
        Screen {
            id: format!("visit/{visit}"),
            title: self.words.get(&format!("visit-{visit}")),
            place: vec![self.job_label()],
            revision: self.revision(),
            blocks,
            next,
        }
    }

    /// Every visit there was, and every sort that still has something open.
    #[must_use]
    pub fn visits(&self) -> Screen {
        let been = visits(self.known.job);
        let mut items: Vec<ListItem> = Vec::new();
        for sort in &self.known.guide.visits {
            let needs = visit_needs(self.known, self.readiness, &sort.id);
            let here: Vec<&VisitStand<'_>> = been.iter().filter(|visit| visit.sort == sort.id).collect();
            if needs.is_empty() && here.is_empty() {
                continue;
            }
            let mut parts: Vec<String> = here.iter().map(|visit| self.visit_line(visit)).collect();
            parts.push(self.needs_in_words(&needs));
            items.push(ListItem {
                id: format!("visit/{}", sort.id),
                title: self.words.get(&format!("visit-{}", sort.id)),
                detail: parts.join(" "),
                state: if needs.is_empty() {
                    BlockState::Filled
                } else {
                    BlockState::Empty
                },
            });
        }
        let open = visit_not_left(self.known.job, None).map(|visit| format!("visit/{}", visit.sort));
        let first = items.iter().find(|item| item.state == BlockState::Empty);
        let next = open.or_else(|| first.map(|item| item.id.clone()));
        Screen {
            id: "visits".to_owned(),
            title: self.words.get("screen-visits"),
            place: vec![self.job_label()],
            revision: self.revision(),
            blocks: vec![Block::List {
                id: "visits".to_owned(),
                items,
            }],
            next,
        }
    }

    /// What is still needed, in one line: how many, and the first few by name.
    #[must_use]
    pub fn needs_in_words(&self, needs: &[VisitNeed<'_>]) -> String {
        let mut names: Vec<String> = needs
            .iter()
            .take(NAMED)
            .map(|need| self.need_label(need))
            .collect();
        if needs.len() > names.len() {
            let more = (needs.len() - names.len()).to_string();
            names.push(self.words.with("wall-more", &[("count", &more)]));
        }
        let count = needs.len().to_string();
        let names = names.join("; ");
        self.words
            .with("visit-needs", &[("count", &count), ("names", &names)])
    }

    /// What one thing that a visit still needs is called.
    #[must_use]
    pub fn need_label(&self, need: &VisitNeed<'_>) -> String {
        match need {
            VisitNeed::Ask(address) => ask_in_words(&address.ask, &address.path, self.words),
            VisitNeed::Row(row) => row_label(row, self.words),
        }
    }

    fn visit_now(&self, visit: &VisitStand<'_>) -> Block {
        let mut parts = vec![self.visit_line(visit)];
        if let Some(weather) = visit.weather {
            parts.push(self.words.with("visit-weather", &[("weather", weather)]));
        }
        if !visit.instruments.is_empty() {
            let names: Vec<String> = visit
                .instruments
                .iter()
                .map(|instrument| {
                    let day = instrument.calibrated.as_deref().and_then(crate::read_date);
                    match day {
                        Some(day) => {
                            let day = self.words.date(day);
                            let named = [("name", instrument.name.as_str()), ("date", &day)];
                            self.words.with("visit-calibrated", &named)
                        }
                        None => instrument.name.clone(),
                    }
                })
                .collect();
            parts.push(
                self.words
                    .with("visit-instruments", &[("names", &names.join(", "))]),
            );
        }
        Block::Text {
            id: "visit-now".to_owned(),
            text: parts.join(" "),
            heading: false,
        }
    }

    /// How a visit stands, since when, and who came.
    fn visit_line(&self, visit: &VisitStand<'_>) -> String {
        let people: Vec<String> = visit.people.iter().map(|person| (self.name)(*person)).collect();
        let date = self.when(visit.last.body.at.unwrap_or(visit.last.at));
        let state = match visit.state {
            VisitState::Open => "visit-open",
            VisitState::Paused => "visit-paused",
            VisitState::Left => "visit-over",
        };
        let given = [("date", date.as_str()), ("people", &people.join(", "))];
        self.words.with(state, &given)
    }

    /// What is done before a house is left open, and what of it was said to be done.
    fn left_safe(&self, visit: Option<&VisitStand<'_>>) -> Block {
        let item = |id: &String| {
            let is_done = visit.is_some_and(|visit| visit.left_safe.contains(id.as_str()));
            ListItem {
                id: format!("left-safe-{id}"),
                title: self.words.get(&format!("left-safe-{id}")),
                detail: String::new(),
                state: if is_done {
                    BlockState::Filled
                } else {
                    BlockState::Empty
                },
            }
        };
        Block::List {
            id: "left-safe".to_owned(),
            items: self.known.guide.left_safe.iter().map(item).collect(),
        }
    }
}
