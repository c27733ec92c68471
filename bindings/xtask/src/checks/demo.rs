//! The demonstration, and looks at its claim pack with tools that know nothing of us.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use super::Check;
use crate::house::House;
use crate::need::{Need, Source};
use crate::process::{minutes, read, run};
use crate::story::last_check;

pub const CHECK: Check = Check {
    name: "demo",
    what: "the demonstration's claim pack, unpacked, summed and read with common tools",
    needs: &[
        Need::Program {
            name: "unzip",
            proof: &["-v"],
            source: Source::Debian("unzip"),
        },
        Need::Program {
            name: "sha256sum",
            proof: &["--version"],
            source: Source::Debian("coreutils"),
        },
        Need::Program {
            name: "pdftotext",
            proof: &["-v"],
            source: Source::Debian("poppler-utils"),
        },
        Need::Program {
            name: "pdfinfo",
            proof: &["-v"],
            source: Source::Debian("poppler-utils"),
        },
    ],
    wants: &[],
    run: look,
};

fn look(house: &House) -> Result<(), String> {
    let played = house.demo()?;
    println!("{}", played.told);
    println!("The demonstration took {:.1} s.", played.seconds);
    for pack in played.packs() {
        println!("Looking at {}", pack.file.display());
        read(Command::new("unzip").arg("-tqq").arg(&pack.file), minutes(1))?;
        every_member_is_summed(&pack.unpacked)?;
        let mut sums = Command::new("sha256sum");
        sums.args(["--check", "--strict", "--quiet", "SHA256SUMS"])
            .current_dir(&pack.unpacked);
        run(&mut sums, minutes(1))?;
        the_pdf_can_be_read(&pack.unpacked.join("claim.pdf"))?;
    }
    the_story_says_how_to_check_the_pack(house, &played.told)
}

/// A sum that is not there cannot be wrong: each member but the list itself must be in the list.
fn every_member_is_summed(unpacked: &Path) -> Result<(), String> {
    let list = fs::read_to_string(unpacked.join("SHA256SUMS")).map_err(|why| format!("SHA256SUMS: {why}"))?;
    let summed: BTreeSet<&str> = list.lines().filter_map(|line| line.get(66..)).collect();
    let mut members = Vec::new();
    list_files(unpacked, "", &mut members)?;
    for member in members.iter().filter(|member| member.as_str() != "SHA256SUMS") {
        if !summed.contains(member.as_str()) {
            return Err(format!("SHA256SUMS has no sum for {member}"));
        }
    }
    Ok(())
}

fn list_files(folder: &Path, prefix: &str, files: &mut Vec<String>) -> Result<(), String> {
    let entries = fs::read_dir(folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    for entry in entries {
        let entry = entry.map_err(|why| format!("{}: {why}", folder.display()))?;
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            list_files(&entry.path(), &format!("{name}/"), files)?;
        } else {
            files.push(name);
        }
    }
    Ok(())
}

/// The title that the file states must stand on its first page as text that can be selected.
fn the_pdf_can_be_read(pdf: &Path) -> Result<(), String> {
    let about = read(Command::new("pdfinfo").arg(pdf), minutes(1))?;
    let title = about
        .lines()
        .find_map(|line| line.strip_prefix("Title:"))
        .map(str::trim)
        .unwrap_or_default();
    let text = read(
        Command::new("pdftotext")
            .args(["-f", "1", "-l", "1"])
            .arg(pdf)
            .arg("-"),
        minutes(1),
    )?;
    if title.is_empty() {
        return Err(format!("{} states no title", pdf.display()));
    }
    if !one_line(&text).contains(&one_line(title)) {
        return Err(format!(
            "the title \"{title}\" is not on the first page of {}",
            pdf.display()
        ));
    }
    println!("claim.pdf opens with its title: {title}");
    Ok(())
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn the_story_says_how_to_check_the_pack(house: &House, told: &str) -> Result<(), String> {
    let words = last_check(told).ok_or("the demonstration does not say how to check the pack")?;
    let mut command = house.command("cargo");
    command
        .args(["run", "--locked", "--quiet", "--release", "--"])
        .args(words);
    run(&mut command, minutes(5))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unpacked(name: &str, sums: &str) -> std::path::PathBuf {
        let folder = std::env::temp_dir().join(format!("wythe-xtask-{}-{name}", std::process::id()));
        fs::create_dir_all(folder.join("originals")).unwrap();
        fs::write(folder.join("originals/a.jpg"), "picture").unwrap();
        fs::write(folder.join("SHA256SUMS"), sums).unwrap();
        folder
    }

    #[test]
    fn a_member_without_a_sum_is_named() {
        let line = format!("{}  originals/a.jpg\n", "0".repeat(64));
        let summed = unpacked("summed", &line);
        let forgotten = unpacked("forgotten", "");
        assert_eq!(every_member_is_summed(&summed), Ok(()));
        assert_eq!(
            every_member_is_summed(&forgotten),
            Err("SHA256SUMS has no sum for originals/a.jpg".to_owned())
        );
        fs::remove_dir_all(summed).unwrap();
        fs::remove_dir_all(forgotten).unwrap();
    }
}
