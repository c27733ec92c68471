//! What kinds of quantity there are, and the unit each is kept in.

use std::fmt;

/// A kind of quantity. Each has a stable code and one base unit, in which it is kept and given out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Metres.
    Length,
    /// Square metres.
    Area,
    /// Cubic metres.
    Volume,
    /// Kilograms.
    Mass,
    /// Seconds.
    Time,
    /// Metres per second.
    Speed,
    /// Pascals, a gauge pressure or a difference of pressures.
    Pressure,
    /// Pascals above a vacuum, such as a barometer reading.
    AbsolutePressure,
    /// Watts.
    Power,
    /// Joules.
    Energy,
    /// Cubic metres per second.
    VolumeFlow,
    /// Kilograms per second.
    MassFlow,
    /// Joules per cubic metre of gas (or of liquid, where the text says so).
    HeatingValue,
    /// Degrees Celsius.
    Temperature,
    /// Kelvins between two temperatures.
    TemperatureDifference,
    /// Watts per metre and kelvin, of a material.
    Conductivity,
    /// Watts per square metre and kelvin (a U-value).
    HeatTransfer,
    /// Square metres and kelvins per watt (an R-value).
    ThermalResistance,
    /// Watts per metre of length and kelvin, of an edge or a bridge.
    LinearConductance,
    /// Watts per kelvin.
    Conductance,
    /// Kilograms per cubic metre.
    Density,
    /// Kilograms per joule.
    MassPerEnergy,
}

impl Dimension {
    /// Every dimension, in the order of the declaration.
    pub const ALL: [Self; 22] = [
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Mass,
        Self::Time,
        Self::Speed,
        Self::Pressure,
        Self::AbsolutePressure,
        Self::Power,
        Self::Energy,
        Self::VolumeFlow,
        Self::MassFlow,
        Self::HeatingValue,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Conductivity,
        Self::HeatTransfer,
        Self::ThermalResistance,
        Self::LinearConductance,
        Self::Conductance,
        Self::Density,
        Self::MassPerEnergy,
    ];

    /// The stable code, snake_case.
    #[must_use]
    pub fn code(self) -> &'static str {
        self.facts().0
    }

    /// The base unit as written in JSON: `m`, `m2`, `Pa`, `degC`, ...
    #[must_use]
    pub fn base_unit(self) -> &'static str {
        self.facts().1
    }

    /// What a person calls it, with its article: "a length".
    #[must_use]
    pub fn in_words(self) -> &'static str {
        self.facts().2
    }

    /// One entry as a person would type it, for messages that say what to write.
    #[must_use]
    pub fn example(self) -> &'static str {
        self.facts().3
    }

    /// The dimension of a stable code.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|dimension| dimension.code() == code)
    }

    fn facts(self) -> (&'static str, &'static str, &'static str, &'static str) {
        match self {
            Self::Length => ("length", "m", "a length", "11 3/8 in"),
            Self::Area => ("area", "m2", "an area", "120 ft2"),
            Self::Volume => ("volume", "m3", "a volume", "0.5 ft3"),
            Self::Mass => ("mass", "kg", "a weight", "180 lb"),
            Self::Time => ("time", "s", "a time", "29 s"),
            Self::Speed => ("speed", "m/s", "a speed", "12 mph"),
            Self::Pressure => ("pressure", "Pa", "a pressure", "7 in wc"),
            Self::AbsolutePressure => ("absolute_pressure", "Pa", "a barometric pressure", "29.53 inHg"),
            Self::Power => ("power", "W", "an input or output of heat", "35,000 Btu/h"),
            Self::Energy => ("energy", "J", "an amount of heat", "2.5 MMBtu"),
            Self::VolumeFlow => ("volume_flow", "m3/s", "a flow", "62 cfh"),
            Self::MassFlow => ("mass_flow", "kg/s", "a flow by weight", "40 lb/h"),
            Self::HeatingValue => ("heating_value", "J/m3", "a heating value", "1020 Btu/ft3"),
            Self::Temperature => ("temperature", "degC", "a temperature", "12 degF"),
            Self::TemperatureDifference => (
                "temperature_difference",
                "K",
                "a difference of temperatures",
                "40 degF_diff",
            ),
            Self::Conductivity => ("conductivity", "W/mK", "a conductivity", "0.6 W/mK"),
            Self::HeatTransfer => ("heat_transfer", "W/m2K", "a U-value", "0.057 Btu/h·ft2·F"),
            Self::ThermalResistance => ("thermal_resistance", "m2K/W", "an R-value", "R-13"),
            Self::LinearConductance => (
                "linear_conductance",
                "W/mK",
                "a heat loss along an edge",
                "0.73 Btu/h·ft·F",
            ),
            Self::Conductance => ("conductance", "W/K", "a heat loss per degree", "64 Btu/h·F"),
            Self::Density => ("density", "kg/m3", "a density", "1.07 kg/m3"),
            Self::MassPerEnergy => (
                "mass_per_energy",
                "kg/J",
                "a weight per amount of heat",
                "0.11 lb/MMBtu",
            ),
        }
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.in_words())
    }
}
