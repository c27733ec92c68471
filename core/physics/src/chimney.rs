//! The single room-air chimney: what the old stove had, and a cross-check of the balanced flue.
//!
//! The chain of EN 13384-1 (structure <https://dnaop.com/html/62710_8.html>, figures from memory) and the draft
//! formula of the ASHRAE Handbook.

use crate::constants::{GAS_CONSTANT, GRAVITY};
use crate::friction::{Closure, Duct, Shape};
use crate::gas::Mixture;
use crate::quantities::{
    HeatTransfer, Insulance, Length, MassRate, Pressure, TemperatureInterval, ThermodynamicTemperature,
    kelvin_difference, pressure, temperature,
};
use crate::two_stream::cooled;
use std::f64::consts::PI;

/// Draft by the ASHRAE form `0.03413 B H (1/T_o - 1/T_m)` Pa, with B the barometric pressure in Pa
/// (<https://www.scribd.com/document/868441252/Chimney-Calculation>). It takes flue gas for air; wet gas flue
/// gas is 2 to 4 % lighter.
#[must_use]
pub fn draft_ashrae(
    barometer: Pressure,
    height: Length,
    outdoor: ThermodynamicTemperature,
    mean: ThermodynamicTemperature,
) -> Pressure {
    pressure(0.03413 * barometer.value * height.value * (1.0 / outdoor.value - 1.0 / mean.value))
}

/// Draft of a column of gas beside a column of air: `g H (rho_air - rho_gas)`.
#[must_use]
pub fn draft(
    barometer: Pressure,
    height: Length,
    air: (&Mixture, ThermodynamicTemperature),
    gas: (&Mixture, ThermodynamicTemperature),
) -> Pressure {
    let constant = |mixture: &Mixture| GAS_CONSTANT / (mixture.grams_per_mole() / 1000.0);
    draft_of_columns(
        barometer,
        height,
        (constant(air.0), air.1),
        (constant(gas.0), gas.1),
    )
}

/// The same from the specific gas constants of both, J/(kg K).
#[must_use]
pub fn draft_of_columns(
    barometer: Pressure,
    height: Length,
    air: (f64, ThermodynamicTemperature),
    gas: (f64, ThermodynamicTemperature),
) -> Pressure {
    let lighter = 1.0 / (air.0 * air.1.value) - 1.0 / (gas.0 * gas.1.value);
    pressure(GRAVITY * height.value * barometer.value * lighter)
}

/// Exhaust per heat input by the ASHRAE form for natural gas (from memory), kg per MJ gross:
/// `0.705 (0.159 + 10.72/CO2) lb` per 1000 Btu, CO2 in percent of dry exhaust.
#[must_use]
pub fn exhaust_per_heat_natural_gas(carbon_dioxide_percent: f64) -> f64 {
    POUNDS_PER_THOUSAND_BTU * 0.705 * (0.159 + 10.72 / carbon_dioxide_percent)
}

/// The same for propane: `0.706 (0.168 + 12.59/CO2) lb` per 1000 Btu.
#[must_use]
pub fn exhaust_per_heat_propane(carbon_dioxide_percent: f64) -> f64 {
    POUNDS_PER_THOUSAND_BTU * 0.706 * (0.168 + 12.59 / carbon_dioxide_percent)
}

/// 1 lb per 1000 Btu in kg/MJ.
const POUNDS_PER_THOUSAND_BTU: f64 = 0.453_592_37 / 1.055_055_852_62;

/// A round chimney with one stream of gas.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomChimney {
    /// What rises in it.
    pub gas: Mixture,
    /// How much of it.
    pub flow: MassRate,
    /// Gas temperature at the bottom.
    pub inlet: ThermodynamicTemperature,
    /// Barometric pressure.
    pub barometer: Pressure,
    /// Air outdoors: what draws against the gas.
    pub air: Mixture,
    /// Its temperature.
    pub outdoor: ThermodynamicTemperature,
    /// Around the chimney, on the mean of its length and at its top.
    pub surroundings: ThermodynamicTemperature,
    /// At the outlet.
    pub surroundings_at_top: ThermodynamicTemperature,
    /// Inside diameter.
    pub diameter: Length,
    /// Outside hydraulic diameter.
    pub outside_diameter: Length,
    /// Height; the gas travels as far as it rises.
    pub height: Length,
    /// Roughness.
    pub roughness: Length,
    /// Form losses, in velocity heads.
    pub loss_coefficient: f64,
    /// Resistance of the wall, per square metre of inside.
    pub resistance: Insulance,
    /// Film outside: 8 indoors, 23 outdoors.
    pub outside_coefficient: HeatTransfer,
    /// Factor on losses: 1.2 sealed, 1.5 otherwise.
    pub flow_safety: f64,
    /// Resistance to air supply.
    pub air_supply: Pressure,
    /// Whether the masonry is warmed through (1) or not (0.5, for the pressure check).
    pub soaked: f64,
}

/// What the chain gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomChimneyAnswer {
    /// Mean gas temperature.
    pub mean: ThermodynamicTemperature,
    /// Gas temperature at the top.
    pub outlet: ThermodynamicTemperature,
    /// Inner wall at the top, warmed through.
    pub wall_at_top: ThermodynamicTemperature,
    /// Draft at rest.
    pub draft: Pressure,
    /// Friction, form losses and acceleration.
    pub resistance: Pressure,
    /// Draft left at the bottom for stove, connector and air supply: draft less resistance less wind.
    pub at_inlet: Pressure,
    /// Cooling between bottom and top.
    pub cooling: TemperatureInterval,
}

impl RoomChimney {
    /// Computes the chimney; `wind` is the allowance of 25 Pa inland or 40 Pa at a coast, or nothing.
    #[must_use]
    pub fn answer(&self, wind: Pressure) -> RoomChimneyAnswer {
        let mut mean = self.inlet.value;
        let mut cooling = 0.0;
        // The mean settles within a few rounds; each changes it by a small share of the one before.
        for _ in 0..50 {
            cooling = self.cooling_number(mean, self.soaked).0;
            mean = self.surroundings.value + (self.inlet.value - self.surroundings.value) * cooled(cooling).1;
        }
        let over = self.inlet.value - self.surroundings.value;
        let outlet = self.surroundings.value + over * cooled(cooling).0;
        let area = PI * self.diameter.value * self.diameter.value / 4.0;
        let flux = self.flow.value / area;
        let density = |t: f64| self.gas.rho(self.barometer.value, t);
        let rest = GRAVITY
            * self.height.value
            * (self.air.rho(self.barometer.value, self.outdoor.value) - density(mean));
        let losses = self.friction(mean) * self.height.value / self.diameter.value + self.loss_coefficient;
        let change = flux * flux * (1.0 / density(outlet) - 1.0 / density(self.inlet.value)) / 2.0;
        let change = if change >= 0.0 {
            self.flow_safety * change
        } else {
            change
        };
        let resistance = self.flow_safety * losses * flux * flux / (2.0 * density(mean)) + change;
        let (soaked, transfer, film) = self.cooling_number(mean, 1.0);
        let top = self.surroundings.value + over * cooled(soaked).0;
        RoomChimneyAnswer {
            mean: temperature(mean),
            outlet: temperature(outlet),
            wall_at_top: temperature(top - transfer / film * (top - self.surroundings_at_top.value)),
            draft: pressure(rest),
            resistance: pressure(resistance),
            at_inlet: pressure(rest - resistance - wind.value - self.air_supply.value),
            cooling: TemperatureInterval::new::<kelvin_difference>(self.inlet.value - outlet),
        }
    }

    /// Cooling number, transfer coefficient and inside film at a mean temperature:
    /// `1/k = 1/h_i + S_H (1/L + D_h/(D_ha a_a))`, `K = U k L/(m cp)`.
    fn cooling_number(&self, mean: f64, soaked: f64) -> (f64, f64, f64) {
        let diameter = self.diameter.value;
        let transport = self.gas.transport(mean);
        let prandtl = self.gas.cp(mean) * transport.viscosity / transport.conductivity;
        let film = self.duct().nusselt(self.reynolds(mean), prandtl) * transport.conductivity / diameter;
        let outside = diameter / (self.outside_diameter.value * self.outside_coefficient.value);
        let transfer = 1.0 / (1.0 / film + soaked * (self.resistance.value + outside));
        let surface = PI * diameter * self.height.value;
        (
            surface * transfer / (self.flow.value * self.gas.cp(mean)),
            transfer,
            film,
        )
    }

    fn friction(&self, mean: f64) -> f64 {
        self.duct().friction(self.reynolds(mean))
    }

    fn reynolds(&self, mean: f64) -> f64 {
        4.0 * self.flow.value / (PI * self.diameter.value * self.gas.transport(mean).viscosity)
    }

    fn duct(&self) -> Duct {
        let (d, l) = (self.diameter.value, self.height.value);
        Duct::new(
            Closure::Floor2300,
            Shape::Round,
            self.roughness.value / d,
            true,
            d / l,
        )
    }
}
