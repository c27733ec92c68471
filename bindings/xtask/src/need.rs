//! What a check needs, and how it is brought.

use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};

use crate::house::House;
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
    /// A file that a package of Debian brings.
    File {
        /// Where it lies.
        path: &'static str,
        /// The package.
        package: &'static str,
    },
    /// Packages of PyPI, in an environment of their own.
    Python {
        /// A requirements file, from the top of the repository.
        requirements: &'static str,
    },
    /// Artifacts of Maven, copied into a folder of the build folder.
    Maven {
        /// A folder with a pom.xml that names them, from the top of the repository.
        pom: &'static str,
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
    pub fn bring(&self, house: &House, needs: &[Need]) -> Vec<String> {
        needs
            .iter()
            .filter_map(|need| self.bring_one(house, need).err())
            .collect()
    }

    fn bring_one(&self, house: &House, need: &Need) -> Result<(), String> {
        match *need {
            Need::Program { name, proof, source } => self.bring_program(name, proof, source),
            Need::File { path, package } => self.bring_file(path, package),
            Need::Python { requirements } => bring_python(house, requirements),
            Need::Maven { pom } => bring_maven(house, pom),
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

    fn bring_file(&self, path: &str, package: &str) -> Result<(), String> {
        if Path::new(path).is_file() {
            return Ok(());
        }
        let by_hand = format!("{path} is missing. On Debian: sudo apt-get install {package}.");
        if !is_debian_root() {
            return Err(by_hand);
        }
        self.install(package)
            .map_err(|why| format!("{by_hand} It could not be installed here: {why}"))
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

/// The interpreter of the environment that holds the packages of the requirements file.
#[must_use]
pub fn python(house: &House, requirements: &str) -> PathBuf {
    environment(house, requirements).join("bin").join("python")
}

fn environment(house: &House, requirements: &str) -> PathBuf {
    house.folder("python").join(requirements.replace(['/', '.'], "-"))
}

fn bring_python(house: &House, requirements: &str) -> Result<(), String> {
    let wanted = fs::read_to_string(house.root.join(requirements))
        .map_err(|why| format!("{requirements} cannot be read: {why}"))?;
    let folder = environment(house, requirements);
    // Written last, so that an interrupted set-up is not taken for a finished one.
    let done = folder.join("installed.txt");
    if fs::read_to_string(&done).is_ok_and(|installed| installed == wanted) {
        return Ok(());
    }
    println!("Installing what {requirements} names");
    let name = folder.to_string_lossy().into_owned();
    let steps = process::read(
        house.command("python3").args(["-m", "venv", "--clear", &name]),
        minutes(5),
    )
    .and_then(|_| {
        let mut pip = house.command(&python(house, requirements).to_string_lossy());
        pip.args([
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "--requirement",
            requirements,
        ]);
        process::read(&mut pip, minutes(10))
    })
    .and_then(|_| fs::write(&done, &wanted).map_err(|why| why.to_string()));
    steps.map_err(|why| {
        format!(
            "The packages of {requirements} could not be installed; they come from PyPI through pip. {why}"
        )
    })
}

/// Where the artifacts of the pom lie.
#[must_use]
pub fn jars(house: &House, pom: &str) -> PathBuf {
    house.folder("maven").join(pom.replace('/', "-"))
}

fn bring_maven(house: &House, pom: &str) -> Result<(), String> {
    let file = house.root.join(pom).join("pom.xml");
    let wanted = fs::read_to_string(&file).map_err(|why| format!("{pom}/pom.xml cannot be read: {why}"))?;
    let folder = jars(house, pom);
    let done = folder.join("copied.xml");
    if fs::read_to_string(&done).is_ok_and(|copied| copied == wanted) {
        return Ok(());
    }
    println!("Fetching what {pom}/pom.xml names");
    let mut maven = house.command("mvn");
    maven
        .args(["--batch-mode", "--quiet", "--file"])
        .arg(&file)
        .arg("dependency:copy-dependencies");
    maven.arg(format!("-DoutputDirectory={}", folder.display()));
    process::read(&mut maven, minutes(15))
        .and_then(|_| fs::write(&done, &wanted).map_err(|why| why.to_string()))
        .map(drop)
        .map_err(|why| {
            format!("What {pom}/pom.xml names could not be fetched; it comes through Maven. {why}")
        })
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
