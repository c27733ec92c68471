//! Round numbers for axes and bars.

/// The smallest of 1, 2, 5 times a power of ten that is not below `least`.
///
/// `least` must be above zero and finite; otherwise 1.
#[must_use]
pub fn nice_step(least: f64) -> f64 {
    if !(least.is_finite() && least > 0.0) {
        return 1.0;
    }
    let power = libm::pow(10.0, libm::log10(least).floor());
    // A hair of tolerance, so that 0.1 stays 0.1 whatever its last bit.
    let share = least / power * (1.0 - 1e-9);
    let nice = if share <= 1.0 {
        1.0
    } else if share <= 2.0 {
        2.0
    } else if share <= 5.0 {
        5.0
    } else {
        10.0
    };
    nice * power
}

/// A number with as many decimals as a step of `step` needs, a true minus sign, a decimal point.
#[must_use]
pub fn plain_number(value: f64, step: f64) -> String {
    let decimals = (0..6_u32)
        .find(|&decimals| {
            let shifted = step.abs() * libm::pow(10.0, f64::from(decimals));
            (shifted - shifted.round()).abs() < 1e-6 * shifted.max(1.0)
        })
        .unwrap_or(6);
    let width = usize::try_from(decimals).unwrap_or(0);
    let text = format!("{value:.width$}");
    let nothing = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    match text.strip_prefix('-') {
        Some(rest) if nothing => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// Multiples of `step` from `low` to `high`, both included.
pub(crate) fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let first = (low / step - 1e-9).ceil();
    let mut found = Vec::new();
    let mut count = 0.0;
    while found.len() < 200 {
        let value = (first + count) * step;
        if value > high + 1e-9 * step {
            break;
        }
        found.push(value);
        count += 1.0;
    }
    found
}
