//! Free convection at a vertical wall, its blend with forced convection, and radiation across a gap.

use crate::constants::{GRAVITY, STEFAN_BOLTZMANN};
use crate::gas::Mixture;
use crate::quantities::{HeatTransfer, Pressure, ThermodynamicTemperature, watt_per_square_meter_kelvin};

/// Still air conducts at least this much, W/(m2 K).
pub(crate) const STILL_AIR: f64 = 0.5;

/// Free convection at a vertical wall in air, Churchill and Chu's limit for high Rayleigh number and
/// Pr = 0.71 (from memory): `0.105 k (g dT rho^2 cp/(T mu k))^(1/3)`, at least 0.5 W/m2K, properties at the
/// mean of wall and air. It does not depend on the height; the full formula gives 5 to 6 % more at 6 m and
/// 18 to 27 % more at 0.5 m.
#[must_use]
pub fn free_convection(
    air: &Mixture,
    pressure: Pressure,
    wall: ThermodynamicTemperature,
    air_temperature: ThermodynamicTemperature,
) -> HeatTransfer {
    let h = free(air, pressure.value, wall.value, air_temperature.value);
    HeatTransfer::new::<watt_per_square_meter_kelvin>(h.film)
}

/// A film coefficient and how strongly it grows with the difference that drives it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Film {
    /// W/(m2 K).
    pub film: f64,
    /// d ln(film)/d ln(difference): a third in free convection, 0 where the floor holds.
    pub growth: f64,
}

/// Free convection alone.
pub(crate) fn free(air: &Mixture, p: f64, wall: f64, bulk: f64) -> Film {
    let (cube, growth) = free_cube(air, p, wall, bulk);
    Film {
        film: libm::cbrt(cube),
        growth,
    }
}

/// Forced and free convection together: `(h_F^3 + h_N^3)^(1/3)` (from memory). The growth is that of the
/// blend with the driving difference.
pub(crate) fn blend(forced: f64, air: &Mixture, p: f64, wall: f64, bulk: f64) -> Film {
    let (cube, growth) = free_cube(air, p, wall, bulk);
    let sum = forced * forced * forced + cube;
    Film {
        film: libm::cbrt(sum),
        growth: growth * cube / sum,
    }
}

/// The cube of the free film and its growth.
fn free_cube(air: &Mixture, p: f64, wall: f64, bulk: f64) -> (f64, f64) {
    let film = 0.5 * (wall + bulk);
    let transport = air.transport(film);
    let k = 0.105 * transport.conductivity;
    let rho = air.rho(p, film);
    let difference = (wall - bulk).abs();
    let group = GRAVITY * difference * rho * rho * air.cp(film)
        / (film * transport.viscosity * transport.conductivity);
    let cube = k * k * k * group;
    if cube > STILL_AIR * STILL_AIR * STILL_AIR {
        (cube, 1.0 / 3.0)
    } else {
        (STILL_AIR * STILL_AIR * STILL_AIR, 0.0)
    }
}

/// Radiation between a liner and the tile around it, per square metre of liner and kelvin:
/// `sigma (Tw^2 + Tt^2)(Tw + Tt) / (1/e_l + (liner area/tile area)(1/e_t - 1))` (from memory).
#[must_use]
pub fn radiation(
    liner: ThermodynamicTemperature,
    tile: ThermodynamicTemperature,
    liner_emissivity: f64,
    tile_emissivity: f64,
    area_ratio: f64,
) -> HeatTransfer {
    let exchange = exchange(liner_emissivity, tile_emissivity, area_ratio);
    HeatTransfer::new::<watt_per_square_meter_kelvin>(radiant(exchange, liner.value, tile.value))
}

/// The part of the radiation formula that does not depend on temperature, W/(m2 K4).
pub(crate) fn exchange(liner_emissivity: f64, tile_emissivity: f64, area_ratio: f64) -> f64 {
    STEFAN_BOLTZMANN / (1.0 / liner_emissivity + area_ratio * (1.0 / tile_emissivity - 1.0))
}

/// The radiation coefficient for given temperatures, W/(m2 K).
pub(crate) fn radiant(exchange: f64, a: f64, b: f64) -> f64 {
    exchange * (a * a + b * b) * (a + b)
}
