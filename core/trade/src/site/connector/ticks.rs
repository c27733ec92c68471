//! Whole ticks of 1/160 mm: 1/32 in is 127 ticks and 0.1 mm is 16, so inch stock and metric measures mix
//! without rounding.

use uom::si::f64::Length;
use wythe_units::Quantity;

const PER_METRE: f64 = 160_000.0;

/// Ticks of a length.
pub(super) fn ticks(length: Length) -> i64 {
    whole(PER_METRE * length.value)
}

/// The length of so many ticks.
pub(super) fn length(ticks: i64) -> Length {
    #[expect(clippy::cast_precision_loss, reason = "spans have far fewer than 2^53 ticks")]
    Length::from_base(ticks as f64 / PER_METRE)
}

/// Cents of a cost.
pub(super) fn cents(cost: f64) -> i64 {
    whole(100.0 * cost)
}

/// A cost in whole money.
pub(super) fn money(cents: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "costs have far fewer than 2^53 cents")]
    let cents = cents as f64;
    cents / 100.0
}

/// The nearest whole number, halves upwards.
pub(super) fn whole(figure: f64) -> i64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "inputs are bounded far below 2^53"
    )]
    let whole = (figure + 0.5).floor() as i64;
    whole
}

/// The whole number nearest to top/bottom, halves upwards; `bottom` is above 0.
pub(super) fn rounded(top: i64, bottom: i64) -> i64 {
    (2 * top + bottom).div_euclid(2 * bottom)
}
