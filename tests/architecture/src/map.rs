//! Whether the contributors' map names every crate, and every core crate says what it promises.

use crate::files::Files;
use crate::members::Workspace;

/// Crates whose folder `DEVELOPERS.md` does not name.
#[must_use]
pub fn unmapped_crates(files: &Files, workspace: &Workspace) -> Vec<String> {
    let map = files.text("DEVELOPERS.md").unwrap_or_default();
    workspace
        .members
        .iter()
        .filter(|member| !map.contains(&format!("`{}`", member.folder)))
        .map(|member| {
            format!(
                "DEVELOPERS.md does not name `{}`: add it to the map",
                member.folder
            )
        })
        .collect()
}

/// Libraries of core whose first words name no invariant.
#[must_use]
pub fn unpromising_crates(files: &Files, workspace: &Workspace) -> Vec<String> {
    workspace
        .members
        .iter()
        .filter(|member| member.folder.starts_with("core/"))
        .filter_map(|member| {
            let path = format!("{}/src/lib.rs", member.folder);
            let promises = files.text(&path)?.contains("//! Invariant: ");
            (!promises)
                .then(|| format!("{path} names no invariant: add a line \"//! Invariant: ...\" to its head"))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::members::made::{member, workspace};

    #[test]
    fn a_crate_that_is_not_on_the_map_is_found() {
        let both = workspace(&[
            member("wythe-job", "core/job", &[]),
            member("wythe-test-power", "tests/power", &[]),
        ]);
        let mut files = Files::default();
        assert_eq!(unmapped_crates(&files, &both).len(), 2);
        files.put("DEVELOPERS.md", "| `core/job` | facts |");
        assert_eq!(
            unmapped_crates(&files, &both),
            ["DEVELOPERS.md does not name `tests/power`: add it to the map"]
        );
    }

    #[test]
    fn a_core_crate_without_a_promise_is_found() {
        let job = workspace(&[member("wythe-job", "core/job", &[])]);
        let mut files = Files::default();
        files.put(
            "core/job/src/lib.rs",
            "//! Facts.\n//!\n//! Invariant: order changes nothing.\n",
        );
        assert!(unpromising_crates(&files, &job).is_empty());
        files.put("core/job/src/lib.rs", "//! Facts.\n");
        assert_eq!(unpromising_crates(&files, &job).len(), 1);
    }
}
