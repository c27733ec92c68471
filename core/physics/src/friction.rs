//! Friction and forced convection in a duct, from laminar to rough turbulent flow.

/// How friction and heat transfer are closed at low Reynolds number, where a flue of this kind runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Closure {
    /// The convention of EN 13384-1 (from memory): everything is evaluated with at least Re = 2300.
    #[default]
    Floor2300,
    /// Laminar up to Re = 2000, turbulent from 4000, a straight line between.
    Physical,
}

/// The laminar product of Darcy factor and Reynolds number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Round: 64.
    Round,
    /// Between two pipes, or between a pipe and a tile: 96.
    Annulus,
}

/// The floor of Reynolds number in [`Closure::Floor2300`].
pub const FLOOR: f64 = 2300.0;
/// Where laminar flow ends and turbulent flow begins in [`Closure::Physical`].
const LAMINAR: f64 = 2000.0;
const TURBULENT: f64 = 4000.0;
/// Nusselt number of laminar flow in [`Closure::Physical`].
const LAMINAR_NUSSELT: f64 = 3.66;
/// Roughness is held to this share of the hydraulic diameter; the equation has no meaning beyond. Above
/// 0.05 it is outside the chart and indicative only.
const ROUGHEST: f64 = 1.0;
/// Reynolds numbers are held to this; beyond, friction does not change any more.
const FASTEST: f64 = 1e15;

/// Darcy friction factor of turbulent flow by Colebrook and White with the constant 3.71 of EN 13384-1:
/// `1/sqrt(f) = -2 log10(r/(3.71 D) + 2.51/(Re sqrt(f)))`.
///
/// `reynolds` from 2300 up, `relative_roughness` = r/D 0..1 (held to 1).
#[must_use]
pub fn colebrook(reynolds: f64, relative_roughness: f64) -> f64 {
    let a = relative_roughness.min(ROUGHEST) / 3.71;
    let b = 2.51 / reynolds.min(FASTEST);
    let per_ln = 2.0 / std::f64::consts::LN_10;
    // Halley's method on F(X) = X + 2 log10(a + b X), X = 1/sqrt(f): the logarithm is what costs, and its
    // derivatives come for nothing. A step below 1e-4 leaves an error below 1e-14.
    let mut x = 4.0;
    for _ in 0..50 {
        let share = b / (a + b * x);
        let off = x + per_ln * libm::log(a + b * x);
        let slope = 1.0 + per_ln * share;
        let step = off * slope / (slope * slope + 0.5 * off * per_ln * share * share);
        x -= step;
        if step.abs() < 1e-4 {
            break;
        }
    }
    1.0 / (x * x)
}

/// A duct as friction and convection see it: everything that does not depend on the flow.
#[derive(Debug, Clone, Copy)]
pub struct Duct {
    closure: Closure,
    laminar: f64,
    relative_roughness: f64,
    /// Whether roughness helps the heat transfer.
    rough_heat: bool,
    /// 1 + (D_h/L)^0.67.
    entrance: f64,
    /// At the floor: friction, and the Nusselt number but for the Prandtl number.
    at_floor: (f64, f64),
    /// Friction, smooth friction and (f/f_smooth)^0.67 at the beginning of turbulence.
    at_turbulent: (f64, f64, f64),
}

impl Duct {
    /// A duct of relative roughness r/D_h; `diameter_over_length` is D_h over the length of the whole flue
    /// (not of a piece of it). With `rough_heat` the roughness raises the heat transfer too, as in a liner;
    /// without, the heat transfer is that of a smooth duct, as between liner and tile.
    #[must_use]
    pub fn new(
        closure: Closure,
        shape: Shape,
        relative_roughness: f64,
        rough_heat: bool,
        diameter_over_length: f64,
    ) -> Self {
        let laminar = match shape {
            Shape::Round => 64.0,
            Shape::Annulus => 96.0,
        };
        let entrance = 1.0 + libm::pow(diameter_over_length, 0.67);
        let mut duct = Self {
            closure,
            laminar,
            relative_roughness,
            rough_heat,
            entrance,
            at_floor: (0.0, 1.0),
            at_turbulent: (0.0, 0.0, 1.0),
        };
        let (friction, _, gain) = duct.rough(FLOOR);
        duct.at_floor = (friction, gain * short_gnielinski(FLOOR, 1.0) * entrance);
        duct.at_turbulent = duct.rough(TURBULENT);
        duct
    }

    /// Darcy friction factor at a Reynolds number.
    #[must_use]
    pub fn friction(&self, reynolds: f64) -> f64 {
        match self.closure {
            Closure::Floor2300 if reynolds <= FLOOR => self.at_floor.0,
            Closure::Floor2300 => colebrook(reynolds, self.relative_roughness),
            Closure::Physical if reynolds <= LAMINAR => self.laminar / reynolds,
            Closure::Physical if reynolds >= TURBULENT => colebrook(reynolds, self.relative_roughness),
            Closure::Physical => between(reynolds, self.laminar / LAMINAR, self.at_turbulent.0),
        }
    }

    /// Nusselt number at a Reynolds and a Prandtl number, fluid properties at the bulk temperature.
    ///
    /// [`Closure::Floor2300`]: the short form of Gnielinski as in EN 13384-1 (from memory),
    /// `rho^0.67 0.0214 (Re^0.8 - 100) Pr^0.4 (1 + (D/L)^0.67)`, `rho = f/f_smooth` held to 1..3; stated for
    /// 2300 < Re < 1e6, 0.6 < Pr < 1.5. [`Closure::Physical`]: 3.66 laminar, Gnielinski's full form from
    /// Re 4000.
    #[must_use]
    pub fn nusselt(&self, reynolds: f64, prandtl: f64) -> f64 {
        self.friction_and_nusselt(reynolds, prandtl).1
    }

    /// Both at once, sharing what they share.
    pub(crate) fn friction_and_nusselt(&self, re: f64, pr: f64) -> (f64, f64) {
        match self.closure {
            Closure::Floor2300 if re <= FLOOR => (self.at_floor.0, self.at_floor.1 * power(pr, 0.4)),
            Closure::Floor2300 => {
                let (friction, _, gain) = self.rough(re);
                (friction, gain * short_gnielinski(re, pr) * self.entrance)
            }
            Closure::Physical if re <= LAMINAR => (self.laminar / re, LAMINAR_NUSSELT),
            Closure::Physical => {
                let (friction, smooth, gain) = if re >= TURBULENT {
                    self.rough(re)
                } else {
                    self.at_turbulent
                };
                let turbulent = gain * gnielinski(re.max(TURBULENT), pr, smooth) * self.entrance;
                if re >= TURBULENT {
                    (friction, turbulent)
                } else {
                    (
                        between(re, self.laminar / LAMINAR, friction),
                        between(re, LAMINAR_NUSSELT, turbulent),
                    )
                }
            }
        }
    }

    /// Friction, smooth friction, and the gain of heat transfer by roughness.
    fn rough(&self, re: f64) -> (f64, f64, f64) {
        let friction = colebrook(re, self.relative_roughness);
        if !self.rough_heat {
            let smooth = if self.closure == Closure::Physical {
                colebrook(re, 0.0)
            } else {
                friction
            };
            return (friction, smooth, 1.0);
        }
        let smooth = colebrook(re, 0.0);
        (friction, smooth, power((friction / smooth).clamp(1.0, 3.0), 0.67))
    }
}

/// The core of the short form: `0.0214 (Re^0.8 - 100) Pr^0.4`.
#[must_use]
pub fn short_gnielinski(reynolds: f64, prandtl: f64) -> f64 {
    0.0214 * (power(reynolds, 0.8) - 100.0) * power(prandtl, 0.4)
}

/// Gnielinski's full form with the friction of a smooth duct.
fn gnielinski(re: f64, pr: f64, smooth_friction: f64) -> f64 {
    let eighth = smooth_friction / 8.0;
    eighth * (re - 1000.0) * pr / (1.0 + 12.7 * eighth.sqrt() * (power(pr, 2.0 / 3.0) - 1.0))
}

fn between(re: f64, laminar: f64, turbulent: f64) -> f64 {
    laminar + (turbulent - laminar) * (re - LAMINAR) / (TURBULENT - LAMINAR)
}

/// x^y for positive x: two calls that take half the time of `pow` and differ in the last bits only.
pub(crate) fn power(x: f64, y: f64) -> f64 {
    libm::exp(y * libm::log(x))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_equation_of_colebrook_and_white_holds() {
        for re in [2300.0, 1e4, 1e6, 1e8, 1e14] {
            for rough in [0.0, 1e-4, 0.02, 0.05, 0.5, 1.0] {
                let f = colebrook(re, rough);
                let x = 1.0 / f.sqrt();
                let right = -2.0 * libm::log10(rough / 3.71 + 2.51 / re * x);
                assert!(
                    (x - right).abs() < 1e-11,
                    "Re {re}, r/D {rough}: {x} against {right}"
                );
            }
        }
    }

    #[test]
    fn closures_have_no_jumps() {
        for closure in [Closure::Floor2300, Closure::Physical] {
            for shape in [Shape::Round, Shape::Annulus] {
                let duct = Duct::new(closure, shape, 0.02, true, 0.01);
                for edge in [LAMINAR, FLOOR, TURBULENT] {
                    let (below, above) = (edge * (1.0 - 1e-9), edge * (1.0 + 1e-9));
                    assert!((duct.friction(below) / duct.friction(above) - 1.0).abs() < 1e-7);
                    assert!((duct.nusselt(below, 0.7) / duct.nusselt(above, 0.7) - 1.0).abs() < 1e-7);
                }
            }
        }
    }

    #[test]
    fn laminar_flow_follows_its_law() {
        let duct = Duct::new(Closure::Physical, Shape::Annulus, 0.02, true, 0.01);
        assert!((duct.friction(800.0) - 96.0 / 800.0).abs() < 1e-15);
        assert!((duct.nusselt(800.0, 0.7) - 3.66).abs() < 1e-15);
    }
}
