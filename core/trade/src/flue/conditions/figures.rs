//! The figures of each condition, and the worst of them.

use serde::Serialize;
use uom::si::f64::TemperatureInterval;
use wythe_physics::flue::conditions::Condition;
use wythe_physics::flue::{Answer, Finding};

use super::{Run, Whole};
use crate::form::Figure;
use crate::quantities::{Length, Pressure, ThermodynamicTemperature};

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    conditions: Vec<ConditionFigures>,
    least_air: Option<Worst>,
    most_air: Option<Worst>,
    coldest_top: Option<Worst>,
    longest_wet: Option<Worst>,
    air_ratio_min: f64,
    air_ratio_max: f64,
    reserve: Option<Figure<Pressure>>,
    reserve_holds: Option<bool>,
    strongest_air_ratio: Option<f64>,
    strongest_holds: Option<bool>,
}

/// A condition by its names.
#[derive(Debug, Clone, Copy, Serialize)]
struct Named {
    condition: &'static str,
    fire: &'static str,
    wind: &'static str,
    outdoor_temperature: Figure<ThermodynamicTemperature>,
}

/// One condition.
#[derive(Debug, Clone, Serialize)]
struct ConditionFigures {
    #[serde(flatten)]
    named: Named,
    status: &'static str,
    air_ratio: Option<f64>,
    draft: Option<Figure<Pressure>>,
    exit_temperature: Option<Figure<ThermodynamicTemperature>>,
    wall_temperature_top: Option<Figure<ThermodynamicTemperature>>,
    dew_point: Option<Figure<ThermodynamicTemperature>>,
    condensation_margin: Option<Figure<TemperatureInterval>>,
    wet_length: Option<Figure<Length>>,
    findings: Vec<&'static str>,
}

/// The condition that is worst in one respect.
#[derive(Debug, Clone, Copy, Serialize)]
struct Worst {
    #[serde(flatten)]
    named: Named,
    air_ratio: f64,
    wall_temperature_top: Figure<ThermodynamicTemperature>,
    wet_length: Figure<Length>,
}

impl Figures {
    pub(super) fn of(whole: &Whole) -> Self {
        let found: Vec<(&Condition, &Answer)> = whole
            .runs
            .iter()
            .filter_map(|run| {
                run.found
                    .as_ref()
                    .ok()
                    .map(|(answer, _)| (&run.condition, answer))
            })
            .collect();
        let least = |of: fn(&Answer) -> f64| {
            let least = found.iter().min_by(|a, b| of(a.1).total_cmp(&of(b.1)));
            least.map(|(condition, answer)| Worst::of(condition, answer))
        };
        let required = whole.required.as_ref().ok();
        Self {
            conditions: whole.runs.iter().map(ConditionFigures::of).collect(),
            least_air: least(|answer| answer.air_ratio),
            most_air: least(|answer| -answer.air_ratio),
            coldest_top: least(|answer| answer.wall_temperature_top.value),
            longest_wet: least(|answer| -answer.wet_length.value),
            air_ratio_min: whole.limits.0,
            air_ratio_max: whole.limits.1,
            reserve: required.map(|required| required.weakest_reserve.into()),
            reserve_holds: whole.reserve_holds(),
            strongest_air_ratio: required.map(|required| required.strongest.air_ratio),
            strongest_holds: whole.strongest_holds(),
        }
    }
}

impl Whole {
    /// Whether draft is left at the smallest air ratio in the weakest condition.
    pub(super) fn reserve_holds(&self) -> Option<bool> {
        let required = self.required.as_ref().ok()?;
        Some(required.weakest_reserve.value >= 0.0)
    }

    /// Whether the air ratio stays below the largest in the strongest condition.
    pub(super) fn strongest_holds(&self) -> Option<bool> {
        let required = self.required.as_ref().ok()?;
        Some(required.strongest.air_ratio <= self.limits.1 + 1e-7)
    }
}

impl Named {
    fn of(condition: &Condition) -> Self {
        Self {
            condition: condition.name,
            fire: if condition.low_fire { "low" } else { "high" },
            wind: match condition.wind {
                wind if wind < 0.0 => "hinders",
                wind if wind > 0.0 => "helps",
                _ => "none",
            },
            outdoor_temperature: condition.outdoor.into(),
        }
    }
}

impl ConditionFigures {
    fn of(run: &Run) -> Self {
        let named = Named::of(&run.condition);
        let answer = run.found.as_ref().ok().map(|(answer, _)| answer);
        let codes = |findings: &[Finding]| {
            findings
                .iter()
                .filter(|finding| **finding != Finding::ManualGoverns)
                .map(|finding| finding.code())
                .collect()
        };
        Self {
            named,
            status: answer.map_or("not_converged", |answer| answer.status.name()),
            air_ratio: answer.map(|answer| answer.air_ratio),
            draft: answer.map(|answer| answer.draft.into()),
            exit_temperature: answer.map(|answer| answer.exit_temperature.into()),
            wall_temperature_top: answer.map(|answer| answer.wall_temperature_top.into()),
            dew_point: answer.and_then(|answer| answer.dew_point).map(Figure::from),
            condensation_margin: answer
                .and_then(|answer| answer.condensation_margin)
                .map(Figure::from),
            wet_length: answer.map(|answer| answer.wet_length.into()),
            findings: run
                .found
                .as_ref()
                .map_or_else(|_| Vec::new(), |(_, findings)| codes(findings)),
        }
    }
}

impl Worst {
    fn of(condition: &Condition, answer: &Answer) -> Self {
        Self {
            named: Named::of(condition),
            air_ratio: answer.air_ratio,
            wall_temperature_top: answer.wall_temperature_top.into(),
            wet_length: answer.wet_length.into(),
        }
    }
}
