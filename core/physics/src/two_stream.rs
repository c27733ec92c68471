//! Exhaust going up and air coming down, exchanging heat with each other and with the surroundings.
//!
//! Per metre of height the exchange is linear in the three temperatures:
//! `m_e cp_e dTe/dz = -U_ea (Te - Ta) - U_eu (Te - Tu)` and
//! `m_a cp_a dTa/dz = -U_ea (Te - Ta) + U_au (Ta - Tu)`, the exhaust known at the bottom, the air at the top.
//! A cell is written as what leaves it in terms of what enters it (scattering form). All its coefficients
//! are shares between 0 and 1, so that no stack of cells loses digits, however strong the exchange.

/// Conductances per metre of height, W/(m K).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Conductances {
    /// Between exhaust and air.
    pub exhaust_air: f64,
    /// Between exhaust and surroundings.
    pub exhaust_outside: f64,
    /// Between air and surroundings.
    pub air_outside: f64,
}

/// Capacity flows, mass flow times heat capacity, W/K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacities {
    /// Of the exhaust.
    pub exhaust: f64,
    /// Of the air.
    pub air: f64,
}

/// What leaves a cell as shares of what enters it; what is missing to 1 comes from the surroundings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scattering {
    /// Exhaust leaving at the top, by exhaust entering at the bottom.
    pub exhaust_by_exhaust: f64,
    /// Exhaust leaving at the top, by air entering at the top.
    pub exhaust_by_air: f64,
    /// Air leaving at the bottom, by exhaust entering at the bottom.
    pub air_by_exhaust: f64,
    /// Air leaving at the bottom, by air entering at the top.
    pub air_by_air: f64,
    /// Exhaust leaving at the top, by the surroundings: their share times their temperature.
    pub exhaust_offset: f64,
    /// Air leaving at the bottom, by the surroundings: their share times their temperature.
    pub air_offset: f64,
}

/// A cell that exchanges more than this many times its capacity flow has exchanged all there is.
const STRONGEST: f64 = 1e9;

impl Scattering {
    /// A cell of `length` m with constant conductances and surroundings at `outside` (K).
    #[must_use]
    pub fn of(u: Conductances, c: Capacities, length: f64, outside: f64) -> Self {
        let rates = Rates::of(u, c, length);
        let (sigma, kappa) = (rates.sigma(), rates.kappa());
        // exp((tau - kappa) d) and exp(-(tau + kappa) d), the difference of kappa and |tau| without loss.
        let lag = if kappa + rates.tau.abs() > 0.0 {
            rates.loss / (kappa + rates.tau.abs())
        } else {
            0.0
        };
        let far = kappa + rates.tau.abs();
        let (up, down) = if rates.tau >= 0.0 { (lag, far) } else { (far, lag) };
        let (up, down) = (libm::exp(-up), libm::exp(-down));
        let both = up * down;
        let square = kappa * kappa;
        let tanh = if kappa < 1e-3 {
            1.0 - square * (1.0 / 3.0 - square * 2.0 / 15.0)
        } else {
            (1.0 - both) / (1.0 + both) / kappa
        };
        let bottom = 1.0 + sigma * tanh;
        let through = 2.0 / ((1.0 + both) * bottom);
        let exhaust_by_exhaust = up * through;
        let exhaust_by_air = rates.beta * tanh / bottom;
        let air_by_exhaust = rates.gamma * tanh / bottom;
        let air_by_air = down * through;
        Self {
            exhaust_by_exhaust,
            exhaust_by_air,
            air_by_exhaust,
            air_by_air,
            exhaust_offset: (1.0 - exhaust_by_exhaust - exhaust_by_air) * outside,
            air_offset: (1.0 - air_by_exhaust - air_by_air) * outside,
        }
    }

    /// This cell with another on top of it, as one.
    #[must_use]
    pub fn under(&self, above: &Self) -> Self {
        let (a, b) = (self, above);
        let bounce = 1.0 / (1.0 - a.exhaust_by_air * b.air_by_exhaust);
        // Temperatures between the two, in terms of what enters: exhaust = e.0 Te + e.1 Ta + e.2.
        let e = (
            a.exhaust_by_exhaust * bounce,
            a.exhaust_by_air * b.air_by_air * bounce,
            (a.exhaust_by_air * b.air_offset + a.exhaust_offset) * bounce,
        );
        let m = (
            b.air_by_exhaust * e.0,
            b.air_by_exhaust * e.1 + b.air_by_air,
            b.air_by_exhaust * e.2 + b.air_offset,
        );
        Self {
            exhaust_by_exhaust: b.exhaust_by_exhaust * e.0,
            exhaust_by_air: b.exhaust_by_exhaust * e.1 + b.exhaust_by_air,
            exhaust_offset: b.exhaust_by_exhaust * e.2 + b.exhaust_offset,
            air_by_exhaust: a.air_by_exhaust + a.air_by_air * m.0,
            air_by_air: a.air_by_air * m.1,
            air_offset: a.air_by_air * m.2 + a.air_offset,
        }
    }

    /// Exhaust at the top and air at the bottom (K) from exhaust at the bottom and air at the top (K).
    #[must_use]
    pub fn leaving(&self, exhaust_bottom: f64, air_top: f64) -> (f64, f64) {
        (
            self.exhaust_by_exhaust * exhaust_bottom + self.exhaust_by_air * air_top + self.exhaust_offset,
            self.air_by_exhaust * exhaust_bottom + self.air_by_air * air_top + self.air_offset,
        )
    }
}

/// The rates of the linear system times the length of the cell: alpha, beta, gamma, delta made
/// dimensionless, with `tau = (delta - alpha)/2`.
struct Rates {
    alpha: f64,
    beta: f64,
    gamma: f64,
    delta: f64,
    tau: f64,
    /// alpha delta - beta gamma, from its positive terms.
    loss: f64,
}

impl Rates {
    fn of(u: Conductances, c: Capacities, length: f64) -> Self {
        let (e, a) = (length / c.exhaust, length / c.air);
        let strongest = (u.exhaust_air + u.exhaust_outside) * e + (u.exhaust_air + u.air_outside) * a;
        let held = if strongest > STRONGEST {
            STRONGEST / strongest
        } else {
            1.0
        };
        let (e, a) = (e * held, a * held);
        let (x, p, q) = (u.exhaust_air, u.exhaust_outside, u.air_outside);
        Self {
            alpha: (x + p) * e,
            beta: x * e,
            gamma: x * a,
            delta: (x + q) * a,
            tau: 0.5 * ((x + q) * a - (x + p) * e),
            loss: (x * q + p * x + p * q) * e * a,
        }
    }

    fn sigma(&self) -> f64 {
        0.5 * (self.alpha + self.delta)
    }

    fn kappa(&self) -> f64 {
        (self.tau * self.tau + self.loss).sqrt()
    }
}

/// Temperatures at the ends of a flue of constant coefficients, and their means over its height, K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WholeFlue {
    /// Exhaust at the top.
    pub exhaust_top: f64,
    /// Air at the bottom.
    pub air_bottom: f64,
    /// Mean of the exhaust.
    pub exhaust_mean: f64,
    /// Mean of the air.
    pub air_mean: f64,
}

/// The closed form for one flue of constant coefficients: `length` m, exhaust entering at the bottom, air at
/// the top, surroundings, all K. A cross-check of the cells; without exchange between the streams it is the
/// cooling law of EN 13384-1, without surroundings the counterflow exchanger.
#[must_use]
pub fn whole_flue(
    u: Conductances,
    c: Capacities,
    length: f64,
    exhaust_bottom: f64,
    air_top: f64,
    outside: f64,
) -> WholeFlue {
    let rates = Rates::of(u, c, length);
    let (te, ta) = (exhaust_bottom - outside, air_top - outside);
    let (alpha, beta, delta) = (rates.alpha, rates.beta, rates.delta);
    let kappa = rates.kappa();
    if beta < 1e-12 {
        let (e, e_mean) = cooled(alpha);
        let (a, a_mean) = cooled(delta);
        return WholeFlue {
            exhaust_top: outside + te * e,
            air_bottom: outside + ta * a,
            exhaust_mean: outside + te * e_mean,
            air_mean: outside + ta * a_mean,
        };
    }
    if kappa < 1e-7 {
        let apart = (te - ta) / (1.0 + alpha);
        return WholeFlue {
            exhaust_top: outside + te - alpha * apart,
            air_bottom: outside + te - apart,
            exhaust_mean: outside + te - 0.5 * alpha * apart,
            air_mean: outside + te - apart - 0.5 * alpha * apart,
        };
    }
    let (grow, fall) = if rates.tau >= 0.0 {
        let grow = rates.tau + kappa;
        (grow, -rates.loss / grow)
    } else {
        let fall = rates.tau - kappa;
        (-rates.loss / fall, fall)
    };
    let (eg, ef) = (libm::exp(-grow), libm::exp(fall));
    let (m12, m21, m22) = (1.0, grow + alpha, (fall + alpha) * ef);
    let determinant = eg * m22 - m12 * m21;
    let a = (te * m22 - m12 * beta * ta) / determinant;
    let b = (eg * beta * ta - m21 * te) / determinant;
    let (wa, wb) = (a * cooled(grow).1, b * cooled(-fall).1);
    WholeFlue {
        exhaust_top: outside + a + b * ef,
        air_bottom: outside + ((grow + alpha) * a * eg + (fall + alpha) * b) / beta,
        exhaust_mean: outside + wa + wb,
        air_mean: outside + ((grow + alpha) * wa + (fall + alpha) * wb) / beta,
    }
}

/// `exp(-k)` and its mean over the way, `(1 - exp(-k))/k`.
pub(crate) fn cooled(k: f64) -> (f64, f64) {
    let mean = if k.abs() < 1e-12 {
        1.0 - 0.5 * k
    } else {
        -libm::expm1(-k) / k
    };
    (libm::exp(-k), mean)
}

#[cfg(test)]
mod tests {
    use super::*;

    const C: Capacities = Capacities {
        exhaust: 11.0,
        air: 10.3,
    };

    fn u(exhaust_air: f64, exhaust_outside: f64, air_outside: f64) -> Conductances {
        Conductances {
            exhaust_air,
            exhaust_outside,
            air_outside,
        }
    }

    #[test]
    fn cells_stacked_give_the_whole_flue() {
        let cases = [
            u(1.4, 0.1, 0.9),
            u(0.0, 0.4, 0.3),
            u(2.0, 0.0, 0.0),
            u(0.3, 5.0, 0.0),
            u(40.0, 0.2, 60.0),
        ];
        for conductances in cases {
            let cell = Scattering::of(conductances, C, 0.25, 283.0);
            let stack = (1..24).fold(cell, |below, _| below.under(&cell));
            let (top, bottom) = stack.leaving(503.0, 263.0);
            let whole = whole_flue(conductances, C, 6.0, 503.0, 263.0, 283.0);
            assert!((top - whole.exhaust_top).abs() < 1e-9, "{conductances:?}");
            assert!((bottom - whole.air_bottom).abs() < 1e-9, "{conductances:?}");
        }
    }

    #[test]
    fn means_and_ends_keep_the_heat() {
        let (x, p, q) = (1.4, 0.1, 0.9);
        let whole = whole_flue(u(x, p, q), C, 6.0, 503.0, 263.0, 283.0);
        let lost = C.exhaust * (503.0 - whole.exhaust_top);
        let gained = C.air * (whole.air_bottom - 263.0);
        let outside = 6.0 * (p * (whole.exhaust_mean - 283.0) + q * (whole.air_mean - 283.0));
        assert!((lost - gained - outside).abs() < 1e-9);
    }

    #[test]
    fn no_exchange_however_strong_makes_a_number_that_is_none() {
        for strength in [0.0, 1e-300, 1e-12, 1.0, 1e6, 1e15, 1e100] {
            for capacity in [1e-30, 1e-6, 1.0, 1e9] {
                let c = Capacities {
                    exhaust: capacity,
                    air: capacity,
                };
                let cell = Scattering::of(u(strength, strength, 0.0), c, 1.0, 290.0);
                let stack = cell.under(&cell).under(&cell);
                let (top, bottom) = stack.leaving(500.0, 260.0);
                assert!(
                    (260.0 - 1e-6..=500.0 + 1e-6).contains(&top),
                    "{strength} {capacity}: {top}"
                );
                assert!(
                    (260.0 - 1e-6..=500.0 + 1e-6).contains(&bottom),
                    "{strength} {capacity}: {bottom}"
                );
            }
        }
    }

    #[test]
    fn equal_capacities_and_no_loss_give_a_straight_line() {
        let c = Capacities {
            exhaust: 10.0,
            air: 10.0,
        };
        let whole = whole_flue(u(2.0, 0.0, 0.0), c, 6.0, 500.0, 260.0, 290.0);
        let apart = 240.0 / (1.0 + 1.2);
        assert!((whole.exhaust_top - (260.0 + apart)).abs() < 1e-9);
        assert!((whole.exhaust_mean - 0.5 * (500.0 + 260.0 + apart)).abs() < 1e-9);
        let (top, _) = Scattering::of(u(2.0, 0.0, 0.0), c, 6.0, 290.0).leaving(500.0, 260.0);
        assert!((top - whole.exhaust_top).abs() < 1e-9);
    }
}
