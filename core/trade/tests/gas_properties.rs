//! What must hold of the gas reckonings whatever the figures: monotone where physics says so, the same answer
//! for the same job in other units, inverse pairs.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};

const SEED: u64 = 20_001;

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

/// The figures of an answer: what was typed in one unit or another may differ in the last digits of a message.
fn figures(mut answer: Value) -> Value {
    for key in ["findings", "trace"] {
        let codes = answer[key]
            .as_array()
            .unwrap()
            .iter()
            .map(|item| item.get("code").cloned());
        answer[key] = json!(codes.collect::<Vec<_>>());
    }
    answer
}

/// The same to eight of the nine digits: conversions differ by the last bit, which may tip the ninth.
fn same(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            (one - other).abs() <= 2e-8 * one.abs().max(other.abs()) + 1e-9
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one
                    .iter()
                    .all(|(key, one)| other.get(key).is_some_and(|other| same(one, other)))
        }
        (one, other) => one == other,
    }
}

fn line(metres: f64, watts: f64, size: &str, pascals: f64) -> Value {
    json!({
        "gas": "natural_gas", "heating_value": "1000 Btu/ft3",
        "inlet_pressure": {"value": pascals, "unit": "Pa"}, "allowed_drop": {"value": pascals / 8.0, "unit": "Pa"},
        "method": "longest_length",
        "segments": [{"id": "run", "length": {"value": metres, "unit": "m"}, "size": size}],
        "appliances": [{"id": "stove", "node": "run", "input": {"value": watts, "unit": "W"}}],
    })
}

fn sizes() -> impl Strategy<Value = &'static str> {
    proptest::sample::select(vec!["1/2", "3/4", "1", "1-1/4", "2"])
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn longer_pipe_carries_less_and_loses_more(
        size in sizes(), metres in 0.5..60.0_f64, more in 1.01..1.6_f64, watts in 500.0..50e3_f64, inlet in 1000.0..60e3_f64,
    ) {
        let short = reckon("gas_line", &line(metres, watts, size, inlet));
        let long = reckon("gas_line", &line(metres * more, watts, size, inlet));
        let capacity = "/segments/0/capacity_longest";
        prop_assert!(figure(&long, capacity) < figure(&short, capacity));
        prop_assert!(figure(&long, "/appliances/0/drop") >= figure(&short, "/appliances/0/drop"));
        prop_assert!(figure(&long, "/appliances/0/pressure_gauge") <= figure(&short, "/appliances/0/pressure_gauge"));
    }

    #[test]
    fn a_pipe_at_its_capacity_loses_the_allowed_drop(size in sizes(), metres in 1.0..90.0_f64, inlet in 1000.0..60e3_f64) {
        let found = reckon("gas_line", &line(metres, 1000.0, size, inlet));
        let full = figure(&found, "/segments/0/capacity_longest") / figure(&found, "/segments/0/flow") * 1000.0;
        prop_assume!(full < 200e3);
        let back = reckon("gas_line", &line(metres, full, size, inlet));
        let drop = figure(&back, "/appliances/0/drop");
        prop_assert!((drop / (inlet / 8.0) - 1.0).abs() < 1e-6, "{drop} of {}", inlet / 8.0);
    }

    #[test]
    fn a_found_size_carries_its_flow_and_the_next_smaller_does_not(metres in 1.0..60.0_f64, watts in 1000.0..150e3_f64) {
        let found = reckon("gas_line", &line(metres, watts, "find", 1743.0));
        prop_assume!(found["verdict"] != json!("fail"));
        let sizes = ["1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4"];
        let size = found.pointer("/segments/0/size").unwrap().as_str().unwrap();
        let place = sizes.iter().position(|known| *known == size).unwrap();
        if let Some(smaller) = place.checked_sub(1).and_then(|place| sizes.get(place)) {
            let tight = reckon("gas_line", &line(metres, watts, smaller, 1743.0));
            prop_assert_eq!(&tight["verdict"], &json!("fail"));
        }
    }

    #[test]
    fn the_same_line_in_feet_and_btu_is_the_same_line(
        feet in 1.0..200.0_f64, btu in 1000.0..600e3_f64, inches_of_water in 4.0..100.0_f64,
    ) {
        let customary = json!({
            "gas": "propane", "heating_value": "2500 Btu/ft3", "inlet_pressure": format!("{inches_of_water} in wc"),
            "allowed_drop": "0.5 in wc", "method": "branch_length",
            "segments": [{"id": "run", "length": format!("{feet} ft"), "size": "find", "fittings": {"ell90": 2}}],
            "appliances": [{"id": "stove", "node": "run", "input": format!("{btu} Btu/h")}],
        });
        let metric = json!({
            "gas": "propane", "heating_value": {"value": 2500.0 * 1_055.055_852_62 / 0.028_316_846_592 / 1e6, "unit": "MJ/m3"},
            "inlet_pressure": {"value": inches_of_water * 0.249_088_91, "unit": "kPa"},
            "allowed_drop": {"value": 0.5 * 2.490_889_1, "unit": "mbar"}, "method": "branch_length",
            "segments": [{"id": "run", "length": {"value": feet * 304.8, "unit": "mm"}, "size": "find", "fittings": {"ell90": 2}}],
            "appliances": [{"id": "stove", "node": "run", "input": {"value": btu * 1.055_055_852_62 / 3600.0, "unit": "kW"}}],
        });
        let (customary, metric) = (figures(reckon("gas_line", &customary)), figures(reckon("gas_line", &metric)));
        prop_assert!(same(&customary, &metric), "{customary}\n{metric}");
    }

    #[test]
    fn a_hole_sized_for_an_input_gives_that_input(
        watts in 200.0..150e3_f64, water in 1.0..14.0_f64, altitude in -400.0..4400.0_f64, gas in proptest::sample::select(vec!["natural_gas", "propane"]),
    ) {
        let asked = json!({
            "task": "size_for_input", "gas": gas, "manifold_pressure": format!("{water} in wc"), "heating_value": "1000 Btu/ft3",
            "input": {"value": watts, "unit": "W"}, "altitude": {"value": altitude, "unit": "m"},
        });
        let sized = reckon("orifice", &asked);
        let diameter = figure(&sized, "/diameter");
        prop_assume!(diameter <= 0.02);
        let back = reckon("orifice", &json!({
            "task": "flow_of_drill", "gas": gas, "manifold_pressure": format!("{water} in wc"), "heating_value": "1000 Btu/ft3",
            "diameter": {"value": diameter, "unit": "m"}, "altitude": {"value": altitude, "unit": "m"},
        }));
        prop_assert!((figure(&back, "/input") / watts - 1.0).abs() < 3e-8);
        if !sized["drill_below"].is_null() {
            prop_assert!(figure(&sized, "/drill_below/ratio") <= 1.0 + 1e-8);
        }
        if !sized["drill_above"].is_null() {
            prop_assert!(figure(&sized, "/drill_above/ratio") >= 1.0 - 1e-8);
        }
    }

    #[test]
    fn higher_up_no_rule_allows_more_input(metres in -400.0..4300.0_f64, up in 0.1..200.0_f64) {
        let factors = |metres: f64| {
            let input = json!({ "input": "30,000 Btu/h", "altitude": { "value": metres, "unit": "m" } });
            reckon("derate", &input)["readings"].as_object().unwrap().clone()
        };
        let (below, above) = (factors(metres), factors(metres + up));
        for (rule, at) in &below {
            // A rule that says nothing there allows nothing.
            let factor = |reading: &Value| reading["factor"].as_f64().unwrap_or(0.0);
            prop_assert!(factor(&above[rule]) <= factor(at) + 1e-12, "{rule} at {metres} m and {up} m above");
        }
    }

    #[test]
    fn higher_up_the_same_drill_passes_less(drill in 1..=80_u32, metres in -500.0..4400.0_f64, up in 1.0..100.0_f64) {
        let at = |altitude: f64| reckon("orifice", &json!({
            "task": "flow_of_drill", "gas": "propane", "manifold_pressure": "11 in wc", "drill": drill.to_string(),
            "altitude": {"value": altitude, "unit": "m"},
        }));
        prop_assert!(figure(&at(metres + up), "/flow") < figure(&at(metres), "/flow"));
    }

    #[test]
    fn higher_up_no_larger_drill_takes_the_place(drill in 1..=80_u32, feet in 2000.0..13_000.0_f64, up in 10.0..1000.0_f64) {
        let at = |altitude: f64| reckon("orifice", &json!({
            "task": "altitude_equivalent", "drill": drill.to_string(), "altitude": format!("{altitude} ft"),
        }));
        let (low, high) = (at(feet), at(feet + up));
        prop_assert!(figure(&high, "/area_ratio") < figure(&low, "/area_ratio"));
        prop_assert!(figure(&high, "/drill_diameter") <= figure(&low, "/drill_diameter"));
    }

    #[test]
    fn a_slower_dial_is_a_smaller_input_and_the_band_holds_it(seconds in 5.0..600.0_f64, more in 1.01..3.0_f64, turns in 1..20_u32) {
        let at = |time: f64| reckon("meter_clock", &json!({
            "dial_volume": "0.5 ft3", "revolutions": turns, "time": {"value": time, "unit": "s"}, "heating_value": "38 MJ/m3",
        }));
        let (fast, slow) = (at(seconds), at(seconds * more));
        prop_assert!(figure(&slow, "/input") < figure(&fast, "/input"));
        for found in [&fast, &slow] {
            prop_assert!(figure(found, "/input_low") < figure(found, "/input"));
            prop_assert!(figure(found, "/input") < figure(found, "/input_high"));
        }
    }

    #[test]
    fn a_clocking_in_cubic_metres_is_the_same_clocking(seconds in 5.0..600.0_f64, btu in 5e3..200e3_f64) {
        let customary = json!({
            "dial_volume": "2 ft3", "time": format!("{seconds} s"), "heating_value": "1030 Btu/ft3", "meter_pressure": "7 in wc",
            "meter_temperature": "41 F", "altitude": "5000 ft", "plate_input": format!("{btu} Btu/h"), "derate_factor": 0.8,
        });
        let metric = json!({
            "dial_volume": {"value": 2.0 * 28.316_846_592, "unit": "L"}, "time": {"value": seconds / 60.0, "unit": "min"},
            "heating_value": {"value": 1030.0 * 1_055.055_852_62 / 0.028_316_846_592, "unit": "J/m3"},
            "meter_pressure": {"value": 7.0 * 249.088_91, "unit": "Pa"}, "meter_temperature": "5 degC",
            "altitude": "1524 m", "plate_input": {"value": btu * 1_055.055_852_62 / 3600.0, "unit": "W"}, "derate_factor": 0.8,
        });
        let (customary, metric) = (figures(reckon("meter_clock", &customary)), figures(reckon("meter_clock", &metric)));
        prop_assert!(same(&customary, &metric), "{customary}\n{metric}");
    }

    #[test]
    fn a_visible_fall_never_passes(
        start in 3.0..60.0_f64, fall in 0.051..3.0_f64, cold in -20.0..40.0_f64, warmer in -15.0..15.0_f64, taken in any::<bool>(),
    ) {
        let mut asked = json!({
            "max_working_pressure": "0.5 psi", "medium": "air", "duration": "15 min", "volume": "0.3 ft3",
            "start": {"pressure": format!("{start} psi")}, "end": {"pressure": format!("{} psi", (start - fall).max(0.0))},
            "gauge_resolution": "0.05 psi",
        });
        if taken {
            asked["start"]["gas_temperature"] = json!(format!("{cold} degC"));
            asked["end"]["gas_temperature"] = json!(format!("{} degC", cold + warmer));
        }
        let found = reckon("pressure_test", &asked);
        prop_assert!(found["verdict"] == json!("fail") || found["verdict"] == json!("cannot_tell"), "{found}");
    }

    #[test]
    fn a_tight_pipe_has_no_compensated_change_at_any_temperature(start in 3.0..60.0_f64, cold in -40.0..40.0_f64, warm in -40.0..40.0_f64) {
        let absolute = start * 6_894.757_293_168 + 101_325.0;
        let end = absolute * (warm + 273.15) / (cold + 273.15) - 101_325.0;
        prop_assume!(end > 0.0);
        let found = reckon("pressure_test", &json!({
            "max_working_pressure": "0.5 psi", "medium": "nitrogen", "duration": "15 min", "volume": "0.3 ft3",
            "start": {"pressure": format!("{start} psi"), "gas_temperature": {"value": cold, "unit": "degC"}},
            "end": {"pressure": {"value": end, "unit": "Pa"}, "gas_temperature": {"value": warm, "unit": "degC"}},
            "gauge_resolution": "0.05 psi",
        }));
        prop_assert!(figure(&found, "/compensated_change").abs() < 1e-6);
        prop_assert!((figure(&found, "/expected_end_gauge") - end).abs() < 1e-3);
        prop_assert!(figure(&found, "/leak_rate").abs() < 1e-12);
    }

    #[test]
    fn losses_and_efficiency_make_up_the_whole(o2 in 0.0..0.19_f64, flue in -20.0..690.0_f64, air in -40.0..40.0_f64, co in 0.0..2000.0_f64) {
        let found = reckon("flue_gas", &json!({
            "fuel": "natural_gas", "o2_dry": o2, "co_ppm": co, "flue_temperature": {"value": flue, "unit": "degC"},
            "air_temperature": {"value": air, "unit": "degC"}, "relative_humidity": 0.5,
        }));
        let parts = ["/dry_loss", "/vapour_loss", "/latent_loss", "/co_loss", "/efficiency_gross"];
        let whole: f64 = parts.iter().map(|part| figure(&found, part)).sum();
        prop_assert!((whole - 1.0).abs() < 1e-7);
        prop_assert!((figure(&found, "/dilution") * (0.2095 - o2) / 0.2095 - 1.0).abs() < 1e-7);
    }

    #[test]
    fn oxygen_and_carbon_dioxide_lead_to_the_same_air(o2 in 0.0..0.15_f64, fuel in proptest::sample::select(vec!["natural_gas", "propane", "methane"])) {
        let by = |key: &str, share: f64| reckon("flue_gas", &json!({
            "fuel": fuel, key: share, "co_ppm": 10, "flue_temperature": "200 degC", "air_temperature": "10 degC",
        }));
        let from_oxygen = by("o2_dry", o2);
        let back = by("co2_dry", figure(&from_oxygen, "/co2_dry"));
        prop_assert!((figure(&back, "/air_ratio") / figure(&from_oxygen, "/air_ratio") - 1.0).abs() < 1e-6);
    }
}
