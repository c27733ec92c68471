//! The air at the site: standard pressure at altitude, moist air.

use crate::constants::{GAS_CONSTANT, GRAVITY, STANDARD_PRESSURE};
use crate::gas::Mixture;
use crate::quantities::{Length, MassDensity, Pressure, ThermodynamicTemperature, pressure};
use crate::saturation::ln_saturation;
use uom::si::mass_density::kilogram_per_cubic_meter;

/// Molar mass of dry air as the reckonings of the site's air take it, g/mol.
pub const MOLAR_MASS_DRY_AIR: f64 = 28.9657;
/// Molar mass of water, g/mol.
pub const MOLAR_MASS_WATER: f64 = 18.01528;
/// Mole fractions of dry air: oxygen, nitrogen, argon, carbon dioxide.
pub(crate) const DRY_AIR: DryAir = DryAir {
    oxygen: 0.2095,
    nitrogen: 0.7808,
    argon: 0.0093,
    carbon_dioxide: 0.0004,
};
/// Above this share of vapour the air of a site is not air any more; the flue's air is held to it.
pub(crate) const MOST_VAPOUR: f64 = 0.2;

/// Mole fractions of dry air.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DryAir {
    pub oxygen: f64,
    pub nitrogen: f64,
    pub argon: f64,
    pub carbon_dioxide: f64,
}

/// Pressure of the standard atmosphere at an altitude: `p = 101325 (1 - 2.25577e-5 z)^5.25588` Pa.
///
/// Range: -500 m..11 km. Source: US Standard Atmosphere 1976, troposphere, geopotential altitude
/// (<http://scipp.ucsc.edu/outreach/balloon/atmos/1976%20Standard%20Atmosphere.htm>).
#[must_use]
pub fn standard_pressure(altitude: Length) -> Pressure {
    pressure(pressure_at(altitude.value))
}

/// Pressure by EN 13384-1 (from memory): `97000 exp(-g z/(288 T))` Pa, a deliberate low-barometer
/// allowance, 4 % lower at sea level. For comparison only.
#[must_use]
pub fn pressure_en(altitude: Length, outdoor: ThermodynamicTemperature) -> Pressure {
    pressure(97_000.0 * libm::exp(-GRAVITY * altitude.value / (288.0 * outdoor.value)))
}

pub(crate) fn pressure_at(z: f64) -> f64 {
    STANDARD_PRESSURE * libm::pow(1.0 - 2.255_77e-5 * z, 5.255_88)
}

/// Air of a stated pressure, temperature and relative humidity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoistAir {
    pressure: f64,
    temperature: f64,
    saturation: f64,
    vapour: f64,
}

impl MoistAir {
    /// Air at `pressure` (absolute) and `temperature` with a relative humidity of 0..1.
    #[must_use]
    pub fn new(at_pressure: Pressure, temperature: ThermodynamicTemperature, relative_humidity: f64) -> Self {
        let saturation = libm::exp(ln_saturation(temperature.value));
        Self {
            pressure: at_pressure.value,
            temperature: temperature.value,
            saturation,
            vapour: relative_humidity * saturation,
        }
    }

    /// Saturation pressure at this temperature.
    #[must_use]
    pub fn saturation_pressure(&self) -> Pressure {
        pressure(self.saturation)
    }

    /// Partial pressure of the vapour.
    #[must_use]
    pub fn vapour_pressure(&self) -> Pressure {
        pressure(self.vapour)
    }

    /// Moles of vapour per mole of moist air.
    #[must_use]
    pub fn vapour_fraction(&self) -> f64 {
        self.vapour / self.pressure
    }

    /// Kilograms of vapour per kilogram of dry air (ideal gas; 0.621945 from memory).
    #[must_use]
    pub fn humidity_ratio(&self) -> f64 {
        0.621_945 * self.vapour / (self.pressure - self.vapour)
    }

    /// Density (ideal gas, within 0.08 % of real moist air).
    #[must_use]
    pub fn density(&self) -> MassDensity {
        let x = self.vapour_fraction();
        self.density_of((1.0 - x) * MOLAR_MASS_DRY_AIR + x * MOLAR_MASS_WATER)
    }

    /// Density of the same air without its vapour, at the same pressure.
    #[must_use]
    pub fn dry_density(&self) -> MassDensity {
        self.density_of(MOLAR_MASS_DRY_AIR)
    }

    /// The vapour fraction that a flue's air is computed with: this air's, held below 0.2.
    #[must_use]
    pub fn held_vapour_fraction(&self) -> f64 {
        self.vapour_fraction().min(MOST_VAPOUR)
    }

    fn density_of(&self, molar_mass: f64) -> MassDensity {
        MassDensity::new::<kilogram_per_cubic_meter>(
            self.pressure * molar_mass / 1000.0 / (GAS_CONSTANT * self.temperature),
        )
    }
}

/// Dry air mixed with a mole fraction of vapour.
pub(crate) fn air_mixture(vapour_fraction: f64) -> Mixture {
    let dry = 1.0 - vapour_fraction;
    Mixture::new([
        DRY_AIR.nitrogen * dry,
        DRY_AIR.oxygen * dry,
        DRY_AIR.argon * dry,
        DRY_AIR.carbon_dioxide * dry,
        vapour_fraction,
    ])
}
