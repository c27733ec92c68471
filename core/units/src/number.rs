//! The number at the head of a typed quantity.

use crate::read::ReadError;

/// A number and what stands behind it.
pub(crate) struct Headed<'a> {
    pub(crate) value: f64,
    /// Whether it was written with digits only: no point, fraction or exponent.
    pub(crate) whole: bool,
    pub(crate) rest: &'a str,
}

/// Reads the number at the head of a text that [`crate::read::plain`] has made plain.
///
/// Accepted: `11`, `0.5`, `.5`, `1e3`, `6,115`, `35,000.5`, `3/8`, `11 3/8`, `11-3/8`, each with a sign.
pub(crate) fn head(text: &str) -> Result<Headed<'_>, ReadError> {
    let (negative, text) = sign(text);
    if ["nan", "inf"]
        .iter()
        .any(|word| text.get(..3).is_some_and(|head| head.eq_ignore_ascii_case(word)))
    {
        return Err(ReadError::NotFinite);
    }
    let (first, after) = decimal(text)?;
    let (value, whole, rest) = fraction(text, first, after)?;
    if !value.is_finite() {
        return Err(ReadError::NotFinite);
    }
    Ok(Headed {
        value: if negative { -value } else { value },
        whole,
        rest: rest.trim_start(),
    })
}

fn sign(text: &str) -> (bool, &str) {
    if let Some(rest) = text.strip_prefix('-') {
        (true, rest.trim_start())
    } else {
        (false, text.strip_prefix('+').map_or(text, str::trim_start))
    }
}

/// A decimal number: its value, whether it is written as a plain whole number, and its digits.
#[derive(Clone, Copy)]
struct Decimal {
    value: f64,
    whole: bool,
    grouped: bool,
}

fn decimal(text: &str) -> Result<(Decimal, &str), ReadError> {
    let (before, rest) = span(text, |c| c.is_ascii_digit() || c == ',');
    let (digits, grouped) = ungrouped(before)?;
    let (after_point, rest, pointed) = match rest.strip_prefix('.') {
        Some(tail) => {
            let (after, tail) = span(tail, |c| c.is_ascii_digit());
            (after, tail, true)
        }
        None => ("", rest, false),
    };
    if digits.is_empty() && after_point.is_empty() {
        return Err(ReadError::unreadable("it does not begin with a number"));
    }
    if pointed && rest.starts_with([',', '.']) {
        return Err(ReadError::unreadable("it has more than one decimal sign"));
    }
    let (exponent, rest) = exponent(rest);
    let written = format!(
        "{}.{}{exponent}",
        if digits.is_empty() { "0" } else { &digits },
        after_point
    );
    // "11." is as good as "11"; the parser wants a digit on one side only.
    let value: f64 = written
        .parse()
        .map_err(|_| ReadError::unreadable("its number is not readable"))?;
    let whole = !pointed && exponent.is_empty();
    Ok((
        Decimal {
            value,
            whole,
            grouped,
        },
        rest,
    ))
}

/// Takes the commas out of digit groups, and refuses a comma that stands for a decimal point.
fn ungrouped(digits: &str) -> Result<(String, bool), ReadError> {
    if !digits.contains(',') {
        return Ok((digits.to_owned(), false));
    }
    let groups: Vec<&str> = digits.split(',').collect();
    let leading_good = groups
        .first()
        .is_some_and(|first| (1..=3).contains(&first.len()) && !first.starts_with('0'));
    if leading_good && groups.iter().skip(1).all(|group| group.len() == 3) {
        return Ok((groups.concat(), true));
    }
    Err(ReadError::unreadable(
        "a comma only stands between groups of three digits (6,115); write a decimal with a point (0.5)",
    ))
}

fn exponent(text: &str) -> (&str, &str) {
    let Some(tail) = text.strip_prefix(['e', 'E']) else {
        return ("", text);
    };
    let unsigned = tail.strip_prefix(['+', '-']).unwrap_or(tail);
    let (digits, rest) = span(unsigned, |c| c.is_ascii_digit());
    if digits.is_empty() {
        return ("", text);
    }
    let length = text.len() - rest.len();
    text.split_at_checked(length).unwrap_or(("", text))
}

/// Adds the fraction behind a whole number, or reads the number itself as the top of one.
fn fraction<'a>(text: &'a str, first: Decimal, after: &'a str) -> Result<(f64, bool, &'a str), ReadError> {
    let plain = (first.value, first.whole, after);
    if let Some(below) = after.trim_start().strip_prefix('/')
        && below.trim_start().starts_with(|c: char| c.is_ascii_digit())
    {
        let (top, rest) = proper(text)?;
        return Ok((top.value(), false, rest));
    }
    let joined = after.trim_start();
    let joined = joined.strip_prefix('-').map_or(joined, str::trim_start);
    if !joined.starts_with(|c: char| c.is_ascii_digit()) {
        return Ok(plain);
    }
    // A second number that is no fraction belongs to a second unit, or to nothing.
    let (_, beyond) = span(joined, |c| c.is_ascii_digit());
    if !beyond.trim_start().starts_with('/') {
        return Err(ReadError::unreadable("two numbers stand side by side"));
    }
    if !first.whole || first.grouped {
        return Err(ReadError::unreadable(
            "a fraction only stands behind a whole number (11 3/8)",
        ));
    }
    let (part, rest) = proper(joined)?;
    if part.top >= part.bottom {
        return Err(ReadError::unreadable(
            "the fraction behind a whole number is less than one (11 3/8)",
        ));
    }
    Ok((first.value + part.value(), false, rest))
}

struct Fraction {
    top: u32,
    bottom: u32,
}

impl Fraction {
    fn value(&self) -> f64 {
        f64::from(self.top) / f64::from(self.bottom)
    }
}

fn proper(text: &str) -> Result<(Fraction, &str), ReadError> {
    let (top, rest) = span(text, |c| c.is_ascii_digit());
    let rest = rest.trim_start().strip_prefix('/').unwrap_or(rest).trim_start();
    let (bottom, rest) = span(rest, |c| c.is_ascii_digit());
    let number = |digits: &str| -> Result<u32, ReadError> {
        if digits.len() > 4 {
            return Err(ReadError::unreadable(
                "the figures of its fraction have more than four digits",
            ));
        }
        digits
            .parse()
            .map_err(|_| ReadError::unreadable("its fraction is not readable (write 3/8)"))
    };
    let fraction = Fraction {
        top: number(top)?,
        bottom: number(bottom)?,
    };
    if fraction.bottom == 0 {
        return Err(ReadError::unreadable("its fraction has 0 below the line"));
    }
    Ok((fraction, rest))
}

/// The longest head whose letters all pass, and the rest.
pub(crate) fn span(text: &str, pass: impl Fn(char) -> bool) -> (&str, &str) {
    let end = text.find(|c| !pass(c)).unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, ""))
}
