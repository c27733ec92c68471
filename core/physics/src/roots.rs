//! Finding where a function crosses zero.

/// Bisection on `[low, high]` for an increasing `f`; after 100 halvings the bracket is one bit wide for
/// every range used here. Gives `None` when `f` does not change sign over the range.
pub(crate) fn bisect(low: f64, high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    if f(low) > 0.0 || f(high) < 0.0 {
        return None;
    }
    let (mut a, mut b) = (low, high);
    for _ in 0..100 {
        let middle = 0.5 * (a + b);
        if middle <= a || middle >= b {
            break;
        }
        if f(middle) < 0.0 { a = middle } else { b = middle }
    }
    Some(0.5 * (a + b))
}

/// One end of a bracket: where, and what the function is there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct End {
    pub x: f64,
    pub f: f64,
}

/// Brent's method between two ends of opposite sign, to `tolerance` in x. `f` may refuse, which ends it.
/// It ends after at most 100 evaluations with the best point found. (R. P. Brent, Algorithms for
/// Minimization without Derivatives, 1973, chapter 4.)
pub(crate) fn brent<E>(
    left: End,
    right: End,
    tolerance: f64,
    mut f: impl FnMut(f64) -> Result<f64, E>,
) -> Result<f64, E> {
    let (mut a, mut b) = (left, right);
    let mut c = a;
    let mut step = b.x - a.x;
    let mut before = step;
    for _ in 0..100 {
        if c.f.abs() < b.f.abs() {
            (a, b, c) = (b, c, b);
        }
        let near = 2.0 * f64::EPSILON * b.x.abs() + 0.5 * tolerance;
        let half = 0.5 * (c.x - b.x);
        if half.abs() <= near || b.f.abs() <= 0.0 {
            break;
        }
        if before.abs() >= near && a.f.abs() > b.f.abs() {
            let s = b.f / a.f;
            let (mut p, mut q) = if (a.x - c.x).abs() <= 0.0 {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (q, r) = (a.f / c.f, b.f / c.f);
                (
                    s * (2.0 * half * q * (q - r) - (b.x - a.x) * (r - 1.0)),
                    (q - 1.0) * (r - 1.0) * (s - 1.0),
                )
            };
            if p > 0.0 {
                q = -q
            } else {
                p = -p
            }
            if 2.0 * p < (3.0 * half * q - (near * q).abs()).min((before * q).abs()) {
                before = step;
                step = p / q;
            } else {
                step = half;
                before = half;
            }
        } else {
            step = half;
            before = half;
        }
        a = b;
        b.x += if step.abs() > near {
            step
        } else {
            near.copysign(half)
        };
        b.f = f(b.x)?;
        if (b.f > 0.0) == (c.f > 0.0) {
            c = a;
            step = b.x - a.x;
            before = step;
        }
    }
    Ok(b.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brent_finds_the_root_of_a_cubic() {
        let f = |x: f64| x * x * x - 2.0 * x - 5.0;
        let root = brent::<()>(End { x: 2.0, f: f(2.0) }, End { x: 3.0, f: f(3.0) }, 1e-12, |x| {
            Ok(f(x))
        });
        assert!((root.unwrap() - 2.094_551_481_542_326_6).abs() < 1e-11);
    }

    #[test]
    fn a_range_without_a_crossing_has_no_root() {
        assert_eq!(bisect(1.0, 2.0, |x| x), None);
        assert!((bisect(0.0, 2.0, |x| x * x - 2.0).unwrap() - std::f64::consts::SQRT_2).abs() < 1e-15);
    }
}
