//! Which crate of ours may use which: arrows point down only.

use crate::members::{Member, Workspace};

/// Each crate and the crates right below it. A crate may use these and all that is below them.
const BELOW: &[(&str, &[&str])] = &[
    ("wythe-units", &[]),
    ("wythe-physics", &["wythe-units"]),
    ("wythe-trade", &["wythe-physics"]),
    ("wythe-drawing", &["wythe-units"]),
    ("wythe-job", &[]),
    ("wythe-guide", &["wythe-job", "wythe-trade", "wythe-drawing"]),
    ("wythe-store", &["wythe-guide"]),
    ("wythe-media", &["wythe-guide"]),
    ("wythe-sync", &["wythe-guide"]),
    ("wythe-pack", &["wythe-guide"]),
    (
        "wythe-app",
        &["wythe-store", "wythe-media", "wythe-sync", "wythe-pack"],
    ),
    ("wythe-ffi", &["wythe-app"]),
    ("wythe-office", &["wythe-app"]),
    ("wythe-cli", &["wythe-office"]),
    ("wythe-bindgen", &[]),
    ("xtask", &[]),
];

/// Crates that use a crate which is not below them, crates without a place, and crates of tests that
/// something uses. Counts tests and build scripts too: a test across crates belongs in `tests/`.
#[must_use]
pub fn broken_arrows(workspace: &Workspace) -> Vec<String> {
    let mut breaches = Vec::new();
    for member in &workspace.members {
        let allowed = below(&member.name);
        if member.is_product() && allowed.is_none() {
            breaches.push(format!(
                "{} has no place among the crates: give it one in tests/architecture/src/arrows.rs",
                member.name
            ));
            continue;
        }
        for used in ours(workspace, member) {
            if !used.is_product() {
                breaches.push(format!(
                    "{} uses {}, a crate of tests: nothing may",
                    member.name, used.name
                ));
            } else if allowed
                .as_ref()
                .is_some_and(|allowed| !allowed.contains(&used.name.as_str()))
            {
                breaches.push(format!(
                    "{} uses {}, which is not below it: move what it needs down, or the code up",
                    member.name, used.name
                ));
            }
        }
    }
    breaches
}

fn ours<'a>(workspace: &'a Workspace, member: &'a Member) -> impl Iterator<Item = &'a Member> {
    member.uses.iter().filter_map(|used| workspace.member(&used.name))
}

/// All crates that the named one may use; nothing for a crate without a place.
fn below(name: &str) -> Option<Vec<&'static str>> {
    let (_, direct) = BELOW.iter().find(|(crate_name, _)| *crate_name == name)?;
    let mut all = Vec::new();
    for lower in *direct {
        all.push(*lower);
        all.extend(below(lower).unwrap_or_default());
    }
    Some(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::members::Kind;
    use crate::members::made::{member, used, workspace};

    fn check(user: &str, user_folder: &str, lower: &str, lower_folder: &str) -> usize {
        broken_arrows(&workspace(&[
            member(user, user_folder, &[lower]),
            member(lower, lower_folder, &[]),
        ]))
        .len()
    }

    #[test]
    fn an_arrow_down_holds() {
        assert_eq!(check("wythe-trade", "core/trade", "wythe-units", "core/units"), 0);
        assert_eq!(
            check("wythe-pack", "core/pack", "wythe-drawing", "core/drawing"),
            0
        );
        assert_eq!(check("wythe-cli", "core/cli", "wythe-app", "core/app"), 0);
    }

    #[test]
    fn an_arrow_up_is_found() {
        assert_eq!(
            check("wythe-physics", "core/physics", "wythe-trade", "core/trade"),
            1
        );
        assert_eq!(check("wythe-units", "core/units", "wythe-job", "core/job"), 1);
        assert_eq!(check("wythe-app", "core/app", "wythe-office", "core/office"), 1);
    }

    #[test]
    fn an_arrow_sideways_is_found() {
        assert_eq!(
            check("wythe-drawing", "core/drawing", "wythe-trade", "core/trade"),
            1
        );
        assert_eq!(check("wythe-pack", "core/pack", "wythe-store", "core/store"), 1);
        assert_eq!(
            check("wythe-office", "core/office", "wythe-ffi", "bindings/ffi"),
            1
        );
        assert_eq!(check("wythe-job", "core/job", "wythe-units", "core/units"), 1);
    }

    #[test]
    fn an_arrow_of_tests_counts() {
        let mut store = member("wythe-store", "core/store", &[]);
        store.uses.push(used("wythe-app", Kind::Dev));
        assert_eq!(
            broken_arrows(&workspace(&[store, member("wythe-app", "core/app", &[])])).len(),
            1
        );
    }

    #[test]
    fn a_crate_without_a_place_is_found() {
        assert_eq!(
            broken_arrows(&workspace(&[member("wythe-extra", "core/extra", &[])])).len(),
            1
        );
    }

    #[test]
    fn a_crate_of_tests_may_use_anything_and_nothing_may_use_it() {
        assert_eq!(
            check("wythe-test-thing", "tests/thing", "wythe-cli", "core/cli"),
            0
        );
        assert_eq!(
            check("wythe-cli", "core/cli", "wythe-test-thing", "tests/thing"),
            1
        );
    }
}
