//! Inputs of gas_line and flue_gas that are not taken.

use serde_json::{Value, json};

use super::{check, patched};

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
