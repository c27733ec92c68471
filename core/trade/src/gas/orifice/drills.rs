//! The number drills, 80 (smallest) to 1 (largest).

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::length::meter;

use crate::customary::INCH;
use crate::quantities::Length;

/// A number drill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drill {
    /// 1 to 80; a higher number is a smaller drill.
    pub number: u8,
    /// Diameter of the hole it makes.
    pub diameter: Length,
}

/// All number drills from the smallest (80) to the largest (1).
///
/// Source: ANSI/ASME B94.11M, read from the data file beside the crate.
#[must_use]
pub fn all() -> &'static [Drill] {
    static DRILLS: LazyLock<Vec<Drill>> =
        LazyLock::new(|| read(include_str!("../../../data/number_drills.toml")).unwrap_or_default());
    &DRILLS
}

/// The drill of that number, none outside 1 to 80.
#[must_use]
pub fn by_number(number: u8) -> Option<Drill> {
    all().iter().copied().find(|drill| drill.number == number)
}

/// The largest number drill whose diameter is at most `diameter`, within a relative 1e-9.
#[must_use]
pub fn largest_not_above(diameter: Length) -> Option<Drill> {
    all()
        .iter()
        .copied()
        .rfind(|drill| drill.diameter.value <= diameter.value * (1.0 + 1e-9))
}

/// The smallest number drill whose diameter is at least `diameter`, within a relative 1e-9.
#[must_use]
pub fn smallest_not_below(diameter: Length) -> Option<Drill> {
    all()
        .iter()
        .copied()
        .find(|drill| drill.diameter.value >= diameter.value * (1.0 - 1e-9))
}

/// The number drill nearest in diameter, the smaller on a tie (within 1e-9 of the diameter).
#[must_use]
pub fn nearest(diameter: Length) -> Option<Drill> {
    let off = |drill: Drill| (drill.diameter.value - diameter.value).abs();
    all().iter().copied().reduce(|best, drill| {
        if off(drill) < off(best) - 1e-9 * diameter.value {
            drill
        } else {
            best
        }
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    largest_number: u8,
    diameter_in: Vec<f64>,
}

/// Reads the drill file: one diameter per number downwards, each larger than the one before.
fn read(text: &str) -> Result<Vec<Drill>, String> {
    let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
    let mut drills = Vec::with_capacity(file.diameter_in.len());
    let numbers = (1..=file.largest_number).rev();
    if numbers.len() != file.diameter_in.len() {
        return Err(format!(
            "{} diameters stand for {} numbers",
            file.diameter_in.len(),
            numbers.len()
        ));
    }
    let mut last = 0.0;
    for (number, inches) in numbers.zip(file.diameter_in) {
        if inches <= last {
            return Err(format!("drill {number} is not larger than the one before"));
        }
        last = inches;
        drills.push(Drill {
            number,
            diameter: Length::new::<meter>(inches * INCH),
        });
    }
    Ok(drills)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_file_holds_eighty_rising_drills() {
        let drills = read(include_str!("../../../data/number_drills.toml")).unwrap();
        assert_eq!(drills.len(), 80);
        let inches = |number| by_number(number).unwrap().diameter.value / INCH;
        for (number, wanted) in [
            (80, 0.0135),
            (70, 0.028),
            (69, 0.029_25),
            (60, 0.040),
            (50, 0.070),
            (40, 0.098),
            (30, 0.1285),
            (20, 0.161),
            (10, 0.1935),
            (1, 0.228),
        ] {
            assert!((inches(number) - wanted).abs() < 1e-12, "drill {number}");
        }
    }

    #[test]
    fn a_file_out_of_order_or_too_short_is_refused() {
        assert!(read("largest_number = 2\ndiameter_in = [0.02, 0.01]").is_err());
        assert!(read("largest_number = 3\ndiameter_in = [0.01, 0.02]").is_err());
        assert!(read("largest_number = 1\ndiameter_in = [0.01]\nmore = 1").is_err());
    }

    #[test]
    fn neighbours_of_a_drill_s_own_size_are_the_drill_itself() {
        for drill in all() {
            assert_eq!(largest_not_above(drill.diameter), Some(*drill));
            assert_eq!(smallest_not_below(drill.diameter), Some(*drill));
            assert_eq!(nearest(drill.diameter), Some(*drill));
        }
        assert_eq!(largest_not_above(Length::new::<meter>(0.0003)), None);
        assert_eq!(smallest_not_below(Length::new::<meter>(0.0058)), None);
    }

    #[test]
    fn between_two_drills_the_smaller_is_taken() {
        let half = Length::new::<meter>((0.0135 + 0.0145) / 2.0 * INCH);
        assert_eq!(nearest(half).unwrap().number, 80);
    }
}
