//! Which libraries of others stand in the tree, once each, and who may use them.

use std::collections::BTreeSet;

use crate::members::Workspace;
use crate::tree::Tree;

/// Libraries with few users, and the crates that may use them.
const ONLY_IN: &[(&str, &[&str])] = &[
    ("uniffi", &["wythe-ffi", "wythe-bindgen"]),
    ("rusqlite", &["wythe-store", "wythe-office"]),
    ("tokio", &["wythe-office", "wythe-cli"]),
];

/// Libraries on which the house stands.
const FOUNDATION: &[&str] = &["uniffi", "serde", "rusqlite", "uom", "chrono", "image", "tracing"];

/// Crates whose figures must have the same bits on a phone and in the office.
const SAME_BITS: &[&str] = &["wythe-physics", "wythe-trade"];

/// Uses of a library outside the crates it is kept in. Crates of tests are free: they look at the
/// product from outside.
#[must_use]
pub fn strayed_libraries(workspace: &Workspace) -> Vec<String> {
    let mut breaches = Vec::new();
    for member in workspace.members.iter().filter(|member| member.is_product()) {
        for (library, allowed) in ONLY_IN {
            let uses = member.uses.iter().any(|used| used.name == *library);
            if uses && !allowed.contains(&member.name.as_str()) {
                breaches.push(format!(
                    "{} uses {library}, which is kept in {}",
                    member.name,
                    allowed.join(" and ")
                ));
            }
        }
    }
    breaches
}

/// Libraries of the foundation that the tree lacks.
#[must_use]
pub fn missing_libraries(tree: &Tree) -> Vec<String> {
    FOUNDATION
        .iter()
        .filter(|library| tree.versions(library).is_empty())
        .map(|library| format!("{library} is not in the tree"))
        .collect()
}

/// Crates that must take their transcendental functions from `libm` and do not use it.
#[must_use]
pub fn missing_maths(workspace: &Workspace) -> Vec<String> {
    SAME_BITS
        .iter()
        .filter(|name| {
            workspace
                .member(name)
                .is_none_or(|member| !member.ships_with("libm"))
        })
        .map(|name| {
            format!("{name} does not use libm: the same entries would give other bits on another machine")
        })
        .collect()
}

/// Libraries whose second version comes with a tool of the tests alone, and why that tool is kept.
const TWICE_FOR_TESTS: &[(&str, &str)] = &[(
    "thiserror",
    "cddl-cat holds the golden files against the written CDDL; it ships with nothing",
)];

/// Libraries that a crate of ours uses directly and that stand in the tree in more than one version.
#[must_use]
pub fn twofold_versions(workspace: &Workspace, tree: &Tree) -> Vec<String> {
    let direct: BTreeSet<&str> = workspace
        .members
        .iter()
        .flat_map(|member| &member.uses)
        .map(|used| used.name.as_str())
        .collect();
    direct
        .into_iter()
        .filter(|name| !TWICE_FOR_TESTS.iter().any(|(allowed, _)| allowed == name))
        .map(|name| (name, tree.versions(name)))
        .filter(|(_, versions)| versions.len() > 1)
        .map(|(name, versions)| format!("{name} is in the tree as {}: keep one", versions.join(" and ")))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::members::Kind;
    use crate::members::made::{member, used, workspace};

    fn tree(packages: &[(&str, &str)]) -> Tree {
        let packages = packages
            .iter()
            .map(|(name, version)| ((*name).to_owned(), (*version).to_owned()))
            .collect();
        Tree { packages }
    }

    #[test]
    fn a_library_at_home_holds() {
        let at_home = [
            member("wythe-ffi", "bindings/ffi", &["uniffi"]),
            member("wythe-store", "core/store", &["rusqlite"]),
            member("wythe-cli", "core/cli", &["tokio"]),
            member("wythe-test-power", "tests/power", &["rusqlite"]),
        ];
        assert!(strayed_libraries(&workspace(&at_home)).is_empty());
    }

    #[test]
    fn a_library_that_strayed_is_found() {
        for library in ["uniffi", "rusqlite", "tokio"] {
            let strayed = workspace(&[member("wythe-guide", "core/guide", &[library])]);
            assert_eq!(strayed_libraries(&strayed).len(), 1, "{library}");
        }
    }

    #[test]
    fn a_library_that_strayed_into_a_crate_s_tests_is_found() {
        let mut media = member("wythe-media", "core/media", &[]);
        media.uses.push(used("tokio", Kind::Dev));
        assert_eq!(strayed_libraries(&workspace(&[media])).len(), 1);
    }

    #[test]
    fn a_foundation_that_is_gone_is_found() {
        let mut all: Vec<(&str, &str)> = FOUNDATION.iter().map(|name| (*name, "1.0.0")).collect();
        assert!(missing_libraries(&tree(&all)).is_empty());
        all.pop();
        assert_eq!(missing_libraries(&tree(&all)), ["tracing is not in the tree"]);
    }

    #[test]
    fn figures_without_libm_are_found() {
        let trade = member("wythe-trade", "core/trade", &["libm"]);
        let with = workspace(&[member("wythe-physics", "core/physics", &["libm"]), trade.clone()]);
        assert!(missing_maths(&with).is_empty());
        let mut for_tests = member("wythe-physics", "core/physics", &[]);
        for_tests.uses.push(used("libm", Kind::Dev));
        assert_eq!(missing_maths(&workspace(&[for_tests, trade])).len(), 1);
    }

    #[test]
    fn two_versions_of_a_direct_dependency_are_found() {
        let store = workspace(&[member("wythe-store", "core/store", &["sha2"])]);
        let twice = tree(&[
            ("sha2", "0.10.9"),
            ("sha2", "0.11.0"),
            ("syn", "2.0.0"),
            ("syn", "3.0.0"),
        ]);
        assert_eq!(
            twofold_versions(&store, &twice),
            ["sha2 is in the tree as 0.10.9 and 0.11.0: keep one"]
        );
        assert!(
            twofold_versions(
                &store,
                &tree(&[("sha2", "0.11.0"), ("syn", "2.0.0"), ("syn", "3.0.0")])
            )
            .is_empty()
        );
    }

    #[test]
    fn a_lock_file_is_read() {
        let lock = "version = 4\n[[package]]\nname = \"uom\"\nversion = \"0.38.0\"\n";
        assert_eq!(Tree::parse(lock), Ok(tree(&[("uom", "0.38.0")])));
        assert!(Tree::parse("version = 4").is_err());
    }
}
