//! Second opinions in another language: published libraries of physics and geometry, and a checker of
//! claim packs written from the format's text alone.

use std::path::Path;
use std::process::Command;

use super::Check;
use crate::house::House;
use crate::need::{self, Need, Source};
use crate::process::{minutes, run};
use crate::story::{last_check, last_of};

const REQUIREMENTS: &str = "tests/python/requirements.txt";

/// A Python that can set up an environment of its own.
pub const PYTHON: Need = Need::Program {
    name: "python3",
    proof: &["-c", "import venv, ensurepip"],
    source: Source::Debian("python3-venv"),
};

/// The packages of the tests in Python.
pub const PACKAGES: Need = Need::Python {
    requirements: REQUIREMENTS,
};

pub const CHECK: Check = Check {
    name: "python",
    what: "second opinions on the figures and the claim pack, from other people's libraries",
    needs: &[
        Need::Program {
            name: "unzip",
            proof: &["-v"],
            source: Source::Debian("unzip"),
        },
        Need::Program {
            name: "pdftotext",
            proof: &["-v"],
            source: Source::Debian("poppler-utils"),
        },
        PYTHON,
        PACKAGES,
    ],
    wants: &[],
    run: look,
};

/// Where the `python3` with the packages lies, for a search path.
#[must_use]
pub fn programs(house: &House) -> Option<std::path::PathBuf> {
    need::python(house, REQUIREMENTS)
        .parent()
        .filter(|folder| folder.is_dir())
        .map(Path::to_owned)
}

fn look(house: &House) -> Result<(), String> {
    let played = house.demo()?;
    let pack = &played.first.file;
    let mut tests = python(house);
    tests.args(["-m", "pytest", "-q", "-p", "no:cacheprovider", "tests/python"]);
    tests
        .env("WYTHE", house.target.join("release").join("wythe"))
        .env("WYTHE_PACK", pack);
    let mut golden = python(house);
    golden.args(["tests/python/check_golden.py", "fixtures/formats/golden"]);
    let mut stranger = python(house);
    stranger.arg("tests/python/check_pack.py");
    let words = last_check(&played.told).unwrap_or_default();
    if let Some(fingerprint) = last_of(&words, "--trust") {
        stranger.args(["--trust", fingerprint]);
    }
    stranger.arg(pack);

    // Both checkers over the made set of good and damaged packs.
    let mut both = house.command("cargo");
    both.args([
        "test",
        "--locked",
        "--quiet",
        "-p",
        "wythe-test-formats",
        "--test",
        "stranger",
    ]);
    both.env("WYTHE_PYTHON", need::python(house, REQUIREMENTS));

    for command in [&mut tests, &mut golden, &mut stranger, &mut both] {
        run(command, minutes(15))?;
    }
    second_opinion(house)
}

/// Built as `cargo test --workspace` builds it, so that nothing is built twice.
fn second_opinion(house: &House) -> Result<(), String> {
    let mut build = house.command("cargo");
    build.args([
        "build",
        "--locked",
        "--quiet",
        "--workspace",
        "--example",
        "reckon_lines",
    ]);
    run(&mut build, minutes(30))?;
    let mut physics = python(house);
    physics.args([
        "tests/python/second_opinion_physics.py",
        "--seed",
        "7",
        "--count",
        "100",
        "--command",
    ]);
    physics.arg(house.target.join("debug").join("examples").join("reckon_lines"));
    run(&mut physics, minutes(15))
}

fn python(house: &House) -> Command {
    let mut command = house.command(&need::python(house, REQUIREMENTS).to_string_lossy());
    command.arg("-B");
    command
}
