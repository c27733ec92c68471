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

/// Whether `a` is at most `b`, to a relative 1e-9 of the larger.
#[must_use]
pub fn at_most(a: f64, b: f64) -> bool {
    a <= b + RELATIVE * a.abs().max(b.abs())
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
