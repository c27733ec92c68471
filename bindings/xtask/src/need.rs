//! What a check needs, and how it is brought.

use std::cell::Cell;
use std::path::Path;

use crate::process::{self, minutes};

/// One thing without which a check cannot be run.
#[derive(Debug, Clone, Copy)]
pub enum Need {
    /// A program on the path.
    Program {
        /// Its name.
        name: &'static str,
        /// Arguments with which it ends well wherever it works.
        proof: &'static [&'static str],
        /// How it is come by.
        source: Source,
    },
}

/// Where a program comes from.
#[derive(Debug, Clone, Copy)]
pub enum Source {
    /// A package of Debian.
    Debian(&'static str),
    /// Something to be done by hand: a command or a sentence.
    ByHand(&'static str),
}

/// Brings what checks need. Debian's lists are fetched once at most.
#[derive(Debug, Default)]
pub struct Bringer {
    lists_are_new: Cell<bool>,
}

impl Bringer {
    /// Brings what is missing. What could not be brought comes back as sentences: what it is and how
    /// to get it.
    pub fn bring(&self, needs: &[Need]) -> Vec<String> {
        needs
            .iter()
            .filter_map(|need| self.bring_one(need).err())
            .collect()
    }

    fn bring_one(&self, need: &Need) -> Result<(), String> {
        match *need {
            Need::Program { name, proof, source } => self.bring_program(name, proof, source),
        }
    }

    fn bring_program(&self, name: &str, proof: &[&str], source: Source) -> Result<(), String> {
        if process::works(name, proof) {
            return Ok(());
        }
        let package = match source {
            Source::ByHand(advice) => return Err(format!("{name} is missing. {advice}")),
            Source::Debian(package) => package,
        };
        let by_hand = format!(
            "{name} is missing. On Debian: sudo apt-get install {package}; elsewhere: the package that has it."
        );
        if !is_debian_root() {
            return Err(by_hand);
        }
        self.install(package)
            .map_err(|why| format!("{by_hand} It could not be installed here: {why}"))?;
        if process::works(name, proof) {
            Ok(())
        } else {
            Err(by_hand)
        }
    }

    fn install(&self, package: &str) -> Result<(), String> {
        let apt = |arguments: &[&str]| {
            let mut command = std::process::Command::new("apt-get");
            command.env("DEBIAN_FRONTEND", "noninteractive").args(arguments);
            process::read(&mut command, minutes(10)).map(drop)
        };
        if !self.lists_are_new.replace(true) {
            println!("Fetching Debian's package lists");
            apt(&["update", "-qq"])?;
        }
        println!("Installing Debian's {package}");
        apt(&["install", "-y", "-qq", "--no-install-recommends", package])
    }
}

fn is_debian_root() -> bool {
    let root = std::process::Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0");
    root && Path::new("/etc/debian_version").exists()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_be_done_by_hand_is_said() {
        let need = |proof| Bringer::default().bring_program("sh", proof, Source::ByHand("Do this."));
        assert_eq!(need(&["-c", "exit 0"]), Ok(()));
        assert_eq!(need(&["-c", "exit 1"]), Err("sh is missing. Do this.".to_owned()));
    }
}
