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
    wants: &[],
    run: look,
};

/// Both are asked, so that one run says all there is to say.
fn look(house: &House) -> Result<(), String> {
    let mut formatting = house.command("cargo");
    formatting.args(["fmt", "--all", "--check"]);
    let mut lints = house.command("cargo");
    lints.args([
        "clippy",
        "--locked",
        "--quiet",
        "--workspace",
        "--all-targets",
        "--",
        "--deny",
        "warnings",
    ]);
    let said = [run(&mut formatting, minutes(2)), run(&mut lints, minutes(30))];
    let wrong: Vec<String> = said.into_iter().filter_map(Result::err).collect();
    if wrong.is_empty() {
        Ok(())
    } else {
        Err(wrong.join("; "))
    }
}
