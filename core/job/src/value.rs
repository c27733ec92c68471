use minicbor::{Decode, Encode};
use serde::ser::SerializeStruct;

use crate::calendar::local_text;
use crate::canonical::Number;
use crate::id::PersonId;
use crate::limits::{END_OF_TIME_MS, MAX_LINE_BYTES, MAX_MANY, MAX_OFFSET_MIN, MAX_TEXT_BYTES, MAX_WHOLE};
use crate::rules::{
    Broken, Kept, Rules, amount, code, currency, date, holds, language, list, name_if, words, words_if,
};

/// A moment as a device's clock told it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
pub struct Moment {
    /// Milliseconds since 1970-01-01T00:00:00Z, from 0, before [`END_OF_TIME_MS`].
    #[n(0)]
    pub utc_ms: i64,
    /// Minutes east of UTC that the clock showed, at most 18 hours either way.
    #[n(1)]
    pub offset_min: i16,
}

/// A place on the earth.
#[derive(Debug, Clone, Copy, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Position {
    /// Degrees north, -90 to 90.
    #[n(0)]
    pub latitude: Number,
    /// Degrees east, -180 to 180.
    #[n(1)]
    pub longitude: Number,
    /// The stated error in metres, where there is one.
    #[n(2)]
    pub error_m: Option<Number>,
}

/// What was answered. Quantities are in base units (temperatures in degrees Celsius).
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A measured or typed quantity.
    Quantity {
        /// The dimension's code: `length`, `pressure`, `temperature` ...
        dimension: String,
        /// The figure in the dimension's base unit.
        si: Number,
    },
    /// One of the choices that the guide names, by its code.
    Choice(String),
    /// Yes or no.
    YesNo(bool),
    /// How many.
    Count(u64),
    /// Words, a number on a plate, a name.
    Text(String),
    /// A calendar date at the site, `YYYY-MM-DD`.
    Date(String),
    /// A span of time with the taps within it.
    Span {
        /// When it began.
        start: Moment,
        /// When it ended.
        end: Moment,
        /// Taps, in milliseconds after the start.
        taps: Vec<u32>,
    },
    /// Money.
    Money {
        /// Decimal digits with a point: `1250.00`.
        amount: String,
        /// ISO 4217.
        currency: String,
    },
    /// A place on the earth.
    Place(Position),
    /// A person.
    Person(PersonId),
    /// Several values, none of them a list.
    List(Vec<Value>),
    /// A sort of value that a newer program knows: kept and carried as it is.
    Unknown(UnknownValue),
}

/// The canonical bytes of a value of a sort that is not known here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownValue {
    pub(crate) bytes: Vec<u8>,
}

impl UnknownValue {
    /// The bytes, as the newer program wrote them.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

/// How an answer came about.
#[derive(Debug, Clone, Default, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Measured {
    /// What was typed, letter for letter.
    #[n(0)]
    pub typed: Option<String>,
    /// The unit that was understood.
    #[n(1)]
    pub unit: Option<String>,
    /// The language whose number style was in force, as BCP 47.
    #[n(2)]
    pub locale: Option<String>,
    /// Who held the tape, when not the one who typed.
    #[n(3)]
    pub by: Option<PersonId>,
    /// When it was measured, when not at entry.
    #[n(4)]
    pub at: Option<Moment>,
    /// With what.
    #[n(5)]
    pub instrument: Option<String>,
}

impl Position {
    /// A place by degrees; `None` when they are not on the earth.
    #[must_use]
    pub fn new(latitude: f64, longitude: f64, error_m: Option<f64>) -> Option<Self> {
        let position = Self {
            latitude: Number(latitude),
            longitude: Number(longitude),
            error_m: error_m.map(Number),
        };
        position.keeps().is_ok().then_some(position)
    }
}

impl Rules for Moment {
    fn keeps(&self) -> Kept {
        let fits = (0..END_OF_TIME_MS).contains(&self.utc_ms);
        holds("utc_ms", fits, "is not between the years 1970 and 9998")?;
        let fits = (-MAX_OFFSET_MIN..=MAX_OFFSET_MIN).contains(&self.offset_min);
        holds("offset_min", fits, "is more than 18 hours")
    }
}

impl Rules for Position {
    fn keeps(&self) -> Kept {
        let within = |n: Number, most: f64| (-most..=most).contains(&n.0);
        holds("latitude", within(self.latitude, 90.0), "is not on the earth")?;
        holds("longitude", within(self.longitude, 180.0), "is not on the earth")?;
        let fits = self.error_m.is_none_or(|n| n.0.is_finite() && n.0 >= 0.0);
        holds("error_m", fits, "is no distance")
    }
}

impl Rules for Measured {
    fn keeps(&self) -> Kept {
        words_if("typed", self.typed.as_ref(), MAX_LINE_BYTES)?;
        name_if("unit", self.unit.as_ref())?;
        self.locale
            .as_ref()
            .map_or(Ok(()), |tag| language("locale", tag))?;
        self.at.keeps()?;
        name_if("instrument", self.instrument.as_ref())
    }
}

impl Rules for Value {
    fn keeps(&self) -> Kept {
        match self {
            Self::Quantity { dimension, si } => {
                code("dimension", dimension)?;
                holds("si", si.0.is_finite(), "is not finite")
            }
            Self::Choice(choice) => code("choice", choice),
            Self::Count(count) => holds("count", *count <= MAX_WHOLE, "is above 2^53 - 1"),
            Self::Text(text) => words("text", text, MAX_TEXT_BYTES),
            Self::Date(text) => date("date", text),
            Self::Span { start, end, taps } => span(*start, *end, taps),
            Self::Money {
                amount: digits,
                currency: letters,
            } => {
                amount("amount", digits)?;
                currency("currency", letters)
            }
            Self::Place(position) => position.keeps(),
            Self::List(values) => {
                list("list", values, MAX_MANY)?;
                let flat = !values.iter().any(|value| matches!(value, Self::List(_)));
                holds("list", flat, "holds a list")?;
                values.keeps()
            }
            Self::YesNo(_) | Self::Person(_) | Self::Unknown(_) => Ok(()),
        }
    }
}

fn span(start: Moment, end: Moment, taps: &[u32]) -> Kept {
    start.keeps()?;
    end.keeps()?;
    list("taps", taps, MAX_MANY)?;
    let length = end.utc_ms - start.utc_ms;
    holds("end", length >= 0, "is before the start")?;
    holds("taps", taps.is_sorted(), "are not in their order")?;
    let within = taps.last().is_none_or(|last| i64::from(*last) <= length);
    if within {
        Ok(())
    } else {
        Err(Broken {
            member: "taps",
            why: "go on after the end",
        })
    }
}

impl serde::Serialize for Moment {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        let mut map = s.serialize_struct("Moment", 3)?;
        map.serialize_field("local", &local_text(*self))?;
        map.serialize_field("offset_min", &self.offset_min)?;
        map.serialize_field("utc_ms", &self.utc_ms)?;
        map.end()
    }
}
