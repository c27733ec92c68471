//! Inputs of the gas and heat reckonings that are not taken, each with its code and where it points.
//!
//! Every case is the sample input with one thing changed: a JSON merge patch, in which `"absent"` takes a key out.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use serde_json::{Value, json};

fn patched(mut base: Value, patch: &Value) -> Value {
    let Value::Object(changes) = patch else {
        return patch.clone();
    };
    let map = match &mut base {
        Value::Object(map) => map,
        Value::Array(list) => {
            for (place, change) in changes {
                let place: usize = place.parse().unwrap();
                list[place] = patched(list[place].take(), change);
            }
            return base;
        }
        _ => return patch.clone(),
    };
    for (key, change) in changes {
        if change == "absent" {
            map.remove(key);
        } else {
            let before = map.remove(key).unwrap_or(Value::Null);
            map.insert(key.clone(), patched(before, change));
        }
    }
    base
}

fn check(name: &str, base: &Value, cases: &[(Value, &str, &str)]) {
    let taken = wythe_trade::reckon(name, &base.to_string());
    assert!(taken.is_ok(), "{name}: the base is not taken: {taken:?}");
    for (patch, code, field) in cases {
        let input = patched(base.clone(), patch);
        match wythe_trade::reckon(name, &input.to_string()) {
            Ok(answer) => panic!("{name} {patch}: taken: {answer}"),
            Err(refusal) => {
                assert_eq!(
                    (refusal.code.as_str(), refusal.field.as_str()),
                    (*code, *field),
                    "{name} {patch}: {refusal}"
                );
                assert!(refusal.message.ends_with('.'), "{name} {patch}: {refusal}");
            }
        }
    }
}

#[test]
fn orifice() {
    let base = json!({"task": "size_for_input", "gas": "natural_gas", "manifold_pressure": "3.5 in wc", "heating_value": "1000 Btu/ft3", "input": "30 MBH"});
    check(
        "orifice",
        &base,
        &[
            (json!({"task": "absent"}), "missing", "/task"),
            (json!({"task": "drill"}), "unknown_choice", "/task"),
            (json!({"task": 1}), "unknown_choice", "/task"),
            (json!({"drill": "42"}), "unknown_key", "/drill"),
            (json!({"gas": "absent"}), "missing", "/gas"),
            (json!({"gas": "butane"}), "unknown_choice", "/gas"),
            (json!({"gas": "other"}), "missing", "/specific_gravity"),
            (
                json!({"specific_gravity": 3.1}),
                "out_of_range",
                "/specific_gravity",
            ),
            (
                json!({"specific_gravity": "0.6"}),
                "number_unreadable",
                "/specific_gravity",
            ),
            (
                json!({"manifold_pressure": 3.5}),
                "unit_missing",
                "/manifold_pressure",
            ),
            (
                json!({"manifold_pressure": "0 in wc"}),
                "out_of_range",
                "/manifold_pressure",
            ),
            (
                json!({"manifold_pressure": "3.5 in"}),
                "unit_wrong_kind",
                "/manifold_pressure",
            ),
            (
                json!({"discharge_coefficient": 0.4}),
                "out_of_range",
                "/discharge_coefficient",
            ),
            (json!({"heating_value": "absent"}), "missing", "/heating_value"),
            (
                json!({"heating_value": "1000 Btu"}),
                "unit_wrong_kind",
                "/heating_value",
            ),
            (json!({"input": "0 W"}), "out_of_range", "/input"),
            (json!({"input": "201 kW"}), "out_of_range", "/input"),
            (json!({"altitude": "5,000 m"}), "out_of_range", "/altitude"),
            (json!({"barometer": "29 furlongs"}), "unit_unknown", "/barometer"),
        ],
    );
    let flow =
        json!({"task": "flow_of_drill", "gas": "propane", "manifold_pressure": "11 in wc", "drill": "62"});
    check(
        "orifice",
        &flow,
        &[
            (json!({"drill": "absent"}), "missing", "/drill"),
            (json!({"diameter": "1 mm"}), "inconsistent", "/diameter"),
            (json!({"drill": "81"}), "unknown_choice", "/drill"),
            (json!({"drill": "0"}), "unknown_choice", "/drill"),
            (json!({"drill": 42}), "unknown_choice", "/drill"),
            (
                json!({"drill": "absent", "diameter": "21 mm"}),
                "out_of_range",
                "/diameter",
            ),
            (json!({"input": "30 MBH"}), "unknown_key", "/input"),
        ],
    );
    let altitude = json!({"task": "altitude_equivalent", "drill": "49", "altitude": "5000 ft"});
    check(
        "orifice",
        &altitude,
        &[
            (json!({"drill": "absent"}), "missing", "/drill"),
            (
                json!({"reduction_per_1000_ft": 0.11}),
                "out_of_range",
                "/reduction_per_1000_ft",
            ),
            (
                json!({"reduction_per_1000_ft": 0.10, "altitude": "12,000 ft"}),
                "inconsistent",
                "/reduction_per_1000_ft",
            ),
            (json!({"gas": "propane"}), "unknown_key", "/gas"),
        ],
    );
}

#[test]
fn meter_clock() {
    let base = json!({"dial_volume": "0.5 ft3", "time": "29 s", "heating_value": "1000 Btu/ft3"});
    check(
        "meter_clock",
        &base,
        &[
            (json!({"dial_volume": "absent"}), "missing", "/dial_volume"),
            (
                json!({"counted_volume": "10 ft3", "index_resolution": "0.1 ft3"}),
                "inconsistent",
                "/counted_volume",
            ),
            (
                json!({"index_resolution": "0.1 ft3"}),
                "inconsistent",
                "/index_resolution",
            ),
            (json!({"dial_volume": "0 ft3"}), "out_of_range", "/dial_volume"),
            (json!({"time": "absent"}), "missing", "/time"),
            (json!({"time": "0.5 s"}), "out_of_range", "/time"),
            (json!({"time": "29"}), "unit_missing", "/time"),
            (json!({"revolutions": 0}), "out_of_range", "/revolutions"),
            (json!({"revolutions": 1.5}), "out_of_range", "/revolutions"),
            (
                json!({"time": "2 s", "timing_uncertainty": "2 s"}),
                "out_of_range",
                "/timing_uncertainty",
            ),
            (
                json!({"meter_temperature": "61 degC"}),
                "out_of_range",
                "/meter_temperature",
            ),
            (
                json!({"temperature_compensated": "yes"}),
                "unknown_choice",
                "/temperature_compensated",
            ),
            (json!({"heating_value": 1000}), "unit_missing", "/heating_value"),
            (
                json!({"heating_value_basis": "site"}),
                "unknown_choice",
                "/heating_value_basis",
            ),
            (json!({"plate_input": "0 W"}), "out_of_range", "/plate_input"),
            (json!({"derate_factor": 0.2}), "out_of_range", "/derate_factor"),
            (
                json!({"base_pressure": "11 psi"}),
                "out_of_range",
                "/base_pressure",
            ),
            (json!({"dial": "0.5 ft3"}), "unknown_key", "/dial"),
        ],
    );
    let index = json!({"counted_volume": "10 ft3", "index_resolution": "0.1 ft3", "time": "1060 s", "heating_value": "1000 Btu/ft3"});
    check(
        "meter_clock",
        &index,
        &[
            (
                json!({"index_resolution": "absent"}),
                "missing",
                "/index_resolution",
            ),
            (
                json!({"index_resolution": "10 ft3"}),
                "out_of_range",
                "/index_resolution",
            ),
            (json!({"revolutions": 2}), "inconsistent", "/revolutions"),
        ],
    );
}

#[test]
fn pressure_test() {
    let base = json!({
        "max_working_pressure": "0.5 psi", "medium": "air", "duration": "10 min", "volume": "0.2 ft3", "gauge_resolution": "0.05 psi",
        "start": {"pressure": "3 psi", "gas_temperature": "60 F"}, "end": {"pressure": "3 psi", "gas_temperature": "60 F"},
    });
    check(
        "pressure_test",
        &base,
        &[
            (json!({"task": "leak"}), "unknown_choice", "/task"),
            (json!({"dial_volume": "1 ft3"}), "unknown_key", "/dial_volume"),
            (
                json!({"max_working_pressure": "absent"}),
                "missing",
                "/max_working_pressure",
            ),
            (json!({"medium": "absent"}), "missing", "/medium"),
            (json!({"medium": "helium"}), "unknown_choice", "/medium"),
            (json!({"duration": "0 s"}), "out_of_range", "/duration"),
            (json!({"duration": "49 h"}), "out_of_range", "/duration"),
            (json!({"start": "absent"}), "missing", "/start"),
            (json!({"start": 3}), "missing", "/start"),
            (
                json!({"start": {"pressure": "absent"}}),
                "missing",
                "/start/pressure",
            ),
            (
                json!({"start": {"gas_temperature": "absent"}}),
                "missing",
                "/start/gas_temperature",
            ),
            (
                json!({"end": {"gas_temperature": null}}),
                "missing",
                "/end/gas_temperature",
            ),
            (
                json!({"end": {"barometer": "40 kPa"}}),
                "out_of_range",
                "/end/barometer",
            ),
            (
                json!({"end": {"temperature": "60 F"}}),
                "unknown_key",
                "/end/temperature",
            ),
            (json!({"volume": "absent"}), "missing", "/pipes"),
            (
                json!({"pipes": [{"length": "1 m", "size": "1"}]}),
                "inconsistent",
                "/pipes",
            ),
            (json!({"volume": "absent", "pipes": []}), "empty_list", "/pipes"),
            (
                json!({"volume": "absent", "pipes": [{"length": "1 m"}]}),
                "missing",
                "/pipes/0/size",
            ),
            (
                json!({"volume": "absent", "pipes": [{"length": "1 m", "size": "1", "inside_diameter": "25 mm"}]}),
                "inconsistent",
                "/pipes/0/inside_diameter",
            ),
            (
                json!({"volume": "absent", "pipes": [{"length": "1 m", "size": "5/8"}]}),
                "unknown_choice",
                "/pipes/0/size",
            ),
            (
                json!({"gauge_resolution": "0 psi"}),
                "out_of_range",
                "/gauge_resolution",
            ),
            (
                json!({"temperature_uncertainty": "2 degF"}),
                "unit_wrong_kind",
                "/temperature_uncertainty",
            ),
            (
                json!({"pressure_factor": 0.9}),
                "out_of_range",
                "/pressure_factor",
            ),
        ],
    );
    let dial = json!({"task": "meter_dial", "dial_volume": "0.5 ft3", "observed": "5 min", "movement": 0});
    check(
        "pressure_test",
        &dial,
        &[
            (json!({"movement": "absent"}), "missing", "/movement"),
            (json!({"movement": -1}), "out_of_range", "/movement"),
            (json!({"observed": "0 s"}), "out_of_range", "/observed"),
            (json!({"altitude": "5 m"}), "unknown_key", "/altitude"),
            (
                json!({"readable_fraction": 0}),
                "out_of_range",
                "/readable_fraction",
            ),
        ],
    );
    let hold = json!({"task": "hold_check", "gas": "propane", "start_pressure": "9 in wc", "end_pressure": "9 in wc", "duration": "3 min", "gauge_resolution": "0.1 in wc"});
    check(
        "pressure_test",
        &hold,
        &[
            (json!({"gas": "absent"}), "missing", "/gas"),
            (json!({"gas": "other"}), "unknown_choice", "/gas"),
            (json!({"medium": "oxygen"}), "unknown_choice", "/medium"),
            (
                json!({"start_pressure": "2 psi"}),
                "out_of_range",
                "/start_pressure",
            ),
            (
                json!({"gauge_resolution": "1 in wc"}),
                "out_of_range",
                "/gauge_resolution",
            ),
        ],
    );
}

#[test]
fn gas_line() {
    let base = json!({
        "gas": "natural_gas", "heating_value": "1000 Btu/ft3", "inlet_pressure": "7 in wc", "allowed_drop": "0.5 in wc", "method": "longest_length",
        "segments": [{"id": "main", "length": "20 ft", "size": "3/4"}, {"id": "branch", "parent": "main", "length": "9 ft", "size": "find"}],
        "appliances": [{"id": "stove", "node": "branch", "input": "35 MBH"}],
    });
    let tube = json!({"material": "listed_tube", "size": "absent", "listed_capacity": "80 cfh", "listed_drop": "0.5 in wc", "listed_length": "10 ft"});
    let with_tube = |change: Value| json!({"segments": {"1": patched(tube.clone(), &change)}});
    check(
        "gas_line",
        &base,
        &[
            (json!({"gas": "other"}), "missing", "/specific_gravity"),
            (json!({"viscosity_cp": 0.2}), "out_of_range", "/viscosity_cp"),
            (
                json!({"allowed_drop": "8 in wc"}),
                "inconsistent",
                "/allowed_drop",
            ),
            (json!({"method": "absent"}), "missing", "/method"),
            (json!({"method": "guess"}), "unknown_choice", "/method"),
            (json!({"equation": "medium"}), "unknown_choice", "/equation"),
            (json!({"segments": []}), "empty_list", "/segments"),
            (json!({"segments": "main"}), "missing", "/segments"),
            (json!({"appliances": []}), "empty_list", "/appliances"),
            (
                json!({"segments": {"0": {"id": " "}}}),
                "missing",
                "/segments/0/id",
            ),
            (
                json!({"segments": {"1": {"id": "main"}}}),
                "inconsistent",
                "/segments/1/id",
            ),
            (
                json!({"segments": {"1": {"parent": "cellar"}}}),
                "inconsistent",
                "/segments/1/parent",
            ),
            (
                json!({"segments": {"0": {"parent": "branch"}}}),
                "inconsistent",
                "/segments/0/parent",
            ),
            (
                json!({"segments": {"0": {"parent": "main"}}}),
                "inconsistent",
                "/segments/0/parent",
            ),
            (
                json!({"segments": {"0": {"length": "101 m"}}}),
                "out_of_range",
                "/segments/0/length",
            ),
            (
                json!({"segments": {"0": {"size": "absent"}}}),
                "missing",
                "/segments/0/size",
            ),
            (
                json!({"segments": {"0": {"size": "5/8"}}}),
                "unknown_choice",
                "/segments/0/size",
            ),
            (
                json!({"segments": {"0": {"size": 1}}}),
                "unknown_choice",
                "/segments/0/size",
            ),
            (
                json!({"segments": {"0": {"inside_diameter": "20 mm"}}}),
                "inconsistent",
                "/segments/0/inside_diameter",
            ),
            (
                json!({"segments": {"0": {"material": "clay"}}}),
                "unknown_choice",
                "/segments/0/material",
            ),
            (
                json!({"segments": {"0": {"listed_drop": "0.5 in wc"}}}),
                "inconsistent",
                "/segments/0/listed_drop",
            ),
            (
                json!({"segments": {"0": {"fittings": {"ell90": 101}}}}),
                "out_of_range",
                "/segments/0/fittings/ell90",
            ),
            (
                json!({"segments": {"0": {"fittings": {"ell60": 1}}}}),
                "unknown_key",
                "/segments/0/fittings/ell60",
            ),
            (
                with_tube(json!({"size": "1/2"})),
                "inconsistent",
                "/segments/1/size",
            ),
            (
                with_tube(json!({"fittings": {}})),
                "inconsistent",
                "/segments/1/fittings",
            ),
            (
                with_tube(json!({"listed_length": "absent"})),
                "missing",
                "/segments/1/listed_length",
            ),
            (
                with_tube(json!({"listed_exponent": 2.5})),
                "out_of_range",
                "/segments/1/listed_exponent",
            ),
            (
                json!({"appliances": {"0": {"node": "attic"}}}),
                "inconsistent",
                "/appliances/0/node",
            ),
            (
                json!({"appliances": [{"id": "a", "node": "main", "input": "1 kW"}, {"id": "a", "node": "main", "input": "1 kW"}]}),
                "inconsistent",
                "/appliances/1/id",
            ),
            (
                json!({"appliances": {"0": {"input": "35000"}}}),
                "unit_missing",
                "/appliances/0/input",
            ),
        ],
    );
    let many = vec![base["segments"][0].clone(); 201];
    check(
        "gas_line",
        &base,
        &[(json!({"segments": many}), "too_many", "/segments")],
    );
}

#[test]
fn flue_gas() {
    let base = json!({"fuel": "natural_gas", "o2_dry": 0.05, "co_ppm": 40, "flue_temperature": "220 degC", "air_temperature": "20 degC"});
    check(
        "flue_gas",
        &base,
        &[
            (json!({"fuel": "absent"}), "missing", "/fuel"),
            (json!({"fuel": "mixture"}), "missing", "/fractions"),
            (json!({"fractions": {"methane": 1}}), "inconsistent", "/fractions"),
            (
                json!({"fuel": "mixture", "fractions": {"methane": 0.9}}),
                "inconsistent",
                "/fractions",
            ),
            (
                json!({"fuel": "mixture", "fractions": {"nitrogen": 1}}),
                "inconsistent",
                "/fractions",
            ),
            (
                json!({"fuel": "mixture", "fractions": {"methane": 1.2}}),
                "out_of_range",
                "/fractions/methane",
            ),
            (json!({"o2_dry": "absent"}), "missing", "/o2_dry"),
            (json!({"co2_dry": 0.09}), "inconsistent", "/co2_dry"),
            (
                json!({"o2_dry": "absent", "co2_dry": 0.13}),
                "inconsistent",
                "/co2_dry",
            ),
            (json!({"o2_dry": 5.0}), "out_of_range", "/o2_dry"),
            (
                json!({"flue_temperature": "absent"}),
                "missing",
                "/flue_temperature",
            ),
            (
                json!({"flue_temperature": "701 degC"}),
                "out_of_range",
                "/flue_temperature",
            ),
            (
                json!({"air_temperature": "absent"}),
                "missing",
                "/air_temperature",
            ),
            (json!({"co_stop_ppm": 50}), "inconsistent", "/co_stop_ppm"),
            (json!({"room_co_ppm": -1}), "out_of_range", "/room_co_ppm"),
            (
                json!({"room_co_ppm": "3 ppm"}),
                "number_unreadable",
                "/room_co_ppm",
            ),
        ],
    );
}

#[test]
fn heat_loss() {
    let base = json!({
        "outdoor_temperature": "0 degC",
        "zones": [{
            "id": "room", "indoor_temperature": "20 degC",
            "surfaces": [{"area": "10 m2", "u_value": "1 W/m2K"}, {"area": "10 m2", "assembly": {"layers": [{"r_value": "R-13"}]}}],
            "air": {"ach50": 8, "volume": "50 m3"},
        }],
    });
    let zone = |change: Value| json!({"zones": {"0": change}});
    let layer = |change: Value| zone(json!({"surfaces": {"1": {"assembly": {"layers": {"0": change}}}}}));
    check(
        "heat_loss",
        &base,
        &[
            (
                json!({"outdoor_temperature": "absent"}),
                "missing",
                "/outdoor_temperature",
            ),
            (
                json!({"outdoor_temperature": "5 m"}),
                "unit_wrong_kind",
                "/outdoor_temperature",
            ),
            (json!({"air_constant": 0.4}), "out_of_range", "/air_constant"),
            (json!({"climate_band": 6}), "out_of_range", "/climate_band"),
            (json!({"climate_band": 1}), "missing", "/zones/0/floor_area"),
            (json!({"zones": []}), "empty_list", "/zones"),
            (
                json!({"zones": [{"id": "a", "indoor_temperature": "20 degC"}, {"id": "a", "indoor_temperature": "20 degC"}]}),
                "inconsistent",
                "/zones/1/id",
            ),
            (zone(json!({"id": "absent"})), "missing", "/zones/0/id"),
            (
                zone(json!({"floor_area": "0 m2"})),
                "out_of_range",
                "/zones/0/floor_area",
            ),
            (
                zone(json!({"surfaces": {"0": {"r_value": "R-1"}}})),
                "inconsistent",
                "/zones/0/surfaces/0/r_value",
            ),
            (
                zone(json!({"surfaces": {"0": {"u_value": "absent"}}})),
                "missing",
                "/zones/0/surfaces/0/u_value",
            ),
            (
                zone(json!({"surfaces": {"0": {"u_value": "21 W/m2K"}}})),
                "out_of_range",
                "/zones/0/surfaces/0/u_value",
            ),
            (
                zone(json!({"surfaces": {"0": {"b_factor": 0.5, "other_side_temperature": "5 degC"}}})),
                "inconsistent",
                "/zones/0/surfaces/0/b_factor",
            ),
            (
                zone(json!({"surfaces": {"1": {"assembly": {"layers": []}}}})),
                "empty_list",
                "/zones/0/surfaces/1/assembly/layers",
            ),
            (
                layer(json!({"r_value": "absent"})),
                "missing",
                "/zones/0/surfaces/1/assembly/layers/0/r_value",
            ),
            (
                layer(json!({"r_value": "absent", "conductivity": "0.04 W/mK"})),
                "missing",
                "/zones/0/surfaces/1/assembly/layers/0/thickness",
            ),
            (
                layer(
                    json!({"framing_r_value": "R-4", "framing_conductivity": "0.1 W/mK", "thickness": "90 mm"}),
                ),
                "inconsistent",
                "/zones/0/surfaces/1/assembly/layers/0/framing_conductivity",
            ),
            (
                zone(
                    json!({"surfaces": {"1": {"assembly": {"inside_film": "R-0", "outside_film": "R-0", "layers": [{"r_value": "R-0"}]}}}}),
                ),
                "out_of_range",
                "/zones/0/surfaces/1/assembly/layers",
            ),
            (
                zone(json!({"air": {"ach50": "absent"}})),
                "missing",
                "/zones/0/air/air_changes",
            ),
            (
                zone(json!({"air": {"volume": "absent"}})),
                "missing",
                "/zones/0/air/volume",
            ),
            (
                zone(json!({"air": {"air_changes": 1}})),
                "inconsistent",
                "/zones/0/air/ach50",
            ),
            (
                zone(json!({"air": {"ach50": "absent", "air_changes": 1, "n_factor": 20}})),
                "inconsistent",
                "/zones/0/air/n_factor",
            ),
            (
                zone(json!({"air": {"ach50": "absent", "air_flow": "30 cfm"}})),
                "inconsistent",
                "/zones/0/air/air_flow",
            ),
            (
                zone(json!({"slab_edges": [{"perimeter": "5 m"}]})),
                "missing",
                "/zones/0/slab_edges/0/f_factor",
            ),
            (
                zone(json!({"bridges": [{"length": "5 m", "psi": "-3 W/mK"}]})),
                "out_of_range",
                "/zones/0/bridges/0/psi",
            ),
        ],
    );
}

#[test]
fn appliance_match() {
    let base = json!({
        "room": {"load": "1.5 kW"}, "indoor_temperature": "21 degC", "outdoor_temperature": "-20 degC",
        "high_input": "10 kW", "low_input": "4 kW", "efficiency": 0.75,
    });
    check(
        "appliance_match",
        &base,
        &[
            (json!({"room": "absent"}), "missing", "/room"),
            (json!({"house": {"load": "9 kW"}}), "missing", "/heats"),
            (json!({"heats": "house"}), "inconsistent", "/heats"),
            (json!({"room": {"load": "absent"}}), "missing", "/room/load"),
            (json!({"room": {"ua": "0 W/K"}}), "out_of_range", "/room/ua"),
            (
                json!({"outdoor_temperature": "21 degC"}),
                "inconsistent",
                "/outdoor_temperature",
            ),
            (
                json!({"derate_rule": "five_percent"}),
                "unknown_choice",
                "/derate_rule",
            ),
            (
                json!({"derate_rule": "ten_percent_2000_to_4500_ft", "altitude": "5,000 ft"}),
                "inconsistent",
                "/derate_rule",
            ),
            (json!({"derate_factor": 0.2}), "out_of_range", "/derate_factor"),
            (json!({"high_input": "absent"}), "missing", "/high_input"),
            (json!({"site_input": "9 kW"}), "inconsistent", "/site_input"),
            (json!({"high_output": "9 kW"}), "inconsistent", "/high_output"),
            (json!({"efficiency": "absent"}), "missing", "/efficiency"),
            (json!({"low_input": "11 kW"}), "inconsistent", "/low_input"),
            (json!({"low_output": "3 kW"}), "inconsistent", "/low_output"),
            (
                json!({"high_input": "absent", "site_input": "9 kW", "derate_factor": 0.9}),
                "inconsistent",
                "/derate_factor",
            ),
            (
                json!({"high_input": "absent", "site_input": "9 kW", "derate_rule": "none"}),
                "inconsistent",
                "/derate_rule",
            ),
            (
                json!({"high_input": "absent", "high_output": "9 kW"}),
                "inconsistent",
                "/efficiency",
            ),
            (
                json!({"high_input": "absent", "efficiency": "absent", "high_output": "9 kW"}),
                "inconsistent",
                "/low_input",
            ),
            (
                json!({"high_input": "absent", "efficiency": "absent", "low_input": "absent", "high_output": "9 kW", "low_output": "10 kW"}),
                "inconsistent",
                "/low_output",
            ),
            (json!({"oversize_limit": 0.9}), "out_of_range", "/oversize_limit"),
        ],
    );
}

#[test]
fn emissions_avoided() {
    let base =
        json!({"wood": [{"species": "white_oak", "cords": 3}], "new_efficiency": 0.7, "fuel": "natural_gas"});
    let own = json!({"species": "own", "dry_mass_per_cord": "900 kg", "heat_per_cord": "18 GJ"});
    let wood = |change: Value| json!({"wood": {"0": change}});
    check(
        "emissions_avoided",
        &base,
        &[
            (json!({"wood": []}), "empty_list", "/wood"),
            (wood(json!({"species": "absent"})), "missing", "/wood/0/species"),
            (
                wood(json!({"species": "balsa"})),
                "unknown_choice",
                "/wood/0/species",
            ),
            (
                wood(json!({"species": "own"})),
                "missing",
                "/wood/0/dry_mass_per_cord",
            ),
            (
                wood(json!({"species": "own", "dry_mass_per_cord": "900 kg"})),
                "missing",
                "/wood/0/heat_per_cord",
            ),
            (
                wood(json!({"dry_mass_per_cord": "900 kg"})),
                "inconsistent",
                "/wood/0/species",
            ),
            (wood(json!({"cords": "absent"})), "missing", "/wood/0/cords"),
            (wood(json!({"mass": "1 t"})), "inconsistent", "/wood/0/mass"),
            (wood(json!({"cords": 51})), "out_of_range", "/wood/0/cords"),
            (wood(json!({"moisture": 1.1})), "out_of_range", "/wood/0/moisture"),
            (
                wood(patched(own, &json!({"dry_mass_per_cord": "0 kg"}))),
                "out_of_range",
                "/wood/0/dry_mass_per_cord",
            ),
            (json!({"old_device": "campfire"}), "unknown_choice", "/old_device"),
            (json!({"new_efficiency": "absent"}), "missing", "/new_efficiency"),
            (json!({"new_efficiency": 0.01}), "out_of_range", "/new_efficiency"),
            (json!({"fuel": "oil"}), "unknown_choice", "/fuel"),
            (json!({"factor_set": "own"}), "missing", "/own_factors"),
            (json!({"own_factors": {}}), "inconsistent", "/own_factors"),
            (
                json!({"factor_set": "own", "own_factors": {"wood": {"pm": -1}}}),
                "out_of_range",
                "/own_factors/wood/pm",
            ),
            (
                json!({"factor_set": "own", "own_factors": {"wood": {"lead": 1}}}),
                "unknown_key",
                "/own_factors/wood/lead",
            ),
            (json!({"wood_table": "c"}), "unknown_choice", "/wood_table"),
            (
                json!({"gas_heating_value": "1 J/m3"}),
                "out_of_range",
                "/gas_heating_value",
            ),
        ],
    );
}

#[test]
fn nothing_but_an_object_is_taken() {
    for entry in wythe_trade::list() {
        for text in [
            "",
            "[]",
            "7",
            "null",
            "NaN",
            r#"{"altitude": Infinity}"#,
            "{",
            r#"{"a":1}{}"#,
        ] {
            let refusal = entry.run_text(text).unwrap_err();
            assert_eq!(refusal.code.as_str(), "not_json", "{} {text}", entry.name);
        }
        let refusal = entry.run_text(r#"{"zz top": 1}"#).unwrap_err();
        assert_eq!(
            (refusal.code.as_str(), refusal.field.as_str()),
            ("unknown_key", "/zz top"),
            "{}",
            entry.name
        );
    }
    assert_eq!(
        wythe_trade::reckon("smoke_ring", "{}").unwrap_err().code.as_str(),
        "unknown_reckoning"
    );
}
