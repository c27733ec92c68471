use minicbor::{Decode, Encode};

use crate::limits::END_OF_TIME_MS;
use crate::rules::{Kept, Rules, holds};

/// A stamp of the hybrid logical clock: orders facts for display, never as proof of time.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Encode, Decode, serde::Serialize)]
pub struct Stamp {
    /// Milliseconds since 1970-01-01T00:00:00Z.
    #[n(0)]
    pub ms: i64,
    /// Tie breaker within a millisecond.
    #[n(1)]
    pub counter: u32,
}

impl Rules for Stamp {
    fn keeps(&self) -> Kept {
        let fits = (0..END_OF_TIME_MS).contains(&self.ms);
        holds("stamp", fits, "is not between the years 1970 and 9998")
    }
}

/// A hybrid logical clock (Kulkarni et al., 2014). A stamp from another device may pull it forward by
/// at most [`Clock::MAX_DRIFT_MS`]: a phone set years ahead must not drag the others with it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Clock {
    last: Stamp,
}

impl Clock {
    /// How far another device's stamp may pull this clock: five minutes.
    pub const MAX_DRIFT_MS: i64 = 300_000;

    /// A clock that goes on from the last stamp it gave.
    #[must_use]
    pub fn from(last: Stamp) -> Self {
        Self { last }
    }

    /// The next stamp at the given time; always above the one before.
    pub fn tick(&mut self, now_ms: i64) -> Stamp {
        self.last = if now_ms > self.last.ms {
            Stamp {
                ms: now_ms,
                counter: 0,
            }
        } else {
            match self.last.counter.checked_add(1) {
                Some(counter) => Stamp {
                    ms: self.last.ms,
                    counter,
                },
                None => Stamp {
                    ms: self.last.ms.saturating_add(1),
                    counter: 0,
                },
            }
        };
        self.last
    }

    /// Takes note of a stamp seen from another device.
    pub fn see(&mut self, other: Stamp, now_ms: i64) {
        let ahead = other.ms > now_ms.saturating_add(Self::MAX_DRIFT_MS);
        if !ahead && other > self.last {
            self.last = other;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stamps_rise_even_when_the_clock_is_set_back() {
        let mut clock = Clock::default();
        let first = clock.tick(10_000);
        let second = clock.tick(4_000);
        assert!(second > first);
        assert!(clock.tick(20_000) > second);
    }

    #[test]
    fn a_phone_years_ahead_does_not_pull_the_others() {
        let mut clock = Clock::default();
        clock.see(
            Stamp {
                ms: 10_000_000_000_000,
                counter: 0,
            },
            1_000,
        );
        assert_eq!(clock.tick(1_000).ms, 1_000);
        clock.see(
            Stamp {
                ms: 2_000,
                counter: 7,
            },
            1_000,
        );
        assert!(
            clock.tick(1_000)
                > Stamp {
                    ms: 2_000,
                    counter: 7
                }
        );
    }
}
