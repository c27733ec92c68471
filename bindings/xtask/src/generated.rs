//! The Kotlin and Swift bindings, written from the library's own metadata.

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
use std::fs;
use std::path::{Path, PathBuf};

use crate::house::House;
use crate::process::{minutes, run};

/// What is generated: the file as the generator names it, and where it is kept.
const FILES: &[(&str, &str)] = &[
    (
        "kotlin/wythe/core/wythe_ffi.kt",
        "bindings/kotlin/wythe/core/wythe_ffi.kt",
    ),
    (
        "swift/WytheFFI.swift",
        "bindings/swift/Sources/WytheFFI/WytheFFI.swift",
    ),
    (
        "swift/CWytheFFI.h",
        "bindings/swift/Sources/CWytheFFI/CWytheFFI.h",
    ),
];

/// A file shorter than this has lost what it should hold.
const LEAST_LINES: usize = 200;

/// Builds the library for this machine, in the dev profile. Gives its path.
///
/// # Errors
/// Why it was not built.
pub fn library(house: &House) -> Result<PathBuf, String> {
    let mut cargo = house.command("cargo");
    cargo.args(["build", "--locked", "--quiet", "--package", "wythe-ffi"]);
    run(&mut cargo, minutes(40))?;
    Ok(house
        .target
        .join("debug")
        .join(format!("{DLL_PREFIX}wythe_ffi{DLL_SUFFIX}")))
}

/// Writes the bindings into the repository.
///
/// # Errors
/// Why they could not be made or written.
pub fn write(house: &House) -> Result<(), String> {
    for (path, text) in generate(house)? {
        let file = house.root.join(path);
        let folder = file.parent().unwrap_or(&house.root);
        fs::create_dir_all(folder)
            .and_then(|()| fs::write(&file, text))
            .map_err(|why| format!("{path} cannot be written: {why}"))?;
        println!("{path}");
    }
    Ok(())
}

/// Compares the bindings that the repository keeps with what the library says now.
///
/// # Errors
/// Which file is stale, missing or empty.
pub fn compare(house: &House) -> Result<(), String> {
    for (path, text) in generate(house)? {
        let held = fs::read_to_string(house.root.join(path)).unwrap_or_default();
        judge(path, &text, &held)?;
    }
    Ok(())
}

fn judge(path: &str, made: &str, held: &str) -> Result<(), String> {
    if made.lines().count() < LEAST_LINES {
        return Err(format!(
            "{path} would have hardly anything in it: the library has lost its metadata"
        ));
    }
    if made == held {
        return Ok(());
    }
    let line = made
        .lines()
        .zip(held.lines())
        .take_while(|(one, other)| one == other)
        .count();
    let line = line.saturating_add(1);
    Err(format!(
        "{path} is stale from line {line} on. Run `cargo xtask bindings` and commit what it wrote."
    ))
}

fn generate(house: &House) -> Result<Vec<(&'static str, String)>, String> {
    let library = library(house)?;
    let mut cargo = house.command("cargo");
    cargo.args(["build", "--locked", "--quiet", "--package", "wythe-bindgen"]);
    run(&mut cargo, minutes(40))?;
    let folder = house.empty_folder("bindings")?;
    for language in ["kotlin", "swift"] {
        let out = folder.join(language);
        let generator = house.target.join("debug").join("wythe-bindgen");
        let mut generator = house.command(&generator.to_string_lossy());
        // The generator asks cargo for the crate's own settings: it must stand in the crate.
        generator.current_dir(house.root.join("bindings").join("ffi"));
        generator.args(["generate", "--language", language, "--no-format", "--out-dir"]);
        run(generator.arg(out).arg(&library), minutes(5))?;
    }
    FILES
        .iter()
        .map(|(made, path)| Ok((*path, tidy(&read(&folder.join(made))?))))
        .collect()
}

fn read(path: &Path) -> Result<String, String> {
    fs::read_to_string(path).map_err(|why| format!("{} cannot be read: {why}", path.display()))
}

/// Without blanks at the ends of lines and of the file.
fn tidy(text: &str) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    let mut text = lines.join("\n").trim_end().to_owned();
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stale_missing_and_empty_bindings_are_noticed() {
        let made = "a line\n".repeat(LEAST_LINES);
        assert_eq!(judge("it", &made, &made), Ok(()));
        let stale = judge("it", &made, &made.replacen("a line", "another", 1));
        assert!(stale.is_err_and(|why| why.contains("stale from line 1")));
        assert!(judge("it", &made, "").is_err());
        assert!(judge("it", "", "").is_err_and(|why| why.contains("hardly anything")));
    }

    #[test]
    fn blanks_at_ends_are_left_out() {
        assert_eq!(tidy("a  \n\nb\n\n\n"), "a\n\nb\n");
    }
}
