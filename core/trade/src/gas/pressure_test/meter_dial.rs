//! Watching the test dial of the meter with everything turned off.

use serde::Serialize;
use uom::si::time::minute;
use uom::si::volume::cubic_meter;

use super::GAS_SMELL;
use crate::compare::at_most;
use crate::customary::CUBIC_FOOT;
use crate::form::{Answer, Figure, FindingKind, Findings, Trace, Verdict, input, over, within};
use crate::notes::GOVERNS;
use crate::quantities::{Time, Volume, VolumeRate};
use crate::words::both;

/// Minutes to watch by the dial's size in cubic feet; fuel gas code annex on leak checks
/// (NFPA 54 annex C), from memory, no copy found.
const MINUTES_BY_DIAL: [(f64, f64); 6] = [
    (0.25, 5.0),
    (0.5, 5.0),
    (1.0, 7.0),
    (2.0, 10.0),
    (5.0, 20.0),
    (10.0, 30.0),
];

/// What was seen on the dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watched {
    /// Volume of one turn of the dial.
    pub dial_volume: Volume,
    /// How long it was watched, above 0.
    pub observed: Time,
    /// Revolutions seen, 0 or more.
    pub movement: f64,
    /// Smallest part of a revolution that would be seen; 0.02 is our own assumption.
    pub readable_fraction: f64,
}

/// What the dial says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DialAnswer {
    /// How long such a dial must be watched, `None` for a dial larger than any listed.
    pub required_time: Option<Time>,
    /// Metered flow of what was seen.
    pub leak_rate: VolumeRate,
    /// Least metered flow that would have been seen.
    pub detectable_leak: VolumeRate,
    /// The first that holds.
    pub state: DialState,
}

/// What a watched dial shows, the first that holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DialState {
    /// Gas went through the meter.
    Moves,
    /// No time is listed for so large a dial.
    TooLarge,
    /// It was watched for less than the listed time.
    TooShort,
    /// It stood still for the listed time.
    Still,
}

/// The listed time of the smallest dial not smaller than this one.
#[must_use]
pub fn required_time(dial_volume: Volume) -> Option<Time> {
    let dial = dial_volume.get::<cubic_meter>();
    MINUTES_BY_DIAL
        .iter()
        .find(|(feet, _)| at_most(dial, feet * CUBIC_FOOT))
        .map(|(_, minutes)| Time::new::<minute>(*minutes))
}

/// Leak rate `movement · dial/observed` and what would have been seen, `readable fraction · dial/observed`.
#[must_use]
pub fn judge(watched: &Watched) -> DialAnswer {
    let required_time = required_time(watched.dial_volume);
    let per_turn: VolumeRate = watched.dial_volume / watched.observed;
    let state = if watched.movement > 0.0 {
        DialState::Moves
    } else {
        match required_time {
            None => DialState::TooLarge,
            Some(required) if !at_most(required.value, watched.observed.value) => DialState::TooShort,
            Some(_) => DialState::Still,
        }
    };
    DialAnswer {
        required_time,
        leak_rate: per_turn * watched.movement,
        detectable_leak: per_turn * watched.readable_fraction,
        state,
    }
}

input! {
    /// What was seen on the test dial with everything turned off.
    pub struct Input {
        /// Volume of one turn of the dial.
        pub dial_volume: Volume = over(0.0, 1.0),
        /// How long it was watched.
        pub observed: Time = over(0.0, 86_400.0),
        /// Revolutions seen.
        pub movement: f64 = within(0.0, 1000.0),
        /// Smallest part of a revolution that would be seen; the fallback is our own assumption.
        pub readable_fraction: f64 = within(0.001, 0.5).or(0.02),
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    required_time: Option<Figure<Time>>,
    leak_rate: Figure<VolumeRate>,
    detectable_leak: Figure<VolumeRate>,
}

const ANNEX: &str = "NFPA 54 annex C, from memory";
const METER_MOVES: FindingKind = FindingKind::stop(1, "meter_moves", ANNEX);
const DIAL_TOO_LARGE: FindingKind = FindingKind::caution(2, "dial_too_large", ANNEX);
const OBSERVED_TOO_SHORT: FindingKind = FindingKind::caution(3, "observed_too_short", ANNEX);

/// The dial's reckoning.
pub(super) fn reckon(input: &Input) -> Answer<Figures> {
    let found = judge(&Watched {
        dial_volume: input.dial_volume,
        observed: input.observed,
        movement: input.movement,
        readable_fraction: input.readable_fraction,
    });
    let mut findings = Findings::default();
    let verdict = match (found.state, found.required_time) {
        (DialState::Moves, _) => {
            findings.add(
                METER_MOVES,
                format!(
                    "Gas went through the meter with everything turned off: {} turns of {} in {}. Shut the gas off and find \
                     the leak before anything is lit.",
                    input.movement,
                    both(input.dial_volume),
                    both(input.observed)
                ),
            );
            Verdict::Fail
        }
        (DialState::TooShort, Some(required)) => {
            findings.add(
                OBSERVED_TOO_SHORT,
                format!(
                    "The dial was watched for {}, and one of {} needs {}. Watch it again for that long.",
                    both(input.observed),
                    both(input.dial_volume),
                    both(required)
                ),
            );
            Verdict::CannotTell
        }
        (DialState::Still, _) => Verdict::Pass,
        (DialState::TooLarge | DialState::TooShort, _) => {
            findings.add(
                DIAL_TOO_LARGE,
                format!(
                    "No time is listed for a dial of {}. Use a smaller dial, or a pressure test.",
                    both(input.dial_volume)
                ),
            );
            Verdict::CannotTell
        }
    };
    let mut trace = Trace::default();
    trace.quantity("volume of one turn", input.dial_volume);
    trace.quantity("time watched", input.observed);
    trace.number("revolutions seen", input.movement);
    trace.quantity("flow of that", found.leak_rate);
    trace.quantity("least flow that would be seen", found.detectable_leak);
    Answer {
        verdict: Some(verdict),
        figures: Figures {
            required_time: found.required_time.map(Figure::from),
            leak_rate: found.leak_rate.into(),
            detectable_leak: found.detectable_leak.into(),
        },
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![GOVERNS, GAS_SMELL],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn watched(feet: f64, minutes: f64, movement: f64) -> DialAnswer {
        judge(&Watched {
            dial_volume: Volume::new::<cubic_meter>(feet * CUBIC_FOOT),
            observed: Time::new::<minute>(minutes),
            movement,
            readable_fraction: 0.02,
        })
    }

    #[test]
    fn a_half_foot_dial_still_for_five_minutes_is_still() {
        let found = watched(0.5, 5.0, 0.0);
        assert_eq!(found.state, DialState::Still);
        assert!((found.detectable_leak.value / 9.438_95e-7 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn the_first_reason_is_the_one_given() {
        assert_eq!(watched(0.5, 1.0, 0.1).state, DialState::Moves);
        assert_eq!(watched(20.0, 1.0, 0.0).state, DialState::TooLarge);
        assert_eq!(watched(0.6, 5.0, 0.0).state, DialState::TooShort);
        assert_eq!(watched(0.6, 7.0, 0.0).state, DialState::Still);
    }
}
