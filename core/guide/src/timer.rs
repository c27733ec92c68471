//! A span of time taken with a clock in the hand: started, tapped, stopped.
//!
//! While it runs it is a draft like any other entry, so that it outlives the screen and the phone's sleep;
//! stopped, it is the text of a span and goes the way of every typed entry.

use wythe_job::Moment;

use crate::entry::read_moment;

/// A running timer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timer {
    start: Moment,
    /// Milliseconds from the start, rising.
    taps: Vec<i64>,
}

/// The clock shows a moment before the start or the last tap: it was set back meanwhile, and no time
/// that it would give can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("The phone’s clock was set back while the timer ran. Start again.")]
pub struct ClockSetBack;

/// What stands between the start and the taps while there is no end yet.
const RUNNING: &str = "/…";
/// Taps are kept to a tenth of a second: no thumb is quicker.
const TENTH_MS: i64 = 100;

impl Timer {
    /// A timer that starts now.
    #[must_use]
    pub fn started(start: Moment) -> Self {
        Self {
            start,
            taps: Vec::new(),
        }
    }

    /// Reads a running timer from a draft; `None` for any other text.
    #[must_use]
    pub fn read(draft: &str) -> Option<Self> {
        let (start, taps) = draft.split_once(RUNNING)?;
        let tap = |text: &str| {
            let (whole, tenth) = text.strip_prefix('+')?.split_once('.')?;
            let tenths: i64 = format!("{whole}{tenth}").parse().ok()?;
            (tenth.len() == 1).then_some(tenths)?.checked_mul(TENTH_MS)
        };
        Some(Self {
            start: read_moment(start)?,
            taps: taps.split_whitespace().map(tap).collect::<Option<_>>()?,
        })
    }

    /// The draft of a running timer.
    #[must_use]
    pub fn draft(&self) -> String {
        format!("{}{RUNNING}{}", written(self.start), self.tapped())
    }

    /// Notes a tap.
    ///
    /// # Errors
    /// [`ClockSetBack`].
    pub fn tap(&mut self, now: Moment) -> Result<(), ClockSetBack> {
        let after = self.after(now)?;
        self.taps.push(after);
        Ok(())
    }

    /// The text of the span, stopped now.
    ///
    /// # Errors
    /// [`ClockSetBack`].
    pub fn stopped(&self, now: Moment) -> Result<String, ClockSetBack> {
        self.after(now)?;
        Ok(format!(
            "{}/{}{}",
            written(self.start),
            written(now),
            self.tapped()
        ))
    }

    /// When it was started.
    #[must_use]
    pub fn start(&self) -> Moment {
        self.start
    }

    /// Seconds from the start to each tap.
    #[must_use]
    pub fn taps(&self) -> Vec<f64> {
        let seconds = |ms: &i64| i32::try_from(*ms).map_or(f64::INFINITY, |ms| f64::from(ms) / 1000.0);
        self.taps.iter().map(seconds).collect()
    }

    fn after(&self, now: Moment) -> Result<i64, ClockSetBack> {
        let ms = now.utc_ms.saturating_sub(self.start.utc_ms);
        let last = self.taps.last().copied().unwrap_or(0);
        if ms < last {
            return Err(ClockSetBack);
        }
        Ok((ms + TENTH_MS / 2) / TENTH_MS * TENTH_MS)
    }

    fn tapped(&self) -> String {
        let tap = |ms: &i64| format!(" +{}.{}", ms / 1000, ms % 1000 / TENTH_MS);
        self.taps.iter().map(tap).collect()
    }
}

/// A moment as a span is typed, to the millisecond.
fn written(at: Moment) -> String {
    let offset = chrono::FixedOffset::east_opt(i32::from(at.offset_min) * 60);
    let utc = chrono::DateTime::from_timestamp_millis(at.utc_ms).unwrap_or_default();
    match offset {
        Some(offset) => utc
            .with_timezone(&offset)
            .to_rfc3339_opts(chrono::SecondsFormat::Millis, false),
        None => utc.to_rfc3339_opts(chrono::SecondsFormat::Millis, false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(ms: i64) -> Moment {
        Moment {
            utc_ms: 1_774_443_000_000 + ms,
            offset_min: -360,
        }
    }

    #[test]
    fn it_lives_as_a_draft_and_ends_as_the_text_of_a_span() {
        let mut timer = Timer::started(at(0));
        timer.tap(at(155_040)).unwrap();
        let mut timer = Timer::read(&timer.draft()).unwrap();
        timer.tap(at(310_000)).unwrap();
        assert_eq!(Timer::read(&timer.draft()), Some(timer.clone()));
        assert_eq!(timer.taps(), [155.0, 310.0]);
        assert_eq!(
            timer.stopped(at(312_345)).unwrap(),
            "2026-03-25T06:50:00.000-06:00/2026-03-25T06:55:12.345-06:00 +155.0 +310.0"
        );
    }

    #[test]
    fn a_clock_that_was_set_back_is_not_believed() {
        let mut timer = Timer::started(at(0));
        timer.tap(at(60_000)).unwrap();
        assert_eq!(timer.tap(at(59_000)), Err(ClockSetBack));
        assert_eq!(timer.stopped(at(-1)), Err(ClockSetBack));
    }

    #[test]
    fn other_drafts_are_no_timers() {
        for draft in [
            "",
            "11 3/8 in",
            "/…",
            "2026-03-25T06:50:00-06:00/2026-03-25T06:55:00-06:00",
            "2026-03-25T06:50:00-06:00/… +3",
        ] {
            assert_eq!(Timer::read(draft), None, "{draft}");
        }
    }
}
