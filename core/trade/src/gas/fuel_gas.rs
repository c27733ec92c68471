//! The fuel gas by name or by its composition, as inputs write it.

use wythe_physics::fuel::{Fractions, Fuel};

use crate::form::{Pointer, Refusal, choice, input, within};

choice! {
    /// A fuel gas.
    pub enum FuelName {
        /// Natural gas of an ordinary composition.
        NaturalGas = "natural_gas",
        /// Pure propane.
        Propane = "propane",
        /// Pure methane.
        Methane = "methane",
        /// A mixture by its fractions.
        Mixture = "mixture",
    }
}

input! {
    /// The fuel gas.
    pub struct FuelGas {
        /// Which gas.
        pub fuel: FuelName,
        /// Mole fractions of a mixture.
        pub fractions: Option<FractionsInput>,
    }
}

input! {
    /// Mole fractions that add up to 1; one that is left out is 0.
    pub struct FractionsInput {
        /// CH4.
        pub methane: f64 = within(0.0, 1.0).or(0.0),
        /// C2H6.
        pub ethane: f64 = within(0.0, 1.0).or(0.0),
        /// C3H8.
        pub propane: f64 = within(0.0, 1.0).or(0.0),
        /// n-C4H10.
        pub n_butane: f64 = within(0.0, 1.0).or(0.0),
        /// CO2.
        pub carbon_dioxide: f64 = within(0.0, 1.0).or(0.0),
        /// N2.
        pub nitrogen: f64 = within(0.0, 1.0).or(0.0),
    }
}

impl FuelGas {
    /// The gas itself.
    ///
    /// # Errors
    /// `missing` for a mixture without fractions; `inconsistent` for fractions beside another gas, for
    /// fractions that do not add up to 1 within 0.001, and for a gas that does not burn.
    pub fn gas(&self) -> Result<Fuel, Refusal> {
        let at = Pointer::root().key("fractions");
        match (self.fuel, &self.fractions) {
            (FuelName::Mixture, Some(parts)) => Fuel::mixture(Fractions {
                methane: parts.methane,
                ethane: parts.ethane,
                propane: parts.propane,
                n_butane: parts.n_butane,
                carbon_dioxide: parts.carbon_dioxide,
                nitrogen: parts.nitrogen,
            })
            .map_err(|trouble| Refusal::inconsistent(at, trouble.to_string())),
            (FuelName::Mixture, None) => Err(Refusal::missing(
                at,
                "A mixture needs its fractions. Take them from the gas report and add them.",
            )),
            (_, Some(_)) => Err(Refusal::inconsistent(
                at,
                "This gas has its own composition. Write mixture to give fractions, or leave them out.",
            )),
            (FuelName::NaturalGas, None) => Ok(Fuel::natural_gas()),
            (FuelName::Propane, None) => Ok(Fuel::propane()),
            (FuelName::Methane, None) => Ok(Fuel::methane()),
        }
    }
}
