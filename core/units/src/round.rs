//! Rounding of the figures that are kept.

/// Powers of ten that a binary number holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

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
    by_arithmetic(value).unwrap_or_else(|| by_text(value)) + 0.0
}

/// The sure way to round a binary number in decimal: through its decimal text.
fn by_text(value: f64) -> f64 {
    format!("{value:.8e}").parse().unwrap_or(value)
}

/// The same without text, where that can't come out otherwise: the nine digits are a whole number and the
/// power of ten is exact, so that one multiplication or division gives the nearest binary number; and the
/// figure does not stand so near a half that the scaling could tip it.
fn by_arithmetic(value: f64) -> Option<f64> {
    let size = value.abs();
    let (digits, power, up) = if size < 1e8 {
        let power = *POWERS.get(POWERS.partition_point(|power| size * power < 1e8))?;
        (size * power, power, true)
    } else {
        let power = *POWERS.get(POWERS.partition_point(|power| size / power >= 1e9))?;
        (size / power, power, false)
    };
    let whole = digits.floor();
    let part = digits - whole;
    if (part - 0.5).abs() < 1e-3 {
        return None;
    }
    let rounded = if part > 0.5 { whole + 1.0 } else { whole };
    let size = if up { rounded / power } else { rounded * power };
    Some(size.copysign(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bit patterns from a multiplicative sequence: every sign, exponent and fraction.
    fn bit_patterns() -> impl Iterator<Item = f64> {
        (0..200_000_u64).map(|place| f64::from_bits(place.wrapping_mul(0x9E37_79B9_7F4A_7C15)))
    }

    fn same(value: f64) {
        let (found, wanted) = (nine_digits(value), by_text(value) + 0.0);
        assert_eq!(
            found.to_bits(),
            wanted.to_bits(),
            "{value:e}: {found:e} is not {wanted:e}"
        );
    }

    #[test]
    fn arithmetic_and_text_agree_to_the_last_bit() {
        bit_patterns().filter(|value| value.is_finite()).for_each(same);
    }

    #[test]
    fn they_agree_where_figures_live_and_next_to_halves_and_powers_of_ten() {
        for (place, pattern) in bit_patterns().enumerate() {
            let fraction = f64::from_bits(pattern.to_bits() & 0x000F_FFFF_FFFF_FFFF | 0x3FF0_0000_0000_0000);
            same(fraction * POWERS[place % 16] / POWERS[place % 11]);
        }
        for power in POWERS {
            for digits in [
                1.0,
                9.999_999_995,
                1.000_000_005,
                1.234_567_885,
                9.999_999_999_999,
            ] {
                for value in [digits * power, digits / power] {
                    same(value);
                    same(-value.next_up());
                    same(value.next_down());
                }
            }
        }
        [0.0, -0.0, f64::MIN_POSITIVE, f64::MAX, 5e-324]
            .into_iter()
            .for_each(same);
    }

    #[test]
    fn what_is_not_finite_stays() {
        assert!(nine_digits(f64::NAN).is_nan());
        assert!(nine_digits(f64::NEG_INFINITY).is_infinite());
    }
}
