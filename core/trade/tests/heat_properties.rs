//! What must hold of the heat reckonings whatever the figures.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};

const SEED: u64 = 20_002;

fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 200,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(SEED),
        ..ProptestConfig::default()
    }
}

fn reckon(name: &str, input: &Value) -> Value {
    wythe_trade::reckon(name, &input.to_string()).unwrap()
}

fn figure(answer: &Value, pointer: &str) -> f64 {
    let found = answer.pointer(pointer).unwrap();
    found.get("value").unwrap_or(found).as_f64().unwrap()
}

fn room(square_metres: f64, u_value: f64, outdoors: f64, changes: f64, altitude: f64) -> Value {
    json!({
        "altitude": {"value": altitude, "unit": "m"}, "outdoor_temperature": {"value": outdoors, "unit": "degC"},
        "zones": [{
            "id": "room", "indoor_temperature": "21 degC", "floor_area": "20 m2",
            "surfaces": [
                {"area": {"value": square_metres, "unit": "m2"}, "u_value": {"value": u_value, "unit": "W/m2K"}},
                {"area": "9 m2", "r_value": "R-13", "b_factor": 0.5},
                {"area": "7 m2", "u_value": "1.5 W/m2K", "other_side_temperature": "24 degC"},
            ],
            "slab_edges": [{"perimeter": "5 m", "f_factor": "1.2 W/mK"}],
            "bridges": [{"length": "4 m", "psi": "0.1 W/mK"}],
            "air": {"air_changes": changes, "volume": "50 m3"},
        }],
    })
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn the_four_ways_add_up_to_the_load_and_the_shares_to_the_surfaces(
        area in 0.0..200.0_f64, u in 0.0..5.0_f64, outdoors in -50.0..20.0_f64, changes in 0.0..3.0_f64, altitude in -500.0..4500.0_f64,
    ) {
        let found = reckon("heat_loss", &room(area, u, outdoors, changes, altitude));
        let ways = ["surfaces", "slab_edges", "bridges", "air"].map(|way| figure(&found, &format!("/balance/{way}")));
        let load = figure(&found, "/load");
        prop_assert!((ways.iter().sum::<f64>() - load).abs() < 1e-6 * load.abs().max(1.0));
        let surfaces: f64 = (0..3).map(|place| figure(&found, &format!("/zones/0/surfaces/{place}/load"))).sum();
        prop_assert!((surfaces - ways[0]).abs() < 1e-6 * load.abs().max(1.0));
    }

    #[test]
    fn colder_larger_leakier_and_lower_lose_more(
        area in 1.0..200.0_f64, u in 0.1..5.0_f64, outdoors in -50.0..15.0_f64, changes in 0.1..3.0_f64, altitude in -500.0..4000.0_f64,
    ) {
        let load = |area, u, outdoors, changes, altitude| figure(&reckon("heat_loss", &room(area, u, outdoors, changes, altitude)), "/load");
        let here = load(area, u, outdoors, changes, altitude);
        prop_assert!(load(area * 1.1, u, outdoors, changes, altitude) > here);
        prop_assert!(load(area, u * 1.1, outdoors, changes, altitude) > here);
        prop_assert!(load(area, u, outdoors - 1.0, changes, altitude) > here);
        prop_assert!(load(area, u, outdoors, changes * 1.1, altitude) > here);
        prop_assert!(load(area, u, outdoors, changes, altitude + 100.0) < here);
    }

    #[test]
    fn the_same_room_in_feet_and_fahrenheit_is_the_same_room(feet in 10.0..2000.0_f64, r in 1.0..40.0_f64, f in -40.0..60.0_f64) {
        let customary = json!({
            "outdoor_temperature": format!("{f} F"),
            "zones": [{
                "id": "room", "indoor_temperature": "70 F",
                "surfaces": [{"area": format!("{feet} ft2"), "r_value": format!("R-{r}")}],
                "slab_edges": [{"perimeter": "20 ft", "f_factor": "0.73 Btu/h·ft·F"}],
                "air": {"air_flow": "30 cfm"},
            }],
        });
        let metric = json!({
            "outdoor_temperature": {"value": (f - 32.0) / 1.8, "unit": "degC"},
            "zones": [{
                "id": "room", "indoor_temperature": {"value": 38.0 / 1.8, "unit": "degC"},
                "surfaces": [{"area": {"value": feet * 0.092_903_04, "unit": "m2"}, "u_value": {"value": 5.678_263_337 / r, "unit": "W/m2K"}}],
                "slab_edges": [{"perimeter": "6096 mm", "f_factor": {"value": 0.73 * 1.730_734_666, "unit": "W/mK"}}],
                "air": {"air_flow": {"value": 30.0 * 0.028_316_846_592 / 60.0, "unit": "m3/s"}},
            }],
        });
        let (customary, metric) = (reckon("heat_loss", &customary), reckon("heat_loss", &metric));
        for pointer in ["/load", "/ua", "/balance/air", "/balance/slab_edges"] {
            let (one, other) = (figure(&customary, pointer), figure(&metric, pointer));
            prop_assert!((one - other).abs() <= 1e-6 * one.abs() + 1e-6, "{pointer}: {one} and {other}");
        }
    }

    #[test]
    fn r_value_and_u_value_are_inverse(r in 0.02..40.0_f64) {
        let with = |key: &str, value: f64, unit: &str| reckon("heat_loss", &json!({
            "outdoor_temperature": "0 degC",
            "zones": [{"id": "room", "indoor_temperature": "20 degC", "surfaces": [{"area": "10 m2", key: {"value": value, "unit": unit}}]}],
        }));
        let by_r = figure(&with("r_value", r, "m2K/W"), "/load");
        prop_assume!(1.0 / r <= 20.0);
        let by_u = figure(&with("u_value", 1.0 / r, "W/m2K"), "/load");
        prop_assert!((by_r / by_u - 1.0).abs() < 2e-8);
    }

    #[test]
    fn an_assembly_lies_between_its_two_paths(framing in 0.0..1.0_f64, cavity in 0.5..8.0_f64, wood in 0.2..4.0_f64) {
        let found = reckon("heat_loss", &json!({
            "outdoor_temperature": "0 degC",
            "zones": [{"id": "room", "indoor_temperature": "20 degC", "surfaces": [{"area": "10 m2", "assembly": {
                "framing_fraction": framing, "inside_film": "0.12 m2K/W", "outside_film": "0.03 m2K/W",
                "layers": [{"r_value": {"value": cavity, "unit": "m2K/W"}, "framing_r_value": {"value": wood, "unit": "m2K/W"}}],
            }}]}],
        }));
        let u = figure(&found, "/zones/0/surfaces/0/u_value");
        let (one, other) = (1.0 / (cavity + 0.15), 1.0 / (wood + 0.15));
        prop_assert!(u >= one.min(other) * (1.0 - 1e-8) && u <= one.max(other) * (1.0 + 1e-8));
    }

    #[test]
    fn a_balance_temperature_is_where_low_fire_just_holds(load in 500.0..20e3_f64, low in 100.0..9e3_f64) {
        let found = reckon("appliance_match", &json!({
            "house": {"load": {"value": load, "unit": "W"}}, "indoor_temperature": "20 degC", "outdoor_temperature": "-20 degC",
            "high_output": {"value": 10e3, "unit": "W"}, "low_output": {"value": low, "unit": "W"}, "derate_factor": 1,
        }));
        let balance = figure(&found, "/house/balance_temperature");
        let ua = figure(&found, "/house/ua");
        prop_assert!(((20.0 - balance) * ua / low - 1.0).abs() < 1e-6);
        let steady = figure(&found, "/house/low_fire_temperature");
        prop_assert!(((steady + 20.0) * ua / low - 1.0).abs() < 1e-6);
    }

    #[test]
    fn derating_by_rule_by_factor_and_by_site_input_agree(plate in 1000.0..40e3_f64, feet in 0.0..12_000.0_f64) {
        let asked = |more: Value| {
            let mut input = json!({
                "room": {"load": "3 kW"}, "indoor_temperature": "20 degC", "outdoor_temperature": "-20 degC",
                "altitude": format!("{feet} ft"), "efficiency": 0.8,
            });
            input.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
            reckon("appliance_match", &input)
        };
        let plate_input = json!({"value": plate, "unit": "W"});
        let by_rule = asked(json!({"high_input": plate_input}));
        let factor = figure(&by_rule, "/derate_factor");
        let by_factor = asked(json!({"high_input": plate_input, "derate_factor": factor}));
        let by_site = asked(json!({"site_input": {"value": plate * factor, "unit": "W"}}));
        for other in [by_factor, by_site] {
            prop_assert!((figure(&other, "/high_output") / figure(&by_rule, "/high_output") - 1.0).abs() < 1e-7);
        }
    }

    #[test]
    fn more_cords_avoid_more_smoke_and_the_figure_lies_between_low_and_high(cords in 0.1..24.0_f64, more in 1.01..2.0_f64) {
        let with = |cords: f64, table: &str| reckon("emissions_avoided", &json!({
            "wood": [{"species": "red_oak", "cords": cords}, {"species": "hickory", "cords": 0.5}],
            "new_efficiency": 0.7, "fuel": "natural_gas", "wood_table": table,
        }));
        for table in ["a", "b"] {
            let (few, many) = (with(cords, table), with(cords * more, table));
            for pollutant in ["pm", "co", "voc"] {
                let at = |which: &str| format!("/emissions/{pollutant}/{which}");
                prop_assert!(figure(&many, &at("avoided")) > figure(&few, &at("avoided")));
                prop_assert!(figure(&few, &at("low")) <= figure(&few, &at("avoided")) * (1.0 + 1e-8));
                prop_assert!(figure(&few, &at("high")) >= figure(&few, &at("avoided")) * (1.0 - 1e-8));
            }
        }
    }

    #[test]
    fn wood_weighed_in_pounds_or_kilograms_is_the_same_wood(kilograms in 10.0..20e3_f64, moisture in 0.0..1.0_f64) {
        let with = |mass: Value| reckon("emissions_avoided", &json!({
            "wood": [{"species": "beech", "mass": mass, "moisture": moisture}], "new_efficiency": 0.7, "fuel": "propane",
        }));
        let metric = with(json!({"value": kilograms, "unit": "kg"}));
        let customary = with(json!({"value": kilograms / 0.453_592_37, "unit": "lb"}));
        for pointer in ["/dry_mass", "/gas_input", "/emissions/pm/wood", "/co2/gas_fossil"] {
            prop_assert!((figure(&metric, pointer) / figure(&customary, pointer) - 1.0).abs() < 2e-8);
        }
    }
}
