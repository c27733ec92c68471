//! The hold check of a live system whose supply is shut: does it hold its own pressure?
//!
//! It is no pressure test; new pipe has its own. Nothing is compensated: one kelvin moves a
//! 9 in w.c. reading by 1.4 in, so it settles about ten minutes before the start.

use serde::Serialize;
use uom::si::pressure::pascal;

use super::GAS_SMELL;
use crate::compare::at_most;
use crate::customary::INCH_WATER;
use crate::form::{Answer, Figure, FindingKind, Findings, Trace, Verdict, any, choice, input, over, within};
use crate::notes::GOVERNS;
use crate::quantities::{Pressure, Time};
use crate::words::both;

/// Where a propane check starts unless told otherwise: 9 in w.c., just below regulator lock-up.
#[must_use]
pub fn default_propane_target() -> Pressure {
    Pressure::new::<pascal>(9.0 * INCH_WATER)
}

/// One hold check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldCheck {
    /// Gauge pressure at the start.
    pub start: Pressure,
    /// Gauge pressure at the end.
    pub end: Pressure,
    /// Time between.
    pub duration: Time,
    /// Smallest step read on the manometer, above 0.
    pub gauge_resolution: Pressure,
    /// Time it must hold.
    pub minimum_duration: Time,
    /// Pressure it should start from, where there is one.
    pub target: Option<Pressure>,
    /// How far off the start may be.
    pub target_tolerance: Pressure,
}

/// What a hold check shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldAnswer {
    /// End minus start.
    pub raw_change: Pressure,
    /// It fell by more than the gauge's step.
    pub fell: bool,
    /// It rose by more than the gauge's step: the regulator is not isolated or is creeping.
    pub rose: bool,
    /// It did not start near the target.
    pub off_target: bool,
    /// It was held for less than the time.
    pub too_short: bool,
}

/// Holds start against end, start against target, duration against the time asked for.
#[must_use]
pub fn judge(check: &HoldCheck) -> HoldAnswer {
    let raw_change = check.end - check.start;
    let step = check.gauge_resolution.value;
    let off_target = check.target.is_some_and(|target| {
        !at_most(
            (check.start - target).value.abs(),
            check.target_tolerance.value + 1e-9 * target.value,
        )
    });
    HoldAnswer {
        raw_change,
        fell: !at_most(-raw_change.value, step),
        rose: !at_most(raw_change.value, step),
        off_target,
        too_short: !at_most(check.minimum_duration.value, check.duration.value),
    }
}

choice! {
    /// The gas of the system.
    pub enum HeldGas {
        /// Propane.
        Propane = "propane",
        /// Natural gas, where there is no meter.
        NaturalGas = "natural_gas",
    }
}

choice! {
    /// What is in the pipe during the check.
    pub enum Medium {
        /// The fuel gas itself, as in a live system.
        FuelGas = "fuel_gas",
        /// Air.
        Air = "air",
    }
}

input! {
    /// One hold check by manometer.
    pub struct Input {
        /// The gas of the system.
        pub gas: HeldGas,
        /// What is in the pipe.
        pub medium: Medium = any().or("fuel_gas"),
        /// Gauge pressure at the start.
        pub start_pressure: Pressure = over(0.0, 10e3),
        /// Gauge pressure at the end.
        pub end_pressure: Pressure = within(0.0, 10e3),
        /// Time between.
        pub duration: Time = over(0.0, 86_400.0),
        /// Smallest step read on the manometer.
        pub gauge_resolution: Pressure = over(0.0, 125.0),
        /// Time it must hold.
        pub minimum_duration: Time = within(0.0, 86_400.0).or("3 min"),
        /// Pressure it should start from; 9 in w.c. for propane, none for natural gas.
        pub target_pressure: Option<Pressure> = over(0.0, 10e3),
        /// How far off the start may be.
        pub target_tolerance: Pressure = within(0.0, 1e3).or("0.5 in wc"),
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    required_time: Figure<Time>,
    target_pressure_gauge: Option<Figure<Pressure>>,
    raw_change: Figure<Pressure>,
}

const ANNEX: &str = "hold of 3 min at about 9 in w.c., NFPA 54 annex C, from memory";
const REDUCTION: &str = "any reduction is a leak, NFPA 54 8.1.5.2, from memory";
const FALL: FindingKind = FindingKind::stop(1, "fall", REDUCTION);
const RISE: FindingKind = FindingKind::caution(2, "rise", ANNEX);
const TEST_PRESSURE_OFF: FindingKind = FindingKind::caution(3, "test_pressure_off", ANNEX);
const TEST_TOO_SHORT: FindingKind = FindingKind::caution(4, "test_too_short", ANNEX);
const NOT_A_PRESSURE_TEST: FindingKind =
    FindingKind::info(5, "not_a_pressure_test", "NFPA 54 8.1, from memory");

const SETTLE: &str = "Nothing is compensated: one kelvin moves a 9 in w.c. reading by 1.4 in. Let the gas settle for \
     about ten minutes before the start (common practice, no source).";

/// The hold check's reckoning.
pub(super) fn reckon(input: &Input) -> Answer<Figures> {
    let target = match input.gas {
        HeldGas::Propane => Some(input.target_pressure.unwrap_or_else(default_propane_target)),
        HeldGas::NaturalGas => input.target_pressure,
    };
    let found = judge(&HoldCheck {
        start: input.start_pressure,
        end: input.end_pressure,
        duration: input.duration,
        gauge_resolution: input.gauge_resolution,
        minimum_duration: input.minimum_duration,
        target,
        target_tolerance: input.target_tolerance,
    });
    let findings = findings(input, &found, target);
    let mut trace = Trace::default();
    trace.quantity("start", input.start_pressure);
    trace.quantity("end", input.end_pressure);
    trace.quantity("end less start", found.raw_change);
    trace.quantity("step of the gauge", input.gauge_resolution);
    trace.quantity("time held", input.duration);
    Answer {
        verdict: Some(match findings.verdict() {
            Verdict::Caution => Verdict::CannotTell,
            verdict => verdict,
        }),
        figures: Figures {
            required_time: input.minimum_duration.into(),
            target_pressure_gauge: target.map(Figure::from),
            raw_change: found.raw_change.into(),
        },
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![GOVERNS, GAS_SMELL, SETTLE],
    }
}

fn findings(input: &Input, found: &HoldAnswer, target: Option<Pressure>) -> Findings {
    let mut findings = Findings::default();
    if found.fell {
        findings.add(
            FALL,
            format!(
                "The gauge fell by {}, more than its step of {}. Shut the gas off and find the leak before anything is lit.",
                both(-found.raw_change),
                both(input.gauge_resolution)
            ),
        );
    }
    if found.rose {
        findings.add(
            RISE,
            format!(
                "The gauge rose by {}. The regulator is not shut off from it, or creeps; isolate it, let it settle and \
                 start again.",
                both(found.raw_change)
            ),
        );
    }
    if let Some(target) = target.filter(|_| found.off_target) {
        let above = if input.start_pressure > target {
            " Above it the regulator is locked up, and what lies before it is not in the check."
        } else {
            ""
        };
        findings.add(
            TEST_PRESSURE_OFF,
            format!(
                "The check started at {}, and it should start at {}.{above} Bring it there and start again.",
                both(input.start_pressure),
                both(target)
            ),
        );
    }
    if found.too_short {
        findings.add(
            TEST_TOO_SHORT,
            format!(
                "It was held for {}, and {} are asked for. Hold it again for that long.",
                both(input.duration),
                both(input.minimum_duration)
            ),
        );
    }
    findings.add(
        NOT_A_PRESSURE_TEST,
        "This is a check of a live system, not the pressure test of new pipe. New or altered pipe has its own test, with \
         air or an inert gas.",
    );
    findings
}

#[cfg(test)]
mod tests {
    use uom::si::time::minute;

    use super::*;

    fn check(start: f64, end: f64) -> HoldAnswer {
        judge(&HoldCheck {
            start: Pressure::new::<pascal>(start * INCH_WATER),
            end: Pressure::new::<pascal>(end * INCH_WATER),
            duration: Time::new::<minute>(3.0),
            gauge_resolution: Pressure::new::<pascal>(0.1 * INCH_WATER),
            minimum_duration: Time::new::<minute>(3.0),
            target: Some(default_propane_target()),
            target_tolerance: Pressure::new::<pascal>(0.5 * INCH_WATER),
        })
    }

    #[test]
    fn falls_rises_and_wrong_starts_are_told_apart() {
        let holds = check(9.0, 9.0);
        assert!(!holds.fell && !holds.rose && !holds.off_target && !holds.too_short);
        let fell = check(9.0, 8.8);
        assert!(fell.fell && (fell.raw_change.value + 49.8178).abs() < 1e-3);
        assert!(check(9.0, 9.2).rose);
        assert!(check(11.0, 11.0).off_target);
        assert!(!check(9.5, 9.5).off_target);
        assert!(!check(9.0, 8.9).fell);
    }
}
