use wythe_job::canonical::Number;
use wythe_job::{Measured, Moment, Position, Value};
use wythe_units::{DecimalSign, Dimension, Style, System, read, read_back, show};

use crate::ask::{Ask, AskKind};
use crate::calendar::read_date;
use crate::condition::measure;
use crate::words::Language;

/// What was understood of a typed entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The value.
    pub value: Value,
    /// What was typed and the unit understood.
    pub measured: Measured,
    /// The reading-back: "11 3/8 in · 289 mm".
    pub read_back: String,
    /// Why it is kept but marked.
    pub doubt: Option<Doubt>,
}

/// An entry outside the range in which it is usually found.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// The least that is usual.
    pub least: Option<String>,
    /// The most.
    pub most: Option<String>,
}

/// Why a typed entry is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EntryRefusal {
    /// A quantity that cannot be read.
    #[error("{0}")]
    Unit(#[from] wythe_units::ReadError),
    /// Outside what can be.
    #[error("{value} is outside {least} to {most}. Measure again, or write the unit.")]
    OutOfRange {
        /// What was typed.
        value: String,
        /// The least.
        least: String,
        /// The most.
        most: String,
    },
    /// Not one of the choices.
    #[error("\"{typed}\" is none of the choices: {choices}.")]
    UnknownChoice {
        /// What was typed.
        typed: String,
        /// The choices.
        choices: String,
    },
    /// Not what this ask takes.
    #[error("\"{typed}\" cannot be read here. Write it like {example}.")]
    Unreadable {
        /// What was typed.
        typed: String,
        /// An example.
        example: &'static str,
    },
    /// Nothing was typed.
    #[error("Nothing was entered.")]
    Empty,
    /// Too long.
    #[error("The text is longer than 2,000 characters. Shorten it, or add it as a paper.")]
    TooLong,
    /// Not answered by typing.
    #[error("This is not typed: add a {0}.")]
    NotTyped(&'static str),
}

impl EntryRefusal {
    /// The stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unit(wrong) => wrong.code(),
            Self::OutOfRange { .. } => "out_of_range",
            Self::UnknownChoice { .. } => "unknown_choice",
            Self::Unreadable { .. } => "unreadable",
            Self::Empty => "missing",
            Self::TooLong => "too_long",
            Self::NotTyped(_) => "not_typed",
        }
    }
}

const LONGEST_TEXT: usize = 2_000;

/// Reads what a person typed for an ask.
///
/// # Errors
/// An [`EntryRefusal`] that names the bound and the way out.
pub fn read_entry(ask: &Ask, typed: &str, locale: &str) -> Result<Entry, EntryRefusal> {
    let text = typed.trim();
    if text.is_empty() {
        return Err(EntryRefusal::Empty);
    }
    if text.chars().count() > LONGEST_TEXT {
        return Err(EntryRefusal::TooLong);
    }
    let measured = Measured {
        typed: Some(typed.to_owned()),
        locale: Some(locale.to_owned()),
        ..Measured::default()
    };
    if let AskKind::Quantity(dimension) = ask.kind {
        return read_quantity(ask, dimension, text, measured);
    }
    let value = read_plain(ask, text, locale)?;
    let figure = measure(&value);
    let shown = |bound: Option<f64>| bound.map(|bound| bound.to_string());
    if let Some(figure) = figure
        && ask.refused.misses(figure)
    {
        return Err(EntryRefusal::OutOfRange {
            value: text.to_owned(),
            least: shown(ask.refused.least).unwrap_or_default(),
            most: shown(ask.refused.most).unwrap_or_default(),
        });
    }
    let doubt = figure
        .filter(|figure| ask.doubtful.misses(*figure))
        .map(|_| Doubt {
            least: shown(ask.doubtful.least),
            most: shown(ask.doubtful.most),
        });
    Ok(Entry {
        read_back: show_value(&value, DecimalSign::Point),
        value,
        measured,
        doubt,
    })
}

fn read_quantity(
    ask: &Ask,
    dimension: Dimension,
    text: &str,
    mut measured: Measured,
) -> Result<Entry, EntryRefusal> {
    let reading = read(dimension, text)?;
    let system = if reading.unit.is_customary() {
        System::Customary
    } else {
        System::Metric
    };
    let shown = |bound: f64| {
        Style::usual(dimension, system, bound).map_or_else(|| bound.to_string(), |style| show(bound, &style))
    };
    let refused_below_zero = reading.si < 0.0 && ask.refused.least.is_none() && !may_be_negative(dimension);
    if ask.refused.misses(reading.si) || refused_below_zero {
        return Err(EntryRefusal::OutOfRange {
            value: text.to_owned(),
            least: shown(ask.refused.least.unwrap_or_default()),
            most: ask
                .refused
                .most
                .map_or_else(|| "any figure above".to_owned(), shown),
        });
    }
    measured.unit = Some(reading.unit.label());
    let doubt = ask.doubtful.misses(reading.si).then(|| Doubt {
        least: ask.doubtful.least.map(shown),
        most: ask.doubtful.most.map(shown),
    });
    Ok(Entry {
        value: Value::Quantity {
            dimension: dimension.code().to_owned(),
            si: Number(reading.si),
        },
        measured,
        read_back: read_back(&reading, DecimalSign::Point),
        doubt,
    })
}

fn may_be_negative(dimension: Dimension) -> bool {
    matches!(
        dimension,
        Dimension::Temperature | Dimension::TemperatureDifference | Dimension::Pressure
    )
}

fn read_plain(ask: &Ask, text: &str, locale: &str) -> Result<Value, EntryRefusal> {
    let unreadable = |example| EntryRefusal::Unreadable {
        typed: text.chars().take(60).collect(),
        example,
    };
    match &ask.kind {
        AskKind::Quantity(_) => Err(unreadable("11 3/8 in")),
        AskKind::Number(unit) => {
            let spoken = unit.replace('_', " ");
            let number = text
                .strip_suffix(unit.as_str())
                .or_else(|| text.strip_suffix(spoken.as_str()))
                .or_else(|| text.strip_suffix('%'))
                .unwrap_or(text)
                .trim();
            // A comma is a decimal sign only where the person's language has it so.
            let comma = Language::from_tag(locale).is_some_and(|tongue| tongue.sign() == DecimalSign::Comma);
            let plain = if comma {
                number.replace(',', ".")
            } else {
                number.to_owned()
            };
            let figure = plain
                .parse::<f64>()
                .ok()
                .filter(|figure| figure.is_finite() && *figure >= 0.0);
            let si = Number(figure.ok_or_else(|| unreadable("9 ppm"))?);
            Ok(Value::Quantity {
                dimension: unit.clone(),
                si,
            })
        }
        AskKind::Choice(choices) => {
            let wanted = text.to_lowercase().replace(' ', "_");
            if choices.contains(&wanted) {
                Ok(Value::Choice(wanted))
            } else {
                Err(EntryRefusal::UnknownChoice {
                    typed: text.chars().take(60).collect(),
                    choices: choices.join(", "),
                })
            }
        }
        AskKind::YesNo => match text.to_lowercase().as_str() {
            "yes" | "y" | "sí" | "si" | "oui" => Ok(Value::YesNo(true)),
            "no" | "n" | "non" => Ok(Value::YesNo(false)),
            _ => Err(unreadable("yes or no")),
        },
        AskKind::Count => text
            .replace(',', "")
            .parse()
            .map(Value::Count)
            .map_err(|_| unreadable("4, a whole number")),
        AskKind::Text => Ok(Value::Text(text.to_owned())),
        AskKind::Date => read_date(text)
            .map(|_| Value::Date(text.to_owned()))
            .ok_or_else(|| unreadable("2026-03-31")),
        AskKind::Span => read_span(text).ok_or_else(|| {
            unreadable("2026-03-31T10:00-07:00/2026-03-31T10:15-07:00 +30.5 +61, with taps in seconds")
        }),
        AskKind::Money => read_money(text).ok_or_else(|| unreadable("1,250.00 USD")),
        AskKind::Place => read_place(text)
            .map(Value::Place)
            .ok_or_else(|| unreadable("46.872, -113.994")),
        AskKind::Person => wythe_job::PersonId::from_hex(text)
            .map(Value::Person)
            .ok_or_else(|| unreadable("a person's number, 32 digits")),
        AskKind::List => {
            let items = text.split(';').map(str::trim).filter(|item| !item.is_empty());
            Ok(Value::List(
                items.map(|item| Value::Text(item.to_owned())).collect(),
            ))
        }
        AskKind::Photo => Err(EntryRefusal::NotTyped("photo")),
        AskKind::Paper => Err(EntryRefusal::NotTyped("paper")),
        AskKind::Signature(_) => Err(EntryRefusal::NotTyped("signature")),
    }
}

/// A place as `46.872, -113.994`: degrees north, degrees east.
#[must_use]
pub fn read_place(text: &str) -> Option<Position> {
    let (north, east) = text.split_once(',')?;
    Position::new(north.trim().parse().ok()?, east.trim().parse().ok()?, None)
}

fn read_money(text: &str) -> Option<Value> {
    let (amount, currency) = text.rsplit_once(' ')?;
    let amount = amount.trim().replace(',', "");
    let (whole, cents) = amount.split_once('.').unwrap_or((amount.as_str(), "00"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let is_code = currency.len() == 3 && currency.bytes().all(|byte| byte.is_ascii_uppercase());
    let fits = digits(whole) && digits(cents) && cents.len() == 2 && whole.len() <= 9 && is_code;
    fits.then(|| Value::Money {
        amount: format!("{whole}.{cents}"),
        currency: currency.to_owned(),
    })
}

fn read_span(text: &str) -> Option<Value> {
    let mut words = text.split_whitespace();
    let (start, end) = words.next()?.split_once('/')?;
    let (start, end) = (read_moment(start)?, read_moment(end)?);
    if end < start {
        return None;
    }
    let mut taps = Vec::new();
    for word in words {
        let seconds = word.strip_prefix('+')?;
        let (whole, part) = seconds.split_once('.').unwrap_or((seconds, "0"));
        let part = part.parse::<u32>().ok().filter(|_| part.len() == 1)?;
        taps.push(
            whole
                .parse::<u32>()
                .ok()?
                .checked_mul(1000)?
                .checked_add(part * 100)?,
        );
    }
    Some(Value::Span { start, end, taps })
}

/// A moment as `2026-03-31T10:00-07:00`, with or without seconds.
#[must_use]
pub fn read_moment(text: &str) -> Option<Moment> {
    let at = chrono::DateTime::parse_from_rfc3339(text)
        .or_else(|_| chrono::DateTime::parse_from_str(text, "%Y-%m-%dT%H:%M%:z"))
        .ok()?;
    let offset_min = i16::try_from(at.offset().local_minus_utc() / 60).ok()?;
    Some(Moment {
        utc_ms: at.timestamp_millis(),
        offset_min,
    })
}

/// An answer as a person reads it: a quantity in the unit it was typed in, with the other family of
/// units beside it.
#[must_use]
pub fn show_held(value: &Value, measured: &Measured, sign: DecimalSign) -> String {
    if let (Value::Quantity { dimension, si }, Some(typed)) = (value, &measured.typed)
        && let Some(dimension) = Dimension::from_code(dimension)
        && let Ok(reading) = read(dimension, typed.trim())
        && (reading.si - si.0).abs() <= 1e-9 * si.0.abs().max(1e-9)
    {
        return read_back(&reading, sign);
    }
    show_value(value, sign)
}

/// A value as a person reads it.
#[must_use]
pub fn show_value(value: &Value, sign: DecimalSign) -> String {
    match value {
        Value::Quantity { dimension, si } => show_quantity(dimension, si.0, sign),
        Value::Choice(text) => text.replace('_', " "),
        Value::Text(text) | Value::Date(text) => text.clone(),
        Value::YesNo(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::Count(count) => count.to_string(),
        Value::Span { start, end, taps } => {
            let seconds = end.utc_ms.saturating_sub(start.utc_ms) / 1000;
            let taps = if taps.is_empty() {
                String::new()
            } else {
                format!(" · {} taps", taps.len())
            };
            format!("{} min {} s{taps}", seconds / 60, seconds % 60)
        }
        Value::Money { amount, currency } => format!("{amount} {currency}"),
        Value::Place(place) => format!("{:.5}, {:.5}", place.latitude.0, place.longitude.0),
        Value::Person(person) => person.short(),
        Value::Unknown(_) => "…".to_owned(),
        Value::List(items) => items
            .iter()
            .map(|item| show_value(item, sign))
            .collect::<Vec<_>>()
            .join("; "),
    }
}

fn show_quantity(dimension: &str, si: f64, sign: DecimalSign) -> String {
    let Some(dimension) = Dimension::from_code(dimension) else {
        let number = match sign {
            DecimalSign::Point => si.to_string(),
            DecimalSign::Comma => si.to_string().replace('.', ","),
        };
        return format!("{number} {}", dimension.replace('_', " "));
    };
    let both: Vec<String> = [System::Customary, System::Metric]
        .into_iter()
        .filter_map(|system| Style::usual(dimension, system, si))
        .map(|style| show(si, &style.with_sign(sign)))
        .collect();
    both.join(" · ")
}
