//! What a dry flue-gas reading says: air ratio, losses, efficiency, carbon monoxide free of air.

use wythe_physics::atmosphere::MoistAir;
use wythe_physics::combustion::{Products, Stoichiometry};
use wythe_physics::fuel::Fuel;
use wythe_physics::gas::Mixture;
use wythe_physics::saturation::dew_point;

use crate::compare::at_most;
use crate::quantities::{Pressure, ThermodynamicTemperature};

/// Heat of burning carbon monoxide, kJ/mol. From memory.
const CO_HEAT: f64 = 282.98;
/// Molar mass of water, g/mol, as the mixture of water alone has it.
const WATER: [f64; 5] = [0.0, 0.0, 0.0, 0.0, 1.0];

/// What the analyser's dry reading was of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DryReading {
    /// Oxygen, 0 to 0.20.
    Oxygen(f64),
    /// Carbon dioxide, 0.005 to 0.20.
    CarbonDioxide(f64),
}

/// One reading and the air that fed the fire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Probe {
    /// The fuel gas.
    pub fuel: Fuel,
    /// Dry reading.
    pub dry: DryReading,
    /// Carbon monoxide in the dry gas as read, parts per million.
    pub co_ppm: Option<f64>,
    /// Temperature of the flue gas.
    pub flue: ThermodynamicTemperature,
    /// Temperature of the combustion air, at the intake of a balanced flue.
    pub air: ThermodynamicTemperature,
    /// Its relative humidity, 0 to 1.
    pub relative_humidity: f64,
    /// Absolute air pressure.
    pub pressure: Pressure,
}

/// What the reading says. Losses are shares of the gross heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlueGasReading {
    /// Air supplied over air just needed.
    pub air_ratio: f64,
    /// Oxygen in the dry gas.
    pub o2_dry: f64,
    /// Carbon dioxide in the dry gas.
    pub co2_dry: f64,
    /// The most carbon dioxide this fuel can give.
    pub co2_max_dry: f64,
    /// Temperature below which water condenses, `None` outside 173.15 to 400 K.
    pub dew_point: Option<ThermodynamicTemperature>,
    /// Sensible heat of the dry gas.
    pub dry_loss: f64,
    /// Sensible heat of all water.
    pub vapour_loss: f64,
    /// Latent heat of the water made, `1 - H_i/H_s`.
    pub latent_loss: f64,
    /// Heat that carbon monoxide takes along unburned; 0 without a reading.
    pub co_loss: f64,
    /// What is left of the gross heat. Jacket loss is not in it.
    pub efficiency_gross: f64,
    /// The same of the net heat.
    pub efficiency_net: f64,
    /// Dry gas over dry gas at air ratio 1.
    pub dilution: f64,
    /// Carbon monoxide free of air, parts per million.
    pub co_air_free_ppm: Option<f64>,
}

/// Reads the flue gas: air ratio exactly from oxygen or carbon dioxide, losses from the enthalpies of what
/// burning makes. Nothing condenses in the sum.
///
/// `None` when more carbon dioxide was read than the fuel can give.
#[must_use]
pub fn read(probe: &Probe) -> Option<FlueGasReading> {
    let fuel = &probe.fuel;
    let need = Stoichiometry::of(fuel);
    let air_ratio = match probe.dry {
        DryReading::Oxygen(share) => need.air_ratio_from_oxygen(share),
        DryReading::CarbonDioxide(share) if at_most(share, need.co2_max_dry) => {
            need.air_ratio_from_carbon_dioxide(share.min(need.co2_max_dry))?
        }
        DryReading::CarbonDioxide(_) => return None,
    };
    let vapour = MoistAir::new(probe.pressure, probe.air, probe.relative_humidity).held_vapour_fraction();
    let made = Products::of(fuel, air_ratio, vapour);
    let gross = fuel.gross_kilojoules_per_mole();
    let net = fuel.net_kilojoules_per_mole();
    let dry = [made.nitrogen, made.oxygen, made.argon, made.carbon_dioxide, 0.0];
    let dry_loss = made.dry() * warmed(dry, probe) / gross;
    let vapour_loss = made.water * warmed(WATER, probe) / gross;
    let latent_loss = 1.0 - net / gross;
    let co_loss = probe.co_ppm.unwrap_or(0.0) * 1e-6 * made.dry() * CO_HEAT / gross;
    let efficiency_gross = 1.0 - dry_loss - vapour_loss - latent_loss - co_loss;
    let dilution = made.dry() / need.dry_products;
    let water_share = made.water / made.wet();
    Some(FlueGasReading {
        air_ratio,
        o2_dry: made.oxygen / made.dry(),
        co2_dry: made.carbon_dioxide / made.dry(),
        co2_max_dry: need.co2_max_dry,
        dew_point: dew_point(probe.pressure * water_share),
        dry_loss,
        vapour_loss,
        latent_loss,
        co_loss,
        efficiency_gross,
        efficiency_net: efficiency_gross * gross / net,
        dilution,
        co_air_free_ppm: probe.co_ppm.map(|ppm| ppm * dilution),
    })
}

/// Heat to warm a mole of a mixture from the air's to the flue's temperature, kJ.
fn warmed(moles: [f64; 5], probe: &Probe) -> f64 {
    let mixture = Mixture::new(moles);
    let per_kilogram = (mixture.enthalpy(probe.flue) - mixture.enthalpy(probe.air)).value;
    per_kilogram * mixture.molar_mass().value / 1000.0
}

#[cfg(test)]
mod tests {
    use uom::si::pressure::pascal;
    use uom::si::thermodynamic_temperature::degree_celsius;

    use super::*;

    fn probe(o2: f64, flue: f64) -> Probe {
        Probe {
            fuel: Fuel::natural_gas(),
            dry: DryReading::Oxygen(o2),
            co_ppm: Some(40.0),
            flue: ThermodynamicTemperature::new::<degree_celsius>(flue),
            air: ThermodynamicTemperature::new::<degree_celsius>(20.0),
            relative_humidity: 0.0,
            pressure: Pressure::new::<pascal>(101_325.0),
        }
    }

    fn close(found: f64, wanted: f64) {
        assert!((found / wanted - 1.0).abs() < 5e-6, "{found} is not {wanted}");
    }

    #[test]
    fn five_percent_oxygen_at_220_degrees_loses_what_the_sum_says() {
        let found = read(&probe(0.05, 220.0)).unwrap();
        close(found.air_ratio, 1.281_75);
        close(found.dry_loss, 0.076_687_4);
        close(found.vapour_loss, 0.015_168_8);
        close(found.latent_loss, 0.097_443_3);
        close(found.efficiency_gross, 0.810_557);
        close(found.efficiency_net, 0.898_068);
        close(found.co_air_free_ppm.unwrap(), 52.5392);
        close(found.dew_point.unwrap().get::<degree_celsius>(), 54.0927);
    }

    #[test]
    fn the_shop_formula_for_net_loss_stands_within_a_fifth_of_a_point() {
        let found = read(&Probe {
            co_ppm: None,
            ..probe(0.05, 220.0)
        })
        .unwrap();
        let shop = 200.0 * (0.66 / (21.0 - 5.0) + 0.009) / 100.0;
        assert!((1.0 - found.efficiency_net - shop).abs() < 0.002);
    }

    #[test]
    fn dilution_is_the_oxygen_form_too() {
        for percent in 0..20_u32 {
            let o2 = f64::from(percent) / 100.0;
            let found = read(&probe(o2, 180.0)).unwrap();
            close(found.dilution, 0.2095 / (0.2095 - o2));
            assert!((found.o2_dry - o2).abs() < 1e-12);
        }
    }

    #[test]
    fn carbon_dioxide_leads_to_the_same_reading_as_its_oxygen() {
        let from_oxygen = read(&probe(0.08, 200.0)).unwrap();
        let dry = DryReading::CarbonDioxide(from_oxygen.co2_dry);
        let back = read(&Probe {
            dry,
            ..probe(0.0, 200.0)
        })
        .unwrap();
        close(back.air_ratio, from_oxygen.air_ratio);
        let most = DryReading::CarbonDioxide(from_oxygen.co2_max_dry);
        close(
            read(&Probe {
                dry: most,
                ..probe(0.0, 200.0)
            })
            .unwrap()
            .air_ratio,
            1.0,
        );
        let more = DryReading::CarbonDioxide(from_oxygen.co2_max_dry + 1e-6);
        assert_eq!(
            read(&Probe {
                dry: more,
                ..probe(0.0, 200.0)
            }),
            None
        );
    }

    #[test]
    fn hotter_flue_gas_loses_more() {
        let mut last = -1.0;
        for celsius in (-20..700).step_by(20) {
            let loss = read(&probe(0.07, f64::from(celsius))).unwrap().dry_loss;
            assert!(loss > last);
            last = loss;
        }
    }
}
