//! Figures inside messages, in both families of units.

use uom::si::f64::Length;
use wythe_units::{Quantity, Style, System, show};

/// A quantity for a message: `11 3/8 in (289 mm)`.
#[must_use]
pub fn both<Q: Quantity>(quantity: Q) -> String {
    let base = quantity.to_base();
    let written = |system| Style::usual(Q::DIMENSION, system, base).map(|style| show(base, &style));
    match (written(System::Customary), written(System::Metric)) {
        (Some(customary), Some(metric)) if customary != metric => format!("{customary} ({metric})"),
        (Some(written), _) | (None, Some(written)) => written,
        (None, None) => format!("{base} {}", Q::DIMENSION.base_unit()),
    }
}

/// How far a length lacks or spares, without its sign.
#[must_use]
pub fn size(length: Length) -> String {
    both(length.abs())
}
