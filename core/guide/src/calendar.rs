use chrono::{NaiveDate, TimeZone, Utc};
use chrono_tz::Tz;
use wythe_job::Moment;

/// A calendar date at the site.
pub type Date = NaiveDate;

/// Reads `YYYY-MM-DD`; `None` for anything else.
#[must_use]
pub fn read_date(text: &str) -> Option<Date> {
    let shaped = text.len() == 10 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
    if shaped {
        NaiveDate::parse_from_str(text, "%Y-%m-%d").ok()
    } else {
        None
    }
}

/// The date on the site's wall calendar at a moment. `zone` is a name of the IANA database; an unknown
/// one falls back to the offset that the device's clock showed.
#[must_use]
pub fn local_date(at: Moment, zone: &str) -> Option<Date> {
    let utc = Utc.timestamp_millis_opt(at.utc_ms).single()?;
    if let Ok(zone) = zone.parse::<Tz>() {
        return Some(utc.with_timezone(&zone).date_naive());
    }
    let shift = chrono::TimeDelta::try_minutes(i64::from(at.offset_min))?;
    Some(utc.naive_utc().checked_add_signed(shift)?.date())
}

/// How many days from one date to another; the due day itself is day zero.
#[must_use]
pub fn days_between(from: Date, to: Date) -> i64 {
    to.signed_duration_since(from).num_days()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utc(text: &str) -> Moment {
        let at = chrono::DateTime::parse_from_rfc3339(text).unwrap();
        Moment {
            utc_ms: at.timestamp_millis(),
            offset_min: 0,
        }
    }

    #[test]
    fn the_sites_calendar_counts_not_the_clocks() {
        // The IANA database's rules for these zones.
        let date = |text, zone| local_date(utc(text), zone).unwrap().to_string();
        assert_eq!(
            date("2026-03-08T06:59:00Z", "America/Denver"),
            "2026-03-07",
            "before the change to summer time"
        );
        assert_eq!(
            date("2026-03-09T05:59:00Z", "America/Denver"),
            "2026-03-08",
            "after it"
        );
        assert_eq!(date("2026-11-02T06:30:00Z", "America/Denver"), "2026-11-01");
        assert_eq!(
            date("2026-05-01T10:30:00Z", "Pacific/Kiritimati"),
            "2026-05-02",
            "east of the date line"
        );
        assert_eq!(
            date("2026-05-01T10:30:00Z", "Pacific/Pago_Pago"),
            "2026-04-30",
            "west of it"
        );
    }

    #[test]
    fn only_whole_dates_are_read() {
        assert!(read_date("2026-02-28").is_some());
        for text in [
            "2026-02-30",
            "2026-2-3",
            "26-02-03",
            "2026/02/03",
            "+2026-02-3",
            "",
        ] {
            assert_eq!(read_date(text), None, "{text}");
        }
    }
}
