//! The quantities that cross this crate's border, gathered in one place.

use wythe_units::Quantity;

pub use uom::si::f64::{
    Area, AvailableEnergy, DynamicViscosity, HeatTransfer, Length, LinearMassDensity, MassDensity, MassRate,
    MolarEnergy, MolarMass, Power, Pressure, SpecificHeatCapacity, TemperatureInterval, ThermalConductance,
    ThermalConductivity, ThermodynamicTemperature, Velocity,
};
pub use uom::si::{
    area::square_meter, available_energy::joule_per_kilogram, dynamic_viscosity::pascal_second,
    heat_transfer::watt_per_square_meter_kelvin, length::meter, mass_density::kilogram_per_cubic_meter,
    mass_rate::kilogram_per_second, molar_energy::joule_per_mole, molar_mass::gram_per_mole, power::watt,
    pressure::pascal, specific_heat_capacity::joule_per_kilogram_kelvin,
    temperature_interval::kelvin as kelvin_difference, thermal_conductivity::watt_per_meter_kelvin,
    thermodynamic_temperature::kelvin, velocity::meter_per_second,
};

pub use wythe_units::ThermalInsulance as Insulance;

/// An insulance from its value in m2 K/W.
#[must_use]
pub fn insulance(square_meter_kelvin_per_watt: f64) -> Insulance {
    Insulance::from_base(square_meter_kelvin_per_watt)
}

/// A pressure from its value in Pa.
#[must_use]
pub fn pressure(pascals: f64) -> Pressure {
    Pressure::new::<pascal>(pascals)
}

/// A length from its value in m.
#[must_use]
pub fn length(meters: f64) -> Length {
    Length::new::<meter>(meters)
}

/// An absolute temperature from its value in K.
#[must_use]
pub fn temperature(kelvins: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<kelvin>(kelvins)
}

/// A power from its value in W.
#[must_use]
pub fn power(watts: f64) -> Power {
    Power::new::<watt>(watts)
}
