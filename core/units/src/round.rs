//! Rounding of the figures that are kept.

/// Rounds to nine significant digits, half to even on the decimal figure.
///
/// A phone and the office compute the same sum on different machines; the ninth digit is far below
/// anything that is measured and far above what the last bits can do. Zero keeps no sign; what is
/// not finite stays as it is.
#[must_use]
pub fn nine_digits(value: f64) -> f64 {
    if !value.is_finite() {
        return value;
    }
    // The shortest exact way to round a binary number in decimal is through its decimal text.
    format!("{value:.8e}").parse().unwrap_or(value) + 0.0
}
