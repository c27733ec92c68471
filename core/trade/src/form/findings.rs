//! What a reckoning has to say besides its figures.

use serde::Serialize;

use super::answer::Verdict;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Good to know.
    Info,
    /// Somebody has to look.
    Caution,
    /// Not like this.
    Stop,
}

/// One kind of finding of a reckoning: its place in the order, code, weight and source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FindingKind {
    rank: u16,
    code: &'static str,
    severity: Severity,
    source: &'static str,
}

impl FindingKind {
    /// A stop. `rank` is the place of the code in the order findings stand in.
    #[must_use]
    pub const fn stop(rank: u16, code: &'static str, source: &'static str) -> Self {
        Self {
            rank,
            code,
            severity: Severity::Stop,
            source,
        }
    }

    /// A caution.
    #[must_use]
    pub const fn caution(rank: u16, code: &'static str, source: &'static str) -> Self {
        Self {
            rank,
            code,
            severity: Severity::Caution,
            source,
        }
    }

    /// An information.
    #[must_use]
    pub const fn info(rank: u16, code: &'static str, source: &'static str) -> Self {
        Self {
            rank,
            code,
            severity: Severity::Info,
            source,
        }
    }

    /// The same kind with another weight, where the case decides it.
    #[must_use]
    pub const fn weighing(self, severity: Severity) -> Self {
        Self { severity, ..self }
    }

    /// The code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        self.code
    }
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// The stable code.
    pub code: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// What is so, then what to do.
    pub message: String,
    /// Where the rule comes from.
    pub source: &'static str,
    #[serde(skip)]
    rank: u16,
}

/// Findings while they are gathered.
#[derive(Clone, Debug, Default)]
pub struct Findings(Vec<Finding>);

impl Findings {
    /// Adds one; `message` says what is so, then what to do.
    pub fn add(&mut self, kind: FindingKind, message: impl Into<String>) {
        let FindingKind {
            rank,
            code,
            severity,
            source,
        } = kind;
        self.0.push(Finding {
            code,
            severity,
            message: message.into(),
            source,
            rank,
        });
    }

    /// Whether one of that kind was added.
    #[must_use]
    pub fn has(&self, kind: FindingKind) -> bool {
        self.0.iter().any(|finding| finding.code == kind.code)
    }

    /// Fail on any stop, else caution on any caution, else pass.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        match self.0.iter().map(|finding| finding.severity).max() {
            Some(Severity::Stop) => Verdict::Fail,
            Some(Severity::Caution) => Verdict::Caution,
            Some(Severity::Info) | None => Verdict::Pass,
        }
    }

    /// As [`Findings::verdict`], but without a stop a code that ends in `_unknown` makes it `cannot_tell`.
    #[must_use]
    pub fn verdict_with_unknowns(&self) -> Verdict {
        let unknown = self.0.iter().any(|finding| finding.code.ends_with("_unknown"));
        match self.verdict() {
            Verdict::Caution | Verdict::Pass if unknown => Verdict::CannotTell,
            verdict => verdict,
        }
    }

    /// The findings in the order of their kinds; those of one kind in the order they were met.
    #[must_use]
    pub fn finish(mut self) -> Vec<Finding> {
        self.0.sort_by_key(|finding| finding.rank);
        self.0
    }
}
