//! What emissions_avoided is asked with.

use serde_json::{Value, json};

use super::change_out::{Amount, ChangeOut, Fuel, WoodItem};
use super::factors::{self, Device, FactorSet, PerPollutant};
use super::firewood::{self, Cord, Species, WoodTable};
use crate::customary::{BTU, CUBIC_FOOT, GALLON};
use crate::form::{Field, Pointer, Refusal, Rule, any, choice, exactly_one, input, items, over, within};
use crate::quantities::{Energy, HeatingValue, Mass};

/// The word for wood that is in no table.
const OWN: &str = "own";

/// A species of the tables, or one of its own weight and heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpeciesName {
    /// In the tables.
    Known(Species),
    /// With its own figures.
    Own,
}

impl SpeciesName {
    /// Whether only one table (or none) knows it.
    #[must_use]
    pub fn in_one_table_only(self) -> bool {
        !matches!(self, Self::Known(Species::Both(..)))
    }
}

impl Field for SpeciesName {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        let word = value.as_str().map(str::trim);
        if word == Some(OWN) {
            return Ok(Self::Own);
        }
        word.and_then(firewood::species).map(Self::Known).ok_or_else(|| {
            let words: Vec<&str> = firewood::names().chain([OWN]).collect();
            Refusal::unknown_choice(
                at,
                format!("This is none of the choices. Write one of: {}.", words.join(", ")),
            )
        })
    }

    fn schema(_: &Rule) -> Value {
        let words: Vec<&str> = firewood::names().chain([OWN]).collect();
        json!({ "enum": words })
    }
}

choice! {
    /// The old device.
    pub enum OldDevice {
        /// An uncertified stove.
        Conventional = "conventional",
        /// A certified stove without a catalyst.
        CertifiedNoncatalytic = "certified_noncatalytic",
        /// A certified stove with a catalyst.
        CertifiedCatalytic = "certified_catalytic",
        /// A certified pellet stove.
        PelletCertified = "pellet_certified",
        /// A pellet stove exempt from certification.
        PelletExempt = "pellet_exempt",
        /// A masonry heater.
        MasonryHeater = "masonry_heater",
    }
}

choice! {
    /// The gas of the new stove.
    pub enum FuelChoice {
        /// Natural gas.
        NaturalGas = "natural_gas",
        /// Propane.
        Propane = "propane",
    }
}

choice! {
    /// Where the factors come from.
    pub enum FactorSetChoice {
        /// AP-42.
        Ap42 = "ap42",
        /// The same with the lower particulate figure of later inventories.
        InventoryLowPm = "inventory_low_pm",
        /// The programme's own.
        Own = "own",
    }
}

choice! {
    /// Which wood table the figures follow.
    pub enum WoodTableChoice {
        /// Dry weights, fifteen species.
        A = "a",
        /// Weights at 20 % moisture, ten species.
        B = "b",
    }
}

input! {
    /// The wood, the two devices and the factors.
    pub struct Input {
        /// What is burned a year.
        pub wood: Vec<WoodInput> = items(1, 30),
        /// The old device.
        pub old_device: OldDevice = any().or("conventional"),
        /// Its efficiency; by the device unless given.
        pub old_efficiency: Option<f64> = within(0.05, 1.0),
        /// Efficiency of the new stove.
        pub new_efficiency: f64 = within(0.05, 1.0),
        /// Gas of the new stove.
        pub fuel: FuelChoice,
        /// Where the factors come from.
        pub factor_set: FactorSetChoice = any().or("ap42"),
        /// The programme's own factors.
        pub own_factors: Option<OwnFactors>,
        /// Which wood table the figures follow.
        pub wood_table: WoodTableChoice = any().or("a"),
        /// Heat per volume the gas quantity is told in: 1,020 Btu/ft3 of vapour or 91,500 Btu/gal of liquid.
        pub gas_heating_value: Option<HeatingValue> = within(1e6, 1e11),
    }
}

input! {
    /// One kind of wood.
    pub struct WoodInput {
        /// Species, or own.
        pub species: SpeciesName,
        /// Moisture, water over dry wood.
        pub moisture: f64 = within(0.0, 1.0).or(0.20),
        /// Dry mass of a cord, for own.
        pub dry_mass_per_cord: Option<Mass> = over(0.0, 5000.0),
        /// Heat of a cord at 20 % moisture, for own.
        pub heat_per_cord: Option<Energy> = over(0.0, 1e11),
        /// Cords a year.
        pub cords: Option<f64> = within(0.0, 50.0),
        /// Mass a year, as weighed at that moisture.
        pub mass: Option<Mass> = within(0.0, 2e5),
    }
}

input! {
    /// A programme's own factors.
    pub struct OwnFactors {
        /// Grams per kilogram of dry wood.
        pub wood: Option<OwnPollutants>,
        /// Grams per gigajoule of gas input.
        pub gas: Option<OwnPollutants>,
    }
}

input! {
    /// Own factors by pollutant; one that is left out has none.
    pub struct OwnPollutants {
        /// Particulate.
        pub pm: Option<f64> = within(0.0, 1e5),
        /// Carbon monoxide.
        pub co: Option<f64> = within(0.0, 1e5),
        /// Volatile organic compounds.
        pub voc: Option<f64> = within(0.0, 1e5),
        /// Nitrogen oxides.
        pub nox: Option<f64> = within(0.0, 1e5),
        /// Sulphur dioxide.
        pub so2: Option<f64> = within(0.0, 1e5),
    }
}

impl OldDevice {
    fn device(self) -> Device {
        match self {
            Self::Conventional => Device::Conventional,
            Self::CertifiedNoncatalytic => Device::CertifiedNoncatalytic,
            Self::CertifiedCatalytic => Device::CertifiedCatalytic,
            Self::PelletCertified => Device::PelletCertified,
            Self::PelletExempt => Device::PelletExempt,
            Self::MasonryHeater => Device::MasonryHeater,
        }
    }
}

impl FactorSetChoice {
    /// The set itself.
    #[must_use]
    pub fn set(self) -> FactorSet {
        match self {
            Self::Ap42 => FactorSet::Ap42,
            Self::InventoryLowPm => FactorSet::InventoryLowPm,
            Self::Own => FactorSet::Own,
        }
    }
}

impl OwnPollutants {
    fn factors(&self) -> PerPollutant<Option<f64>> {
        let Self {
            pm,
            co,
            voc,
            nox,
            so2,
        } = *self;
        PerPollutant {
            pm,
            co,
            voc,
            nox,
            so2,
        }
    }
}

impl Input {
    /// The change-out that is reckoned.
    pub(super) fn change_out(&self) -> Result<ChangeOut, Refusal> {
        let list = Pointer::root().key("wood");
        let wood: Result<Vec<WoodItem>, Refusal> = self
            .wood
            .iter()
            .enumerate()
            .map(|(place, item)| item.item(&list.item(place)))
            .collect();
        let wood = wood?;
        let device = factors::device(self.old_device.device());
        let fuel = match self.fuel {
            FuelChoice::NaturalGas => Fuel::NaturalGas,
            FuelChoice::Propane => Fuel::Propane,
        };
        let own = self.own()?;
        let of_own = |side: fn(&OwnFactors) -> Option<&OwnPollutants>| {
            own.map(|own| side(own).map(OwnPollutants::factors).unwrap_or_default())
        };
        Ok(ChangeOut {
            wood,
            table: match self.wood_table {
                WoodTableChoice::A => WoodTable::A,
                WoodTableChoice::B => WoodTable::B,
            },
            old_efficiency: self.old_efficiency.unwrap_or(device.efficiency),
            new_efficiency: self.new_efficiency,
            fuel,
            wood_factors: of_own(|own| own.wood.as_ref()).unwrap_or(device.g_per_kg),
            gas_factors: of_own(|own| own.gas.as_ref())
                .unwrap_or_else(|| factors::gas_g_per_gj(fuel, self.factor_set.set())),
            gas_heating_value: self.gas_heating_value.unwrap_or(match fuel {
                Fuel::NaturalGas => HeatingValue(1020.0 * BTU / CUBIC_FOOT),
                Fuel::Propane => HeatingValue(91_500.0 * BTU / GALLON),
            }),
        })
    }

    fn own(&self) -> Result<Option<&OwnFactors>, Refusal> {
        let at = Pointer::root().key("own_factors");
        match (self.factor_set, &self.own_factors) {
            (FactorSetChoice::Own, None) => Err(Refusal::missing(
                at,
                "The programme's own factors are asked for and not given. Add them.",
            )),
            (FactorSetChoice::Ap42 | FactorSetChoice::InventoryLowPm, Some(_)) => Err(Refusal::inconsistent(
                at,
                "Own factors are given, and factor_set names another set. Write own there, or leave these out.",
            )),
            (_, own) => Ok(own.as_ref()),
        }
    }
}

impl WoodInput {
    fn item(&self, at: &Pointer) -> Result<WoodItem, Refusal> {
        let cord_by_table = self.cord_by_table(at)?;
        exactly_one(
            at,
            &[("cords", self.cords.is_some()), ("mass", self.mass.is_some())],
        )?;
        Ok(WoodItem {
            cord_by_table,
            moisture: self.moisture,
            amount: match (self.mass, self.cords) {
                (Some(mass), _) => Amount::Weighed(mass),
                (None, cords) => Amount::Cords(cords.unwrap_or(0.0)),
            },
        })
    }

    fn cord_by_table(&self, at: &Pointer) -> Result<[Cord; 2], Refusal> {
        let given = self.dry_mass_per_cord.is_some() || self.heat_per_cord.is_some();
        match self.species {
            SpeciesName::Known(_) if given => Err(Refusal::inconsistent(
                at.key("species"),
                "This species has its weight and heat in the tables. Write own to give others, or leave them out.",
            )),
            SpeciesName::Known(species) => Ok(species.cord_by_table()),
            SpeciesName::Own => {
                let lacking = |key| {
                    Refusal::missing(
                        at.key(key),
                        "Wood of its own kind needs the dry mass and the heat of a cord. Add both.",
                    )
                };
                let dry_mass = self
                    .dry_mass_per_cord
                    .ok_or_else(|| lacking("dry_mass_per_cord"))?;
                let heat = self.heat_per_cord.ok_or_else(|| lacking("heat_per_cord"))?;
                Ok([Cord { dry_mass, heat }; 2])
            }
        }
    }
}
