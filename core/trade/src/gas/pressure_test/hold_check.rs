//! The hold check of a live system whose supply is shut: does it hold its own pressure?
//!
//! It is no pressure test; new pipe has its own. Nothing is compensated: one kelvin moves a
//! 9 in w.c. reading by 1.4 in, so it settles about ten minutes before the start.

use uom::si::pressure::pascal;
use uom::si::time::minute;

use crate::compare::at_most;
use crate::customary::INCH_WATER;
use crate::quantities::{Pressure, Time};

/// Least time unless the local rule says more: 3 min, from memory (NFPA 54 annex C).
#[must_use]
pub fn default_duration() -> Time {
    Time::new::<minute>(3.0)
}

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

#[cfg(test)]
mod tests {
    use super::*;

    fn check(start: f64, end: f64) -> HoldAnswer {
        judge(&HoldCheck {
            start: Pressure::new::<pascal>(start * INCH_WATER),
            end: Pressure::new::<pascal>(end * INCH_WATER),
            duration: Time::new::<minute>(3.0),
            gauge_resolution: Pressure::new::<pascal>(0.1 * INCH_WATER),
            minimum_duration: default_duration(),
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
