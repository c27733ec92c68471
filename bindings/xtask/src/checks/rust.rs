//! All tests of all crates, with cargo's own closing lines.

use super::Check;
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
    run: look,
};

fn look(house: &House) -> Result<(), String> {
    let mut tests = house.command("cargo");
    tests.args(["test", "--locked", "--quiet", "--workspace", "--no-fail-fast"]);
    run(&mut tests, minutes(45))
}
