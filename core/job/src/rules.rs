use crate::calendar::is_date;
use crate::id::FactId;
use crate::limits::{MAX_CODE_BYTES, MAX_LINE_BYTES, MAX_NAME_BYTES};

/// A rule of the format that a member does not keep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Broken {
    pub(crate) member: &'static str,
    pub(crate) why: &'static str,
}

pub(crate) type Kept = Result<(), Broken>;

/// Whatever has rules beyond its shape. They hold for everything written and everything read.
pub(crate) trait Rules {
    fn keeps(&self) -> Kept;
}

impl<T: Rules> Rules for Option<T> {
    fn keeps(&self) -> Kept {
        self.as_ref().map_or(Ok(()), Rules::keeps)
    }
}

impl<T: Rules> Rules for Vec<T> {
    fn keeps(&self) -> Kept {
        self.iter().try_for_each(Rules::keeps)
    }
}

pub(crate) fn holds(member: &'static str, holds: bool, why: &'static str) -> Kept {
    if holds {
        Ok(())
    } else {
        Err(Broken { member, why })
    }
}

/// Words: 1 to `most` bytes without control characters other than tab, line feed and carriage return.
pub(crate) fn words(member: &'static str, text: &str, most: usize) -> Kept {
    let plain = |c: char| !c.is_control() || matches!(c, '\t' | '\n' | '\r');
    holds(member, !text.is_empty(), "is empty")?;
    holds(member, text.len() <= most, "is longer than the format allows")?;
    holds(member, text.chars().all(plain), "has control characters")
}

/// Words that may be missing.
pub(crate) fn words_if(member: &'static str, text: Option<&String>, most: usize) -> Kept {
    text.map_or(Ok(()), |text| words(member, text, most))
}

/// A name: words on one line, at most [`MAX_NAME_BYTES`].
pub(crate) fn name(member: &'static str, text: &str) -> Kept {
    words(member, text, MAX_NAME_BYTES)?;
    holds(
        member,
        !text.contains(['\t', '\n', '\r']),
        "has more than one line",
    )
}

/// A name that may be missing.
pub(crate) fn name_if(member: &'static str, text: Option<&String>) -> Kept {
    text.map_or(Ok(()), |text| name(member, text))
}

/// A reason: words of at most [`MAX_LINE_BYTES`].
pub(crate) fn reason(member: &'static str, text: &str) -> Kept {
    words(member, text, MAX_LINE_BYTES)
}

/// A code: lower-case letters, digits, `_`, `.` and `-`, 1 to [`MAX_CODE_BYTES`]. Which codes there
/// are is no rule of the format: a newer program may know more.
pub(crate) fn code(member: &'static str, text: &str) -> Kept {
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || matches!(b, b'_' | b'.' | b'-');
    let fits = (1..=MAX_CODE_BYTES).contains(&text.len()) && text.bytes().all(plain);
    holds(
        member,
        fits,
        "is no code: 1 to 80 of a-z, 0-9, underscore, point, hyphen",
    )
}

/// A language as BCP 47 names it: letters, digits, hyphens, 2 to 35.
pub(crate) fn language(member: &'static str, text: &str) -> Kept {
    let fits = (2..=35).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    holds(member, fits, "is no language tag")
}

/// At most so many.
pub(crate) fn list<T>(member: &'static str, items: &[T], most: usize) -> Kept {
    holds(
        member,
        items.len() <= most,
        "has more members than the format allows",
    )
}

/// Words, a line each.
pub(crate) fn lines(member: &'static str, texts: &[String], most: usize) -> Kept {
    list(member, texts, most)?;
    texts.iter().try_for_each(|text| reason(member, text))
}

/// Facts in ascending order, at most so many.
pub(crate) fn facts(member: &'static str, ids: &[FactId], most: usize) -> Kept {
    list(member, ids, most)?;
    holds(
        member,
        ids.is_sorted_by(|a, b| a < b),
        "is not in ascending order, or names a fact twice",
    )
}

/// A day of the calendar, `YYYY-MM-DD`, years 1000 to 9998.
pub(crate) fn date(member: &'static str, text: &str) -> Kept {
    holds(member, is_date(text), "is no date like 2025-11-24")
}

/// A date that may be missing.
pub(crate) fn date_if(member: &'static str, text: Option<&String>) -> Kept {
    text.map_or(Ok(()), |text| date(member, text))
}

/// An amount of money: up to 12 digits, a point and up to 4 more; a minus only before what is not zero;
/// no zero before the first digit.
pub(crate) fn amount(member: &'static str, text: &str) -> Kept {
    let digits = |part: &str, most: usize| {
        (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit())
    };
    let unsigned = text.strip_prefix('-').unwrap_or(text);
    let (whole, rest) = unsigned
        .split_once('.')
        .map_or((unsigned, None), |(whole, rest)| (whole, Some(rest)));
    let fits = digits(whole, 12)
        && rest.is_none_or(|rest| digits(rest, 4))
        && (whole == "0" || !whole.starts_with('0'));
    let zero = unsigned.bytes().all(|b| matches!(b, b'0' | b'.'));
    holds(
        member,
        fits && !(zero && text.starts_with('-')),
        "is no amount like 1250.00",
    )
}

/// A currency by its three capital letters (ISO 4217).
pub(crate) fn currency(member: &'static str, text: &str) -> Kept {
    let fits = text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase());
    holds(member, fits, "is no currency like USD")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_have_one_form() {
        for text in ["0", "0.00", "1250.00", "-3.5", "999999999999.9999"] {
            assert_eq!(amount("amount", text), Ok(()), "{text}");
        }
        for text in [
            "",
            "-",
            "-0",
            "-0.00",
            "01",
            ".5",
            "5.",
            "1,5",
            "1e3",
            "1.00000",
            "1234567890123",
            "+1",
        ] {
            assert!(amount("amount", text).is_err(), "{text}");
        }
    }

    #[test]
    fn words_and_codes_have_their_letters() {
        assert!(words("text", "two\nlines\tand °F", 40).is_ok());
        assert!(words("text", "bell\u{7}", 40).is_err());
        assert!(words("text", "\u{85}", 40).is_err());
        assert!(words("text", "", 40).is_err());
        assert!(name("name", "two\nlines").is_err());
        assert!(code("code", "day_1").is_ok());
        assert!(code("code", "Day").is_err());
        assert!(code("code", &"a".repeat(81)).is_err());
    }
}
