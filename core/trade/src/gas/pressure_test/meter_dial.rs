//! Watching the test dial of the meter with everything turned off.

use uom::si::time::minute;
use uom::si::volume::cubic_meter;

use crate::compare::at_most;
use crate::customary::CUBIC_FOOT;
use crate::quantities::{Time, Volume, VolumeRate};

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
