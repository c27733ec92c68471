//! What an answer means for the crew.

use super::Flue;
use super::answer::{Answer, Status};

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// To know.
    Info,
    /// To look at.
    Caution,
    /// Not to go on with.
    Stop,
}

/// What there is to say about an answer, in the order in which it is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Finding {
    /// Not even the air that burning needs is drawn.
    InsufficientDraft,
    /// More is drawn than the sum reaches.
    DraftOutOfRange,
    /// Below what the appliance takes.
    AirRatioLow,
    /// Above what the appliance takes.
    AirRatioHigh,
    /// Condensate at a top that is at or below the ice point.
    Freezing,
    /// A second, unstable point lies below.
    StartSensitive,
    /// The wall is below the dew point somewhere.
    Condensing,
    /// One middle value says little.
    NoBand,
    /// The maker's vent table and restrictor zone come first.
    ManualGoverns,
}

impl Finding {
    /// Every finding, in order.
    pub const ALL: [Self; 9] = [
        Self::InsufficientDraft,
        Self::DraftOutOfRange,
        Self::AirRatioLow,
        Self::AirRatioHigh,
        Self::Freezing,
        Self::StartSensitive,
        Self::Condensing,
        Self::NoBand,
        Self::ManualGoverns,
    ];

    /// The finding's name in files.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::InsufficientDraft => "insufficient_draft",
            Self::DraftOutOfRange => "draft_out_of_range",
            Self::AirRatioLow => "air_ratio_low",
            Self::AirRatioHigh => "air_ratio_high",
            Self::Freezing => "freezing",
            Self::StartSensitive => "start_sensitive",
            Self::Condensing => "condensing",
            Self::NoBand => "no_band",
            Self::ManualGoverns => "manual_governs",
        }
    }

    /// How much it matters.
    #[must_use]
    pub fn severity(self) -> Severity {
        match self {
            Self::InsufficientDraft
            | Self::DraftOutOfRange
            | Self::AirRatioLow
            | Self::AirRatioHigh
            | Self::Freezing => Severity::Stop,
            Self::StartSensitive | Self::Condensing => Severity::Caution,
            Self::NoBand | Self::ManualGoverns => Severity::Info,
        }
    }
}

/// What the sum was asked, as far as judging goes: figures at a given air ratio are not judged by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Task {
    /// Where does it run?
    OperatingPoint,
    /// Which restrictor gives this air ratio?
    RestrictorFor,
    /// What happens at this air ratio? Which pressure drop gives it?
    Given,
}

/// The verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing stands against it.
    Pass,
    /// Something is to be looked at.
    Caution,
    /// Something stands against it.
    Fail,
    /// The inputs are too uncertain to say.
    CannotTell,
}

impl Verdict {
    /// The verdict's name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Caution => "caution",
            Self::Fail => "fail",
            Self::CannotTell => "cannot_tell",
        }
    }
}

/// What there is to say about an answer of this flue, in order. `with_band` leaves out that there is none.
#[must_use]
pub fn findings(flue: &Flue, task: Task, answer: &Answer, with_band: bool) -> Vec<Finding> {
    let mut findings = judge(
        flue.air_ratio_limits(),
        task,
        &Judged {
            status: answer.status,
            air_ratio: answer.air_ratio,
            freezing: answer.freezing,
            condensing: answer.condensing,
        },
    );
    if !with_band {
        findings.push(Finding::NoBand);
    }
    findings.push(Finding::ManualGoverns);
    findings
}

/// What of an answer is judged.
pub(super) struct Judged {
    pub status: Status,
    pub air_ratio: f64,
    pub freezing: bool,
    pub condensing: bool,
}

pub(super) fn judge(limits: (f64, f64), task: Task, judged: &Judged) -> Vec<Finding> {
    // A limit that is met exactly is met; the air ratio is found to 1e-8.
    let slack = 1e-7;
    let ratio_counts = task != Task::Given;
    let holds = |finding: &Finding| match finding {
        Finding::InsufficientDraft => judged.status == Status::InsufficientDraft,
        Finding::DraftOutOfRange => judged.status == Status::OutOfRange,
        Finding::AirRatioLow => ratio_counts && judged.air_ratio < limits.0 - slack,
        Finding::AirRatioHigh => ratio_counts && judged.air_ratio > limits.1 + slack,
        Finding::Freezing => judged.freezing,
        Finding::StartSensitive => judged.status == Status::OkStartSensitive,
        Finding::Condensing => judged.condensing,
        Finding::NoBand | Finding::ManualGoverns => false,
    };
    Finding::ALL.into_iter().filter(holds).collect()
}

/// The verdict of one answer: any stop fails, else any caution cautions.
#[must_use]
pub fn verdict(findings: &[Finding]) -> Verdict {
    match findings.iter().map(|f| f.severity()).max() {
        Some(Severity::Stop) => Verdict::Fail,
        Some(Severity::Caution) => Verdict::Caution,
        _ => Verdict::Pass,
    }
}
