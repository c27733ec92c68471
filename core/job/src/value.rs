use minicbor::{Decode, Encode};

use crate::canonical::Number;
use crate::id::PersonId;

/// A moment as a device's clock told it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Encode, Decode, serde::Serialize)]
pub struct Moment {
    /// Milliseconds since 1970-01-01T00:00:00Z.
    #[n(0)]
    pub utc_ms: i64,
    /// Minutes east of UTC that the clock showed.
    #[n(1)]
    pub offset_min: i16,
}

/// A place on the earth.
#[derive(Debug, Clone, Copy, PartialEq, Encode, Decode)]
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
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub enum Value {
    /// A measured or typed quantity.
    #[n(0)]
    Quantity {
        /// The dimension's code: `length`, `pressure`, `temperature` ...
        #[n(0)]
        dimension: String,
        /// The figure in the dimension's base unit.
        #[n(1)]
        si: Number,
    },
    /// One of the choices that the guide names.
    #[n(1)]
    Choice(#[n(0)] String),
    /// Yes or no.
    #[n(2)]
    YesNo(#[n(0)] bool),
    /// How many.
    #[n(3)]
    Count(#[n(0)] u64),
    /// Words, a number on a plate, a name.
    #[n(4)]
    Text(#[n(0)] String),
    /// A calendar date at the site, `YYYY-MM-DD`.
    #[n(5)]
    Date(#[n(0)] String),
    /// A span of time with the taps within it.
    #[n(6)]
    Span {
        /// When it began.
        #[n(0)]
        start: Moment,
        /// When it ended.
        #[n(1)]
        end: Moment,
        /// Taps, in milliseconds after the start.
        #[n(2)]
        taps: Vec<u32>,
    },
    /// Money.
    #[n(7)]
    Money {
        /// Decimal digits with a point: `1250.00`.
        #[n(0)]
        amount: String,
        /// ISO 4217.
        #[n(1)]
        currency: String,
    },
    /// A place on the earth.
    #[n(8)]
    Place(#[n(0)] Position),
    /// A person.
    #[n(9)]
    Person(#[n(0)] PersonId),
    /// Several values.
    #[n(10)]
    List(#[n(0)] Vec<Value>),
}

/// How an answer came about.
#[derive(Debug, Clone, Default, PartialEq, Encode, Decode)]
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
