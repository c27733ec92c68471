//! Plays the demonstration once and keeps what it left behind for the checks that look at it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use crate::house::House;
use crate::process::{minutes, read, run};

/// What the demonstration left behind.
#[derive(Debug)]
pub struct Played {
    /// What it printed.
    pub told: String,
    /// How long it took once it was built, in seconds.
    pub seconds: f64,
    /// Its claim pack, or the first of several by name.
    pub first: Pack,
    /// The others.
    pub others: Vec<Pack>,
}

/// One claim pack.
#[derive(Debug)]
pub struct Pack {
    /// The zip file.
    pub file: PathBuf,
    /// The folder with its members.
    pub unpacked: PathBuf,
}

impl Played {
    /// All its claim packs.
    pub fn packs(&self) -> impl Iterator<Item = &Pack> {
        std::iter::once(&self.first).chain(&self.others)
    }
}

/// Builds and plays the demonstration as the README says, with the results in a folder of its own.
///
/// # Errors
/// Why it did not end well, or that it left no claim pack.
pub fn play(house: &House) -> Result<Played, String> {
    let folder = house.empty_folder("demo")?;
    run(
        house
            .command("cargo")
            .args(["build", "--locked", "--quiet", "--release"]),
        minutes(40),
    )?;
    let begun = Instant::now();
    let mut demo = house.command("cargo");
    demo.args(["run", "--locked", "--quiet", "--release", "--", "demo", "--out"])
        .arg(&folder);
    let told = read(&mut demo, minutes(5))?;
    let seconds = begun.elapsed().as_secs_f64();
    let mut files = Vec::new();
    zip_files(&folder, &mut files)?;
    let mut packs = Vec::new();
    for (number, file) in files.into_iter().enumerate() {
        let unpacked = house.empty_folder(&format!("demo-unpacked-{number}"))?;
        read(
            Command::new("unzip")
                .arg("-qq")
                .arg(&file)
                .arg("-d")
                .arg(&unpacked),
            minutes(1),
        )?;
        packs.push(Pack { file, unpacked });
    }
    let mut packs = packs.into_iter();
    let first = packs
        .next()
        .ok_or_else(|| format!("the demonstration left no claim pack in {}", folder.display()))?;
    Ok(Played {
        told,
        seconds,
        first,
        others: packs.collect(),
    })
}

fn zip_files(folder: &Path, found: &mut Vec<PathBuf>) -> Result<(), String> {
    let entries = fs::read_dir(folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    let mut paths = entries
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<Vec<_>, _>>();
    for path in paths
        .as_mut()
        .map_err(|why| format!("{}: {why}", folder.display()))?
        .drain(..)
    {
        if path.is_dir() {
            zip_files(&path, found)?;
        } else if path.extension().is_some_and(|ending| ending == "zip") {
            found.push(path);
        }
    }
    found.sort();
    Ok(())
}

/// The words of the last command in the story that checks a pack, from `check-pack` on; quoted words
/// keep their spaces.
#[must_use]
pub fn last_check(told: &str) -> Option<Vec<String>> {
    let line = told.lines().rev().find(|line| line.contains("check-pack "))?;
    let command = line.get(line.find("check-pack ")?..)?;
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quote = None;
    for letter in command.chars() {
        match (quote, letter) {
            (None, '\'' | '"') => quote = Some(letter),
            (Some(open), _) if open == letter => quote = None,
            (None, _) if letter.is_whitespace() => {
                words.extend((!word.is_empty()).then(|| std::mem::take(&mut word)))
            }
            _ => word.push(letter),
        }
    }
    words.extend((!word.is_empty()).then_some(word));
    Some(words)
}

/// The word after the last such flag.
#[must_use]
pub fn last_of<'a>(words: &'a [String], flag: &str) -> Option<&'a str> {
    let at = words.iter().rposition(|word| word == flag)?;
    words.get(at.saturating_add(1)).map(String::as_str)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_command_that_checks_is_read() {
        let told =
            "wythe check-pack old.zip\n  wythe check-pack 'a b/claim.zip' --trust AB-CD\nGood night.\n";
        assert_eq!(
            last_check(told).unwrap(),
            ["check-pack", "a b/claim.zip", "--trust", "AB-CD"]
        );
        assert_eq!(last_of(&last_check(told).unwrap(), "--trust"), Some("AB-CD"));
        assert_eq!(last_check("Good night."), None);
    }
}
