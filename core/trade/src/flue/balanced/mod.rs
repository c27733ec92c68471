//! Does the sealed flue draw the air its stove needs, and stay dry enough?
//!
//! A plausibility check for the crew: the appliance's listed vent tables, the listed cap and the adopted code
//! govern. The physics is in `wythe_physics::flue`; here it gets its JSON.

mod band;
pub(super) mod convert;
mod figures;
mod input;
mod remarks;
mod steps;

use wythe_physics::flue::{self, BandTask, Task};

pub use band::BandFigures;
pub use figures::Figures;
pub use input::{
    Appliance, Band, Basis, Cap, ClosureChoice, Coaxial, Colinear, Exhaust, Input, Intake, Layer, Nothing,
    Options, Outlet, Rectangle, Restrictor, Round, Segment, Site, Solve, Target, Tile, Wall,
};

use crate::form::{Answer, Figure, Reckoning, Refusal, Verdict};
use crate::notes;
use convert::refused;
use figures::{CalibratedFigures, SizedFigures};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct BalancedFlue;

impl Reckoning for BalancedFlue {
    const NAME: &'static str = "flue";
    const PURPOSE: &'static str =
        "Does the sealed flue draw the air its stove needs, which restrictor fits, and does it stay dry?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let flue = convert::flue(input)?;
        let asked = Asked::of(&flue, &input.solve)?;
        let band = input
            .band
            .as_ref()
            .map(|band| drawn(&flue, &input.solve, band))
            .transpose()?;
        let found = flue::findings(&flue, asked.task, &asked.answer, band.is_some());
        let findings = remarks::remarks(&flue, &asked.answer, &found);
        let verdict = band
            .as_ref()
            .map_or_else(|| findings.verdict(), |(_, verdict)| *verdict);
        let trace = steps::steps(input, &asked.answer);
        let figures = Figures::of(
            input,
            &asked.answer,
            asked.sized,
            asked.calibrated,
            band.map(|(figures, _)| figures),
        );
        Ok(Answer {
            verdict: Some(verdict),
            figures,
            findings: findings.finish(),
            trace: trace.finish(),
            notes: notes(input, &asked.answer),
        })
    }
}

pub(super) const NOT_IN_IT: &str = "Not in this sum: exhaust drawn back in at the cap, snow or ice on it, leaks between flue and \
     room, the burner itself, carbon monoxide. It is for steady fire; a burner that cycles runs colder walls.";

const FAR_FROM_RATING: &str = "The exchanger model is not calibrated this far from the rated air ratio (beyond 0.6 to \
     1.6 of it): the flue temperature is right in direction only.";
const VERY_ROUGH: &str = "The liner is rougher than 5 % of its diameter, which is beyond the friction chart: take the \
     losses as indicative.";

/// What the sheet says, and how far it can be relied on.
fn notes(input: &Input, answer: &flue::Answer) -> Vec<&'static str> {
    let mut said = vec![notes::GOVERNS, NOT_IN_IT];
    let relative = answer.air_ratio / input.appliance.air_ratio;
    if input.appliance.outlet == Outlet::Exchanger && !(0.6..=1.6).contains(&relative) {
        said.push(FAR_FROM_RATING);
    }
    let rough = |segment: &Segment| segment.exhaust.roughness > segment.exhaust.inside_diameter * 0.05;
    if input.segments.iter().any(rough) {
        said.push(VERY_ROUGH);
    }
    said
}

/// What was asked, answered.
struct Asked {
    task: Task,
    answer: flue::Answer,
    sized: Option<SizedFigures>,
    calibrated: Option<CalibratedFigures>,
}

impl Asked {
    fn of(flue: &flue::Flue, solve: &Solve) -> Result<Self, Refusal> {
        let plain = |task, answer| Self {
            task,
            answer,
            sized: None,
            calibrated: None,
        };
        Ok(match solve {
            Solve::OperatingPoint(_) => plain(Task::OperatingPoint, flue.operating_point().map_err(refused)?),
            Solve::At(target) => plain(Task::Given, flue.at(target.air_ratio).map_err(refused)?),
            Solve::RestrictorFor(target) => {
                let found = flue.restrictor_for(target.air_ratio).map_err(refused)?;
                let sized = SizedFigures {
                    restrictor_loss_coefficient: found.loss_coefficient,
                    restrictor_open_fraction: found.open_fraction,
                    restrictor_hole: found.hole.map(Figure::from),
                };
                Self {
                    sized: Some(sized),
                    ..plain(Task::RestrictorFor, found.answer)
                }
            }
            Solve::PressureDropFor(target) => {
                let found = flue.pressure_drop_for(target.air_ratio).map_err(refused)?;
                let calibrated = CalibratedFigures {
                    pressure_drop: found.pressure_drop.map(Figure::from),
                };
                Self {
                    calibrated: Some(calibrated),
                    ..plain(Task::Given, found.answer)
                }
            }
        })
    }
}

/// The band and its verdict.
fn drawn(flue: &flue::Flue, solve: &Solve, band: &Band) -> Result<(BandFigures, Verdict), Refusal> {
    let task = match solve {
        Solve::OperatingPoint(_) => BandTask::OperatingPoint,
        Solve::RestrictorFor(target) => BandTask::RestrictorFor(target.air_ratio),
        Solve::At(target) | Solve::PressureDropFor(target) => BandTask::At(target.air_ratio),
    };
    let draws = usize::try_from(band.draws).unwrap_or(usize::MAX);
    let found = flue.band(task, draws, band.seed).map_err(refused)?;
    Ok((BandFigures::of(&found, band.seed), band::verdict(&found)))
}
