//! Formatting and lints.

use super::Check;
use crate::house::House;
use crate::need::{Need, Source};
use crate::process::{minutes, run};

pub const CHECK: Check = Check {
    name: "style",
    what: "cargo fmt and clippy have nothing to say",
    needs: &[
        Need::Program {
            name: "cargo-fmt",
            proof: &["--version"],
            source: Source::ByHand("It comes with: rustup component add rustfmt"),
        },
        Need::Program {
            name: "cargo-clippy",
            proof: &["--version"],
            source: Source::ByHand("It comes with: rustup component add clippy"),
        },
    ],
    run: look,
};

fn look(house: &House) -> Result<(), String> {
    run(
        house.command("cargo").args(["fmt", "--all", "--check"]),
        minutes(2),
    )?;
    let mut clippy = house.command("cargo");
    clippy.args([
        "clippy",
        "--locked",
        "--quiet",
        "--workspace",
        "--all-targets",
        "--",
        "--deny",
        "warnings",
    ]);
    run(&mut clippy, minutes(30))
}
