//! Second opinions in another language: published libraries of physics, and a checker of claim packs
//! written from the format's text alone.

use super::Check;
use crate::house::House;
use crate::need::{self, Need, Source};
use crate::process::{minutes, run};

const REQUIREMENTS: &str = "tests/python/requirements.txt";

pub const CHECK: Check = Check {
    name: "python",
    what: "second opinions on the figures and the claim pack, from other people's libraries",
    needs: &[
        Need::Program {
            name: "python3",
            proof: &["-c", "import venv, ensurepip"],
            source: Source::Debian("python3-venv"),
        },
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
        Need::Python {
            requirements: REQUIREMENTS,
        },
    ],
    run: look,
};

fn look(house: &House) -> Result<(), String> {
    let played = house.demo()?;
    let pack = played
        .packs
        .first()
        .ok_or("the demonstration left no claim pack")?;
    let python = need::python(house, REQUIREMENTS);
    let mut both = house.command("cargo");
    both.args(["test", "--locked", "--quiet", "-p", "wythe-test-formats"]);
    both.args(["--test", "stranger"]).env("WYTHE_PYTHON", &python);
    run(&mut both, minutes(15))?;
    let mut tests = house.command(&python.to_string_lossy());
    tests.args([
        "-B",
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "tests/python",
    ]);
    tests
        .env("WYTHE", house.target.join("release").join("wythe"))
        .env("WYTHE_PACK", &pack.file);
    run(&mut tests, minutes(15))
}
