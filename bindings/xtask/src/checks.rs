//! The checks, one row each, in the order in which a mistake is found soonest.

mod android;
mod bindings;
mod bits;
mod demo;
mod pdf;
mod python;
mod rust;
mod style;

use std::time::Instant;

use crate::house::House;
use crate::need::{Bringer, Need};
use crate::report::{self, Line, Outcome};

/// One check.
#[derive(Debug)]
pub struct Check {
    /// What it is called on the command line.
    pub name: &'static str,
    /// What it looks at, in one line.
    pub what: &'static str,
    /// What it cannot be run without.
    pub needs: &'static [Need],
    /// What a part of it cannot be run without; that part says aloud that it was skipped.
    pub wants: &'static [Need],
    /// Looks, and says what is wrong.
    pub run: fn(&House) -> Result<(), String>,
}

/// All checks. A new one is one more row.
pub const CHECKS: &[Check] = &[
    style::CHECK,
    rust::CHECK,
    bindings::CHECK,
    demo::CHECK,
    bits::CHECK,
    python::CHECK,
    pdf::CHECK,
    android::CHECK,
];

/// Runs the named checks, or all, in the table's order, and prints the table of what came of them.
/// Gives whether the whole is green.
///
/// # Errors
/// When a name is not that of a check.
pub fn run(house: &House, only: &[String]) -> Result<bool, String> {
    if let Some(unknown) = only
        .iter()
        .find(|name| CHECKS.iter().all(|check| check.name != name.as_str()))
    {
        let names: Vec<&str> = CHECKS.iter().map(|check| check.name).collect();
        return Err(format!(
            "There is no check \"{unknown}\". There are: {}.",
            names.join(", ")
        ));
    }
    let bringer = Bringer::default();
    let chosen = CHECKS
        .iter()
        .filter(|check| only.is_empty() || only.iter().any(|name| name == check.name));
    let lines: Vec<Line> = chosen.map(|check| run_one(house, &bringer, check)).collect();
    print!("{}", report::table(&lines, house.ci));
    Ok(report::green(&lines, house.ci))
}

fn run_one(house: &House, bringer: &Bringer, check: &Check) -> Line {
    println!("\n{}: {}", check.name, check.what);
    let begun = Instant::now();
    let missing = bringer.bring(house, check.needs);
    for wish in bringer.bring(house, check.wants) {
        println!("A part of {} will be SKIPPED: {wish}", check.name);
    }
    let outcome = if !missing.is_empty() {
        Outcome::Skipped(missing)
    } else if let Err(why) = (check.run)(house) {
        Outcome::Failed(why)
    } else {
        Outcome::Passed
    };
    Line {
        name: check.name,
        outcome,
        seconds: begun.elapsed().as_secs_f64(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_check_has_a_name_of_its_own_and_says_what_it_looks_at() {
        for (at, check) in CHECKS.iter().enumerate() {
            assert!(
                !check.what.is_empty() && !check.needs.is_empty(),
                "{}",
                check.name
            );
            assert!(
                CHECKS[..at].iter().all(|other| other.name != check.name),
                "{}",
                check.name
            );
        }
    }
}
