//! The restrictor: a plate or shutter in the exhaust at the appliance.
//!
//! Not the burner's air shutter: that sets the look of the flame and hardly changes the flow through the
//! loop. The maker's listed restrictor settings come first.

use crate::quantities::{Length, length};
use crate::roots::bisect;

/// The smallest open share for which a setting is looked for.
pub const SMALLEST_OPEN_FRACTION: f64 = 1e-4;

/// Loss coefficient of an open share `f = A_open/A_pipe`, referred to the velocity in the pipe:
/// `((1-f) + 0.707 (1-f)^0.375)^2 / f^2`.
///
/// Range: 0 < f <= 1. Source: Idelchik 1994, diagram 4-14 (sharp-edged orifice), stated for Re in the hole
/// from 1e5; here it is 3e3 to 2e4, so within 15 %.
/// <https://reference.wolfram.com/system-modeler/libraries/Modelica/Modelica.Fluid.Fittings.BaseClasses.QuadraticTurbulent.LossFactorData.sharpEdgedOrifice.html>
#[must_use]
pub fn loss_coefficient(open_fraction: f64) -> f64 {
    let shut = 1.0 - open_fraction;
    let numerator = shut + 0.707 * libm::pow(shut, 0.375);
    numerator * numerator / (open_fraction * open_fraction)
}

/// The open share that has this loss coefficient; `None` when it is negative or asks for less than one
/// part in ten thousand open.
#[must_use]
pub fn open_fraction(loss: f64) -> Option<f64> {
    bisect(SMALLEST_OPEN_FRACTION, 1.0, |f| loss - loss_coefficient(f))
}

/// Diameter of the round hole with this open share in a pipe.
#[must_use]
pub fn hole(pipe_diameter: Length, open_fraction: f64) -> Length {
    length(pipe_diameter.value * open_fraction.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_open_share_comes_back() {
        for f in [0.001, 0.1, 0.3, 0.5, 0.9, 0.999] {
            assert!((open_fraction(loss_coefficient(f)).unwrap() / f - 1.0).abs() < 1e-12);
        }
        assert!((open_fraction(0.0).unwrap() - 1.0).abs() < 1e-12);
        assert_eq!(open_fraction(-0.1), None);
        assert_eq!(open_fraction(1e12), None);
    }
}
