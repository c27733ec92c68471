//! The wood smoke a change-out avoids: wood stove out, gas stove in, per year of the cords given.
//!
//! The heat used stays the same; only the device and the fuel change.

use uom::si::energy::joule;
use uom::si::mass::kilogram;

use super::factors::PerPollutant;
use super::firewood::{Cord, WoodTable};
use crate::customary::{MMBTU, POUND, SHORT_TON};
use crate::quantities::{Energy, HeatingValue, Mass, Volume, volume_for};

/// Moisture at which the tables give a cord's heat, dry basis.
pub const TABLE_MOISTURE: f64 = 0.20;
/// Heat lost per unit of moisture, J per kg of dry wood: 1,000 Btu per pound of water.
const HEAT_PER_MOISTURE: f64 = 1000e-6 * MMBTU / POUND;
/// Heat of a short ton of dry wood as the greenhouse gas rule counts it, MMBtu. From memory.
const WOOD_MMBTU_PER_SHORT_TON: f64 = 17.48;
/// Carbon dioxide of wood, kg/MMBtu. From memory.
const WOOD_CO2_PER_MMBTU: f64 = 93.80;

/// How much of one wood is burned a year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Cords.
    Cords(f64),
    /// Weight at the item's moisture.
    Weighed(Mass),
}

/// One line of the wood list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WoodItem {
    /// A cord of it by table a, and by table b.
    pub cord_by_table: [Cord; 2],
    /// Moisture, dry basis, 0 to 1.
    pub moisture: f64,
    /// How much.
    pub amount: Amount,
}

/// Dry weight and heat of burned wood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Burned {
    /// Dry mass.
    pub dry_mass: Mass,
    /// Heat at its moisture.
    pub heat: Energy,
}

impl WoodItem {
    /// Dry mass `cords · d` or `mass/(1 + moisture)`, heat `dry (m/d - (moisture - 0.20) · 1,000 Btu/lb)`,
    /// with the cord of the asked table.
    ///
    /// The 1,000 Btu per pound of water are what makes 8,600 Btu per dry pound become 7,000 per
    /// pound at 20 % in the second table's source.
    #[must_use]
    pub fn burned(&self, table: WoodTable) -> Burned {
        let [a, b] = self.cord_by_table;
        let cord = match table {
            WoodTable::A => a,
            WoodTable::B => b,
        };
        let dry_mass = match self.amount {
            Amount::Cords(cords) => cord.dry_mass * cords,
            Amount::Weighed(mass) => mass / (1.0 + self.moisture),
        };
        let per_dry_kilogram =
            cord.heat.value / cord.dry_mass.value - (self.moisture - TABLE_MOISTURE) * HEAT_PER_MOISTURE;
        Burned {
            dry_mass,
            heat: Energy::new::<joule>(dry_mass.value * per_dry_kilogram),
        }
    }
}

/// One change-out and the factors it is reckoned with.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeOut {
    /// What is burned a year.
    pub wood: Vec<WoodItem>,
    /// Table that the figures follow.
    pub table: WoodTable,
    /// Efficiency of the old device, 0.05 to 1.
    pub old_efficiency: f64,
    /// Efficiency of the new one, 0.05 to 1.
    pub new_efficiency: f64,
    /// Gas it burns.
    pub fuel: Fuel,
    /// Wood factors, g per kg of dry wood.
    pub wood_factors: PerPollutant<Option<f64>>,
    /// Gas factors, g per GJ of input.
    pub gas_factors: PerPollutant<Option<f64>>,
    /// Heating value that the gas quantity is told in; changes nothing else.
    pub gas_heating_value: HeatingValue,
}

/// The gas of the new stove.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fuel {
    /// Natural gas, told as vapour.
    NaturalGas,
    /// Propane, told as liquid.
    Propane,
}

impl Fuel {
    /// Carbon dioxide, kg/MMBtu of input (40 CFR 98 table C-1, docest.com/doc/637161).
    #[must_use]
    pub fn co2_per_mmbtu(self) -> f64 {
        match self {
            Self::NaturalGas => 53.06,
            Self::Propane => 62.87,
        }
    }
}

/// One pollutant before and after. `None` where a factor is missing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Emission {
    /// From the wood.
    pub wood: Option<Mass>,
    /// From the gas.
    pub gas: Option<Mass>,
    /// Wood minus gas.
    pub avoided: Option<Mass>,
    /// The lesser of avoided with table a throughout and with table b throughout.
    pub low: Option<Mass>,
    /// The greater of the two.
    pub high: Option<Mass>,
}

/// What a change-out avoids a year.
#[derive(Debug, Clone, PartialEq)]
pub struct Avoided {
    /// Dry wood.
    pub dry_mass: Mass,
    /// Its heat.
    pub wood_heat: Energy,
    /// What of it reached the room, and what the gas stove must give.
    pub delivered_heat: Energy,
    /// Gas input for that.
    pub gas_input: Energy,
    /// Volume of the gas.
    pub gas_quantity: Volume,
    /// By pollutant.
    pub emissions: PerPollutant<Emission>,
    /// Carbon dioxide of the wood, biogenic; never netted against the next.
    pub co2_wood_biogenic: Mass,
    /// Carbon dioxide of the gas, fossil.
    pub co2_gas_fossil: Mass,
}

struct Flows {
    burned: Burned,
    delivered_heat: Energy,
    gas_input: Energy,
}

/// Reckons a year: `delivered = heat · old efficiency`, `gas input = delivered/new efficiency`,
/// emissions by factor, avoided = wood - gas.
#[must_use]
pub fn avoided(change_out: &ChangeOut) -> Avoided {
    let flows = flows(change_out, change_out.table);
    let by_table = [WoodTable::A, WoodTable::B].map(|table| self::flows(change_out, table));
    let wood_of =
        |flows: &Flows, factor: Option<f64>| factor.map(|grams| flows.burned.dry_mass.value * grams / 1000.0);
    let gas_of =
        |flows: &Flows, factor: Option<f64>| factor.map(|grams| flows.gas_input.value / 1e9 * grams / 1000.0);
    let mass = |kilograms: Option<f64>| kilograms.map(Mass::new::<kilogram>);
    let emissions = change_out
        .wood_factors
        .zip(change_out.gas_factors)
        .map(|(wood_factor, gas_factor)| {
            let wood = wood_of(&flows, wood_factor);
            let gas = gas_of(&flows, gas_factor);
            let less = |flows: &Flows| Some(wood_of(flows, wood_factor)? - gas_of(flows, gas_factor)?);
            let [a, b] = &by_table;
            let pair = less(a).zip(less(b));
            Emission {
                wood: mass(wood),
                gas: mass(gas),
                avoided: mass(less(&flows)),
                low: mass(pair.map(|(a, b)| a.min(b))),
                high: mass(pair.map(|(a, b)| a.max(b))),
            }
        });
    let short_tons = flows.burned.dry_mass.value / SHORT_TON;
    Avoided {
        dry_mass: flows.burned.dry_mass,
        wood_heat: flows.burned.heat,
        delivered_heat: flows.delivered_heat,
        gas_input: flows.gas_input,
        gas_quantity: volume_for(flows.gas_input, change_out.gas_heating_value),
        emissions,
        co2_wood_biogenic: Mass::new::<kilogram>(short_tons * WOOD_MMBTU_PER_SHORT_TON * WOOD_CO2_PER_MMBTU),
        co2_gas_fossil: Mass::new::<kilogram>(
            flows.gas_input.value / MMBTU * change_out.fuel.co2_per_mmbtu(),
        ),
    }
}

fn flows(change_out: &ChangeOut, table: WoodTable) -> Flows {
    let mut burned = Burned {
        dry_mass: Mass::new::<kilogram>(0.0),
        heat: Energy::new::<joule>(0.0),
    };
    for item in &change_out.wood {
        let more = item.burned(table);
        burned.dry_mass += more.dry_mass;
        burned.heat += more.heat;
    }
    let delivered_heat = burned.heat * change_out.old_efficiency;
    Flows {
        burned,
        delivered_heat,
        gas_input: delivered_heat / change_out.new_efficiency,
    }
}

#[cfg(test)]
mod tests {
    use super::super::factors::{self, Device, FactorSet};
    use super::super::firewood;
    use super::*;
    use crate::customary::{BTU, CUBIC_FOOT, GALLON};

    fn item(species: &str, cords: f64) -> WoodItem {
        WoodItem {
            cord_by_table: firewood::species(species).unwrap().cord_by_table(),
            moisture: 0.20,
            amount: Amount::Cords(cords),
        }
    }

    fn change_out(wood: Vec<WoodItem>, fuel: Fuel) -> ChangeOut {
        let btu_per_m3 = match fuel {
            Fuel::NaturalGas => 1020.0 / CUBIC_FOOT,
            Fuel::Propane => 91_500.0 / GALLON,
        };
        ChangeOut {
            wood,
            table: WoodTable::A,
            old_efficiency: factors::device(Device::Conventional).efficiency,
            new_efficiency: 0.70,
            fuel,
            wood_factors: factors::device(Device::Conventional).g_per_kg,
            gas_factors: factors::gas_g_per_gj(fuel, FactorSet::Ap42),
            gas_heating_value: HeatingValue(btu_per_m3 * BTU),
        }
    }

    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found - wanted).abs() <= relative * wanted.abs(),
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn three_cords_of_white_oak_are_155_pounds_of_smoke() {
        let found = avoided(&change_out(vec![item("white_oak", 3.0)], Fuel::NaturalGas));
        let pm = found.emissions.pm;
        close(pm.avoided.unwrap().value, 70.4028, 2e-6);
        close(pm.avoided.unwrap().value / POUND, 155.21, 5e-5);
        close(pm.low.unwrap().value, 66.8115, 2e-6);
        close(found.gas_input.value, 6.812_34e10, 2e-6);
        close(found.gas_quantity.value / CUBIC_FOOT, 63_303.0, 2e-5);
        close(found.emissions.co.avoided.unwrap().value / POUND, 1171.8, 5e-5);
        close(found.emissions.nox.wood.unwrap().value, 6.462_06, 2e-6);
        close(found.emissions.nox.gas.unwrap().value, 2.699_07, 2e-6);
    }

    #[test]
    fn a_species_in_one_table_only_stands_for_both() {
        let wood = vec![item("hickory", 1.5), item("yellow_poplar", 1.0)];
        let found = avoided(&change_out(wood, Fuel::Propane));
        close(found.emissions.pm.avoided.unwrap().value, 51.4416, 2e-6);
        close(found.emissions.pm.low.unwrap().value, 50.4708, 2e-6);
        close(found.gas_quantity.value, 1.954_76, 5e-6);
        assert_eq!(found.emissions.so2.avoided, None);
        assert!(found.emissions.so2.wood.is_some());
    }

    #[test]
    fn wet_wood_gives_less_heat_and_the_same_dry_mass() {
        let wet = WoodItem {
            moisture: 0.40,
            ..item("red_oak", 2.0)
        };
        let dry = item("red_oak", 2.0).burned(WoodTable::A);
        let found = wet.burned(WoodTable::A);
        close(found.dry_mass.value, dry.dry_mass.value, 1e-12);
        let per_pound = (dry.heat.value - found.heat.value) / BTU / (dry.dry_mass.value / POUND);
        close(per_pound, 200.0, 1e-9);
    }

    #[test]
    fn wood_weighed_wet_is_less_dry_wood() {
        let weighed = WoodItem {
            amount: Amount::Weighed(Mass::new::<kilogram>(1200.0)),
            ..item("red_oak", 0.0)
        };
        close(weighed.burned(WoodTable::B).dry_mass.value, 1000.0, 1e-12);
    }
}
