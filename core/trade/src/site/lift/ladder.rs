//! How a ladder stands: its foot out by a quarter, its rails 3 ft above a landing, long and strong enough.

use serde::Serialize;
use uom::si::f64::{Length, Mass};
use uom::si::mass::pound;

use super::input::{Duty, Ladder, LadderRule};
use crate::compare::{exceeds, reaches};
use crate::form::{Figure, Refusal, Trace};
use crate::site::feet;

/// How the ladder stands.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LadderFigures {
    /// The angle of the rule, degrees from level.
    pub angle_deg: f64,
    /// Along the rail from foot to support.
    pub working_length: Figure<Length>,
    /// How far the foot stands out.
    pub base_distance: Figure<Length>,
    /// Rail needed, what stands above a landing included.
    pub rail_needed: Figure<Length>,
    /// The shortest ladder that is long enough, by nominal length.
    pub ladder_to_bring: Option<Figure<Length>>,
    /// The angle as it stands.
    pub angle_measured_deg: Option<f64>,
    /// What the ladder's duty leaves.
    pub duty_spare: Option<Figure<Mass>>,
}

/// How far rails stand above a landing: 29 CFR 1926.1053(b)(1), quoted at www.bigrocksupply.com.
pub(super) fn rails_above_landing() -> Length {
    feet(3.0)
}

/// The figures of a ladder; the foot out by a quarter of the working length is 29 CFR 1926.1053.
///
/// # Errors
/// `missing` when only one of user and duty is given.
pub(super) fn stand(ladder: &Ladder, trace: &mut Trace) -> Result<LadderFigures, Refusal> {
    let angle = match ladder.rule {
        LadderRule::WorkingLength => libm::acos(0.25),
        LadderRule::Height => libm::atan(4.0),
    };
    let height = ladder.support_height;
    let working_length = height / libm::sin(angle);
    let base_distance = height / libm::tan(angle);
    let upright = if ladder.landing {
        height + rails_above_landing()
    } else {
        height
    };
    let rail_needed = upright / libm::sin(angle);
    trace.line("angle of the rule", angle.to_degrees(), "deg");
    trace.quantity("working length", working_length);
    trace.quantity("rail needed", rail_needed);
    let to_bring = ladder
        .ladder_lengths
        .iter()
        .copied()
        .filter(|nominal| reaches(*nominal - overlap(*nominal), rail_needed))
        .reduce(Length::min);
    let duty_spare = match (ladder.user_mass, ladder.duty) {
        (Some(user), Some(duty)) => Some(capacity(duty) - user - ladder.carried_mass),
        (None, None) => None,
        (Some(_), None) => return Err(half("/ladder/duty")),
        (None, Some(_)) => return Err(half("/ladder/user_mass")),
    };
    Ok(LadderFigures {
        angle_deg: angle.to_degrees(),
        working_length: working_length.into(),
        base_distance: base_distance.into(),
        rail_needed: rail_needed.into(),
        ladder_to_bring: to_bring.map(Into::into),
        angle_measured_deg: ladder
            .base_measured
            .map(|base| libm::atan((height / base).value).to_degrees()),
        duty_spare: duty_spare.map(Into::into),
    })
}

fn half(at: &str) -> Refusal {
    Refusal::missing(
        at,
        "Who climbs and the ladder's duty only count together. Add this one.",
    )
}

/// What two sections of an extension ladder overlap, by nominal length (from memory).
fn overlap(nominal: Length) -> Length {
    if !exceeds(nominal, feet(36.0)) {
        feet(3.0)
    } else if !exceeds(nominal, feet(48.0)) {
        feet(4.0)
    } else {
        feet(5.0)
    }
}

/// ANSI A14, from memory.
fn capacity(duty: Duty) -> Mass {
    Mass::new::<pound>(match duty {
        Duty::Three => 200.0,
        Duty::Two => 225.0,
        Duty::One => 250.0,
        Duty::OneA => 300.0,
        Duty::OneAA => 375.0,
    })
}
