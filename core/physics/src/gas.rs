//! Properties of the two gas streams: heat capacity, enthalpy, viscosity, conductivity.
//!
//! Both streams are ideal mixtures of nitrogen, oxygen, argon, carbon dioxide and water vapour near
//! atmospheric pressure, valid 225..900 K.

use crate::constants::{GAS_CONSTANT, REFERENCE_TEMPERATURE};
use crate::quantities::{
    AvailableEnergy, DynamicViscosity, MassDensity, MolarMass, Pressure, SpecificHeatCapacity,
    ThermalConductivity, ThermodynamicTemperature, gram_per_mole, joule_per_kilogram,
    joule_per_kilogram_kelvin, kilogram_per_cubic_meter, pascal_second, watt_per_meter_kelvin,
};

/// How many species a mixture has; their order is nitrogen, oxygen, argon, carbon dioxide, water.
const SPECIES: usize = 5;

/// One species: molar mass in g/mol; cp/R polynomial in T (NASA seven-term form, 200..1000 K, GRI-Mech
/// 3.0, nitrogen from the NASA/Burcat set because the former is 0.4 % low at 0 degC); viscosity in
/// 1e-6 Pa s and conductivity in 1e-3 W/(m K) as polynomials in T/1000 (fits to reference transport
/// equations, 225..900 K, water from 275 K, largest fit error 0.15 to 0.7 %).
struct Species {
    molar_mass: f64,
    heat: [f64; 5],
    viscosity: [f64; 4],
    conductivity: [f64; 4],
}

const TABLE: [Species; SPECIES] = [
    Species {
        molar_mass: 28.0134,
        heat: [
            3.531_005_28,
            -1.236_609_88e-4,
            -5.029_994_33e-7,
            2.435_306_12e-9,
            -1.408_812_35e-12,
        ],
        viscosity: [1.11489, 67.032, -42.1126, 15.7729],
        conductivity: [0.452185, 99.5253, -55.0696, 20.8],
    },
    Species {
        molar_mass: 31.9988,
        heat: [
            3.782_456_36,
            -2.996_734_16e-3,
            9.847_302_01e-6,
            -9.681_295_09e-9,
            3.243_728_37e-12,
        ],
        viscosity: [0.723746, 79.0563, -47.7133, 17.3188],
        conductivity: [-0.443824, 101.964, -46.2977, 16.5763],
    },
    Species {
        molar_mass: 39.948,
        heat: [2.5, 0.0, 0.0, 0.0, 0.0],
        viscosity: [0.17787, 88.6882, -50.5759, 17.6581],
        conductivity: [0.0396813, 70.0172, -40.3629, 14.0877],
    },
    Species {
        molar_mass: 44.0095,
        heat: [
            2.356_773_52,
            8.984_596_77e-3,
            -7.123_562_69e-6,
            2.459_190_22e-9,
            -1.436_995_48e-13,
        ],
        viscosity: [-0.961906, 59.0171, -20.1938, 3.16137],
        conductivity: [-3.31326, 53.9036, 53.9694, -34.9097],
    },
    Species {
        molar_mass: 18.01528,
        heat: [
            4.198_640_56,
            -2.036_434_1e-3,
            6.520_402_11e-6,
            -5.487_970_62e-9,
            1.771_978_17e-12,
        ],
        viscosity: [2.33894, 13.6053, 44.0838, -22.942],
        conductivity: [6.00245, 9.25506, 120.995, -40.9722],
    },
];

/// A mixture of known composition; the parts of the mixing rules that do not depend on temperature are
/// worked out once.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixture {
    fractions: [f64; SPECIES],
    molar_mass: f64,
    /// cp in J/(kg K) as a polynomial in T.
    heat: [f64; 5],
    /// Enthalpy in J/kg as a polynomial in T without its constant, and that constant.
    enthalpy_at_reference: f64,
    /// Wilke's weights: row i, column j is x_j / (q_j^2 sqrt(8 (1 + M_i/M_j))), q = M^(-1/4).
    weights: [[f64; SPECIES]; SPECIES],
    /// M^(-1/4) of each species.
    quarter: [f64; SPECIES],
}

/// Viscosity in Pa s and conductivity in W/(m K).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Transport {
    pub viscosity: f64,
    pub conductivity: f64,
}

impl Mixture {
    /// A mixture from mole fractions of nitrogen, oxygen, argon, carbon dioxide and water vapour, which
    /// are scaled so that they add up to one.
    #[must_use]
    pub fn new(mole_fractions: [f64; SPECIES]) -> Self {
        let total: f64 = mole_fractions.iter().sum();
        let fractions = mole_fractions.map(|x| x / total);
        let molar_mass = fractions
            .iter()
            .zip(&TABLE)
            .map(|(x, s)| x * s.molar_mass)
            .sum::<f64>();
        let per_mass = GAS_CONSTANT / (molar_mass / 1000.0);
        let mut heat = [0.0; 5];
        for (x, species) in fractions.iter().zip(&TABLE) {
            for (sum, a) in heat.iter_mut().zip(&species.heat) {
                *sum += x * a;
            }
        }
        let heat = heat.map(|a| per_mass * a);
        let quarter = TABLE.each_ref().map(|s| 1.0 / s.molar_mass.sqrt().sqrt());
        let weights = TABLE.each_ref().map(|row| {
            let mut weights = [0.0; SPECIES];
            for (((w, x), column), q) in weights.iter_mut().zip(&fractions).zip(&TABLE).zip(&quarter) {
                *w = x / (q * q * (8.0 * (1.0 + row.molar_mass / column.molar_mass)).sqrt());
            }
            weights
        });
        let mut mixture = Self {
            fractions,
            molar_mass,
            heat,
            enthalpy_at_reference: 0.0,
            weights,
            quarter,
        };
        mixture.enthalpy_at_reference = mixture.h(REFERENCE_TEMPERATURE);
        mixture
    }

    /// Dry air.
    #[must_use]
    pub fn dry_air() -> Self {
        crate::atmosphere::air_mixture(0.0)
    }

    /// Mole fractions of nitrogen, oxygen, argon, carbon dioxide and water vapour.
    #[must_use]
    pub fn mole_fractions(&self) -> [f64; SPECIES] {
        self.fractions
    }

    /// Molar mass.
    #[must_use]
    pub fn molar_mass(&self) -> MolarMass {
        MolarMass::new::<gram_per_mole>(self.molar_mass)
    }

    /// Density as an ideal gas.
    #[must_use]
    pub fn density(&self, pressure: Pressure, at: ThermodynamicTemperature) -> MassDensity {
        MassDensity::new::<kilogram_per_cubic_meter>(self.rho(pressure.value, at.value))
    }

    /// Heat capacity at constant pressure.
    #[must_use]
    pub fn heat_capacity(&self, at: ThermodynamicTemperature) -> SpecificHeatCapacity {
        SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(self.cp(at.value))
    }

    /// Sensible enthalpy above 298.15 K, water counted as vapour; negative below.
    #[must_use]
    pub fn enthalpy(&self, at: ThermodynamicTemperature) -> AvailableEnergy {
        AvailableEnergy::new::<joule_per_kilogram>(self.h(at.value))
    }

    /// Viscosity by Wilke's rule.
    #[must_use]
    pub fn viscosity(&self, at: ThermodynamicTemperature) -> DynamicViscosity {
        DynamicViscosity::new::<pascal_second>(self.transport(at.value).viscosity)
    }

    /// Thermal conductivity by the rule of Wassiljewa with Wilke's factors.
    #[must_use]
    pub fn conductivity(&self, at: ThermodynamicTemperature) -> ThermalConductivity {
        ThermalConductivity::new::<watt_per_meter_kelvin>(self.transport(at.value).conductivity)
    }

    /// Prandtl number.
    #[must_use]
    pub fn prandtl(&self, at: ThermodynamicTemperature) -> f64 {
        let transport = self.transport(at.value);
        self.cp(at.value) * transport.viscosity / transport.conductivity
    }

    pub(crate) fn grams_per_mole(&self) -> f64 {
        self.molar_mass
    }

    /// Density in kg/m3.
    pub(crate) fn rho(&self, p: f64, t: f64) -> f64 {
        p * self.molar_mass / 1000.0 / (GAS_CONSTANT * t)
    }

    /// Heat capacity in J/(kg K).
    pub(crate) fn cp(&self, t: f64) -> f64 {
        let [a1, a2, a3, a4, a5] = self.heat;
        a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))
    }

    /// Enthalpy in J/kg above 298.15 K.
    pub(crate) fn h(&self, t: f64) -> f64 {
        let [a1, a2, a3, a4, a5] = self.heat;
        t * (a1 + t * (a2 / 2.0 + t * (a3 / 3.0 + t * (a4 / 4.0 + t * (a5 / 5.0)))))
            - self.enthalpy_at_reference
    }

    /// Wilke: mu = sum_i x_i mu_i / sum_j x_j phi_ij, the same for k;
    /// phi_ij = (1 + sqrt(mu_i/mu_j) (M_j/M_i)^(1/4))^2 / sqrt(8 (1 + M_i/M_j)).
    /// With g_i = sqrt(mu_i) M_i^(-1/4) the bracket is (g_i + g_j)/g_j, which needs five roots, not 25.
    pub(crate) fn transport(&self, t: f64) -> Transport {
        let tau = t / 1000.0;
        let cubic = |[c0, c1, c2, c3]: [f64; 4]| c0 + tau * (c1 + tau * (c2 + tau * c3));
        let mu = TABLE.each_ref().map(|s| cubic(s.viscosity));
        let mut g = mu.map(f64::sqrt);
        for (g, q) in g.iter_mut().zip(&self.quarter) {
            *g *= q;
        }
        let inverse = mu.map(|m| 1.0 / m);
        let mut viscosity = 0.0;
        let mut conductivity = 0.0;
        let rows = self
            .fractions
            .iter()
            .zip(&TABLE)
            .zip(&mu)
            .zip(&g)
            .zip(&self.weights);
        for ((((x, species), m), gi), weights) in rows {
            if *x <= 0.0 {
                continue;
            }
            let mut sum = 0.0;
            for ((w, gj), inv) in weights.iter().zip(&g).zip(&inverse) {
                sum += w * (gi + gj) * (gi + gj) * inv;
            }
            let share = x / sum;
            viscosity += share * m;
            conductivity += share * cubic(species.conductivity);
        }
        Transport {
            viscosity: 1e-6 * viscosity,
            conductivity: 1e-3 * conductivity,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_species_alone_keeps_its_own_properties() {
        let nitrogen = Mixture::new([1.0, 0.0, 0.0, 0.0, 0.0]);
        let t = nitrogen.transport(400.0);
        let own = 1.11489 + 0.4 * (67.032 + 0.4 * (-42.1126 + 0.4 * 15.7729));
        assert!((t.viscosity - 1e-6 * own).abs() < 1e-18);
    }

    #[test]
    fn enthalpy_is_the_integral_of_heat_capacity() {
        let air = Mixture::dry_air();
        assert!(air.h(REFERENCE_TEMPERATURE).abs() < 1e-9);
        let slope = (air.h(500.1) - air.h(499.9)) / 0.2;
        assert!((slope - air.cp(500.0)).abs() < 1e-5);
    }
}
