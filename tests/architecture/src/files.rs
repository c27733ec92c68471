//! The files that the repository keeps: what stands at the top, and how long a file may grow.

use std::fs;
use std::path::Path;
use std::process::Command;

/// What may stand at the top of the repository, beside hidden files.
const TOP_LEVEL: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "README.md",
    "bindings",
    "core",
    "fixtures",
    "mobile",
    "tests",
];

/// Lines that a file of Rust may have at most.
const LONGEST: usize = 500;
/// Tests may be longer: cases stand side by side.
const LONGEST_TEST: usize = 900;

/// One file that the repository keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrackedFile {
    /// From the top of the repository, with `/` between names.
    pub path: String,
    /// Its content if that is text.
    pub text: Option<String>,
}

/// All files that the repository keeps, as they are in the work tree.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files {
    /// In git's order.
    pub tracked: Vec<TrackedFile>,
}

impl Files {
    /// Reads what git keeps below `root`. A file that was removed and not yet committed is left out.
    ///
    /// # Errors
    /// What git said, when it could not list the files.
    pub fn read(root: &Path) -> Result<Self, String> {
        let listed = Command::new("git")
            .args(["ls-files", "-z"])
            .current_dir(root)
            .output()
            .map_err(|error| format!("git: {error}"))?;
        if !listed.status.success() {
            return Err(format!(
                "git ls-files: {}",
                String::from_utf8_lossy(&listed.stderr)
            ));
        }
        let mut tracked = Vec::new();
        for path in String::from_utf8_lossy(&listed.stdout).split_terminator('\0') {
            if let Ok(bytes) = fs::read(root.join(path)) {
                tracked.push(TrackedFile {
                    path: path.to_owned(),
                    text: String::from_utf8(bytes).ok(),
                });
            }
        }
        Ok(Self { tracked })
    }

    /// The text of the file at the path.
    #[must_use]
    pub fn text(&self, path: &str) -> Option<&str> {
        self.tracked
            .iter()
            .find(|file| file.path == path)?
            .text
            .as_deref()
    }
}

/// Files and folders that do not belong at the top of the repository, and those that are missing.
#[must_use]
pub fn strange_top_level(files: &Files) -> Vec<String> {
    let mut strange: Vec<&str> = files
        .tracked
        .iter()
        .filter_map(|file| file.path.split('/').next())
        .filter(|top| !top.starts_with('.') && !TOP_LEVEL.contains(top))
        .collect();
    strange.dedup();
    let strange = strange
        .into_iter()
        .map(|top| format!("{top} does not belong at the top of the repository"));
    let missing = TOP_LEVEL
        .iter()
        .filter(|top| top.contains('.') && files.text(top).is_none())
        .map(|top| format!("{top} is missing at the top of the repository"));
    strange.chain(missing).collect()
}

/// Files of Rust in core, bindings and tests that are too long. Generated ones may be.
#[must_use]
pub fn long_files(files: &Files) -> Vec<String> {
    let mut breaches = Vec::new();
    for file in &files.tracked {
        let ours = ["core/", "bindings/", "tests/"]
            .iter()
            .any(|folder| file.path.starts_with(folder));
        if !ours || !file.path.ends_with(".rs") || file.path.contains("/generated/") {
            continue;
        }
        let lines = file.text.as_deref().unwrap_or_default().lines().count();
        let is_test = file.path.starts_with("tests/") || file.path.contains("/tests/");
        let longest = if is_test { LONGEST_TEST } else { LONGEST };
        if lines > longest {
            breaches.push(format!(
                "{} has {lines} lines, more than {longest}: split it by idea",
                file.path
            ));
        }
    }
    breaches
}

#[cfg(test)]
pub(crate) mod made {
    //! Repositories written by hand, for breaking rules on purpose.

    use super::{Files, TrackedFile};

    pub(crate) fn files(written: &[(String, String)]) -> Files {
        let mut files = Files::default();
        for (path, text) in written {
            files.put(path, text);
        }
        files
    }

    impl Files {
        pub(crate) fn put(&mut self, path: &str, text: &str) {
            self.tracked.retain(|file| file.path != path);
            self.tracked.push(TrackedFile {
                path: path.to_owned(),
                text: Some(text.to_owned()),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tidy() -> Files {
        let mut files = Files::default();
        for path in [
            "Cargo.lock",
            "Cargo.toml",
            "DEVELOPERS.md",
            "README.md",
            ".ci/run",
            "core/units/src/lib.rs",
        ] {
            files.put(path, "");
        }
        files
    }

    #[test]
    fn a_tidy_top_level_holds() {
        assert!(strange_top_level(&tidy()).is_empty());
    }

    #[test]
    fn a_strange_file_at_the_top_is_found() {
        let mut files = tidy();
        files.put("NOTES.md", "");
        files.put("scripts/a.sh", "");
        files.put("scripts/b.sh", "");
        assert_eq!(strange_top_level(&files).len(), 2);
        files.tracked.retain(|file| file.path != "README.md");
        assert_eq!(strange_top_level(&files).len(), 3);
    }

    #[test]
    fn a_long_file_is_found() {
        let mut files = tidy();
        files.put("core/job/src/fold.rs", &"\n".repeat(LONGEST));
        assert!(long_files(&files).is_empty());
        files.put("core/job/src/fold.rs", &"\n".repeat(LONGEST + 1));
        files.put("core/job/data/table.toml", &"\n".repeat(LONGEST + 1));
        files.put("bindings/kotlin/generated/wythe.rs", &"\n".repeat(LONGEST + 1));
        assert_eq!(long_files(&files).len(), 1);
    }
}
