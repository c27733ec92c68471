//! Does the sealed flue hold on warm days and cold ones, at high and low fire, in wind and from cold?
//!
//! The same flue as in [`super::balanced`], run once for each condition. The appliance's listed vent tables, the
//! listed cap and the adopted code govern.

mod figures;
mod remarks;

use wythe_physics::flue::conditions::{Condition, Requirements, conditions, requirements};
use wythe_physics::flue::{self, Finding, Flue, FlueInput, Task};
use wythe_physics::{PhysicsError, quantities::Power as Watts};

pub use figures::Figures;

use super::balanced::convert::{refused, whole};
use super::balanced::{Appliance, Cap, Input as OneFlue, Nothing, Options, Restrictor, Segment, Site, Solve};
use crate::form::{Answer, Flat, Pointer, Reckoning, Refusal, Trace, any, input, items, over};
use crate::gas::fuel_gas::FuelGas;
use crate::notes;
use crate::quantities::Power;

input! {
    /// A balanced flue, and in what it is run.
    pub struct Input {
        /// The place; its outdoor temperature is that of the design winter. Its wind is not used.
        pub site: Site,
        /// The gas.
        pub gas: Flat<FuelGas>,
        /// The stove at high fire.
        pub appliance: Appliance,
        /// The flue from the stove up to the cap. A piece whose ambient is the outdoor temperature follows it.
        pub segments: Vec<Segment> = items(1, 50),
        /// The cap, without the exhaust's exit velocity.
        pub cap: Cap = any().or_empty(),
        /// The restrictor in the exhaust at the stove.
        pub restrictor: Option<Restrictor>,
        /// How it is computed.
        pub options: Options = any().or_empty(),
        /// The stove's lowest input, on the same basis and at the same altitude as its input.
        pub low_input: Option<Power> = over(0.0, 200e3),
        /// Whether the cap stands in the open wind.
        pub exposed: bool = any().or(false),
    }
}

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct FlueConditions;

/// A condition with what came of it.
pub(crate) struct Run {
    pub condition: Condition,
    pub found: Result<(flue::Answer, Vec<Finding>), PhysicsError>,
}

/// All of them, and what the arrangement must hold.
pub(crate) struct Whole {
    pub runs: Vec<Run>,
    pub limits: (f64, f64),
    pub low_fire_known: bool,
    pub required: Result<Requirements, PhysicsError>,
}

impl Reckoning for FlueConditions {
    const NAME: &'static str = "flue_conditions";
    const PURPOSE: &'static str =
        "Does the sealed flue hold on warm and cold days, at high and low fire, in wind and from cold?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let known = whole(&at_high_fire(input))?;
        let run = run_all(input, &known)?;
        let findings = remarks::remarks(&run);
        Ok(Answer {
            verdict: Some(findings.verdict()),
            figures: Figures::of(&run),
            findings: findings.finish(),
            trace: trace(&run).finish(),
            notes: vec![notes::GOVERNS, super::balanced::NOT_IN_IT],
        })
    }
}

/// The flue as the other reckoning takes it.
fn at_high_fire(input: &Input) -> OneFlue {
    OneFlue {
        site: input.site.clone(),
        gas: input.gas.clone(),
        appliance: input.appliance.clone(),
        segments: input.segments.clone(),
        cap: input.cap.clone(),
        restrictor: input.restrictor.clone(),
        options: input.options.clone(),
        solve: Solve::OperatingPoint(Nothing),
        band: None,
    }
}

fn run_all(input: &Input, known: &FlueInput) -> Result<Whole, Refusal> {
    let limits = Flue::new(known).map_err(refused)?.air_ratio_limits();
    let low = lowest_fire(input)?;
    let here = |condition: &Condition| condition.apply(known, low.unwrap_or(known.appliance.input));
    let listed = conditions(known.site.outdoor_temperature, input.exposed);
    let wanted = listed.into_iter().filter(|condition| {
        // Without a lowest fire only high fire can be run, but in wind.
        low.is_some() || !condition.low_fire || condition.wind < 0.0
    });
    let runs: Vec<Run> = wanted
        .map(|condition| Run {
            found: run_one(&here(&condition)),
            condition,
        })
        .collect();
    let ends = |weak: bool| {
        let steady = runs.iter().map(|run| &run.condition).filter(|c| !c.cold_start);
        let rank = |c: &&Condition| {
            let fire: f64 = if c.low_fire { -1.0 } else { 0.0 };
            // Wind decides, then the draft of the day, then the fire.
            (c.wind, -c.outdoor.value, fire)
        };
        let less = |a: &&Condition, b: &&Condition| {
            let (a, b) = (rank(a), rank(b));
            a.0.total_cmp(&b.0)
                .then(a.1.total_cmp(&b.1))
                .then(a.2.total_cmp(&b.2))
        };
        if weak {
            steady.min_by(less)
        } else {
            steady.max_by(less)
        }
    };
    let (weakest, strongest) = (ends(true), ends(false));
    let both = weakest.zip(strongest);
    let required = both.map_or(
        Err(PhysicsError::NotConverged { air_ratio: limits.0 }),
        |(weakest, strongest)| requirements(&here(weakest), &here(strongest)),
    );
    Ok(Whole {
        limits,
        low_fire_known: low.is_some(),
        required,
        runs,
    })
}

fn lowest_fire(input: &Input) -> Result<Option<Watts>, Refusal> {
    match input.low_input {
        Some(low) if low > input.appliance.input => Err(Refusal::inconsistent(
            Pointer::root().key("low_input"),
            "The lowest input is above the input. Look at both on the plate.",
        )),
        low => Ok(low),
    }
}

fn run_one(input: &FlueInput) -> Result<(flue::Answer, Vec<Finding>), PhysicsError> {
    let flue = Flue::new(input)?;
    let answer = flue.operating_point()?;
    let findings = flue::findings(&flue, Task::OperatingPoint, &answer, true);
    Ok((answer, findings))
}

fn trace(run: &Whole) -> Trace {
    let mut trace = Trace::default();
    for run in &run.runs {
        if let Ok((answer, _)) = &run.found {
            let name = remarks::said(&run.condition);
            trace.number(format!("air ratio: {name}"), answer.air_ratio);
            trace.quantity(format!("draft: {name}"), answer.draft);
        }
    }
    trace.number("smallest air ratio the stove takes", run.limits.0);
    trace.number("largest air ratio the stove takes", run.limits.1);
    if let Ok(required) = &run.required {
        trace.quantity(
            "left at the smallest air ratio in the weakest condition, 5 mm rough, losses 1.2 times",
            required.weakest_reserve,
        );
        trace.number(
            "air ratio in the strongest condition, 1 mm rough",
            required.strongest.air_ratio,
        );
    }
    trace
}
