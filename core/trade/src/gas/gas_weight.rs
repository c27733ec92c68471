//! The gas in a pipe or an orifice, and how heavy it is.

use crate::form::{Pointer, Refusal, choice, input, within};

choice! {
    /// A gas by name, or another one.
    pub enum Gas {
        /// Natural gas, specific gravity 0.60 unless given.
        NaturalGas = "natural_gas",
        /// Propane, specific gravity 1.50 unless given.
        Propane = "propane",
        /// Another gas; its specific gravity is needed.
        Other = "other",
    }
}

input! {
    /// The gas and how heavy it is.
    pub struct GasWeight {
        /// Which gas.
        pub gas: Gas,
        /// Specific gravity, air = 1.
        pub specific_gravity: Option<f64> = within(0.3, 3.0),
    }
}

impl GasWeight {
    /// The specific gravity: as given, else 0.60 for natural gas and 1.50 for propane.
    ///
    /// # Errors
    /// `missing` for another gas without one.
    pub fn weight(&self) -> Result<f64, Refusal> {
        match (self.specific_gravity, self.gas) {
            (Some(given), _) => Ok(given),
            (None, Gas::NaturalGas) => Ok(0.60),
            (None, Gas::Propane) => Ok(1.50),
            (None, Gas::Other) => Err(Refusal::missing(
                Pointer::root().key("specific_gravity"),
                "The specific gravity of this gas is needed. Add it as the supplier gives it, air being 1.",
            )),
        }
    }
}
