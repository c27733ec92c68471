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
    let mut tests = house.command(&need::python(house, REQUIREMENTS).to_string_lossy());
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
