//! Figures inside messages, in both families of units.

use uom::si::f64::Length;
use wythe_units::{Dimension, Quantity, Style, System, Unit, show};

/// A quantity for a message: `11 3/8 in (289 mm)`.
#[must_use]
pub fn both<Q: Quantity>(quantity: Q) -> String {
    let base = quantity.to_base();
    let written = |system| style(Q::DIMENSION, system, base).map(|style| show(base, &style));
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

/// A share as percent with one place: `14.5 %`.
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

/// The usual style, but pounds a square inch where water columns grow long, and minutes for long times.
fn style(dimension: Dimension, system: System, base: f64) -> Option<Style> {
    const NEARLY_ONE_PSI: f64 = 6_800.0;
    const TWO_MINUTES: f64 = 120.0;
    let places = u8::from(base % 60.0 > 0.0);
    match (dimension, system) {
        (Dimension::Pressure, System::Customary) if base.abs() >= NEARLY_ONE_PSI => {
            Unit::find(dimension, "psi").map(|unit| Style::decimal(unit, 2))
        }
        (Dimension::Time, _) if base >= TWO_MINUTES => {
            Unit::find(dimension, "min").map(|unit| Style::decimal(unit, places))
        }
        _ => Style::usual(dimension, system, base),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantities::{Power, Pressure, Time};

    #[test]
    fn figures_are_told_as_the_trade_says_them() {
        assert_eq!(both(Power::from_base(10_257.5)), "35,000 Btu/h (10.26 kW)");
        assert_eq!(both(Pressure::from_base(1743.6)), "7.00 in w.c. (1.744 kPa)");
        assert_eq!(both(Pressure::from_base(20_684.3)), "3.00 psi (20.684 kPa)");
        assert_eq!(both(Time::from_base(600.0)), "10 min");
        assert_eq!(both(Time::from_base(29.0)), "29 s");
        assert_eq!(percent(0.1448), "14.5 %");
    }
}
