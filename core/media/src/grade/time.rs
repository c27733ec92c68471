//! When the photo was taken, as its file says, beside the clocks of phone, satellites and office.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

use super::{Circumstances, HowAdded, Reason};
use crate::PhotoIntake;

/// Clocks of two devices that are both set by a network agree to this.
const AGREED: TimeDelta = TimeDelta::seconds(120);

/// How long after it was taken a photo "just taken" may come in.
const JUST: TimeDelta = TimeDelta::minutes(10);

/// Time zones are whole quarters of an hour apart, up to 26 hours (from -12 to +14).
const QUARTER_MINUTES: i64 = 15;
const FURTHEST_MINUTES: i64 = 26 * 60;

/// A fix may be this old before it says where the phone was, not where the photo was taken.
const FRESH: TimeDelta = TimeDelta::minutes(5);

pub(super) fn reasons(photo: &PhotoIntake, around: &Circumstances, reasons: &mut Vec<Reason>) {
    let Some(taken) = photo.metadata.taken else {
        // Without any metadata that reason has been given.
        if photo.metadata.present {
            reasons.push(Reason::TimeMissing);
        }
        return;
    };
    if NaiveDate::from_ymd_opt(2007, 1, 1).is_some_and(|first| taken.local.date() < first) {
        reasons.push(Reason::TimeImpossible);
        return;
    }
    let fix = photo.metadata.fix.and_then(|fix| fix.at);
    let utc = match taken.utc() {
        Some(utc) => utc,
        None => match (
            fix.and_then(|at| offset_by(taken.local.and_utc(), at)),
            around.device_offset_minutes,
        ) {
            (Some(minutes), _) => {
                reasons.push(Reason::OffsetFromFix { minutes });
                let Some(utc) = taken.utc_with(minutes) else {
                    return;
                };
                utc
            }
            (None, minutes) => {
                reasons.push(Reason::OffsetMissing);
                let Some(utc) = minutes.and_then(|minutes| taken.utc_with(minutes)) else {
                    return;
                };
                utc
            }
        },
    };
    let fault = clocks(utc, around).or_else(|| office(utc, around));
    let zone_fault = match fault {
        Some(Reason::ZoneFault { minutes }) => minutes,
        _ => 0,
    };
    reasons.extend(fault);
    // The fix's time is the satellites': against it a wrong zone is told, too.
    if let Some(at) = fix {
        let age = utc - TimeDelta::minutes(zone_fault.into()) - at;
        match whole_zones(age) {
            Some(minutes) if zone_fault == 0 => reasons.push(Reason::ZoneFault { minutes }),
            _ if age.abs() > FRESH => reasons.push(Reason::FixStale {
                seconds: age.num_seconds(),
            }),
            _ => {}
        }
    }
}

/// Against the phone's clock when the photo came in.
fn clocks(utc: DateTime<Utc>, around: &Circumstances) -> Option<Reason> {
    let ahead = utc - around.device_time?;
    if ahead > AGREED {
        return Some(zone_fault(ahead).unwrap_or(Reason::TimeAhead {
            seconds: ahead.num_seconds(),
        }));
    }
    if around.added == HowAdded::JustTaken && ahead < -JUST {
        return Some(zone_fault(ahead).unwrap_or(Reason::TimeBehind {
            seconds: -ahead.num_seconds(),
        }));
    }
    None
}

/// Against the office's clock when the photo arrived: it cannot have been taken later.
fn office(utc: DateTime<Utc>, around: &Circumstances) -> Option<Reason> {
    let after = utc - around.office_time?;
    (after > AGREED).then(|| {
        zone_fault(after).unwrap_or(Reason::TimeAfterArrival {
            seconds: after.num_seconds(),
        })
    })
}

fn zone_fault(difference: TimeDelta) -> Option<Reason> {
    whole_zones(difference).map(|minutes| Reason::ZoneFault { minutes })
}

/// A difference of whole hours, give or take what clocks differ and a photo takes to come in.
fn whole_zones(difference: TimeDelta) -> Option<i32> {
    let minutes = nearest(difference, 60)?;
    let off = (difference - TimeDelta::minutes(minutes)).abs();
    (minutes != 0 && minutes.abs() <= FURTHEST_MINUTES && off <= AGREED)
        .then(|| i32::try_from(minutes).ok())?
}

/// The offset that makes `local`, read as if it were UTC, agree with the satellites' time.
fn offset_by(local: DateTime<Utc>, at: DateTime<Utc>) -> Option<i32> {
    let difference = local - at;
    let minutes = nearest(difference, QUARTER_MINUTES)?;
    let off = (difference - TimeDelta::minutes(minutes)).abs();
    (minutes.abs() <= 14 * 60 && off <= AGREED).then(|| i32::try_from(minutes).ok())?
}

/// The difference to the nearest `step` minutes.
fn nearest(difference: TimeDelta, step: i64) -> Option<i64> {
    let seconds = difference.num_seconds();
    let step_seconds = step.checked_mul(60)?;
    Some((seconds.checked_add(step_seconds / 2)?).div_euclid(step_seconds) * step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_hours_are_zones_and_others_are_not() {
        let zones = |seconds| whole_zones(TimeDelta::seconds(seconds));
        assert_eq!(zones(3600), Some(60));
        assert_eq!(zones(-7 * 3600 + 90), Some(-420));
        assert_eq!(zones(40), None);
        assert_eq!(zones(1800), None);
        assert_eq!(zones(3600 + 300), None);
        assert_eq!(zones(30 * 3600), None);
    }

    #[test]
    fn the_satellites_time_gives_the_offset() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        assert_eq!(
            offset_by(at("2025-11-24T16:30:00Z"), at("2025-11-24T23:29:40Z")),
            Some(-420)
        );
        assert_eq!(
            offset_by(at("2025-11-24T16:30:00Z"), at("2025-11-24T10:45:00Z")),
            Some(345)
        );
        assert_eq!(
            offset_by(at("2025-11-24T16:30:00Z"), at("2025-11-24T23:20:00Z")),
            None
        );
    }
}
