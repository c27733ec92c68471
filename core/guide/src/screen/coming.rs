//! Visits on the screens: which there are, and coming and going.

use crate::ask::Ask;

use super::make::Make;
use super::{Block, BlockState, ListItem};

impl Make<'_, '_> {
    /// The visits as a list, each with what is still open on it.
    pub(super) fn visits(&self) -> Block {
        let item = |sort: &crate::ask::VisitSort| {
            let open = self.open_on(&sort.id);
            ListItem {
                id: format!("visit/{}", sort.id),
                title: self.words.get(&format!("visit-{}", sort.id)),
                detail: self.needs_text(open),
                state: if open == 0 {
                    BlockState::Filled
                } else {
                    BlockState::Empty
                },
            }
        };
        Block::List {
            id: "visits".to_owned(),
            items: self.known.guide.visits.iter().map(item).collect(),
        }
    }

    /// How much is open on a visit, in words.
    pub(super) fn needs_text(&self, open: usize) -> String {
        self.words.with("visit-needs", &[("count", &open.to_string())])
    }

    fn open_on(&self, visit: &str) -> usize {
        let asks: Vec<&Ask> = self.known.guide.asks_of_visit(visit).collect();
        let mut blocks = Vec::new();
        self.asks(&asks, &mut blocks);
        blocks.iter().filter(|block| super::make::is_open(block)).count()
    }

    /// What can be done about a visit now: arrive, or leave.
    pub(super) fn coming(&self, visit: &str) -> Block {
        let here = self.known.job.visits.values().any(|moments| {
            let last = moments.iter().rfind(|moment| moment.holds());
            last.is_some_and(|last| last.body.sort == visit && last.body.moment != "left")
        });
        let (moment, label) = if here {
            ("left", "action-left")
        } else {
            ("arrived", "action-arrived")
        };
        Block::Action {
            id: format!("moment/{visit}/{moment}"),
            label: self.words.get(label),
        }
    }
}
