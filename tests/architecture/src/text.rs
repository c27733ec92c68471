//! What no text in the repository may say, and what the README must.

use crate::files::{Files, TrackedFile};

/// Folders of somebody's machine. Written in two parts, so that this file does not hold them.
const MACHINE_FOLDERS: &[&str] = &[
    concat!("/wo", "rk/"),
    concat!("/ro", "ot/"),
    concat!("/tmp/", "wt"),
    concat!("/tmp/", "target"),
];

/// Hosts from which packages are fetched. A build names packages; where they come from is a machine's setting.
const REGISTRIES: &[&str] = &[
    concat!("crates", ".io"),
    concat!("pypi", ".org"),
    concat!("python", "hosted.org"),
    concat!("npm", "js.org"),
    concat!("npm", "js.com"),
    concat!("repo.", "maven."),
    concat!("repo1.", "maven."),
    concat!("maven.", "google.com"),
    concat!("deb.", "debian.org"),
    concat!("proxy.", "golang.org"),
];

/// Files that tools write and that name hosts of their own accord.
const LOCK_FILES: &[&str] = &["Cargo.lock", "package-lock.json", "Package.resolved"];

/// Words that the README's first paragraph needs to have said what the job is.
const JOB: &[&str] = &[
    "crew",
    "wood stove",
    "programme",
    "destroyed",
    "chimney",
    "gas",
    "signature",
    "claim",
    "paid",
];

/// Texts that name a folder of somebody's machine.
#[must_use]
pub fn machine_paths(files: &Files) -> Vec<String> {
    let named = |line: &str| {
        MACHINE_FOLDERS
            .iter()
            .copied()
            .find(|folder| begins_in(line, folder))
    };
    lines_with(files, named, "names a folder of one machine")
}

/// Texts that name a package registry's host.
#[must_use]
pub fn registry_hosts(files: &Files) -> Vec<String> {
    let named = |line: &str| REGISTRIES.iter().copied().find(|host| line.contains(host));
    lines_with(files, named, "names a package registry")
}

/// The README's first paragraph, when it does not say what the job is.
#[must_use]
pub fn readme_without_job(files: &Files) -> Vec<String> {
    let readme = files.text("README.md").unwrap_or_default();
    let paragraph = first_paragraph(readme);
    JOB.iter()
        .filter(|word| !paragraph.contains(*word))
        .map(|word| format!("README.md: the first paragraph does not say the job: \"{word}\" is missing"))
        .collect()
}

fn lines_with<'a>(files: &Files, named: impl Fn(&str) -> Option<&'a str>, what: &str) -> Vec<String> {
    let mut breaches = Vec::new();
    for file in files.tracked.iter().filter(|file| !is_lock_file(file)) {
        for (number, line) in file.text.as_deref().unwrap_or_default().lines().enumerate() {
            if let Some(found) = named(line) {
                breaches.push(format!(
                    "{}:{} {what}: {found}",
                    file.path,
                    number.saturating_add(1)
                ));
            }
        }
    }
    breaches
}

fn is_lock_file(file: &TrackedFile) -> bool {
    file.path
        .rsplit('/')
        .next()
        .is_some_and(|name| LOCK_FILES.contains(&name))
}

/// Whether an absolute path in the line begins with the folder; a longer path or an address that merely
/// contains it does not.
fn begins_in(line: &str, folder: &str) -> bool {
    line.match_indices(folder).any(|(at, _)| {
        let before = line.get(..at).and_then(|text| text.chars().next_back());
        !before.is_some_and(|letter| letter.is_alphanumeric() || "._-~}/*".contains(letter))
    })
}

/// The first paragraph below the title, its lines joined by spaces.
fn first_paragraph(markdown: &str) -> String {
    markdown
        .lines()
        .skip_while(|line| line.trim().is_empty() || line.starts_with('#'))
        .take_while(|line| !line.trim().is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::made::files;

    fn one(path: &str, text: &str) -> Files {
        files(&[(path.to_owned(), text.to_owned())])
    }

    #[test]
    fn a_folder_of_one_machine_is_found() {
        for folder in MACHINE_FOLDERS {
            let text = format!("one\nsee \"{folder}notes\"\n");
            assert_eq!(
                machine_paths(&one("core/job/notes.md", &text)).len(),
                1,
                "{folder}"
            );
        }
    }

    #[test]
    fn a_path_or_address_that_merely_contains_one_holds() {
        let text = format!(
            "https://example.org{}of-draft.html and target{}wythe",
            MACHINE_FOLDERS[0], MACHINE_FOLDERS[1]
        );
        assert!(machine_paths(&one("README.md", &text)).is_empty());
    }

    #[test]
    fn a_registry_is_found() {
        for host in REGISTRIES {
            assert_eq!(
                registry_hosts(&one("mobile/pom.xml", &format!("<url>https://{host}</url>"))).len(),
                1,
                "{host}"
            );
        }
    }

    #[test]
    fn a_source_s_address_and_a_lock_file_hold() {
        assert!(registry_hosts(&one("a.md", "https://www.rfc-editor.org/rfc/rfc8949")).is_empty());
        assert!(registry_hosts(&one("pom.xml", "xmlns=\"http://maven.apache.org/POM/4.0.0\"")).is_empty());
        assert!(
            registry_hosts(&one("Cargo.lock", &format!("registry+https://{}", REGISTRIES[0]))).is_empty()
        );
    }

    #[test]
    fn a_readme_that_does_not_open_with_the_job_is_found() {
        let opening = format!("# Wythe\n\n{}\n", JOB.join(" "));
        assert!(readme_without_job(&one("README.md", &opening)).is_empty());
        let late = format!("# Wythe\n\nA fast and flexible framework.\n\n{}\n", JOB.join(" "));
        assert_eq!(readme_without_job(&one("README.md", &late)).len(), JOB.len());
        assert_eq!(readme_without_job(&Files::default()).len(), JOB.len());
    }
}
