//! Emission factors of wood heaters and gas burners.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::change_out::Fuel;
use crate::customary::{MMBTU, POUND};

/// A figure for each pollutant.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PerPollutant<T> {
    /// Particulate, all counted as PM2.5.
    pub pm: T,
    /// Carbon monoxide.
    pub co: T,
    /// Volatile organic compounds.
    pub voc: T,
    /// Nitrogen oxides.
    pub nox: T,
    /// Sulphur dioxide.
    pub so2: T,
}

impl<T> PerPollutant<T> {
    /// The same for each pollutant.
    #[must_use]
    pub fn map<U>(self, mut each: impl FnMut(T) -> U) -> PerPollutant<U> {
        PerPollutant {
            pm: each(self.pm),
            co: each(self.co),
            voc: each(self.voc),
            nox: each(self.nox),
            so2: each(self.so2),
        }
    }

    /// Two figures for each pollutant, side by side.
    #[must_use]
    pub fn zip<U>(self, other: PerPollutant<U>) -> PerPollutant<(T, U)> {
        PerPollutant {
            pm: (self.pm, other.pm),
            co: (self.co, other.co),
            voc: (self.voc, other.voc),
            nox: (self.nox, other.nox),
            so2: (self.so2, other.so2),
        }
    }

    /// Name and figure of each pollutant, in the order of the fields.
    #[must_use]
    pub fn named(self) -> [(&'static str, T); 5] {
        [
            ("pm", self.pm),
            ("co", self.co),
            ("voc", self.voc),
            ("nox", self.nox),
            ("so2", self.so2),
        ]
    }
}

/// A kind of wood heater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Device {
    /// An uncertified stove.
    Conventional,
    /// A certified stove without a catalyst.
    CertifiedNoncatalytic,
    /// A certified stove with a catalyst.
    CertifiedCatalytic,
    /// A certified pellet stove.
    PelletCertified,
    /// A pellet stove exempt from certification.
    PelletExempt,
    /// A masonry heater.
    MasonryHeater,
}

impl Device {
    /// All devices, in the order of the data file.
    pub const ALL: [Self; 6] = [
        Self::Conventional,
        Self::CertifiedNoncatalytic,
        Self::CertifiedCatalytic,
        Self::PelletCertified,
        Self::PelletExempt,
        Self::MasonryHeater,
    ];

    /// The word the JSON form uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Conventional => "conventional",
            Self::CertifiedNoncatalytic => "certified_noncatalytic",
            Self::CertifiedCatalytic => "certified_catalytic",
            Self::PelletCertified => "pellet_certified",
            Self::PelletExempt => "pellet_exempt",
            Self::MasonryHeater => "masonry_heater",
        }
    }
}

/// Where the factors come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FactorSet {
    /// AP-42.
    Ap42,
    /// The same with the lower particulate figure of later inventories for natural gas.
    InventoryLowPm,
    /// A programme's own set.
    Own,
}

impl FactorSet {
    /// The word the JSON form uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Ap42 => "ap42",
            Self::InventoryLowPm => "inventory_low_pm",
            Self::Own => "own",
        }
    }
}

/// A wood heater's factors and efficiency.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DeviceFactors {
    /// Grams per kilogram of dry wood.
    pub g_per_kg: PerPollutant<Option<f64>>,
    /// Efficiency, 0 to 1.
    pub efficiency: f64,
}

/// The factors of a device, AP-42 section 1.10.
#[must_use]
pub fn device(device: Device) -> DeviceFactors {
    tables().wood.get(&device).copied().unwrap_or_default()
}

/// The factors of a gas, grams per gigajoule of input; all missing for [`FactorSet::Own`].
#[must_use]
pub fn gas_g_per_gj(fuel: Fuel, set: FactorSet) -> PerPollutant<Option<f64>> {
    let tables = tables();
    let rows = match fuel {
        Fuel::NaturalGas => tables.natural_gas,
        Fuel::Propane => tables.propane,
    };
    match set {
        FactorSet::Ap42 => rows.ap42,
        FactorSet::InventoryLowPm => rows.inventory_low_pm,
        FactorSet::Own => PerPollutant::default(),
    }
}

#[derive(Debug, Clone, Default)]
struct Tables {
    wood: BTreeMap<Device, DeviceFactors>,
    natural_gas: GasFactors,
    propane: GasFactors,
}

#[derive(Debug, Clone, Copy, Default)]
struct GasFactors {
    ap42: PerPollutant<Option<f64>>,
    inventory_low_pm: PerPollutant<Option<f64>>,
}

fn tables() -> &'static Tables {
    static TABLES: LazyLock<Tables> =
        LazyLock::new(|| read(include_str!("../../../data/emission_factors.toml")).unwrap_or_default());
    &TABLES
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    wood: BTreeMap<Device, WoodRow>,
    gas: GasFile,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GasFile {
    natural_gas: GasRow,
    propane: GasRow,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WoodRow {
    pm: Option<f64>,
    co: Option<f64>,
    voc: Option<f64>,
    nox: Option<f64>,
    so2: Option<f64>,
    efficiency: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GasRow {
    mmbtu_per_amount: f64,
    factors: PerPollutant<Option<f64>>,
    inventory_low_pm: Option<f64>,
}

fn read(text: &str) -> Result<Tables, String> {
    let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
    let mut wood = BTreeMap::new();
    for device in Device::ALL {
        let row = file
            .wood
            .get(&device)
            .ok_or_else(|| format!("{} is not in the file", device.word()))?;
        let pounds_per_ton = PerPollutant {
            pm: row.pm,
            co: row.co,
            voc: row.voc,
            nox: row.nox,
            so2: row.so2,
        };
        wood.insert(
            device,
            DeviceFactors {
                g_per_kg: pounds_per_ton.map(|pounds| pounds.map(|pounds| pounds / 2.0)),
                efficiency: row.efficiency,
            },
        );
    }
    Ok(Tables {
        wood,
        natural_gas: gas(&file.gas.natural_gas),
        propane: gas(&file.gas.propane),
    })
}

/// Pounds per amount of gas to grams per gigajoule.
fn gas(row: &GasRow) -> GasFactors {
    let per_gigajoule =
        |pounds: Option<f64>| pounds.map(|pounds| pounds / row.mmbtu_per_amount * POUND * 1e12 / MMBTU);
    let ap42 = row.factors.map(per_gigajoule);
    GasFactors {
        ap42,
        inventory_low_pm: PerPollutant {
            pm: per_gigajoule(row.inventory_low_pm).or(ap42.pm),
            ..ap42
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_factors_load_for_every_device() {
        let tables = read(include_str!("../../../data/emission_factors.toml")).unwrap();
        assert_eq!(tables.wood.len(), 6);
        let stove = device(Device::Conventional);
        assert!((stove.g_per_kg.pm.unwrap() - 15.3).abs() < 1e-12);
        assert_eq!(device(Device::CertifiedNoncatalytic).g_per_kg.nox, None);
    }

    #[test]
    fn gas_factors_are_pounds_per_million_btu_in_grams_per_gigajoule() {
        let pm = gas_g_per_gj(Fuel::NaturalGas, FactorSet::Ap42).pm.unwrap();
        let wanted = 7.6 / 1020.0 * 453.592_37 / 1.055_055_852_62;
        assert!((pm / wanted - 1.0).abs() < 1e-12);
        let low = gas_g_per_gj(Fuel::NaturalGas, FactorSet::InventoryLowPm);
        assert!((low.pm.unwrap() / pm - 0.43 / 7.6).abs() < 1e-12);
        let propane = gas_g_per_gj(Fuel::Propane, FactorSet::InventoryLowPm);
        assert_eq!(propane, gas_g_per_gj(Fuel::Propane, FactorSet::Ap42));
        assert_eq!(propane.so2, None);
    }
}
