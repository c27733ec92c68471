//! What the person reads about the checks: the list beforehand, the table at the end.

use std::fmt::Write as _;

use crate::checks::Check;
use crate::need::{Need, Source};

/// How a check ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// It ran and found nothing.
    Passed,
    /// It ran and found this.
    Failed(String),
    /// It could not be run: what is missing and how to get it.
    Skipped(Vec<String>),
}

/// One line of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The check's name.
    pub name: &'static str,
    /// How it ended.
    pub outcome: Outcome,
    /// How long it took, with bringing what it needs, in seconds.
    pub seconds: f64,
}

/// Each check with what it does and what it needs.
#[must_use]
pub fn listed(checks: &[Check]) -> String {
    let mut text = String::new();
    for check in checks {
        let needs: Vec<String> = check.needs.iter().map(described).collect();
        let _ = writeln!(text, "{:<10} {}", check.name, check.what);
        let _ = writeln!(text, "{:<10} needs {}", "", needs.join(", "));
        if !check.wants.is_empty() {
            let wants: Vec<String> = check.wants.iter().map(described).collect();
            let _ = writeln!(text, "{:<10} for all of it also {}", "", wants.join(", "));
        }
    }
    text
}

fn described(need: &Need) -> String {
    match *need {
        Need::Program {
            name,
            source: Source::Debian(package),
            ..
        } => format!("{name} (Debian: {package})"),
        Need::Program {
            name,
            source: Source::ByHand(_),
            ..
        } => name.to_owned(),
        Need::File { path, package } => format!("{path} (Debian: {package})"),
        Need::Python { requirements } => format!("the PyPI packages of {requirements}"),
        Need::Maven { pom } => format!("the Maven artifacts of {pom}/pom.xml"),
    }
}

/// The table at the end, with the reasons below it.
#[must_use]
pub fn table(lines: &[Line], ci: bool) -> String {
    let mut text = format!("\n{:<10} {:<8} {:>8}\n", "check", "result", "seconds");
    let (mut passed, mut failed, mut skipped) = (0_u32, 0_u32, 0_u32);
    for line in lines {
        let (word, count) = match line.outcome {
            Outcome::Passed => ("passed", &mut passed),
            Outcome::Failed(_) => ("FAILED", &mut failed),
            Outcome::Skipped(_) => ("SKIPPED", &mut skipped),
        };
        *count = count.saturating_add(1);
        let _ = writeln!(text, "{:<10} {:<8} {:>8.1}", line.name, word, line.seconds);
    }
    for line in lines {
        match &line.outcome {
            Outcome::Passed => {}
            Outcome::Failed(why) => {
                let _ = writeln!(text, "\n{} failed: {why}", line.name);
            }
            Outcome::Skipped(missing) => {
                let _ = writeln!(text, "\n{} was SKIPPED, nothing of it was run:", line.name);
                for sentence in missing {
                    let _ = writeln!(text, "  {sentence}");
                }
            }
        }
    }
    if ci && skipped > 0 {
        let _ = writeln!(
            text,
            "\nHere (CI=true) a check that was skipped counts as failed."
        );
    }
    let _ = writeln!(
        text,
        "\nChecks: {passed} passed, {failed} failed, {skipped} skipped"
    );
    text
}

/// Whether the whole is green: nothing failed and, where it counts, nothing was skipped.
#[must_use]
pub fn green(lines: &[Line], ci: bool) -> bool {
    lines.iter().all(|line| match line.outcome {
        Outcome::Passed => true,
        Outcome::Failed(_) => false,
        Outcome::Skipped(_) => !ci,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(outcomes: &[Outcome]) -> Vec<Line> {
        outcomes
            .iter()
            .map(|outcome| Line {
                name: "thing",
                outcome: outcome.clone(),
                seconds: 1.25,
            })
            .collect()
    }

    #[test]
    fn a_failure_is_red_everywhere() {
        let lines = lines(&[Outcome::Passed, Outcome::Failed("it broke".to_owned())]);
        assert!(!green(&lines, false) && !green(&lines, true));
        let table = table(&lines, false);
        assert!(table.contains("thing failed: it broke"), "{table}");
        assert!(
            table.ends_with("\nChecks: 1 passed, 1 failed, 0 skipped\n"),
            "{table}"
        );
    }

    #[test]
    fn a_skip_is_loud_and_red_only_where_nothing_may_be_skipped() {
        let lines = lines(&[
            Outcome::Passed,
            Outcome::Skipped(vec!["unzip is missing.".to_owned()]),
        ]);
        assert!(green(&lines, false) && !green(&lines, true));
        assert!(
            table(&lines, false).contains("thing was SKIPPED, nothing of it was run:\n  unzip is missing.")
        );
        assert!(table(&lines, true).contains("counts as failed"));
    }

    #[test]
    fn all_passed_is_green() {
        assert!(green(&lines(&[Outcome::Passed]), true));
    }
}
