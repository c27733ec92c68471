//! All tests of all crates, with cargo's own closing lines.

use std::env;

use super::{Check, python};
use crate::house::House;
use crate::need::{Need, Source};
use crate::process::{minutes, run};

pub const CHECK: Check = Check {
    name: "rust",
    what: "the tests of every crate, and those across crates",
    needs: &[
        Need::Program {
            name: "cc",
            proof: &["--version"],
            source: Source::Debian("gcc"),
        },
        Need::Program {
            name: "git",
            proof: &["--version"],
            source: Source::Debian("git"),
        },
        Need::Program {
            name: "cargo",
            proof: &["--version"],
            source: Source::ByHand(
                "It comes with the Rust tool chain; rust-version in Cargo.toml says which.",
            ),
        },
    ],
    wants: &[
        Need::Program {
            name: "exiftool",
            proof: &["-ver"],
            source: Source::Debian("libimage-exiftool-perl"),
        },
        python::PYTHON,
        python::PACKAGES,
    ],
    run: look,
};

/// Some tests ask Python for a second opinion: theirs is the one with the packages.
fn look(house: &House) -> Result<(), String> {
    let mut tests = house.command("cargo");
    tests.args(["test", "--locked", "--quiet", "--workspace", "--no-fail-fast"]);
    if let Some(programs) = python::programs(house) {
        let known = env::var_os("PATH").unwrap_or_default();
        let path = env::join_paths([programs].into_iter().chain(env::split_paths(&known)))
            .map_err(|why| format!("The search path cannot be written: {why}"))?;
        tests.env("PATH", path);
    }
    run(&mut tests, minutes(45))
}
