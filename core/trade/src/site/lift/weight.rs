//! The lifting equation: RWL = LC HM VM DM AM FM CM.
//!
//! It is for one person lifting with two hands; for more the even share is a guide only. Revised NIOSH equation:
//! what-when-how.com/Tutorial/topic-53604; metric constants from memory.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};
use uom::si::f64::{Length, Mass};
use uom::si::length::{centimeter, inch};
use uom::si::mass::{kilogram, pound};
use wythe_units::Quantity;

use super::input::{Constants, Grip, Hands, Lift};
use crate::compare::{at_most, exceeds};
use crate::data::table;
use crate::form::{Figure, Refusal, Trace};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Frequencies {
    rows: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    rate: f64,
    factor: [f64; 3],
    low: Option<[f64; 3]>,
}

fn frequencies() -> &'static Frequencies {
    static TABLE: OnceLock<Frequencies> = OnceLock::new();
    TABLE.get_or_init(|| table(include_str!("frequency.toml")))
}

/// How heavy the lift may be.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LiftFigures {
    /// Recommended weight limit where the hands begin.
    pub rwl_origin: Figure<Mass>,
    /// Recommended weight limit where the hands end.
    pub rwl_destination: Option<Figure<Mass>>,
    /// The smaller of the two.
    pub rwl: Figure<Mass>,
    /// The even share of one lifter.
    pub share: Figure<Mass>,
    /// Share over limit; none where the limit is 0.
    pub lifting_index: Option<f64>,
}

/// Constants of the equation in one family of units.
struct Scale {
    load: Mass,
    /// Least horizontal distance that counts, its largest, the middle height, the largest height, the least and
    /// the largest travel.
    near: Length,
    far: Length,
    middle: Length,
    high: Length,
    short: Length,
    long: Length,
    per_height: f64,
    travel: Length,
}

impl Scale {
    fn of(constants: Constants) -> Self {
        let (inches, centimetres) = (Length::new::<inch>, Length::new::<centimeter>);
        match constants {
            Constants::Inch => Self {
                load: Mass::new::<pound>(51.0),
                near: inches(10.0),
                far: inches(25.0),
                middle: inches(30.0),
                high: inches(70.0),
                short: inches(10.0),
                long: inches(70.0),
                per_height: 0.0075 / 0.0254,
                travel: inches(1.8),
            },
            Constants::Metric => Self {
                load: Mass::new::<kilogram>(23.0),
                near: centimetres(25.0),
                far: centimetres(63.0),
                middle: centimetres(75.0),
                high: centimetres(175.0),
                short: centimetres(25.0),
                long: centimetres(175.0),
                per_height: 0.003 / 0.01,
                travel: centimetres(4.5),
            },
        }
    }
}

/// Weight limits of a lift.
///
/// # Errors
/// `missing` or `inconsistent` at `/lift/travel`: either the end or the travel is given.
pub(super) fn limits(lift: &Lift, trace: &mut Trace) -> Result<LiftFigures, Refusal> {
    let travel = match (&lift.destination, lift.travel) {
        (Some(_), Some(_)) => {
            let message =
                "The end of the lift is described, so its travel follows from it. Leave the travel out.";
            return Err(Refusal::inconsistent("/lift/travel", message));
        }
        (Some(destination), None) => (destination.vertical - lift.origin.vertical).abs(),
        (None, Some(travel)) => travel,
        (None, None) => {
            let message = "Without the end of the lift its travel is needed. Add one of the two.";
            return Err(Refusal::missing("/lift/travel", message));
        }
    };
    let scale = Scale::of(lift.constants);
    let origin = limit(lift, &scale, "origin", &lift.origin, travel, trace);
    let destination = lift
        .destination
        .as_ref()
        .map(|hands| limit(lift, &scale, "destination", hands, travel, trace));
    let smaller = destination.map_or(origin, |destination| origin.min(destination));
    let share = lift.load / f64::from(lift.lifters);
    let lifting_index = (smaller.value > 0.0).then(|| (share / smaller).value);
    Ok(LiftFigures {
        rwl_origin: origin.into(),
        rwl_destination: destination.map(Into::into),
        rwl: smaller.into(),
        share: share.into(),
        lifting_index,
    })
}

fn limit(lift: &Lift, scale: &Scale, end: &str, hands: &Hands, travel: Length, trace: &mut Trace) -> Mass {
    let low = exceeds(scale.middle, hands.vertical);
    let factors = [
        ("horizontal", horizontal(scale, hands.horizontal)),
        ("vertical", vertical(scale, hands.vertical)),
        ("travel", distance(scale, travel)),
        ("twist", twist(hands.twist_deg)),
        ("frequency", frequency(lift.lifts_per_min, lift.hours, low)),
        ("grip", grip(lift.grip, low)),
    ];
    for (name, factor) in factors {
        trace.number(format!("{end}: {name} multiplier"), factor);
    }
    let limit = scale.load * factors.iter().map(|(_, factor)| factor).product::<f64>();
    trace.quantity(format!("{end}: weight limit"), limit);
    limit
}

fn horizontal(scale: &Scale, reach: Length) -> f64 {
    if exceeds(reach, scale.far) {
        0.0
    } else {
        (scale.near / reach.max(scale.near)).value
    }
}

fn vertical(scale: &Scale, height: Length) -> f64 {
    if exceeds(height, scale.high) {
        return 0.0;
    }
    1.0 - scale.per_height * (height - scale.middle).abs().value
}

fn distance(scale: &Scale, travel: Length) -> f64 {
    if exceeds(travel, scale.long) {
        return 0.0;
    }
    (0.82 + (scale.travel / travel.max(scale.short)).value).min(1.0)
}

fn twist(degrees: f64) -> f64 {
    if at_most(degrees, 135.0) {
        1.0 - 0.0032 * degrees
    } else {
        0.0
    }
}

fn frequency(per_minute: f64, hours: f64, low: bool) -> f64 {
    let Some(row) = frequencies()
        .rows
        .iter()
        .find(|row| per_minute <= row.rate + 1e-9)
    else {
        return 0.0;
    };
    let [hour, two, day] = row.low.filter(|_| low).unwrap_or(row.factor);
    if at_most(hours, 1.0) {
        hour
    } else if at_most(hours, 2.0) {
        two
    } else {
        day
    }
}

fn grip(grip: Grip, low: bool) -> f64 {
    match grip {
        Grip::Good => 1.0,
        Grip::Fair if low => 0.95,
        Grip::Fair => 1.0,
        Grip::Poor => 0.9,
    }
}

/// Whether nothing at all may be lifted like this.
pub(super) fn outside_limits(figures: &LiftFigures) -> bool {
    figures.rwl.0.to_base() <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frequencies_fall_with_rate_and_hours() {
        let rows = &frequencies().rows;
        assert!(rows.is_sorted_by(|slow, fast| slow.rate < fast.rate && slow.factor[0] > fast.factor[0]));
        for row in rows {
            let low = row.low.unwrap_or(row.factor);
            assert!(row.factor.is_sorted_by(|less, more| less >= more), "{row:?}");
            assert!(
                low.iter().zip(row.factor).all(|(low, high)| *low <= high),
                "{row:?}"
            );
        }
    }

    #[test]
    fn a_rate_between_rows_takes_the_faster_row() {
        for (rate, hours, low, factor) in [
            (0.0, 1.0, false, 1.0),
            (0.3, 1.0, false, 0.97),
            (9.0, 8.0, true, 0.0),
            (9.0, 8.0, false, 0.15),
            (15.1, 1.0, false, 0.0),
            (1.0, 1.5, true, 0.88),
        ] {
            assert!(
                (frequency(rate, hours, low) - factor).abs() < 1e-12,
                "{rate} {hours} {low}"
            );
        }
    }
}
