//! Typed quantities of `uom`, tied to the dimension they are read and given out in.

use std::marker::PhantomData;

use uom::si::f64::{
    Area, Energy, HeatTransfer, Length, Mass, MassDensity, MassPerEnergy, MassRate, Power, Pressure,
    TemperatureInterval, ThermalConductance, ThermalConductivity, ThermodynamicTemperature, Time, Velocity,
    Volume, VolumeRate,
};
use uom::typenum::{N1, P1, P3, Z0};

use crate::dimension::Dimension;

/// A typed quantity: what dimension it has, and its value in that dimension's base unit.
pub trait Quantity: Copy {
    /// The dimension.
    const DIMENSION: Dimension;

    /// From a value in the base unit (for temperatures degrees Celsius).
    fn from_base(base: f64) -> Self;

    /// The value in the base unit (for temperatures degrees Celsius).
    fn to_base(self) -> f64;
}

macro_rules! quantities {
    ($($type:ty => $dimension:ident),* $(,)?) => {$(
        impl Quantity for $type {
            const DIMENSION: Dimension = Dimension::$dimension;
            fn from_base(base: f64) -> Self {
                Self { dimension: PhantomData, units: PhantomData, value: base }
            }
            fn to_base(self) -> f64 {
                self.value
            }
        }
    )*};
}

quantities! {
    Length => Length,
    Area => Area,
    Volume => Volume,
    Mass => Mass,
    Time => Time,
    Velocity => Speed,
    Pressure => Pressure,
    Power => Power,
    Energy => Energy,
    VolumeRate => VolumeFlow,
    MassRate => MassFlow,
    TemperatureInterval => TemperatureDifference,
    ThermalConductivity => Conductivity,
    HeatTransfer => HeatTransfer,
    ThermalInsulance => ThermalResistance,
    ThermalConductance => Conductance,
    MassDensity => Density,
    MassPerEnergy => MassPerEnergy,
}

/// Square metres and kelvins per watt: an R-value, the inverse of a U-value.
pub type ThermalInsulance =
    uom::si::Quantity<uom::si::ISQ<Z0, N1, P3, Z0, P1, Z0, Z0>, uom::si::SI<f64>, f64>;

const KELVIN_AT_ZERO_CELSIUS: f64 = 273.15;

impl Quantity for ThermodynamicTemperature {
    const DIMENSION: Dimension = Dimension::Temperature;
    fn from_base(base: f64) -> Self {
        Self {
            dimension: PhantomData,
            units: PhantomData,
            value: base + KELVIN_AT_ZERO_CELSIUS,
        }
    }
    fn to_base(self) -> f64 {
        self.value - KELVIN_AT_ZERO_CELSIUS
    }
}

/// A pressure above a vacuum, so that a barometer reading is never taken for a gauge pressure.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct AbsolutePressure(pub Pressure);

impl Quantity for AbsolutePressure {
    const DIMENSION: Dimension = Dimension::AbsolutePressure;
    fn from_base(base: f64) -> Self {
        Self(Pressure::from_base(base))
    }
    fn to_base(self) -> f64 {
        self.0.value
    }
}

/// Heat lost along an edge or a bridge, W/mK: the same unit as a conductivity, another thing.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct LinearConductance(pub ThermalConductivity);

impl Quantity for LinearConductance {
    const DIMENSION: Dimension = Dimension::LinearConductance;
    fn from_base(base: f64) -> Self {
        Self(ThermalConductivity::from_base(base))
    }
    fn to_base(self) -> f64 {
        self.0.value
    }
}

/// Heat in a volume of gas (or of a liquid), J/m3: the same unit as a pressure, another thing.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct HeatingValue(pub f64);

impl Quantity for HeatingValue {
    const DIMENSION: Dimension = Dimension::HeatingValue;
    fn from_base(base: f64) -> Self {
        Self(base)
    }
    fn to_base(self) -> f64 {
        self.0
    }
}
