//! Inputs of orifice, meter_clock and pressure_test that are not taken.

use serde_json::json;

use super::check;

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
