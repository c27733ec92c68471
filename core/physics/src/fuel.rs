//! Fuel gases: what they are made of and what they give.

use crate::error::PhysicsError;

/// Per species: carbon, hydrogen atoms, molar mass g/mol, gross and net molar heat of combustion at
/// 25 degC, kJ/mol. ISO 6976 values (from memory), within 0.02 % of formation enthalpies. The carbon of
/// inert carbon dioxide is not counted as burning carbon.
struct Species {
    carbon: f64,
    hydrogen: f64,
    molar_mass: f64,
    gross: f64,
    net: f64,
}

const METHANE: Species = Species {
    carbon: 1.0,
    hydrogen: 4.0,
    molar_mass: 16.0425,
    gross: 890.63,
    net: 802.60,
};
const ETHANE: Species = Species {
    carbon: 2.0,
    hydrogen: 6.0,
    molar_mass: 30.069,
    gross: 1560.69,
    net: 1428.64,
};
const PROPANE: Species = Species {
    carbon: 3.0,
    hydrogen: 8.0,
    molar_mass: 44.0956,
    gross: 2219.17,
    net: 2043.11,
};
const N_BUTANE: Species = Species {
    carbon: 4.0,
    hydrogen: 10.0,
    molar_mass: 58.1222,
    gross: 2877.40,
    net: 2657.32,
};
const CARBON_DIOXIDE: Species = Species {
    carbon: 0.0,
    hydrogen: 0.0,
    molar_mass: 44.0095,
    gross: 0.0,
    net: 0.0,
};
const NITROGEN: Species = Species {
    carbon: 0.0,
    hydrogen: 0.0,
    molar_mass: 28.0134,
    gross: 0.0,
    net: 0.0,
};

/// Mole fractions of a fuel gas.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Fractions {
    /// CH4.
    pub methane: f64,
    /// C2H6.
    pub ethane: f64,
    /// C3H8.
    pub propane: f64,
    /// n-C4H10.
    pub n_butane: f64,
    /// CO2, inert.
    pub carbon_dioxide: f64,
    /// N2, inert.
    pub nitrogen: f64,
}

/// A fuel gas whose composition is known to add up and to burn. Figures per mole of fuel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fuel {
    fractions: Fractions,
    /// Burning carbon, mol/mol.
    pub(crate) carbon: f64,
    /// Hydrogen atoms, mol/mol.
    pub(crate) hydrogen: f64,
    /// g/mol.
    pub(crate) molar_mass: f64,
    /// Gross heat of combustion, kJ/mol.
    pub(crate) gross: f64,
    /// Net heat of combustion, kJ/mol.
    pub(crate) net: f64,
}

impl Fuel {
    /// Natural gas of an ordinary composition (an assumption: CH4 .935, C2H6 .035, C3H8 .007, n-C4H10
    /// .003, CO2 .008, N2 .012).
    #[must_use]
    pub fn natural_gas() -> Self {
        Self::of(Fractions {
            methane: 0.935,
            ethane: 0.035,
            propane: 0.007,
            n_butane: 0.003,
            carbon_dioxide: 0.008,
            nitrogen: 0.012,
        })
    }

    /// Pure propane.
    #[must_use]
    pub fn propane() -> Self {
        Self::of(Fractions {
            propane: 1.0,
            ..Fractions::default()
        })
    }

    /// Pure methane.
    #[must_use]
    pub fn methane() -> Self {
        Self::of(Fractions {
            methane: 1.0,
            ..Fractions::default()
        })
    }

    /// A mixture from its mole fractions, which are divided by their sum.
    ///
    /// # Errors
    /// `out_of_range` for a fraction outside 0..1; `inconsistent` when the sum is not within 0.001 of 1 or
    /// when nothing in it burns.
    pub fn mixture(fractions: Fractions) -> Result<Self, PhysicsError> {
        let parts = fractions.named();
        for (name, x) in parts {
            if !(0.0..=1.0).contains(&x) {
                let field = format!("fractions/{name}");
                return Err(PhysicsError::OutOfRange {
                    field,
                    low: 0.0,
                    high: 1.0,
                    unit: "",
                });
            }
        }
        let sum: f64 = parts.iter().map(|(_, x)| x).sum();
        if (sum - 1.0).abs() > 0.001 + 1e-12 {
            return Err(PhysicsError::inconsistent(
                "fractions",
                format!(
                    "the fractions add up to {sum}, and a gas is 1 in all. Look at the gas report again."
                ),
            ));
        }
        let scaled = Fractions {
            methane: fractions.methane / sum,
            ethane: fractions.ethane / sum,
            propane: fractions.propane / sum,
            n_butane: fractions.n_butane / sum,
            carbon_dioxide: fractions.carbon_dioxide / sum,
            nitrogen: fractions.nitrogen / sum,
        };
        let fuel = Self::of(scaled);
        if fuel.gross <= 0.0 {
            return Err(PhysicsError::inconsistent(
                "fractions",
                "nothing in this gas burns. Name at least one of methane, ethane, propane, n_butane.",
            ));
        }
        Ok(fuel)
    }

    /// Mole fractions, adding up to one.
    #[must_use]
    pub fn fractions(&self) -> Fractions {
        self.fractions
    }

    /// Molar mass, g/mol.
    #[must_use]
    pub fn grams_per_mole(&self) -> f64 {
        self.molar_mass
    }

    /// Gross heat of combustion at 25 degC, kJ/mol.
    #[must_use]
    pub fn gross_kilojoules_per_mole(&self) -> f64 {
        self.gross
    }

    /// Net heat of combustion at 25 degC, kJ/mol.
    #[must_use]
    pub fn net_kilojoules_per_mole(&self) -> f64 {
        self.net
    }

    /// Kilograms of water that burning makes, per joule of gross heat.
    #[must_use]
    pub fn water_per_heat(&self) -> f64 {
        self.hydrogen / 2.0 * crate::atmosphere::MOLAR_MASS_WATER / 1000.0 / (1000.0 * self.gross)
    }

    fn of(f: Fractions) -> Self {
        let parts = [
            (f.methane, &METHANE),
            (f.ethane, &ETHANE),
            (f.propane, &PROPANE),
            (f.n_butane, &N_BUTANE),
            (f.carbon_dioxide, &CARBON_DIOXIDE),
            (f.nitrogen, &NITROGEN),
        ];
        let mean = |of: fn(&Species) -> f64| parts.iter().map(|(x, s)| x * of(s)).sum::<f64>();
        Self {
            fractions: f,
            carbon: mean(|s| s.carbon),
            hydrogen: mean(|s| s.hydrogen),
            molar_mass: mean(|s| s.molar_mass),
            gross: mean(|s| s.gross),
            net: mean(|s| s.net),
        }
    }
}

impl Fractions {
    fn named(&self) -> [(&'static str, f64); 6] {
        [
            ("methane", self.methane),
            ("ethane", self.ethane),
            ("propane", self.propane),
            ("n_butane", self.n_butane),
            ("carbon_dioxide", self.carbon_dioxide),
            ("nitrogen", self.nitrogen),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gas_that_does_not_add_up_is_refused() {
        let refused = Fuel::mixture(Fractions {
            methane: 0.9,
            ..Fractions::default()
        })
        .unwrap_err();
        assert_eq!(
            (refused.code(), refused.field()),
            ("inconsistent", Some("fractions"))
        );
        assert!(
            Fuel::mixture(Fractions {
                methane: 0.9,
                nitrogen: 0.1005,
                ..Fractions::default()
            })
            .is_ok()
        );
    }

    #[test]
    fn a_gas_that_does_not_burn_is_refused() {
        let refused = Fuel::mixture(Fractions {
            nitrogen: 1.0,
            ..Fractions::default()
        })
        .unwrap_err();
        assert_eq!(refused.code(), "inconsistent");
        let outside = Fuel::mixture(Fractions {
            methane: f64::NAN,
            ..Fractions::default()
        })
        .unwrap_err();
        assert_eq!(outside.field(), Some("fractions/methane"));
    }
}
