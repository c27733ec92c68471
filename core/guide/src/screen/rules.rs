//! Newer rules of a programme on a screen: what changes, and what that does to this job, before anybody
//! accepts them.

use std::collections::BTreeSet;

use crate::changes::{RuleChange, RuleOf, rule_changes};
use crate::programme::Programme;
use crate::readiness::{Readiness, Row};
use crate::wall::row_label;

use super::make::{Make, block_state};
use super::{Block, BlockState, ListItem, Screen};

impl Make<'_, '_> {
    /// What moving this job from the rules it pins to newer ones would change: in the rules, and in what
    /// is missing. `then` is how the job would stand under them.
    #[must_use]
    pub fn newer_rules(&self, old: &Programme, new: &Programme, then: &Readiness<'_>) -> Screen {
        let changes = rule_changes(old, new);
        let items: Vec<ListItem> = changes
            .iter()
            .map(|change| self.rule_change(change, old, new))
            .collect();
        let edition = [("was", old.edition.as_str()), ("now", new.edition.as_str())];
        let mut blocks = vec![self.line(
            "rules-editions",
            self.words.with("rules-editions", &edition),
            false,
        )];
        if items.is_empty() {
            blocks.push(self.line("rules-same", self.words.get("rules-same"), false));
        } else {
            blocks.push(Block::List {
                id: "rule-changes".to_owned(),
                items,
            });
        }
        blocks.push(self.line("rules-effect", self.words.get("rules-effect"), true));
        let effect = self.effect(then);
        if effect.is_empty() {
            blocks.push(self.line("rules-no-effect", self.words.get("rules-no-effect"), false));
        } else {
            blocks.push(Block::List {
                id: "rule-effect".to_owned(),
                items: effect,
            });
        }
        blocks.push(Block::Action {
            id: "accept-rules".to_owned(),
            label: self.words.get("action-accept-rules"),
        });
        Screen {
            id: "rules".to_owned(),
            title: self.words.get("screen-rules"),
            place: vec![self.job_label()],
            revision: new.digest.to_string(),
            blocks,
            next: Some("accept-rules".to_owned()),
        }
    }

    /// The rules that a job pins, when there are no newer ones.
    #[must_use]
    pub fn rules(&self, programme: &Programme) -> Screen {
        let given = [
            ("name", programme.name.as_str()),
            ("edition", programme.edition.as_str()),
        ];
        let pinned = self.words.with("rules-pinned", &given);
        Screen {
            id: "rules".to_owned(),
            title: self.words.get("screen-rules"),
            place: vec![self.job_label()],
            revision: programme.digest.to_string(),
            blocks: vec![
                self.line("rules-pinned", pinned, false),
                self.line("rules-newest", self.words.get("rules-newest"), false),
            ],
            next: None,
        }
    }

    fn line(&self, id: &str, text: String, heading: bool) -> Block {
        Block::Text {
            id: id.to_owned(),
            text,
            heading,
        }
    }

    fn rule_change(&self, change: &RuleChange, old: &Programme, new: &Programme) -> ListItem {
        let (title, detail) = match change {
            RuleChange::Head { key, was, is } => (
                self.words.get(&format!("rule-key-{}", key.replace('_', "-"))),
                self.words.with("rule-was-is", &[("was", was), ("now", is)]),
            ),
            RuleChange::Added { of, id } => (self.rule_name(*of, id, new), self.words.get("rule-added")),
            RuleChange::Removed { of, id } => (self.rule_name(*of, id, old), self.words.get("rule-removed")),
            RuleChange::Changed { of, id } => {
                let days = old.deadline(id).zip(new.deadline(id));
                let days = days.filter(|(was, is)| *of == RuleOf::Deadline && was.days != is.days);
                let detail = match days {
                    Some((was, is)) => {
                        let (was, is) = (was.days.to_string(), is.days.to_string());
                        self.words.with("rule-days", &[("was", &was), ("now", &is)])
                    }
                    None => self.words.get("rule-changed"),
                };
                (self.rule_name(*of, id, new), detail)
            }
        };
        ListItem {
            id: change.id(),
            title,
            detail,
            state: BlockState::Empty,
        }
    }

    fn rule_name(&self, of: RuleOf, id: &str, programme: &Programme) -> String {
        let language = self.words.language().tag();
        let (own, family) = match of {
            RuleOf::Deadline => (
                programme.deadline(id).and_then(|found| found.words.as_ref()),
                "deadline",
            ),
            RuleOf::Requirement => {
                let found = programme.requirements.iter().find(|found| found.id == id);
                (found.and_then(|found| found.words.as_ref()), "need")
            }
        };
        own.and_then(|own| own.get(language).cloned())
            .or_else(|| self.words.find(&format!("{family}-{id}"), &[]))
            .unwrap_or_else(|| id.replace('_', " "))
    }

    /// What would be missing that is not now, and the other way round.
    fn effect(&self, then: &Readiness<'_>) -> Vec<ListItem> {
        let key = |row: &&Row| (row.id.clone(), row.path.clone());
        let now = self.readiness.missing();
        let later = then.missing();
        let had: BTreeSet<_> = now.iter().map(key).collect();
        let has: BTreeSet<_> = later.iter().map(key).collect();
        let added = later.iter().filter(|row| !had.contains(&key(row)));
        let mut items: Vec<ListItem> = added
            .map(|row| ListItem {
                id: row.id.clone(),
                title: row_label(row, self.words),
                detail: self.row_detail(row),
                state: block_state(row.state),
            })
            .collect();
        let gone = now.iter().filter(|row| !has.contains(&key(row)));
        items.extend(gone.map(|row| ListItem {
            id: row.id.clone(),
            title: row_label(row, self.words),
            detail: self.words.get("rule-no-longer-missing"),
            state: BlockState::Filled,
        }));
        items
    }
}
