//! What newer rules of a programme change for a job, to be shown before they are accepted.

use crate::programme::Programme;

/// What a change of the rules is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RuleOf {
    /// A deadline.
    Deadline,
    /// Something that has to be shown.
    Requirement,
}

/// One difference between two editions of a programme.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
#[serde(tag = "change", rename_all = "snake_case")]
pub enum RuleChange {
    /// Something in the head: the name, the edition, the grant, how long records are kept.
    Head {
        /// The key in the file.
        key: String,
        /// As it was.
        was: String,
        /// As it is now.
        is: String,
    },
    /// A requirement or deadline that was not there.
    Added {
        /// What it is.
        of: RuleOf,
        /// Its id.
        id: String,
    },
    /// One that is no longer there.
    Removed {
        /// What it is.
        of: RuleOf,
        /// Its id.
        id: String,
    },
    /// One that is there and asks for something else.
    Changed {
        /// What it is.
        of: RuleOf,
        /// Its id.
        id: String,
    },
}

impl RuleChange {
    /// A stable id for a list of changes.
    #[must_use]
    pub fn id(&self) -> String {
        match self {
            Self::Head { key, .. } => format!("head-{key}"),
            Self::Added { of, id } | Self::Removed { of, id } | Self::Changed { of, id } => match of {
                RuleOf::Deadline => format!("deadline-{id}"),
                RuleOf::Requirement => format!("need-{id}"),
            },
        }
    }
}

/// What changes from one edition to the other: the head, then deadlines, then requirements, each in the
/// order of the newer file, with what is gone at the end. What only reads otherwise is no change.
#[must_use]
pub fn rule_changes(old: &Programme, new: &Programme) -> Vec<RuleChange> {
    let mut changes = Vec::new();
    let heads = [
        ("name", &old.name, &new.name),
        ("edition", &old.edition, &new.edition),
        ("grant", &old.grant, &new.grant),
        ("currency", &old.currency, &new.currency),
        (
            "keep_years",
            &old.keep_years.to_string(),
            &new.keep_years.to_string(),
        ),
    ];
    for (key, was, is) in heads.into_iter().filter(|(_, was, is)| was != is) {
        changes.push(RuleChange::Head {
            key: key.to_owned(),
            was: was.clone(),
            is: is.clone(),
        });
    }
    let plain = |programme: &Programme| {
        let mut deadlines = programme.deadlines.clone();
        for deadline in &mut deadlines {
            deadline.words = None;
        }
        deadlines
    };
    compare(
        RuleOf::Deadline,
        &plain(old),
        &plain(new),
        |deadline| &deadline.id,
        &mut changes,
    );
    let plain = |programme: &Programme| {
        let mut requirements = programme.requirements.clone();
        for requirement in &mut requirements {
            requirement.words = None;
        }
        requirements
    };
    compare(
        RuleOf::Requirement,
        &plain(old),
        &plain(new),
        |requirement| &requirement.id,
        &mut changes,
    );
    changes
}

fn compare<T: PartialEq>(
    of: RuleOf,
    old: &[T],
    new: &[T],
    id: impl Fn(&T) -> &String,
    changes: &mut Vec<RuleChange>,
) {
    for now in new {
        let before = old.iter().find(|before| id(before) == id(now));
        match before {
            None => changes.push(RuleChange::Added {
                of,
                id: id(now).clone(),
            }),
            Some(before) if before != now => changes.push(RuleChange::Changed {
                of,
                id: id(now).clone(),
            }),
            Some(_) => {}
        }
    }
    let gone = old
        .iter()
        .filter(|before| !new.iter().any(|now| id(now) == id(before)));
    changes.extend(gone.map(|before| RuleChange::Removed {
        of,
        id: id(before).clone(),
    }));
}
