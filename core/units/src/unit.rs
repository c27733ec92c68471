//! One unit, and how it is found from what was typed.

use crate::dimension::Dimension;
use crate::table::UNITS;

/// What a pressure unit says about its zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reference {
    /// Above the air around (`psig`).
    Gauge,
    /// Above a vacuum (`psia`).
    Absolute,
}

/// A unit: base = (value - `zero`) x `times` / `over`.
///
/// The factor is kept as a fraction of exactly written numbers, so that a value typed in inches and
/// the same value typed in millimetres round to the same figure.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// How the unit is written in JSON and by [`crate::show`]: `in`, `degF`, `Btu/h`.
    pub code: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    pub(crate) times: f64,
    pub(crate) over: f64,
    pub(crate) zero: f64,
    /// Other spellings, already in the form that [`fold`] gives.
    pub(crate) spellings: &'static [&'static str],
    /// What the unit says about its zero, for pressures.
    pub reference: Option<Reference>,
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.code == other.code && self.dimension == other.dimension
    }
}

impl Eq for Unit {}

impl Unit {
    /// The unit of a dimension by its code or any spelling of it.
    ///
    /// Spaces, letter case, dots, multiplication signs, brackets and raised figures do not matter.
    #[must_use]
    pub fn find(dimension: Dimension, typed: &str) -> Option<&'static Self> {
        let folded = fold(typed);
        UNITS
            .iter()
            .find(|unit| unit.dimension == dimension && unit.is_spelled(&folded))
    }

    /// A unit of any dimension with that spelling, to tell a wrong kind from an unknown word.
    pub(crate) fn find_any(typed: &str) -> Option<&'static Self> {
        let folded = fold(typed);
        UNITS.iter().find(|unit| unit.is_spelled(&folded))
    }

    /// All units of a dimension.
    pub fn all(dimension: Dimension) -> impl Iterator<Item = &'static Self> {
        UNITS.iter().filter(move |unit| unit.dimension == dimension)
    }

    /// A value in this unit, in the base unit.
    #[must_use]
    pub fn to_base(&self, value: f64) -> f64 {
        // A zero keeps no sign: facts refuse a negative zero.
        (value - self.zero) * self.times / self.over + 0.0
    }

    /// A value in the base unit, in this unit.
    #[must_use]
    pub fn from_base(&self, base: f64) -> f64 {
        base * self.over / self.times + self.zero
    }

    /// What one step of this unit is in the base unit.
    #[must_use]
    pub fn size(&self) -> f64 {
        self.times / self.over
    }

    /// How the unit is written for a person: `°F`, `in w.c.`, `ft²`. It reads back as the same unit.
    #[must_use]
    pub fn label(&self) -> String {
        match self.code {
            "degC" => "°C".to_owned(),
            "degF" => "°F".to_owned(),
            "degF_diff" => "°F difference".to_owned(),
            "in wc" => "in w.c.".to_owned(),
            "mm wc" => "mm w.c.".to_owned(),
            "h·ft2·F/Btu" => "h·ft²·°F/Btu".to_owned(),
            code => code.replace('2', "²").replace('3', "³").replace("·F", "·°F"),
        }
    }

    /// Whether the unit is an inch-pound one; the others are metric or common to both.
    #[must_use]
    pub fn is_customary(&self) -> bool {
        [
            "in", "ft", "yd", "lb", "oz", "ton", "gal", "psi", "mph", "MBH", "cf", "therm", "degF",
        ]
        .iter()
        .any(|head| self.code.starts_with(head))
            || self.code.contains("Btu")
    }

    fn is_spelled(&self, folded: &str) -> bool {
        self.spellings.contains(&folded)
    }
}

/// Takes from a unit's text what does not matter to its meaning.
pub(crate) fn fold(typed: &str) -> String {
    let mut folded = String::with_capacity(typed.len());
    for letter in typed.chars().flat_map(char::to_lowercase) {
        match letter {
            '²' => folded.push('2'),
            '³' => folded.push('3'),
            ' ' | '.' | '·' | '⋅' | '•' | '×' | '*' | '(' | ')' | '[' | ']' | '^' | '°' | '-' => {}
            other if other.is_whitespace() => {}
            other => folded.push(other),
        }
    }
    folded
}
