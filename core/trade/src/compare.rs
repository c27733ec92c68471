//! Comparisons with limits, with the slack that lets 2,000 ft typed as feet be 2,000 ft.

/// Relative slack of every comparison with a limit.
const SLACK: f64 = 1e-9;

fn slack(a: f64, b: f64) -> f64 {
    SLACK * a.abs().max(b.abs())
}

/// Whether `a` is above `b` by more than a relative 1e-9.
#[must_use]
pub fn exceeds(a: f64, b: f64) -> bool {
    a > b + slack(a, b)
}

/// Whether `a` is at least `b`, allowing a relative 1e-9.
#[must_use]
pub fn reaches(a: f64, b: f64) -> bool {
    a >= b - slack(a, b)
}

#[cfg(test)]
mod tests {
    use super::{exceeds, reaches};

    #[test]
    fn a_limit_met_up_to_rounding_is_met_and_not_exceeded() {
        let limit = 0.1 + 0.2;
        assert!(reaches(0.3, limit) && reaches(limit, 0.3));
        assert!(!exceeds(0.3, limit) && !exceeds(limit, 0.3));
        assert!(exceeds(0.300_000_001, 0.3) && !reaches(0.3, 0.300_000_001));
        assert!(exceeds(-1.0, -2.0) && reaches(0.0, 0.0) && !exceeds(0.0, 0.0));
    }
}
