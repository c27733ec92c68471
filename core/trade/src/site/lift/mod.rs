//! How heavy may a lift be (one person), and how does the ladder stand?

mod input;
mod ladder;
mod weight;

use serde::Serialize;

pub use input::{Constants, Duty, Grip, Hands, Input, Ladder, LadderRule, Lift};
pub use ladder::LadderFigures;
pub use weight::LiftFigures;

use crate::compare::{at_most, reaches};
use crate::form::{Answer, FindingKind, Findings, Reckoning, Refusal, Severity, Trace};
use crate::notes;
use crate::words::both;
use ladder::{rails_above_landing, stand};
use weight::{limits, outside_limits};

const EQUATION: &str =
    "revised lifting equation, NIOSH 94-110, what-when-how.com/Tutorial/topic-53604; from memory in part";
const LADDERS: &str = "29 CFR 1926.1053, edocket.access.gpo.gov/cfr_2003/julqtr/29cfr1926.1053.htm";

const OUTSIDE: FindingKind = FindingKind::caution(1, "lift_outside_limits", EQUATION);
const FAR_ABOVE: FindingKind = FindingKind::caution(2, "lift_far_above_recommended", EQUATION);
const ABOVE: FindingKind = FindingKind::caution(3, "lift_above_recommended", EQUATION);
const TEAM: FindingKind = FindingKind::caution(4, "team_lift_outside_equation", EQUATION);
const UNSAFE: FindingKind = FindingKind::stop(5, "ladder_angle_unsafe", "common practice, no source");
const OFF: FindingKind = FindingKind::caution(6, "ladder_angle_off", "common practice, no source");
const RAILS: FindingKind = FindingKind::stop(7, "rails_short", LADDERS);
const NONE_LONG_ENOUGH: FindingKind =
    FindingKind::stop(8, "no_ladder_long_enough", "geometry; overlaps from memory");
const OVERLOADED: FindingKind =
    FindingKind::stop(9, "ladder_overloaded", "ANSI A14 duty ratings, from memory");

/// What comes out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// How heavy the lift may be, when it was asked for.
    pub lift: Option<LiftFigures>,
    /// How the ladder stands, when it was asked for.
    pub ladder: Option<LadderFigures>,
}

/// How heavy a lift may be, and how a ladder stands.
#[derive(Clone, Copy, Debug)]
pub struct LiftAndLadder;

impl Reckoning for LiftAndLadder {
    const NAME: &'static str = "lift";
    const PURPOSE: &'static str = "How heavy may a lift be, and how does the ladder stand?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        reckon(input)
    }
}

/// Reckons the lift, the ladder, or both.
///
/// # Errors
/// `missing` when neither is given, or half a pair; `inconsistent` when both the end and the travel are.
pub fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    if input.lift.is_none() && input.ladder.is_none() {
        return Err(Refusal::missing(
            "/lift",
            "A lift or a ladder is needed. Describe one of the two.",
        ));
    }
    let mut trace = Trace::default();
    let mut findings = Findings::default();
    let lift = input
        .lift
        .as_ref()
        .map(|lift| limits(lift, &mut trace))
        .transpose()?;
    let ladder = input
        .ladder
        .as_ref()
        .map(|ladder| stand(ladder, &mut trace))
        .transpose()?;
    let mut notes = vec![notes::GOVERNS];
    if let (Some(asked), Some(figures)) = (&input.lift, &lift) {
        notes.push(notes::LOAD);
        about_the_lift(asked, figures, &mut findings);
    }
    if let (Some(asked), Some(figures)) = (&input.ladder, &ladder) {
        notes.push(notes::ROOF);
        about_the_ladder(asked, figures, &mut findings);
    }
    Ok(Answer {
        verdict: Some(findings.verdict_with_unknowns()),
        figures: Figures { lift, ladder },
        findings: findings.finish(),
        trace: trace.finish(),
        notes,
    })
}

/// The weight concerns the act, not the job: it cautions and never stops.
fn about_the_lift(lift: &Lift, figures: &LiftFigures, findings: &mut Findings) {
    let help = notes::LOAD;
    let (share, limit) = (both(figures.share.0), both(figures.rwl.0));
    if outside_limits(figures) {
        findings.add(
            OUTSIDE,
            format!(
                "Nothing should be lifted like this: too far, too high, too often or too twisted. {help}"
            ),
        );
    }
    if let Some(index) = figures.lifting_index {
        if !at_most(index, 3.0) {
            findings.add(
                FAR_ABOVE,
                format!(
                    "{share} a person is {index:.1} times the {limit} that may be lifted like this. {help}"
                ),
            );
        } else if !at_most(index, 1.0) {
            findings.add(
                ABOVE,
                format!(
                    "{share} a person is {index:.2} times the {limit} that may be lifted like this. {help}"
                ),
            );
        }
    }
    if lift.lifters > 1 {
        findings.add(
            TEAM,
            format!("The equation is for one person with two hands; for {} the even share is a guide only. {help}", lift.lifters),
        );
    }
}

fn about_the_ladder(ladder: &Ladder, figures: &LadderFigures, findings: &mut Findings) {
    let foot = both(figures.base_distance.0);
    if let Some(angle) = figures.angle_measured_deg {
        let outside = |low: f64, high: f64| angle < low - 1e-6 || angle > high + 1e-6;
        if outside(70.0, 80.0) {
            findings.add(
                UNSAFE,
                format!("The ladder stands at {angle:.1}°. Set its foot {foot} out before anybody climbs."),
            );
        } else if outside(73.0, 78.0) {
            findings.add(
                OFF,
                format!("The ladder stands at {angle:.1}°. Set its foot {foot} out."),
            );
        }
    }
    let short = |rails| !reaches(rails, rails_above_landing());
    if ladder.landing && ladder.rails_above_measured.is_some_and(short) {
        let kind = if ladder.tied_and_grab_rail {
            RAILS.weighing(Severity::Caution)
        } else {
            RAILS
        };
        findings.add(kind, "The rails stand less than 3 ft above the landing. Extend the ladder, or tie it and fix a rail to hold.");
    }
    if figures.ladder_to_bring.is_none() {
        findings.add(
            NONE_LONG_ENOUGH,
            format!(
                "No ladder of the list is long enough: {} of rail is needed. Bring a longer one.",
                both(figures.rail_needed.0)
            ),
        );
    }
    if let Some(spare) = figures.duty_spare.filter(|spare| spare.0.value < -1e-6) {
        findings.add(
            OVERLOADED,
            format!(
                "User and load are {} above the ladder's duty. Carry less, or bring a stronger ladder.",
                both(spare.0.abs())
            ),
        );
    }
}
