//! Newer rules of a programme: what changes is shown before they are accepted.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a test that cannot go on stops, and reads the files it speaks of"
)]

use wythe_guide::{Guide, Programme, RuleChange, RuleOf, rule_changes};

const OLD: &str = include_str!("../../../fixtures/programmes/larkspur.toml");

fn changes(edit: impl Fn(&str) -> String) -> Vec<RuleChange> {
    let guide = Guide::embedded().unwrap();
    let old = Programme::load("old.toml", OLD, &guide).unwrap();
    let new = Programme::load("new.toml", &edit(OLD), &guide).unwrap();
    rule_changes(&old, &new)
}

#[test]
fn the_same_rules_change_nothing_whatever_the_comments_say() {
    assert_eq!(changes(|text| format!("# Reprinted.\n{text}")), []);
}

#[test]
fn head_deadlines_and_requirements_are_told() {
    let told = changes(|text| {
        text.replacen("3500.00", "3000.00", 1)
            .replacen("days = 30", "days = 45", 1)
            .replacen("id = \"tax_form\"", "id = \"tax_form_on_file\"", 1)
            .replacen(
                "ask = \"setting.plate\"",
                "ask = \"setting.plate\", grade = \"good\"",
                1,
            )
    });
    let id = |id: &str| id.to_owned();
    assert_eq!(
        told,
        [
            RuleChange::Head {
                key: id("grant"),
                was: id("3500.00"),
                is: id("3000.00")
            },
            RuleChange::Changed {
                of: RuleOf::Deadline,
                id: id("certificate")
            },
            RuleChange::Changed {
                of: RuleOf::Requirement,
                id: id("serial_photo")
            },
            RuleChange::Added {
                of: RuleOf::Requirement,
                id: id("tax_form_on_file")
            },
            RuleChange::Removed {
                of: RuleOf::Requirement,
                id: id("tax_form")
            },
        ]
    );
}
