//! What appliance_match is asked with.

use crate::form::{Pointer, Refusal, choice, input, over, within};
use crate::gas::derate_rule::DerateRuleChoice;
use crate::quantities::{Length, Power, ThermalConductance, ThermodynamicTemperature};

use super::fit::Climate;

choice! {
    /// What the stove is to heat.
    pub enum Heats {
        /// The room it stands in.
        Room = "room",
        /// The whole house.
        House = "house",
    }
}

input! {
    /// The stove, what it is to heat, and the days it is held against.
    pub struct Input {
        /// The room the stove stands in.
        pub room: Option<LoadInput>,
        /// The whole house.
        pub house: Option<LoadInput>,
        /// What the stove is to heat; needed when both are given.
        pub heats: Option<Heats>,
        /// Wanted indoors.
        pub indoor_temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// Design temperature outdoors, below indoors.
        pub outdoor_temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// A mild day outdoors.
        pub mild_outdoor_temperature: Option<ThermodynamicTemperature> = within(-60.0, 60.0),
        /// Altitude of the site.
        pub altitude: Length = within(-500.0, 4500.0).or("0 m"),
        /// How the input is reduced at altitude; four_percent_from_sea_level unless given.
        pub derate_rule: Option<DerateRuleChoice>,
        /// What the site leaves of the input; goes before the rule.
        pub derate_factor: Option<f64> = within(0.3, 1.0),
        /// Plate input at high fire.
        pub high_input: Option<Power> = over(0.0, 200e3),
        /// Input at high fire as it burns at the site.
        pub site_input: Option<Power> = over(0.0, 200e3),
        /// Efficiency at high fire.
        pub efficiency: Option<f64> = within(0.3, 1.0),
        /// Efficiency at low fire; that at high fire unless given.
        pub low_efficiency: Option<f64> = within(0.3, 1.0),
        /// Input at low fire; of the plate, or at the site beside site_input.
        pub low_input: Option<Power> = within(0.0, 200e3),
        /// Output at high fire.
        pub high_output: Option<Power> = over(0.0, 200e3),
        /// Output at low fire.
        pub low_output: Option<Power> = within(0.0, 200e3),
        /// Accepted high output over load.
        pub oversize_limit: f64 = within(1.0, 5.0).or(1.4),
    }
}

input! {
    /// A design heat loss.
    pub struct LoadInput {
        /// Loss on the design day.
        pub load: Power = within(0.0, 200e3),
        /// Loss per degree; from the load and the temperatures unless given.
        pub ua: Option<ThermalConductance> = over(0.0, 1e5),
    }
}

impl Input {
    /// What the verdict is about.
    pub(super) fn heats(&self) -> Result<Heats, Refusal> {
        let root = Pointer::root();
        match (&self.room, &self.house, self.heats) {
            (None, None, _) => Err(Refusal::missing(
                root.key("room"),
                "The load of the room or of the house is needed. Reckon its heat loss and add it.",
            )),
            (Some(_), Some(_), None) => Err(Refusal::missing(
                root.key("heats"),
                "Both loads are given. Say which one the stove is to heat: room or house.",
            )),
            (Some(_), _, Some(Heats::Room)) | (Some(_), None, None) => Ok(Heats::Room),
            (_, Some(_), Some(Heats::House)) | (None, Some(_), None) => Ok(Heats::House),
            (None, _, Some(Heats::Room)) | (_, None, Some(Heats::House)) => Err(Refusal::inconsistent(
                root.key("heats"),
                "The stove is to heat what has no load here. Add that load, or name the other.",
            )),
        }
    }

    /// The temperatures, outdoors below indoors.
    pub(super) fn climate(&self) -> Result<Climate, Refusal> {
        if self.outdoor_temperature >= self.indoor_temperature {
            return Err(Refusal::inconsistent(
                Pointer::root().key("outdoor_temperature"),
                "Outdoors is not colder than indoors, so there is nothing to heat. Look at both temperatures again.",
            ));
        }
        Ok(Climate {
            indoor: self.indoor_temperature,
            outdoor: self.outdoor_temperature,
            mild_outdoor: self.mild_outdoor_temperature,
        })
    }
}
