use crate::limits::MAX_OFFSET_MIN;
use crate::value::Moment;

/// Whether a text is a day of the (proleptic Gregorian) calendar as `YYYY-MM-DD`, years 1000 to 9998.
#[must_use]
pub fn is_date(text: &str) -> bool {
    let Some((year, month, day)) = numbers(text) else {
        return false;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => return false,
    };
    (1000..=9998).contains(&year) && (1..=days).contains(&day)
}

/// Whether a text is a local time as `YYYY-MM-DDTHH:MM:SS`.
#[must_use]
pub fn is_local_time(text: &str) -> bool {
    let Some((date, time)) = text.split_once('T') else {
        return false;
    };
    let mut parts = time.split(':');
    let mut part = |most: u32| parts.next().and_then(|p| digits(p, 2)).is_some_and(|n| n <= most);
    let fits = part(23) && part(59) && part(59);
    fits && parts.next().is_none() && is_date(date)
}

fn numbers(text: &str) -> Option<(u32, u32, u32)> {
    let mut parts = text.split('-');
    let year = digits(parts.next()?, 4)?;
    let month = digits(parts.next()?, 2)?;
    let day = digits(parts.next()?, 2)?;
    parts.next().is_none().then_some((year, month, day))
}

fn digits(text: &str, count: usize) -> Option<u32> {
    let plain = text.len() == count && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// A moment as its clock showed it: `2025-11-24T09:30:00.000-07:00`. A moment outside the format's
/// range is shown at the range's end.
#[must_use]
pub fn local_text(moment: Moment) -> String {
    let offset = moment.offset_min.clamp(-MAX_OFFSET_MIN, MAX_OFFSET_MIN);
    let utc = moment.utc_ms.clamp(0, crate::limits::END_OF_TIME_MS - 1);
    let local = utc + i64::from(offset) * 60_000;
    let (days, ms) = (local.div_euclid(86_400_000), local.rem_euclid(86_400_000));
    let (year, month, day) = civil(days);
    let sign = if offset < 0 { '-' } else { '+' };
    let offset = offset.unsigned_abs();
    format!(
        "{year:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}.{:03}{sign}{:02}:{:02}",
        ms / 3_600_000,
        ms / 60_000 % 60,
        ms / 1_000 % 60,
        ms % 1_000,
        offset / 60,
        offset % 60
    )
}

/// Year, month and day of the day so many days after 1970-01-01.
///
/// Source: H. Hinnant, "chrono-compatible low-level date algorithms", `civil_from_days`.
fn civil(days: i64) -> (i64, i64, i64) {
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let day_of_era = shifted.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 {
        month_from_march + 3
    } else {
        month_from_march - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year, month, day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_are_dates() {
        for text in ["2025-11-24", "2024-02-29", "2000-02-29", "9998-12-31"] {
            assert!(is_date(text), "{text}");
        }
        for text in [
            "2025-02-29",
            "1900-02-29",
            "2025-13-01",
            "2025-00-10",
            "2025-04-31",
            "2025-1-01",
            "25-01-01",
            "2025-01-01 ",
            "+025-01-01",
            "2025-01-01-01",
            "0999-01-01",
            "9999-01-01",
        ] {
            assert!(!is_date(text), "{text}");
        }
        assert!(is_local_time("2025-11-24T09:30:00"));
        assert!(!is_local_time("2025-11-24T24:30:00"));
        assert!(!is_local_time("2025-11-24T09:30"));
    }

    #[test]
    fn a_moment_is_shown_as_its_clock_showed_it() {
        let text = |utc_ms, offset_min| local_text(Moment { utc_ms, offset_min });
        assert_eq!(text(0, 0), "1970-01-01T00:00:00.000+00:00");
        assert_eq!(text(0, -1080), "1969-12-31T06:00:00.000-18:00");
        assert_eq!(text(1_764_001_800_005, -420), "2025-11-24T09:30:00.005-07:00");
        assert_eq!(text(951_782_400_000, 330), "2000-02-29T05:30:00.000+05:30");
        assert_eq!(text(253_370_764_799_999, 0), "9998-12-31T23:59:59.999+00:00");
    }
}
