//! Inputs of heat_loss, appliance_match and emissions_avoided that are not taken.

use serde_json::{Value, json};

use super::{check, patched};

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
