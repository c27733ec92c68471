//! Water vapour at saturation: pressure over water and ice, dew and frost point.

use crate::constants::ICE_POINT;
use crate::quantities::{Pressure, ThermodynamicTemperature, pressure, temperature};
use crate::roots::bisect;

/// Saturation pressure of water vapour over water (from 273.15 K) or ice (below).
///
/// Range: 173.15..400 K. Source: Hyland and Wexler 1983, as in the ASHRAE Handbook, Fundamentals (from
/// memory); against a reference equation of state 0.02 % over water, 0.08 % over ice.
#[must_use]
pub fn saturation_pressure(at: ThermodynamicTemperature) -> Pressure {
    pressure(libm::exp(ln_saturation(at.value)))
}

/// The temperature at which vapour of this partial pressure begins to condense (or to freeze out).
/// `None` where that lies outside 173.15..400 K, and for no vapour at all.
#[must_use]
pub fn dew_point(vapour: Pressure) -> Option<ThermodynamicTemperature> {
    dew(vapour.value).map(temperature)
}

/// The closed form of EN 13384-1 for the water dew point (from memory), for comparison with
/// [`dew_point`]: up to 0.04 K above it between 5 and 70 degC.
#[must_use]
pub fn dew_point_en(vapour: Pressure) -> ThermodynamicTemperature {
    temperature(4077.9 / (23.6448 - libm::log(vapour.value)) - 236.67 + ICE_POINT)
}

/// Natural logarithm of the saturation pressure in Pa at `t` kelvin.
pub(crate) fn ln_saturation(t: f64) -> f64 {
    if t >= ICE_POINT {
        -5.800_220_6e3 / t
            + 1.391_499_3
            + t * (-4.864_023_9e-2 + t * (4.176_476_8e-5 + t * -1.445_209_3e-8))
            + 6.545_967_3 * libm::log(t)
    } else {
        -5.674_535_9e3 / t
            + 6.392_524_7
            + t * (-9.677_843e-3 + t * (6.221_570_1e-7 + t * (2.074_782_5e-9 + t * -9.484_024e-13)))
            + 4.163_501_9 * libm::log(t)
    }
}

/// Dew or frost point in K of a partial pressure in Pa.
pub(crate) fn dew(vapour: f64) -> Option<f64> {
    if vapour.is_nan() || vapour <= 0.0 {
        return None;
    }
    let wanted = libm::log(vapour);
    bisect(173.15, 400.0, |t| ln_saturation(t) - wanted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dew_point_of_saturated_air_is_its_temperature() {
        for t in [180.0, 233.15, 263.15, 273.16, 290.0, 320.0, 399.0] {
            let back = dew_point(saturation_pressure(temperature(t))).unwrap().value;
            assert!((back - t).abs() < 1e-9, "{t} K came back as {back} K");
        }
    }

    #[test]
    fn no_vapour_has_no_dew_point() {
        assert_eq!(dew_point(pressure(0.0)), None);
        assert_eq!(dew_point(pressure(1e9)), None);
        assert_eq!(dew_point(pressure(f64::NAN)), None);
    }

    #[test]
    fn the_closed_form_stays_close() {
        for t in [278.15_f64, 300.0, 320.0, 343.15] {
            let closed = dew_point_en(saturation_pressure(temperature(t))).value;
            assert!((0.0..0.04).contains(&(closed - t)), "{t} K against {closed} K");
        }
    }
}
