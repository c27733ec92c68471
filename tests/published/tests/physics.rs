//! The laws that the flue stands on, against `fixtures/published/physics.toml`.

use serde::Deserialize;
use wythe_physics::atmosphere::{MoistAir, standard_pressure};
use wythe_physics::chimney;
use wythe_physics::combustion::{Products, Stoichiometry};
use wythe_physics::convection::free_convection;
use wythe_physics::friction::{Closure, Duct, Shape, colebrook};
use wythe_physics::fuel::Fuel;
use wythe_physics::gas::Mixture;
use wythe_physics::geometry::Tile;
use wythe_physics::quantities::{length, pressure, temperature};
use wythe_physics::restrictor;
use wythe_physics::saturation::{dew_point, saturation_pressure};
use wythe_physics::two_stream::{Capacities, Conductances, whole_flue};

const SEA_LEVEL: f64 = 101_325.0;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Checks {
    check: Vec<Check>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Check {
    claim: String,
    source: String,
    mark: String,
    strength: String,
    of: String,
    fuel: Option<String>,
    at: Vec<f64>,
    gives: f64,
    tolerance: Option<f64>,
    within: Option<f64>,
}

#[test]
fn published_values_are_met() {
    let file: Checks = toml::from_str(include_str!("../../../fixtures/published/physics.toml")).unwrap();
    assert!(file.check.len() > 80);
    let wrong: Vec<String> = file.check.iter().filter_map(difference).collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

fn difference(check: &Check) -> Option<String> {
    let marks = ["looked up", "from memory", "computed"];
    assert!(
        marks.contains(&check.mark.as_str()) && !check.source.is_empty(),
        "{}",
        check.claim
    );
    assert!(
        ["A", "B", "C"].contains(&check.strength.as_str()),
        "{}",
        check.claim
    );
    let found = value(check);
    let slack = match (check.tolerance, check.within) {
        (Some(relative), None) => relative * check.gives.abs(),
        (None, Some(absolute)) => absolute,
        _ => panic!("{}: one of tolerance and within", check.claim),
    };
    let off = (found - check.gives).abs();
    (off.is_nan() || off > slack).then(|| format!("- {}: {found}, not {}", check.claim, check.gives))
}

fn value(check: &Check) -> f64 {
    let fuel = || match check.fuel.as_deref() {
        Some("natural_gas") => Fuel::natural_gas(),
        Some("propane") => Fuel::propane(),
        Some("methane") => Fuel::methane(),
        other => panic!("{}: fuel {other:?}", check.claim),
    };
    let air = Mixture::dry_air();
    match (check.of.as_str(), check.at.as_slice()) {
        ("standard_pressure", [z]) => standard_pressure(length(*z)).value,
        ("standard_density", [z]) => {
            let cold = temperature(288.15 - 0.0065 * z);
            MoistAir::new(standard_pressure(length(*z)), cold, 0.0)
                .density()
                .value
        }
        ("saturation_pressure", [t]) => saturation_pressure(temperature(*t)).value,
        ("dew_point", [p]) => dew_point(pressure(*p)).unwrap().value,
        ("saturated_humidity_ratio", [t]) => {
            MoistAir::new(pressure(SEA_LEVEL), temperature(*t), 1.0).humidity_ratio()
        }
        ("air_by_weight", []) => {
            let molar = air.molar_mass().value * 1000.0;
            Stoichiometry::of(&fuel()).air * molar / fuel().grams_per_mole()
        }
        ("air_by_volume", []) => Stoichiometry::of(&fuel()).air,
        ("wet_carbon_dioxide", [l]) => share(&fuel(), *l, |p| p.carbon_dioxide),
        ("wet_water", [l]) => share(&fuel(), *l, |p| p.water),
        ("wet_nitrogen_and_argon", [l]) => share(&fuel(), *l, |p| p.nitrogen + p.argon),
        ("co2_max_dry", []) => Stoichiometry::of(&fuel()).co2_max_dry,
        ("exhaust_dew_point", [l]) => {
            dew_point(pressure(SEA_LEVEL * share(&fuel(), *l, |p| p.water)))
                .unwrap()
                .value
        }
        ("shop_formula_off", [l]) => {
            let made = Products::of(&fuel(), *l, 0.0);
            let (carbon_dioxide, oxygen) = (made.carbon_dioxide / made.dry(), made.oxygen / made.dry());
            carbon_dioxide - Stoichiometry::of(&fuel()).co2_max_dry * (0.2095 - oxygen) / 0.2095
        }
        ("gross_heat", []) => fuel().gross_kilojoules_per_mole(),
        ("net_heat", []) => fuel().net_kilojoules_per_mole(),
        ("exhaust_per_heat_over_ashrae", [carbon_dioxide]) => {
            exhaust_over_ashrae(check, &fuel(), *carbon_dioxide)
        }
        ("air_density", [t]) => air.density(pressure(SEA_LEVEL), temperature(*t)).value,
        ("air_viscosity", [t]) => air.viscosity(temperature(*t)).value,
        ("air_conductivity", [t]) => air.conductivity(temperature(*t)).value,
        ("air_heat_capacity", [t]) => air.heat_capacity(temperature(*t)).value,
        ("air_prandtl", [t]) => air.prandtl(temperature(*t)),
        ("friction", [re, rough]) => colebrook(*re, *rough),
        ("friction_physical", [re, rough]) => {
            Duct::new(Closure::Physical, Shape::Round, *rough, true, 0.02).friction(*re)
        }
        ("counterflow_hot_out", rest) => counterflow(rest).0,
        ("counterflow_cold_out", rest) => counterflow(rest).1,
        ("counterflow_effectiveness", [ntu, ratio]) => {
            1.0 - counterflow(&[*ntu, 1.0, 1.0 / ratio, 1.0, 0.0]).0
        }
        ("free_convection", [wall, bulk]) => {
            free_convection(&air, pressure(SEA_LEVEL), temperature(*wall), temperature(*bulk)).value
        }
        ("draft_of_columns", [p, h, ra, ta, rg, tg]) => {
            let columns = ((*ra, temperature(*ta)), (*rg, temperature(*tg)));
            chimney::draft_of_columns(pressure(*p), length(*h), columns.0, columns.1).value
        }
        ("draft_of_air", [p, h, ta, tg]) => draft_of_air(*p, *h, *ta, *tg),
        ("draft_over_ashrae", [p, h, ta, tg]) => {
            let ashrae = chimney::draft_ashrae(pressure(*p), length(*h), temperature(*ta), temperature(*tg));
            draft_of_air(*p, *h, *ta, *tg) / ashrae.value
        }
        ("restrictor_loss", [open]) => restrictor::loss_coefficient(*open),
        ("area_around", [a, b, factor, liner]) => {
            tile(*a, *b, *factor).area().value - std::f64::consts::PI * liner * liner / 4.0
        }
        ("hydraulic_diameter_around", [a, b, factor, liner]) => {
            tile(*a, *b, *factor)
                .hydraulic_diameter_around(length(*liner))
                .value
        }
        (of, at) => panic!("{}: no law {of} of {} arguments", check.claim, at.len()),
    }
}

fn share(fuel: &Fuel, air_ratio: f64, of: fn(&Products) -> f64) -> f64 {
    let made = Products::of(fuel, air_ratio, 0.0);
    of(&made) / made.wet()
}

/// Our exhaust per heat over that of the ASHRAE form, at a share of carbon dioxide in dry exhaust.
fn exhaust_over_ashrae(check: &Check, fuel: &Fuel, carbon_dioxide: f64) -> f64 {
    let need = Stoichiometry::of(fuel);
    let made = Products::of(
        fuel,
        need.air_ratio_from_carbon_dioxide(carbon_dioxide).unwrap(),
        0.0,
    );
    let grams = fuel.grams_per_mole() + made.air * Mixture::dry_air().molar_mass().value * 1000.0;
    let ours = grams / fuel.gross_kilojoules_per_mole();
    let ashrae = match check.fuel.as_deref() {
        Some("propane") => chimney::exhaust_per_heat_propane(100.0 * carbon_dioxide),
        _ => chimney::exhaust_per_heat_natural_gas(100.0 * carbon_dioxide),
    };
    ours / ashrae
}

/// Hot and cold outlet of a counterflow exchanger: UA, capacity flows hot and cold, inlets hot and cold.
fn counterflow(arguments: &[f64]) -> (f64, f64) {
    let [ua, hot, cold, hot_in, cold_in] = arguments else {
        panic!("five arguments")
    };
    let conductances = Conductances {
        exhaust_air: *ua,
        ..Conductances::default()
    };
    let whole = whole_flue(
        conductances,
        Capacities {
            exhaust: *hot,
            air: *cold,
        },
        1.0,
        *hot_in,
        *cold_in,
        290.0,
    );
    (whole.exhaust_top, whole.air_bottom)
}

fn draft_of_air(p: f64, h: f64, outdoors: f64, mean: f64) -> f64 {
    let air = Mixture::dry_air();
    let (cold, hot) = ((&air, temperature(outdoors)), (&air, temperature(mean)));
    chimney::draft(pressure(p), length(h), cold, hot).value
}

fn tile(a: f64, b: f64, area_factor: f64) -> Tile {
    Tile::Rectangle {
        a: length(a),
        b: length(b),
        area_factor,
    }
}
