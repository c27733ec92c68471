//! The quantity types of the reckonings, all in SI base units inside.

use uom::si::energy::joule;
pub use uom::si::f64::{
    Area, Energy, HeatTransfer, Length, Mass, Power, Pressure, TemperatureInterval, ThermalConductance,
    ThermalConductivity, ThermodynamicTemperature, Time, Volume, VolumeRate,
};
use uom::si::power::watt;
use uom::si::volume::cubic_meter;
use uom::si::volume_rate::cubic_meter_per_second;

pub use wythe_units::{AbsolutePressure, HeatingValue, LinearConductance, Quantity, ThermalInsulance};

/// Heat in a flow of gas, per second.
#[must_use]
pub fn heat_of(flow: VolumeRate, heating_value: HeatingValue) -> Power {
    Power::new::<watt>(flow.value * heating_value.0)
}

/// The flow of gas that carries so much heat a second.
#[must_use]
pub fn flow_for(heat: Power, heating_value: HeatingValue) -> VolumeRate {
    VolumeRate::new::<cubic_meter_per_second>(heat.get::<watt>() / heating_value.0)
}

/// The volume of gas that carries so much heat.
#[must_use]
pub fn volume_for(heat: Energy, heating_value: HeatingValue) -> Volume {
    Volume::new::<cubic_meter>(heat.get::<joule>() / heating_value.0)
}
