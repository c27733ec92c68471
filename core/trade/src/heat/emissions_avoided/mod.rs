//! Emissions avoided: the wood smoke a change-out avoids in a year of the cords given.
//!
//! The heat used stays the same. Carbon dioxide of wood and of gas stand side by side and are never netted.

pub mod change_out;
pub mod factors;
pub mod firewood;

mod input;

use serde::Serialize;

pub use input::{FactorSetChoice, FuelChoice, Input, OwnFactors, SpeciesName, WoodInput, WoodTableChoice};

use crate::compare::at_most;
use crate::form::{Answer, Figure, FindingKind, Findings, Reckoning, Refusal, Trace};
use crate::notes::GOVERNS;
use crate::quantities::{Energy, Mass, Volume};
use crate::words::percent;
use change_out::{Avoided, ChangeOut, Emission, Fuel};
use factors::{FactorSet, PerPollutant};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct EmissionsAvoided;

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    factor_set: &'static str,
    factors: FactorFigures,
    dry_mass: Figure<Mass>,
    wood_heat: Figure<Energy>,
    delivered_heat: Figure<Energy>,
    gas_input: Figure<Energy>,
    gas_quantity: Figure<Volume>,
    gas_state: &'static str,
    emissions: PerPollutant<EmissionFigures>,
    co2: Co2Figures,
}

/// The factors the figures stand on.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct FactorFigures {
    wood_g_per_kg: PerPollutant<Option<f64>>,
    gas_g_per_gj: PerPollutant<Option<f64>>,
}

/// One pollutant.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct EmissionFigures {
    wood: Option<Figure<Mass>>,
    gas: Option<Figure<Mass>>,
    avoided: Option<Figure<Mass>>,
    low: Option<Figure<Mass>>,
    high: Option<Figure<Mass>>,
}

impl From<Emission> for EmissionFigures {
    fn from(emission: Emission) -> Self {
        Self {
            wood: emission.wood.map(Figure::from),
            gas: emission.gas.map(Figure::from),
            avoided: emission.avoided.map(Figure::from),
            low: emission.low.map(Figure::from),
            high: emission.high.map(Figure::from),
        }
    }
}

/// Carbon dioxide, side by side.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Co2Figures {
    wood_biogenic: Figure<Mass>,
    gas_fossil: Figure<Mass>,
}

const AP42: &str =
    "AP-42 1.10, 1.4 and 1.5, from memory; gas PM, VOC and SO2: epa.illinois.gov common-emission-factors";
const TABLES: &str = "uky.edu/Ag/Forestry/McLaren/firewood_properties.htm; www.daviddarling.info/encyclopedia/F/AE_fuel_wood.html";
const HEAT_USE: FindingKind = FindingKind::info(1, "heat_use_unchanged", "an assumption of the sum");
const FROM_MEMORY: FindingKind = FindingKind::info(2, "wood_factors_from_memory", AP42);
const WET_WOOD: FindingKind = FindingKind::caution(3, "wet_wood", TABLES);
const ONE_TABLE: FindingKind = FindingKind::info(4, "one_table_only", TABLES);
const FACTOR_MISSING: FindingKind = FindingKind::info(5, "factor_missing", AP42);
const OLD_BETTER: FindingKind = FindingKind::caution(6, "old_better_than_new", "the efficiencies given");

/// Wood wetter than this burns badly, and the factors are for drier wood.
const WET: f64 = 0.25;

const PROGRAMME: &str =
    "A programme may impose its own factors; name the set that was used beside the figures.";

impl Reckoning for EmissionsAvoided {
    const NAME: &'static str = "emissions_avoided";
    const PURPOSE: &'static str = "How much smoke a change-out avoids in a year of the cords given.";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let change_out = input.change_out()?;
        let found = change_out::avoided(&change_out);
        Ok(Answer {
            verdict: None,
            findings: findings(input, &change_out, &found).finish(),
            trace: trace(&change_out, &found).finish(),
            notes: vec![GOVERNS, PROGRAMME],
            figures: Figures {
                factor_set: input.factor_set.set().word(),
                factors: FactorFigures {
                    wood_g_per_kg: change_out.wood_factors,
                    gas_g_per_gj: change_out.gas_factors,
                },
                dry_mass: found.dry_mass.into(),
                wood_heat: found.wood_heat.into(),
                delivered_heat: found.delivered_heat.into(),
                gas_input: found.gas_input.into(),
                gas_quantity: found.gas_quantity.into(),
                gas_state: match change_out.fuel {
                    Fuel::NaturalGas => "vapour",
                    Fuel::Propane => "liquid",
                },
                emissions: found.emissions.map(EmissionFigures::from),
                co2: Co2Figures {
                    wood_biogenic: found.co2_wood_biogenic.into(),
                    gas_fossil: found.co2_gas_fossil.into(),
                },
            },
        })
    }
}

fn findings(input: &Input, change_out: &ChangeOut, found: &Avoided) -> Findings {
    let mut findings = Findings::default();
    findings.add(
        HEAT_USE,
        "The sum takes it that the house uses as much heat as before. Say so where the figure is used.",
    );
    if input.factor_set.set() != FactorSet::Own {
        findings.add(
            FROM_MEMORY,
            "The wood factors are AP-42's, noted from memory. Compare them with the programme's own set before the figure \
             goes into a claim.",
        );
    }
    if let Some(wettest) = input
        .wood
        .iter()
        .map(|item| item.moisture)
        .filter(|m| !at_most(*m, WET))
        .reduce(f64::max)
    {
        findings.add(
            WET_WOOD,
            format!(
                "Wood of {} moisture was burned. Wet wood smokes more than the factors say; take the figure as the low end.",
                percent(wettest)
            ),
        );
    }
    if input.wood.iter().any(|item| item.species.in_one_table_only()) {
        findings.add(
            ONE_TABLE,
            "A kind of wood stands in one table only, so the low and the high figure are nearer than they should be. Quote \
             the middle one.",
        );
    }
    let missing: Vec<&str> = found
        .emissions
        .named()
        .into_iter()
        .filter(|(_, emission)| emission.avoided.is_none())
        .map(|(name, _)| name)
        .collect();
    if !missing.is_empty() {
        findings.add(
            FACTOR_MISSING,
            format!(
                "There is no published factor on one side for {}. Leave it out of the claim, or give the programme's factor.",
                missing.join(", ")
            ),
        );
    }
    if !at_most(change_out.old_efficiency, change_out.new_efficiency) {
        findings.add(
            OLD_BETTER,
            format!(
                "The old device is given as {} efficient and the new one as {}. Look at both papers again.",
                percent(change_out.old_efficiency),
                percent(change_out.new_efficiency)
            ),
        );
    }
    findings
}

fn trace(change_out: &ChangeOut, found: &Avoided) -> Trace {
    let mut trace = Trace::default();
    trace.quantity("dry wood", found.dry_mass);
    trace.quantity("heat in the wood", found.wood_heat);
    trace.number("efficiency of the old device", change_out.old_efficiency);
    trace.quantity("heat that reached the room", found.delivered_heat);
    trace.number("efficiency of the new stove", change_out.new_efficiency);
    trace.quantity("gas input for the same heat", found.gas_input);
    trace.line(
        "wood particulate factor",
        change_out.wood_factors.pm.unwrap_or(f64::NAN),
        "g/kg",
    );
    trace.line(
        "gas particulate factor",
        change_out.gas_factors.pm.unwrap_or(f64::NAN),
        "g/GJ",
    );
    trace
}
