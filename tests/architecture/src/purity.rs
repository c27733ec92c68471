//! What keeps the pure crates pure, and every core crate under the house's lints.

use toml::Table;

use crate::files::Files;
use crate::members::{Kind, Workspace};

/// Crates with no file, clock, thread, network or chance: those come in as arguments.
pub const PURE: &[&str] = &["units", "physics", "trade", "drawing", "job", "guide", "sync"];

/// Pure crates whose figures must have the same bits everywhere.
const SAME_BITS: &[&str] = &["physics", "trade"];

/// What a pure crate's `.clippy.toml` forbids at least.
const FORBIDDEN: &[&str] = &[
    "std::time::SystemTime::now",
    "std::time::Instant::now",
    "std::thread::spawn",
    "std::env::var",
    "std::fs::read",
    "std::fs::read_to_string",
    "std::fs::write",
    "std::fs::File::open",
    "std::fs::File::create",
    "std::net::TcpStream::connect",
    "std::net::TcpListener::bind",
];

/// What the platform would answer with bits of its own.
const PLATFORM_MATHS: &[&str] = &[
    "f64::powf",
    "f64::exp",
    "f64::ln",
    "f64::log10",
    "f64::sin",
    "f64::cos",
    "f64::tan",
    "f64::asin",
    "f64::acos",
    "f64::atan",
    "f64::atan2",
    "f64::sinh",
    "f64::cosh",
    "f64::tanh",
    "f64::cbrt",
    "f64::hypot",
];

/// Libraries that bring a file, a clock, a thread, a network or chance.
const IMPURE: &[&str] = &[
    "getrandom",
    "rand",
    "rayon",
    "reqwest",
    "rusqlite",
    "tempfile",
    "tokio",
    "tracing-subscriber",
];

/// Lints of the workspace that must stay, and how strictly.
const LINTS: &[(&str, &str, &str)] = &[
    ("rust", "unsafe_code", "forbid"),
    ("rust", "missing_docs", "deny"),
    ("clippy", "unwrap_used", "deny"),
    ("clippy", "expect_used", "deny"),
    ("clippy", "panic", "deny"),
    ("clippy", "indexing_slicing", "deny"),
    ("clippy", "string_slice", "deny"),
    ("clippy", "cast_possible_truncation", "deny"),
    ("clippy", "float_cmp", "deny"),
    ("clippy", "disallowed_methods", "deny"),
];

/// Pure crates that do not forbid what a pure crate may not call.
#[must_use]
pub fn impure_clippy(files: &Files) -> Vec<String> {
    let mut breaches = Vec::new();
    for name in PURE {
        let path = format!("core/{name}/.clippy.toml");
        let Some(settings) = files.text(&path) else {
            breaches.push(format!("{path} is missing"));
            continue;
        };
        let forbidden = forbidden_methods(settings);
        let maths: &[&str] = if SAME_BITS.contains(name) {
            PLATFORM_MATHS
        } else {
            &[]
        };
        for method in FORBIDDEN.iter().chain(maths) {
            if !forbidden.iter().any(|found| found == method) {
                breaches.push(format!("{path} does not forbid {method}"));
            }
        }
    }
    breaches
}

/// Pure crates that ship with a library which brings what they may not have, or with a clock.
#[must_use]
pub fn impure_libraries(workspace: &Workspace) -> Vec<String> {
    let mut breaches = Vec::new();
    for name in PURE {
        let name = format!("wythe-{name}");
        let Some(member) = workspace.member(&name) else {
            breaches.push(format!("{name} is not in the workspace"));
            continue;
        };
        for used in member.uses.iter().filter(|used| used.kind == Kind::Normal) {
            if IMPURE.contains(&used.name.as_str()) {
                breaches.push(format!("{name} is pure and may not use {}", used.name));
            }
            if used.name == "chrono"
                && used
                    .features
                    .iter()
                    .any(|feature| feature == "clock" || feature == "now")
            {
                breaches.push(format!("{name} is pure and may not ask chrono for a clock"));
            }
        }
    }
    breaches
}

/// Crates of core and of tests that do not take the workspace's lints.
#[must_use]
pub fn careless_crates(files: &Files, workspace: &Workspace) -> Vec<String> {
    let mut breaches = Vec::new();
    for member in workspace
        .members
        .iter()
        .filter(|member| member.folder.starts_with("core/"))
    {
        let path = format!("{}/Cargo.toml", member.folder);
        let manifest = files
            .text(&path)
            .and_then(|text| text.parse::<Table>().ok())
            .unwrap_or_default();
        let taken = manifest
            .get("lints")
            .and_then(|lints| lints.get("workspace"))
            .and_then(toml::Value::as_bool);
        if taken != Some(true) {
            breaches.push(format!("{path} lacks `[lints] workspace = true`"));
        }
    }
    breaches
}

/// Lints of the workspace that were dropped or loosened, and overflow checks that were switched off.
#[must_use]
pub fn weakened_lints(files: &Files) -> Vec<String> {
    let manifest = files
        .text("Cargo.toml")
        .and_then(|text| text.parse::<Table>().ok())
        .unwrap_or_default();
    let at = |path: &[&str]| {
        let mut found = manifest.get(*path.first()?)?;
        for name in path.iter().skip(1) {
            found = found.get(*name)?;
        }
        Some(found)
    };
    let mut breaches = Vec::new();
    for (tool, lint, level) in LINTS {
        if at(&["workspace", "lints", tool, lint]).and_then(toml::Value::as_str) != Some(*level) {
            breaches.push(format!("Cargo.toml: the lint {lint} is not \"{level}\""));
        }
    }
    if at(&["profile", "release", "overflow-checks"]).and_then(toml::Value::as_bool) != Some(true) {
        breaches.push("Cargo.toml: a release build does not check for overflow".to_owned());
    }
    breaches
}

fn forbidden_methods(settings: &str) -> Vec<String> {
    let settings: Table = settings.parse().unwrap_or_default();
    let listed = settings
        .get("disallowed-methods")
        .and_then(toml::Value::as_array)
        .cloned()
        .unwrap_or_default();
    listed
        .iter()
        .filter_map(|entry| {
            entry
                .as_str()
                .or_else(|| entry.get("path").and_then(toml::Value::as_str))
        })
        .map(str::to_owned)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::made::files;
    use crate::members::made::{member, workspace};

    fn clippy_of(methods: &[&str]) -> String {
        let paths: Vec<String> = methods
            .iter()
            .map(|method| format!("{{ path = \"{method}\" }}"))
            .collect();
        format!("disallowed-methods = [{}]\n", paths.join(", "))
    }

    fn pure_files() -> Files {
        let all: Vec<&str> = FORBIDDEN.iter().chain(PLATFORM_MATHS).copied().collect();
        let settings = clippy_of(&all);
        files(
            &PURE
                .iter()
                .map(|name| (format!("core/{name}/.clippy.toml"), settings.clone()))
                .collect::<Vec<_>>(),
        )
    }

    #[test]
    fn pure_crates_that_forbid_all_hold() {
        assert!(impure_clippy(&pure_files()).is_empty());
    }

    #[test]
    fn a_pure_crate_without_settings_is_found() {
        let mut without = pure_files();
        without
            .tracked
            .retain(|file| file.path != "core/job/.clippy.toml");
        assert_eq!(impure_clippy(&without), ["core/job/.clippy.toml is missing"]);
    }

    #[test]
    fn a_pure_crate_that_allows_the_clock_is_found() {
        let mut loose = pure_files();
        let kept: Vec<&str> = FORBIDDEN
            .iter()
            .filter(|method| !method.contains("Instant"))
            .copied()
            .collect();
        loose.put("core/sync/.clippy.toml", &clippy_of(&kept));
        assert_eq!(
            impure_clippy(&loose),
            ["core/sync/.clippy.toml does not forbid std::time::Instant::now"]
        );
    }

    #[test]
    fn figures_from_the_platform_s_maths_are_found() {
        let mut loose = pure_files();
        loose.put("core/physics/.clippy.toml", &clippy_of(FORBIDDEN));
        assert_eq!(impure_clippy(&loose).len(), PLATFORM_MATHS.len());
        loose.put("core/physics/.clippy.toml", "disallowed-methods = [");
        assert_eq!(
            impure_clippy(&loose).len(),
            FORBIDDEN.len() + PLATFORM_MATHS.len()
        );
    }

    #[test]
    fn an_impure_library_is_found() {
        let mut members: Vec<_> = PURE
            .iter()
            .map(|name| member(&format!("wythe-{name}"), &format!("core/{name}"), &["chrono"]))
            .collect();
        assert!(impure_libraries(&workspace(&members)).is_empty());
        members[0].uses[0].features.push("clock".to_owned());
        members[1].uses[0].name = "tempfile".to_owned();
        assert_eq!(impure_libraries(&workspace(&members)).len(), 2);
        members.pop();
        assert_eq!(impure_libraries(&workspace(&members)).len(), 3);
    }

    #[test]
    fn a_crate_outside_the_lints_is_found() {
        let app = workspace(&[member("wythe-app", "core/app", &[])]);
        let check = |manifest: &str| {
            careless_crates(
                &files(&[("core/app/Cargo.toml".to_owned(), manifest.to_owned())]),
                &app,
            )
            .len()
        };
        assert_eq!(check("[lints]\nworkspace = true\n"), 0);
        assert_eq!(check("[lints]\nworkspace = false\n"), 1);
        assert_eq!(check("[lints.clippy]\nall = \"allow\"\n"), 1);
        assert_eq!(check(""), 1);
    }

    #[test]
    fn a_loosened_lint_is_found() {
        let mut manifest = "[profile.release]\noverflow-checks = true\n".to_owned();
        for (tool, lint, level) in LINTS {
            manifest.push_str(&format!("[workspace.lints.{tool}.{lint}]\n"));
            manifest = manifest.replace(&format!("[workspace.lints.{tool}.{lint}]\n"), "");
            manifest.insert_str(0, &format!("workspace.lints.{tool}.{lint} = \"{level}\"\n"));
        }
        let check = |text: &str| weakened_lints(&files(&[("Cargo.toml".to_owned(), text.to_owned())])).len();
        assert_eq!(check(&manifest), 0);
        assert_eq!(check(&manifest.replace("forbid", "deny")), 1);
        assert_eq!(
            check(&manifest.replace("overflow-checks = true", "overflow-checks = false")),
            1
        );
        assert_eq!(check(""), LINTS.len() + 1);
    }
}
