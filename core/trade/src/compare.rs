//! Comparisons with limits. Typed inches and typed millimetres differ in the last bits, and a tape is never
//! read that finely: a limit is met a little before it.

use uom::si::f64::Length;

/// A length that nobody measures: one thousandth of a millimetre, in metres.
const UNMEASURABLE: f64 = 1e-6;
/// Relative slack of limits that are not lengths.
const RELATIVE: f64 = 1e-9;

/// Whether `a` is at least `b`, to a thousandth of a millimetre.
#[must_use]
pub fn reaches(a: Length, b: Length) -> bool {
    a.value >= b.value - UNMEASURABLE
}

/// Whether `a` is above `b`, by more than a thousandth of a millimetre.
#[must_use]
pub fn exceeds(a: Length, b: Length) -> bool {
    a.value > b.value + UNMEASURABLE
}

/// Whether `a` is at most `b`, to a relative 1e-9 of the larger. Nothing without end is at most a number.
#[must_use]
pub fn at_most(a: f64, b: f64) -> bool {
    a <= b || (a.is_finite() && a <= b + RELATIVE * a.abs().max(b.abs()))
}

/// A figure that counts things, as a count: rounded up, but not for the last bits of a division.
#[must_use]
pub fn counted_up(figure: f64) -> u32 {
    let whole = (figure - RELATIVE).ceil().clamp(0.0, f64::from(u32::MAX));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole and within the type, as just clamped"
    )]
    let count = whole as u32;
    count
}

#[cfg(test)]
mod tests {
    use super::at_most;

    #[test]
    fn a_limit_met_up_to_rounding_is_met() {
        assert!(at_most(0.1 + 0.2, 0.3) && at_most(0.3, 0.1 + 0.2));
        assert!(!at_most(0.300_000_001, 0.3) && at_most(-2.0, -1.0) && at_most(0.0, 0.0));
    }

    #[test]
    fn what_has_no_end_is_above_every_number() {
        assert!(!at_most(f64::INFINITY, 5.0) && at_most(5.0, f64::INFINITY));
        assert!(!at_most(f64::NAN, 5.0) && !at_most(5.0, f64::NAN));
    }
}
