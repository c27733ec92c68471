use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};

/// When a photo says it was taken: the camera's wall clock, and its offset from UTC if the camera
/// recorded one. Without an offset the instant is not known, and none is guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taken {
    /// Wall clock of the camera, with fractions of a second if recorded.
    pub local: NaiveDateTime,
    /// Minutes east of UTC, -14 h to +14 h.
    pub offset_minutes: Option<i32>,
}

impl Taken {
    /// The instant, if the offset is known.
    #[must_use]
    pub fn utc(&self) -> Option<DateTime<Utc>> {
        self.utc_with(self.offset_minutes?)
    }

    /// The instant if the camera's clock was `offset_minutes` east of UTC. `None` beyond 24 h.
    #[must_use]
    pub fn utc_with(&self, offset_minutes: i32) -> Option<DateTime<Utc>> {
        let offset = FixedOffset::east_opt(offset_minutes.checked_mul(60)?)?;
        Some(self.local.and_local_timezone(offset).single()?.to_utc())
    }
}

/// Reads `YYYY:MM:DD HH:MM:SS` (EXIF 2.32, DateTimeOriginal), with the digits of a SubSecTime.
/// `None` for blanks, zeros and anything that is no date.
pub(crate) fn read_date_time(text: &str, subsec: Option<&str>) -> Option<NaiveDateTime> {
    let text = text.trim_end_matches(['\0', ' ']);
    let (date, time) = text.split_once([' ', 'T'])?;
    let [year, month, day] = numbers(date, [':', '-'])?;
    let [hour, minute, second] = numbers(time, [':', ':'])?;
    let date = NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)?;
    date.and_hms_nano_opt(hour, minute, second, subsec.map_or(0, nanoseconds))
}

/// Reads `+HH:MM`, `-HH:MM` or `Z` (EXIF 2.32, OffsetTimeOriginal) into minutes east of UTC.
pub(crate) fn read_offset(text: &str) -> Option<i32> {
    const FURTHEST_MINUTES: i32 = 14 * 60;
    let text = text.trim_matches(['\0', ' ']);
    if text == "Z" {
        return Some(0);
    }
    let (sign, digits) = match text.strip_prefix('-') {
        Some(digits) => (-1, digits),
        None => (1, text.strip_prefix('+')?),
    };
    let (hours, minutes) = digits.split_once(':')?;
    let hours: i32 = all_digits(hours)?.try_into().ok()?;
    let minutes: i32 = all_digits(minutes)?.try_into().ok()?;
    let total = hours.checked_mul(60)?.checked_add(minutes)?;
    (minutes < 60 && total <= FURTHEST_MINUTES).then_some(sign * total)
}

fn numbers(text: &str, separators: [char; 2]) -> Option<[u32; 3]> {
    let mut parts = text.split(separators).map(all_digits);
    let three = [parts.next()??, parts.next()??, parts.next()??];
    parts.next().is_none().then_some(three)
}

/// Digits only: `parse` alone would take a sign.
fn all_digits(text: &str) -> Option<u32> {
    text.bytes()
        .all(|b| b.is_ascii_digit())
        .then(|| text.parse().ok())?
}

/// "5" is half a second, "123456" is 123,456 microseconds.
fn nanoseconds(subsec: &str) -> u32 {
    let digits = subsec.trim_matches(['\0', ' ']);
    if !digits.bytes().all(|b| b.is_ascii_digit()) {
        return 0;
    }
    digits
        .bytes()
        .chain(std::iter::repeat(b'0'))
        .take(9)
        .fold(0, |n, b| n * 10 + u32::from(b - b'0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_past_four_seven_hours_west_is_half_past_eleven_utc() {
        let local = read_date_time("2025:11:24 16:30:00", None).unwrap();
        let taken = Taken {
            local,
            offset_minutes: read_offset("-07:00"),
        };
        assert_eq!(taken.utc().unwrap().to_rfc3339(), "2025-11-24T23:30:00+00:00");
    }

    #[test]
    fn without_an_offset_the_instant_is_not_guessed() {
        let local = read_date_time("2025:11:24 16:30:00", None).unwrap();
        assert_eq!(
            Taken {
                local,
                offset_minutes: None
            }
            .utc(),
            None
        );
    }

    #[test]
    fn fractions_of_a_second_are_read() {
        let local = read_date_time("2025:11:24 16:30:05", Some("25")).unwrap();
        assert_eq!(local.to_string(), "2025-11-24 16:30:05.250");
    }

    #[test]
    fn what_is_no_date_is_no_date() {
        for text in [
            "",
            "    :  :     :  :  ",
            "0000:00:00 00:00:00",
            "2025:02:30 10:00:00",
            "2025:11:24",
            "2025:11:24 25:00:00",
            "+025:11:24 16:30:00",
            "2025:11:24:01 16:30:00",
        ] {
            assert_eq!(read_date_time(text, None), None, "{text:?}");
        }
    }

    #[test]
    fn offsets_are_read_and_nonsense_is_not() {
        assert_eq!(read_offset("+05:45"), Some(345));
        assert_eq!(read_offset("-03:30"), Some(-210));
        assert_eq!(read_offset("Z"), Some(0));
        for text in ["", "07:00", "+15:00", "-07", "+07:75", "+-7:00", "   :  "] {
            assert_eq!(read_offset(text), None, "{text:?}");
        }
    }
}
