//! From typed text to a quantity.

use uom::si::f64::{
    Area, Energy, HeatTransfer, Length, Mass, Power, Pressure, TemperatureInterval, ThermalConductance,
    ThermalConductivity, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};

use crate::dimension::Dimension;
use crate::number::{Headed, head, span};
use crate::quantity::{AbsolutePressure, HeatingValue, LinearConductance, Quantity, ThermalInsulance};
use crate::unit::{Unit, fold};

/// The longest text that is looked at, in bytes. The longest sensible entry has about 30.
pub const LONGEST_TEXT: usize = 120;

/// Why an entry is not taken, with what to write instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReadError {
    /// A number without its unit.
    #[error("No unit is given. Write {0} with its unit, such as {example}.", example = .0.example())]
    UnitMissing(Dimension),
    /// A unit that belongs to another kind of quantity.
    #[error(
        "{unit} measures {found}, and {wanted} is wanted here. Write it like {example}.",
        example = .wanted.example()
    )]
    UnitWrongKind {
        /// The unit that was typed.
        unit: String,
        /// What it measures.
        found: Dimension,
        /// What is wanted.
        wanted: Dimension,
    },
    /// Something that is no unit known here.
    #[error("“{unit}” is not a unit known here. Write {wanted} like {example}; units: {known}.",
        example = .wanted.example(), known = known_units(.wanted))]
    UnitUnknown {
        /// What was typed, cut to a readable length.
        unit: String,
        /// What is wanted.
        wanted: Dimension,
    },
    /// No number that can be read.
    #[error(
        "The number is not readable: {reason}. Write a number and its unit, such as 11 3/8 in or 12 degF."
    )]
    NumberUnreadable {
        /// What stands in the way, in a few words.
        reason: &'static str,
    },
    /// Infinite, not a number, or too large to hold.
    #[error("The number is too large to hold, or is none. Write the figure that was measured.")]
    NotFinite,
}

impl ReadError {
    /// The stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::UnitMissing(_) => "unit_missing",
            Self::UnitWrongKind { .. } => "unit_wrong_kind",
            Self::UnitUnknown { .. } => "unit_unknown",
            Self::NumberUnreadable { .. } => "number_unreadable",
            Self::NotFinite => "not_finite",
        }
    }

    pub(crate) fn unreadable(reason: &'static str) -> Self {
        Self::NumberUnreadable { reason }
    }
}

/// A quantity as it was typed, and its value in the base unit of its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The value in the base unit: metres, pascals, degrees Celsius, ...
    pub si: f64,
    /// The value in the unit that was typed (feet and inches together: in inches).
    pub value: f64,
    /// The unit that was typed (feet and inches together: inches).
    pub unit: &'static Unit,
}

impl Reading {
    /// A reading of a number in a unit.
    ///
    /// # Errors
    /// [`ReadError::NotFinite`] when the number is none, or too large in the base unit.
    pub fn new(value: f64, unit: &'static Unit) -> Result<Self, ReadError> {
        let si = unit.to_base(value);
        if !value.is_finite() || !si.is_finite() {
            return Err(ReadError::NotFinite);
        }
        Ok(Self {
            si,
            value: value + 0.0,
            unit,
        })
    }

    /// What was read.
    #[must_use]
    pub fn dimension(&self) -> Dimension {
        self.unit.dimension
    }

    /// The typed quantity, when it is of that kind.
    #[must_use]
    pub fn quantity<Q: Quantity>(&self) -> Option<Q> {
        (self.dimension() == Q::DIMENSION).then(|| Q::from_base(self.si))
    }
}

macro_rules! accessors {
    ($($(#[$doc:meta])* $name:ident -> $type:ty),* $(,)?) => {
        impl Reading {$(
            $(#[$doc])*
            #[must_use]
            pub fn $name(&self) -> Option<$type> {
                self.quantity()
            }
        )*}
    };
}

accessors! {
    /// The length, when it is one.
    length -> Length,
    /// The area, when it is one.
    area -> Area,
    /// The volume, when it is one.
    volume -> Volume,
    /// The mass, when it is one.
    mass -> Mass,
    /// The time, when it is one.
    time -> Time,
    /// The speed, when it is one.
    speed -> Velocity,
    /// The gauge pressure or difference of pressures, when it is one.
    pressure -> Pressure,
    /// The absolute pressure, when it is one.
    absolute_pressure -> AbsolutePressure,
    /// The power, when it is one.
    power -> Power,
    /// The energy, when it is one.
    energy -> Energy,
    /// The flow by volume, when it is one.
    volume_flow -> VolumeRate,
    /// The heating value, when it is one.
    heating_value -> HeatingValue,
    /// The temperature, when it is one.
    temperature -> ThermodynamicTemperature,
    /// The difference of temperatures, when it is one.
    temperature_difference -> TemperatureInterval,
    /// The conductivity, when it is one.
    conductivity -> ThermalConductivity,
    /// The U-value, when it is one.
    heat_transfer -> HeatTransfer,
    /// The R-value, when it is one.
    thermal_resistance -> ThermalInsulance,
    /// The heat loss along an edge, when it is one.
    linear_conductance -> LinearConductance,
    /// The heat loss per degree, when it is one.
    conductance -> ThermalConductance,
}

/// Reads a quantity as a tradesperson types it: `11 3/8 in`, `7' 4 1/2"`, `7" w.c.`, `R-13`, `12 °F`.
///
/// Spaces, letter case of unit words, and typographic primes and fractions do not matter. Feet with
/// inches are the only two units that may stand together.
///
/// # Errors
/// A [`ReadError`] with a stable code and what to write instead; never a panic, whatever the text.
pub fn read(dimension: Dimension, text: &str) -> Result<Reading, ReadError> {
    if text.len() > LONGEST_TEXT {
        return Err(ReadError::unreadable("the text is longer than any measurement"));
    }
    let plain = plain(text);
    if let Some(resistance) = r_value(&plain) {
        return unit_reading(dimension, resistance?, "R");
    }
    let number = head(&plain)?;
    if number.rest.is_empty() {
        return Err(ReadError::UnitMissing(dimension));
    }
    if let Some(inches) = feet_and_inches(dimension, &plain, &number)? {
        return unit_reading(dimension, inches, "in");
    }
    unit_reading(dimension, number.value, number.rest)
}

/// Reads a number that comes with its unit beside it.
///
/// # Errors
/// As [`read`].
pub fn read_entry(dimension: Dimension, value: f64, unit: &str) -> Result<Reading, ReadError> {
    if unit.len() > LONGEST_TEXT {
        return Err(ReadError::UnitUnknown {
            unit: cut(unit),
            wanted: dimension,
        });
    }
    let plain = plain(unit);
    if plain.is_empty() {
        return Err(ReadError::UnitMissing(dimension));
    }
    unit_reading(dimension, value, &plain)
}

fn unit_reading(dimension: Dimension, value: f64, unit: &str) -> Result<Reading, ReadError> {
    if let Some(unit) = Unit::find(dimension, unit) {
        return Reading::new(value, unit);
    }
    if let Some(other) = Unit::find_any(unit) {
        return Err(ReadError::UnitWrongKind {
            unit: other.code.to_owned(),
            found: other.dimension,
            wanted: dimension,
        });
    }
    if holds_second_number(unit) {
        return Err(ReadError::unreadable(
            "only feet and inches may stand together; write one unit",
        ));
    }
    Err(ReadError::UnitUnknown {
        unit: cut(unit),
        wanted: dimension,
    })
}

/// Brings every way of writing the same sign to one: plain spaces, primes, hyphens and fractions.
pub(crate) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        if let Some(fraction) = vulgar(letter) {
            plain.push(' ');
            plain.push_str(fraction);
            continue;
        }
        plain.push(match letter {
            '′' | '’' | '‘' | 'ʹ' | '´' | '`' | '‵' => '\'',
            '″' | '”' | '“' | 'ʺ' | '‶' | '〃' => '"',
            '−' | '–' | '‐' | '‑' | '﹣' | '－' => '-',
            '⁄' | '∕' => '/',
            '℃' => 'C',
            '℉' => 'F',
            space if space.is_whitespace() => ' ',
            other => other,
        });
    }
    plain.trim().replace("''", "\"")
}

fn vulgar(letter: char) -> Option<&'static str> {
    const VULGAR: &[(char, &str)] = &[
        ('½', "1/2"),
        ('¼', "1/4"),
        ('¾', "3/4"),
        ('⅛', "1/8"),
        ('⅜', "3/8"),
        ('⅝', "5/8"),
        ('⅞', "7/8"),
        ('⅓', "1/3"),
        ('⅔', "2/3"),
        ('⅕', "1/5"),
        ('⅖', "2/5"),
        ('⅗', "3/5"),
        ('⅘', "4/5"),
        ('⅙', "1/6"),
        ('⅚', "5/6"),
        ('⅒', "1/10"),
    ];
    VULGAR
        .iter()
        .find(|(sign, _)| *sign == letter)
        .map(|(_, written)| *written)
}

/// `R-13`: the unit stands before the number, and its hyphen is no minus.
fn r_value(text: &str) -> Option<Result<f64, ReadError>> {
    let rest = text.strip_prefix(['R', 'r'])?.trim_start();
    let rest = rest.strip_prefix('-').map_or(rest, str::trim_start);
    if !rest.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return None;
    }
    Some(head(rest).and_then(|number| {
        if number.rest.is_empty() {
            Ok(number.value)
        } else {
            Err(ReadError::unreadable(
                "an R-value is written R-13, with nothing behind it",
            ))
        }
    }))
}

/// Feet with inches in one text, in inches; none when the text is something else.
fn feet_and_inches(dimension: Dimension, text: &str, feet: &Headed<'_>) -> Result<Option<f64>, ReadError> {
    let Some(behind) = behind_feet(feet.rest) else {
        return Ok(None);
    };
    let Ok(number) = head(behind) else { return Ok(None) };
    if number.rest.is_empty() {
        // "12 ft 2" lacks a unit; "12 ft2" is an area.
        return if dimension == Dimension::Length && feet.rest.contains([' ', '\'']) {
            Err(ReadError::unreadable(
                "the inches behind the feet lack their sign; write 7 ft 4 in",
            ))
        } else {
            Ok(None)
        };
    }
    if Unit::find(Dimension::Length, number.rest).is_none_or(|unit| unit.code != "in") {
        return Ok(None);
    }
    if !feet.whole || number.value < 0.0 || number.value >= 12.0 {
        return Err(ReadError::unreadable(
            "feet with inches are whole feet and less than 12 inches",
        ));
    }
    let inches = feet.value.abs() * 12.0 + number.value;
    Ok(Some(if text.starts_with('-') { -inches } else { inches }))
}

fn behind_feet(rest: &str) -> Option<&str> {
    let behind = if let Some(behind) = rest.strip_prefix('\'') {
        behind
    } else {
        let (word, behind) = span(rest, char::is_alphabetic);
        if !["ft", "foot", "feet"].contains(&fold(word).as_str()) {
            return None;
        }
        behind.strip_prefix('.').unwrap_or(behind)
    };
    let behind = behind.trim_start();
    let behind = behind.strip_prefix([',', '-']).map_or(behind, str::trim_start);
    behind
        .starts_with(|c: char| c.is_ascii_digit() || c == '.')
        .then_some(behind)
}

fn holds_second_number(unit: &str) -> bool {
    unit.split(' ')
        .skip(1)
        .any(|word| word.starts_with(|c: char| c.is_ascii_digit()))
}

fn cut(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(24).collect()
}

fn known_units(dimension: &Dimension) -> String {
    Unit::all(*dimension)
        .map(|unit| unit.code)
        .collect::<Vec<_>>()
        .join(", ")
}
