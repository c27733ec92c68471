//! Burning a fuel gas completely: air needed, products, air ratio from a reading.
//!
//! All amounts are moles per mole of fuel, which for ideal gases are volumes per volume. The air ratio is
//! the air supplied over the air just needed; excess air is the air ratio less one.

use crate::atmosphere::DRY_AIR;
use crate::fuel::Fuel;
use crate::gas::Mixture;

/// What a fuel needs and makes at air ratio 1 in dry air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stoichiometry {
    /// Oxygen, mol/mol.
    pub oxygen: f64,
    /// Dry air, mol/mol.
    pub air: f64,
    /// Dry products, mol/mol.
    pub dry_products: f64,
    /// Largest possible share of carbon dioxide in dry products.
    pub co2_max_dry: f64,
}

/// The products of burning one mole of fuel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Products {
    /// Carbon dioxide, mol/mol.
    pub carbon_dioxide: f64,
    /// Water, all of it as vapour, mol/mol.
    pub water: f64,
    /// Oxygen left over, mol/mol.
    pub oxygen: f64,
    /// Nitrogen, mol/mol.
    pub nitrogen: f64,
    /// Argon, mol/mol.
    pub argon: f64,
    /// Dry air supplied, mol/mol.
    pub air: f64,
}

impl Stoichiometry {
    /// Of a fuel: `O = C + H/4`, `A = O/0.2095`.
    #[must_use]
    pub fn of(fuel: &Fuel) -> Self {
        let oxygen = fuel.carbon + fuel.hydrogen / 4.0;
        let air = oxygen / DRY_AIR.oxygen;
        let inert = fuel.fractions();
        let carbon_dioxide = fuel.carbon + inert.carbon_dioxide + DRY_AIR.carbon_dioxide * air;
        let dry_products = carbon_dioxide + inert.nitrogen + (DRY_AIR.nitrogen + DRY_AIR.argon) * air;
        Self {
            oxygen,
            air,
            dry_products,
            co2_max_dry: carbon_dioxide / dry_products,
        }
    }

    /// Air ratio from the share of oxygen in dry products, 0..0.2095 exclusive. Exact.
    #[must_use]
    pub fn air_ratio_from_oxygen(&self, oxygen_dry: f64) -> f64 {
        1.0 + oxygen_dry * self.dry_products / (self.air * (DRY_AIR.oxygen - oxygen_dry))
    }

    /// Air ratio from the share of carbon dioxide in dry products. Exact. `None` when the reading is above
    /// what this fuel can give, or not above what air contains.
    #[must_use]
    pub fn air_ratio_from_carbon_dioxide(&self, carbon_dioxide_dry: f64) -> Option<f64> {
        let y = carbon_dioxide_dry;
        if y > self.co2_max_dry || y <= DRY_AIR.carbon_dioxide {
            return None;
        }
        Some(1.0 + (self.co2_max_dry - y) * self.dry_products / (self.air * (y - DRY_AIR.carbon_dioxide)))
    }
}

impl Products {
    /// Of a fuel burned at `air_ratio` (at least 1) in air with `vapour_fraction` moles of vapour per mole
    /// of moist air.
    #[must_use]
    pub fn of(fuel: &Fuel, air_ratio: f64, vapour_fraction: f64) -> Self {
        let need = Stoichiometry::of(fuel);
        let air = air_ratio * need.air;
        let inert = fuel.fractions();
        Self {
            carbon_dioxide: fuel.carbon + inert.carbon_dioxide + DRY_AIR.carbon_dioxide * air,
            water: fuel.hydrogen / 2.0 + air * vapour_fraction / (1.0 - vapour_fraction),
            oxygen: (air_ratio - 1.0) * need.oxygen,
            nitrogen: DRY_AIR.nitrogen * air + inert.nitrogen,
            argon: DRY_AIR.argon * air,
            air,
        }
    }

    /// All products, water included, mol/mol.
    #[must_use]
    pub fn wet(&self) -> f64 {
        self.dry() + self.water
    }

    /// All products but water, mol/mol.
    #[must_use]
    pub fn dry(&self) -> f64 {
        self.carbon_dioxide + self.oxygen + self.nitrogen + self.argon
    }

    /// The products as a gas.
    #[must_use]
    pub fn mixture(&self) -> Mixture {
        Mixture::new([
            self.nitrogen,
            self.oxygen,
            self.argon,
            self.carbon_dioxide,
            self.water,
        ])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_lead_back_to_the_air_ratio() {
        for fuel in [Fuel::natural_gas(), Fuel::propane(), Fuel::methane()] {
            let need = Stoichiometry::of(&fuel);
            for ratio in [1.0, 1.3, 2.2, 7.5] {
                let made = Products::of(&fuel, ratio, 0.0);
                let from_oxygen = need.air_ratio_from_oxygen(made.oxygen / made.dry());
                let from_co2 = need.air_ratio_from_carbon_dioxide(made.carbon_dioxide / made.dry() - 1e-17);
                assert!((from_oxygen - ratio).abs() < 1e-12);
                assert!((from_co2.unwrap() - ratio).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn more_carbon_dioxide_than_the_fuel_can_give_has_no_air_ratio() {
        let need = Stoichiometry::of(&Fuel::methane());
        assert_eq!(need.air_ratio_from_carbon_dioxide(0.13), None);
        assert_eq!(need.air_ratio_from_carbon_dioxide(0.0004), None);
    }

    #[test]
    fn atoms_are_kept() {
        let fuel = Fuel::natural_gas();
        let made = Products::of(&fuel, 1.8, 0.01);
        let vapour = made.air * 0.01 / 0.99;
        let oxygen_in = 2.0 * (DRY_AIR.oxygen + DRY_AIR.carbon_dioxide) * made.air
            + vapour
            + 2.0 * fuel.fractions().carbon_dioxide;
        let oxygen_out = 2.0 * (made.carbon_dioxide + made.oxygen) + made.water;
        assert!((oxygen_in - oxygen_out).abs() < 1e-12);
    }
}
