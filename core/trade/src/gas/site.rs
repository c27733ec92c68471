//! The keys that many gas reckonings share: where the site lies, and what a standard volume is.

use wythe_physics::atmosphere::standard_pressure;
use wythe_physics::derate::above_2000_ft;

use crate::customary::ATMOSPHERE;
use crate::form::{input, within};
use crate::quantities::{AbsolutePressure, Length, Pressure, ThermodynamicTemperature};

input! {
    /// Where the site lies.
    pub struct Site {
        /// Altitude above sea level.
        pub altitude: Length = within(-500.0, 4500.0).or("0 m"),
        /// Barometer at the site as it stands there, not corrected to sea level; wins over the altitude.
        pub barometer: Option<AbsolutePressure> = within(50e3, 110e3),
    }
}

impl Site {
    /// Absolute air pressure: the barometer's, else the standard atmosphere's at the altitude.
    #[must_use]
    pub fn pressure(&self) -> Pressure {
        self.barometer
            .map_or_else(|| standard_pressure(self.altitude), |barometer| barometer.0)
    }

    /// p / 101,325 Pa.
    #[must_use]
    pub fn pressure_ratio(&self) -> f64 {
        self.pressure().value / ATMOSPHERE
    }

    /// Whether the site lies above 2,000 ft; 2,000 ft typed as feet does not.
    #[must_use]
    pub fn above_2000_ft(&self) -> bool {
        above_2000_ft(self.altitude)
    }
}

input! {
    /// The standard volume; a setting because state rules differ.
    pub struct Base {
        /// Absolute pressure of a standard volume.
        pub base_pressure: AbsolutePressure = within(80e3, 120e3).or("14.73 psi"),
        /// Temperature of a standard volume.
        pub base_temperature: ThermodynamicTemperature = within(0.0, 30.0).or("60 degF"),
    }
}
