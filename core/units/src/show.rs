//! From a quantity to the text a person reads.

use crate::dimension::Dimension;
use crate::read::Reading;
use crate::round::nine_digits;
use crate::unit::Unit;

/// Which family of units a person reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum System {
    /// Inches, pounds, °F, Btu/h, inches of water.
    Customary,
    /// Millimetres, kilograms, °C, kilowatts, kilopascals.
    Metric,
}

impl System {
    /// The other family.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Customary => Self::Metric,
            Self::Metric => Self::Customary,
        }
    }
}

/// The sign between whole and decimal figures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalSign {
    /// As in English.
    #[default]
    Point,
    /// As in Spanish and French. Digit groups then stand without a sign between them.
    Comma,
}

/// How the figure itself is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A decimal figure with so many places.
    Decimal {
        /// Figures behind the decimal sign.
        places: u8,
    },
    /// Whole units and a fraction, to one part in `parts` (8 or 16 on a tape).
    Fraction {
        /// Parts of a unit: 2, 4, 8, 16, 32 or 64.
        parts: u8,
    },
    /// Feet, inches and a fraction of an inch: `7 ft 4 1/2 in`. For lengths; the unit is inches.
    FeetInches {
        /// Parts of an inch.
        parts: u8,
    },
}

/// A unit, the form of the figure, and the decimal sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// The unit to write in.
    pub unit: &'static Unit,
    /// How the figure is written.
    pub form: Form,
    /// The decimal sign.
    pub sign: DecimalSign,
}

/// Beyond this many units a figure is written with a power of ten.
const LARGEST_PLAIN: f64 = 1e12;
/// From here on inch-pound figures carry commas between groups of three digits.
const GROUPED_FROM: f64 = 1_000.0;

impl Style {
    /// A decimal figure in a unit.
    #[must_use]
    pub fn decimal(unit: &'static Unit, places: u8) -> Self {
        Self {
            unit,
            form: Form::Decimal { places },
            sign: DecimalSign::Point,
        }
    }

    /// How a quantity is usually written on screens and paper, for its kind and size.
    ///
    /// `si` only decides between millimetres and metres, inches and feet.
    #[must_use]
    pub fn usual(dimension: Dimension, system: System, si: f64) -> Option<Self> {
        use Dimension::{
            AbsolutePressure, Area, Conductance, Conductivity, Density, Energy, HeatTransfer, HeatingValue,
            Length, LinearConductance, Mass, MassFlow, MassPerEnergy, Power, Pressure, Speed, Temperature,
            TemperatureDifference, ThermalResistance, Time, Volume, VolumeFlow,
        };
        let far = si.abs() >= 10.0;
        let ((customary, fine), (metric, places)) = match dimension {
            Length if far => (("ft", 0), ("m", if si.abs() >= 100.0 { 0 } else { 2 })),
            Length => (("in", 0), ("mm", 0)),
            Area => (("ft2", 1), ("m2", 2)),
            Volume => (("ft3", 2), ("m3", 3)),
            Mass => (("lb", 0), ("kg", 1)),
            Time => (("s", 0), ("s", 0)),
            Speed => (("mph", 0), ("m/s", 1)),
            Pressure => (("in wc", 2), ("kPa", 3)),
            AbsolutePressure => (("inHg", 2), ("kPa", 2)),
            Power => (("Btu/h", 0), ("kW", 2)),
            Energy => (("MMBtu", 2), ("kWh", 0)),
            VolumeFlow => (("cfh", 1), ("m3/h", 2)),
            MassFlow => (("lb/h", 1), ("kg/h", 1)),
            HeatingValue => (("Btu/ft3", 0), ("MJ/m3", 2)),
            Temperature => (("degF", 0), ("degC", 1)),
            TemperatureDifference => (("degF_diff", 0), ("K", 1)),
            Conductivity => (("Btu·in/h·ft2·F", 2), ("W/mK", 3)),
            HeatTransfer => (("Btu/h·ft2·F", 3), ("W/m2K", 2)),
            ThermalResistance => (("h·ft2·F/Btu", 1), ("m2K/W", 2)),
            LinearConductance => (("Btu/h·ft·F", 2), ("W/mK", 2)),
            Conductance => (("Btu/h·F", 1), ("W/K", 1)),
            Density => (("lb/ft3", 4), ("kg/m3", 3)),
            MassPerEnergy => (("lb/MMBtu", 2), ("kg/J", 9)),
        };
        let (code, places) = match system {
            System::Customary => (customary, fine),
            System::Metric => (metric, places),
        };
        let unit = Unit::find(dimension, code)?;
        let form = if code == "in" {
            Form::Fraction { parts: 16 }
        } else {
            Form::Decimal { places }
        };
        Some(Self {
            unit,
            form,
            sign: DecimalSign::Point,
        })
    }

    /// The same style with another decimal sign.
    #[must_use]
    pub fn with_sign(self, sign: DecimalSign) -> Self {
        Self { sign, ..self }
    }

    /// The smallest step this style can show, in the base unit of its dimension.
    #[must_use]
    pub fn step(&self) -> f64 {
        let parts = match self.form {
            Form::Decimal { places } => (0..places).fold(1.0, |parts, _| parts * 10.0),
            Form::Fraction { parts } | Form::FeetInches { parts } => f64::from(parts.max(1)),
        };
        self.unit.size() / parts
    }
}

/// Writes a quantity, given in the base unit of its dimension, with its unit.
///
/// What is written reads back (with a decimal point) to the same value within half a step of the style.
#[must_use]
pub fn show(si: f64, style: &Style) -> String {
    let value = style.unit.from_base(si);
    if !value.is_finite() {
        return "–".to_owned();
    }
    if value.abs() >= LARGEST_PLAIN {
        return with_unit(&signed(&format!("{value:.8e}"), style.sign), style.unit);
    }
    match style.form {
        Form::Decimal { places } => with_unit(&decimal(value, usize::from(places), style), style.unit),
        Form::Fraction { parts } => with_unit(&fraction(value, f64::from(parts.max(1))), style.unit),
        Form::FeetInches { parts } => feet_inches(value, f64::from(parts.max(1))),
    }
}

/// What was typed, tidied, with the other family of units beside it: "11 3/8 in · 289 mm".
#[must_use]
pub fn read_back(reading: &Reading, sign: DecimalSign) -> String {
    let typed = with_unit(&as_typed(reading, sign), reading.unit);
    let system = if reading.unit.is_customary() {
        System::Customary
    } else {
        System::Metric
    };
    match Style::usual(reading.dimension(), system.other(), reading.si) {
        Some(other) if other.unit != reading.unit => {
            format!("{typed} · {}", show(reading.si, &other.with_sign(sign)))
        }
        _ => typed,
    }
}

/// The typed figure itself: a fraction where it is one on a tape, else its nine digits.
fn as_typed(reading: &Reading, sign: DecimalSign) -> String {
    let on_a_tape = reading.value * 64.0;
    if reading.unit.code == "in"
        && on_a_tape.abs() < LARGEST_PLAIN
        && (on_a_tape - on_a_tape.round()).abs() < 1e-9
    {
        return fraction(reading.value, 64.0);
    }
    let value = nine_digits(reading.value);
    let figure = if value.abs() >= LARGEST_PLAIN {
        format!("{value:e}")
    } else {
        format!("{value}")
    };
    if reading.unit.is_customary() && sign == DecimalSign::Point {
        grouped(&figure)
    } else {
        signed(&figure, sign)
    }
}

fn with_unit(figure: &str, unit: &Unit) -> String {
    if unit.code == "h·ft2·F/Btu" && !figure.starts_with('-') {
        return format!("R-{figure}");
    }
    format!("{figure} {}", unit.label())
}

fn decimal(value: f64, places: usize, style: &Style) -> String {
    let figure = without_negative_zero(format!("{value:.places$}"));
    if style.unit.is_customary() && style.sign == DecimalSign::Point {
        grouped(&figure)
    } else {
        signed(&figure, style.sign)
    }
}

fn signed(figure: &str, sign: DecimalSign) -> String {
    match sign {
        DecimalSign::Point => figure.to_owned(),
        DecimalSign::Comma => figure.replace('.', ","),
    }
}

fn without_negative_zero(figure: String) -> String {
    match figure.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => figure,
    }
}

fn grouped(figure: &str) -> String {
    let (minus, figure) = figure.strip_prefix('-').map_or(("", figure), |rest| ("-", rest));
    let (whole, rest) = figure
        .split_once('.')
        .map_or((figure, None), |(whole, rest)| (whole, Some(rest)));
    let large = whole.parse::<f64>().is_ok_and(|value| value >= GROUPED_FROM);
    let mut text = String::from(minus);
    for (place, digit) in whole.chars().enumerate() {
        if large && place > 0 && (whole.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    if let Some(rest) = rest {
        text.push('.');
        text.push_str(rest);
    }
    text
}

fn fraction(value: f64, parts: f64) -> String {
    let (minus, whole, part) = split(value, parts);
    match (whole >= 1.0, part.as_str()) {
        (_, "") => format!("{minus}{whole:.0}"),
        (true, part) => format!("{minus}{whole:.0} {part}"),
        (false, part) => format!("{minus}{part}"),
    }
}

fn feet_inches(inches: f64, parts: f64) -> String {
    let (minus, whole, part) = split(inches, parts);
    let feet = (whole / 12.0).floor();
    let rest = fraction(whole - feet * 12.0, 1.0);
    match (feet >= 1.0, rest.as_str(), part.as_str()) {
        (false, rest, "") => format!("{minus}{rest} in"),
        (false, "0", part) => format!("{minus}{part} in"),
        (false, rest, part) => format!("{minus}{rest} {part} in"),
        (true, "0", "") => format!("{minus}{feet:.0} ft"),
        (true, rest, "") => format!("{minus}{feet:.0} ft {rest} in"),
        (true, "0", part) => format!("{minus}{feet:.0} ft {part} in"),
        (true, rest, part) => format!("{minus}{feet:.0} ft {rest} {part} in"),
    }
}

/// Sign, whole units, and the reduced fraction as text (empty when there is none).
fn split(value: f64, parts: f64) -> (&'static str, f64, String) {
    let total = (value.abs() * parts).round();
    let whole = (total / parts).floor();
    let (mut top, mut bottom) = (total - whole * parts, parts);
    while top >= 1.0 && is_even(top) && is_even(bottom) {
        top /= 2.0;
        bottom /= 2.0;
    }
    let minus = if value < 0.0 && total >= 1.0 { "-" } else { "" };
    let part = if top >= 1.0 {
        format!("{top:.0}/{bottom:.0}")
    } else {
        String::new()
    };
    (minus, whole, part)
}

fn is_even(whole: f64) -> bool {
    (whole / 2.0 - (whole / 2.0).floor()).abs() < 0.25
}
