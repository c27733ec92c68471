//! The chores of the repository: its checks, its benches, and a try of the README in a fresh clone.
//!
//! Invariant: a check is one row of the table in `checks`, says what it needs, brings it where it can,
//! and runs in the same way on a person's machine and in continuous integration. Nothing but the
//! standard library, so that it is built in seconds.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it speaks to the person who ran it"
)]

mod bench;
mod checks;
mod errand;
mod fresh;
mod generated;
mod house;
mod need;
mod process;
mod report;
mod story;

use std::env;
use std::process::ExitCode;

use errand::{Errand, USAGE};
use house::House;

fn main() -> ExitCode {
    let words: Vec<String> = env::args().skip(1).collect();
    let errand = match errand::read(&words) {
        Ok(errand) => errand,
        Err(why) => {
            eprintln!("{why}\n\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    match House::find().and_then(|house| run(&house, &errand)) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn run(house: &House, errand: &Errand) -> Result<bool, String> {
    match errand {
        Errand::Help => {
            println!("{USAGE}");
            Ok(true)
        }
        Errand::List => {
            print!("{}", report::listed(checks::CHECKS));
            Ok(true)
        }
        Errand::Check { only } => checks::run(house, only),
        Errand::Bench { only } => bench::run(house, only),
        Errand::Bindings => generated::write(house).map(|()| true),
        Errand::Fresh => fresh::run(house),
    }
}
