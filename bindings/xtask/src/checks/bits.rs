//! The flue's kept figures, bit by bit, from a release build, and on the other processors that can be had here.
//!
//! The frozen hashes are those of `fixtures/bits`; the tests of every crate hold a debug build to them.

use std::process::Command;

use super::Check;
use crate::house::House;
use crate::need::{Need, Source};
use crate::process::{minutes, read, run};

pub const CHECK: Check = Check {
    name: "bits",
    what: "the flue's figures, bit by bit, from a release build and on other processors",
    needs: &[Need::Program {
        name: "cc",
        proof: &["--version"],
        source: Source::Debian("gcc"),
    }],
    wants: &[],
    run: look,
};

/// A processor with the program that links for it and the one that runs it, where it is not this one's.
struct Other {
    target: &'static str,
    linker: &'static str,
    runner: &'static str,
}

const OTHERS: [Other; 2] = [
    Other {
        target: "aarch64-unknown-linux-gnu",
        linker: "aarch64-linux-gnu-gcc",
        runner: "qemu-aarch64 -L /usr/aarch64-linux-gnu",
    },
    Other {
        target: "i686-unknown-linux-gnu",
        linker: "cc",
        runner: "",
    },
];

fn look(house: &House) -> Result<(), String> {
    run(&mut test(house), minutes(20))?;
    for other in &OTHERS {
        if let Some(lacking) = lacking(other) {
            println!("{} was SKIPPED: {lacking}", other.target);
            continue;
        }
        let name = other.target.to_uppercase().replace('-', "_");
        let mut tests = test(house);
        tests.args(["--target", other.target]);
        tests.env(format!("CARGO_TARGET_{name}_LINKER"), other.linker);
        if !other.runner.is_empty() {
            tests.env(format!("CARGO_TARGET_{name}_RUNNER"), other.runner);
        }
        run(&mut tests, minutes(30))?;
        println!("{}: the same bits.", other.target);
    }
    Ok(())
}

fn test(house: &House) -> Command {
    let mut tests = house.command("cargo");
    tests.args([
        "test",
        "--locked",
        "--quiet",
        "--release",
        "-p",
        "wythe-trade",
        "--test",
        "bits",
    ]);
    tests
}

/// What there is not, of what building for a processor and running it takes.
fn lacking(other: &Other) -> Option<String> {
    let asked = ["--print", "target-libdir", "--target", other.target];
    let library = read(Command::new("rustc").args(asked), minutes(1)).unwrap_or_default();
    if !std::path::Path::new(library.trim()).is_dir() {
        return Some(format!(
            "the tool chain has no standard library for {}.",
            other.target
        ));
    }
    let runner = other.runner.split(' ').next().unwrap_or_default();
    let programs = [other.linker, runner].into_iter().filter(|name| !name.is_empty());
    let missing = programs.filter(|name| read(Command::new(name).arg("--version"), minutes(1)).is_err());
    let missing: Vec<&str> = missing.collect();
    (!missing.is_empty()).then(|| format!("{} missing.", missing.join(" and ")))
}
