//! The quantity types of the reckonings, all in SI base units inside.

use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N1, N2, N3, P1, P3, Z0};

pub use uom::si::f64::{
    Area, Energy, HeatTransfer, Length, Mass, Power, Pressure, TemperatureInterval, ThermalConductance,
    ThermalConductivity, ThermodynamicTemperature, Time, Volume, VolumeRate,
};

/// Heat per volume of gas, J/m³ (the dimension of a pressure).
pub type HeatingValue = Quantity<ISQ<N1, P1, N2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// Thermal resistance of an area, m²K/W.
pub type RValue = Quantity<ISQ<Z0, N1, P3, Z0, P1, Z0, Z0>, SI<f64>, f64>;

/// Exponents that the aliases above and their tests share.
pub(crate) type _Exponents = (N1, N2, N3, P1, P3, Z0);
