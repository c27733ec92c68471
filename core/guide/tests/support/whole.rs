//! A whole job, from the survey to the invoice: everything that the three programmes want, and everything
//! that fills the reckonings.

use serde_json::json;
use wythe_guide::figures::Library;

use super::Shot;
use super::deeds::{Deed, answer};

/// What the business knows of its stove, pipe, cap and gas supplier. All invented.
pub fn library() -> Library {
    let mut library = Library::new();
    let mut keep = |sort: &str, id: &str, content: serde_json::Value| {
        library.insert((sort.to_owned(), id.to_owned()), content);
    };
    keep(
        "model",
        "halcyon-30",
        json!({
            "listing": [
                { "altitude": "2,000 ft", "input": "30,000 Btu/h" },
                { "altitude": "4,500 ft", "input": "27,000 Btu/h" },
                { "altitude": "7,000 ft", "input": "24,000 Btu/h" },
            ],
            "low_input": "12,000 Btu/h",
            "efficiency": 0.75,
            "flue_temperature": "230 degC",
            "air_ratio": 2.2,
            "pressure_drop": "4 Pa",
            "collar_direction": "up",
            "width": "26 in",
            "depth": "19 in",
            "minimum_pressure": "5 in wc",
            "manifold_high": "3.5 in wc",
        }),
    );
    keep(
        "cap",
        "highcap-8",
        json!({
            "mount": "over_tile", "plate_a": "14 in", "plate_b": "18 in", "skirt_depth": "1 1/2 in",
            "diameter": "8 in",
        }),
    );
    keep(
        "stock",
        "truck-4",
        json!({
            "insertion": "1 in",
            "sections": [
                { "id": "a", "length": "7 in", "cost": 19.5 },
                { "id": "b", "length": "13 in", "cost": 27 },
                { "id": "c", "length": "25 in", "cost": 38 },
            ],
            "elbows": [{ "id": "e45", "angle": 45, "rise": "5 in", "run": "2 in", "cost": 44 }],
            "adjustable": { "id": "slip", "min": "4 in", "max": "7 in", "cost": 52 },
        }),
    );
    keep(
        "gas_supplier",
        "hilltop-gas",
        json!({
            "heating_value": "1010 Btu/ft3", "specific_gravity": 0.59, "derated": false,
            "source": "the supplier's monthly sheet",
        }),
    );
    keep(
        "preset",
        "meter_base",
        json!({ "base_pressure": "14.65 psi", "base_temperature": "60 degF", "source": "the state's rule" }),
    );
    keep(
        "preset",
        "editions",
        json!({ "vent_terminal": "us_older", "roof_table": "older", "source": "the city's adopted code" }),
    );
    library
}

/// The answers, photographs, papers and signatures of a whole job, in their order.
pub fn deeds() -> Vec<Deed> {
    let mut deeds: Vec<Deed> = Vec::new();
    let mut file = 0;
    for line in JOB.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let (verb, rest) = line.split_once(' ').unwrap();
        deeds.push(match verb {
            "at" => Deed::At(rest.to_owned()),
            "photo" => {
                file += 1;
                Deed::Photo(rest.to_owned(), Shot::good(file))
            }
            "paper" => Deed::Paper(rest.to_owned()),
            "arrive" => Deed::Arrive("day_2", "2026-02-02"),
            "sign" => Deed::Sign(rest.to_owned(), "signed"),
            "keep" => Deed::Keep(match rest {
                "lining.liner_fit" => "lining.liner_fit",
                _ => "plan.derate",
            }),
            _ => {
                let (address, typed) = rest.split_once(" = ").unwrap();
                answer(address, typed)
            }
        });
    }
    deeds
}

const JOB: &str = "
at 2026-03-02T09:00-07:00
say survey.gas_smell = no
say survey.room_co = 0 ppm
say survey.owner_name@owner:1 = Tansy Featherstep
say survey.household_address = 12 Nowhere Lane, Larkspur Basin
say survey.rented = no
say survey.stove_connected@old_stove:1 = yes
say survey.stove_make@old_stove:1 = Emberwick
say survey.stove_model@old_stove:1 = Porcupine 2
say survey.stove_certified@old_stove:1 = uncertified
say survey.stove_year@old_stove:1 = 1981
say survey.main_heat = yes
say survey.cords = 4.5
say survey.wood_species = white_oak
say survey.chimney_place = exterior
say survey.tile_shape = rectangular
say survey.tile_inside_a@tile_section:1 = 6 1/2 in
say survey.tile_inside_b@tile_section:1 = 10 3/8 in
say survey.tile_inside_a@tile_section:2 = 6 3/8 in
say survey.tile_inside_b@tile_section:2 = 10 1/2 in
say survey.collar_to_top = 21 ft
say survey.offset = 0 in
say survey.other_on_flue = no
say survey.other_flue = no
say survey.suspect_material = no
say survey.built_before_1978 = no
say survey.fuel = natural gas
say survey.delivered_pressure = seven_in_wc
say survey.meter_capacity = 250 cfh
say survey.run_length = 34 ft
say survey.room_floor@room:1 = 240 ft2
say survey.room_height@room:1 = 8 ft
say survey.room_wall@room:1 = 190 ft2
say survey.room_wall_sort@room:1 = wall_r13
say survey.room_window@room:1 = 34 ft2
say survey.room_window_sort@room:1 = glass_double
say survey.room_above@room:1 = attic_r19
say survey.room_below@room:1 = over_cellar
say survey.room_air@room:1 = loose
photo survey.stove_in_place@old_stove:1
photo survey.stove_plate@old_stove:1
say chimney_top.tile_outside_a@reading:1 = 8 1/2 in
say chimney_top.tile_outside_a@reading:2 = 8 3/8 in
say chimney_top.tile_outside_b@reading:1 = 13 in
say chimney_top.tile_outside_b@reading:2 = 12 7/8 in
say chimney_top.height_above_roof = 4 ft
say chimney_top.crown_sound = yes
say chimney_top.roof_pitch = 6
say chimney_top.ridge_distance = 9 ft
say chimney_top.clear_of_openings = yes
say plan.connected_load = 100,000 Btu/h
say plan.main_size = size_one
say plan.main_length = 20 ft
at 2026-03-06T10:00-07:00
paper claim.application
say claim.applicant_name = Tansy Featherstep
say claim.application_address = 12 Nowhere Ln, Larkspur Basin
paper plan.approval_paper
say plan.approval_number = LB-0417
say plan.approval_date = 2026-03-06
say plan.approval_expires = 2026-06-30
paper plan.permit_paper
say plan.permit_number = M-2026-118
say plan.model = halcyon-30
say plan.model_listed = yes
say plan.heater_rated = yes
say plan.listed_fuel = natural gas
say plan.plate_input = 30,000 Btu/h
say plan.altitude = 1864 m
paper plan.vent_table
say plan.in_vent_table = yes
say plan.restrictor_zone = B
say plan.arrangement = annulus
say plan.tile_as_air_listed = yes
paper plan.air_path_page
say plan.exhaust_outside = 4 1/8 in
say plan.exhaust_inside = 4 in
say plan.cap_kit = highcap-8
say plan.pipe_stock = truck-4
say plan.gas_supplier = hilltop-gas
say plan.run_material = schedule_40
say plan.run_size = size_three_quarters
say plan.design_temperature = -12 degF
say plan.sale_date = 2026-03-10
say plan.purchase_date = 2026-03-12
say plan.delivery_date = 2026-03-20
say plan.crate_serial = HN30-004417
say plan.crate_fuel = natural gas
say chimney_top.height_by_manual = 3 ft
say setting.required_rear = 4 in
say setting.required_left = 6 in
say setting.required_right = 6 in
say setting.required_top = 36 in
say setting.required_front = 16 in
keep lining.liner_fit
keep plan.derate
at 2026-03-24T08:10-06:00
say removal.gas_smell = no
say removal.co_on_arrival = 0 ppm
say removal.approval_seen = yes
say removal.body_temperature@old_stove:1 = 58 degF
say removal.live_coals@old_stove:1 = no
photo removal.before_with_tag@old_stove:1
say removal.disconnected@old_stove:1 = yes
say removal.lift_load = 380 lb
say removal.lifters = 2
say removal.swept = yes
photo removal.camera_still
say removal.camera_level = level_2
say removal.flue_breached = no
say removal.removed_on = 2026-03-24
say chimney_top.roof_dry = yes
say chimney_top.wind = 8 mph
say chimney_top.ladder_safe = yes
say chimney_top.ladder_support = 12 ft
say chimney_top.ladder_foot = 3 ft 1 in
say chimney_top.ladder_above = 3 ft
say chimney_top.diagonal_1 = 15 1/2 in
say chimney_top.diagonal_2 = 15 1/2 in
say chimney_top.stick_up_a_low = 3 in
say chimney_top.stick_up_a_high = 3 in
say chimney_top.stick_up_b_low = 3 in
say chimney_top.stick_up_b_high = 2 7/8 in
say lining.trial_passed = yes
say lining.liner_listed = yes
say lining.dropped = yes
at 2026-03-25T08:00-06:00
arrive day_2
photo lining.exhaust_top
photo lining.exhaust_bottom
say lining.ends_proven = yes
say lining.collars_sealed = yes
say lining.clamp_holds = yes
say lining.openings_closed = yes
say chimney_top.cap_right_way = yes
say chimney_top.sealed = yes
photo setting.plate
say setting.serial = HN30-004417
say setting.clearance_rear = 6 1/4 in
say setting.clearance_left = 11 in
say setting.clearance_right = 14 in
say setting.clearance_top = 40 in
say setting.pad_front = 18 in
say setting.pad_and_mantel = yes
say setting.collar_rise = 42 1/4 in
say setting.collar_run = 0 in
say setting.adapter_faces = faces_down
say setting.pipe_listed = yes
say setting.restrictor_set = b
say setting.media_as_diagram = yes
say setting.glass_latched = yes
say setting.level = yes
say gas.gas_smell = no
say gas.fuel_matches = yes
say gas.appliance_apart = yes
say gas.test_medium = air
say gas.gauge_division = 0.2 psi
say gas.gauge_full = 15 psi
say gas.gauge_start = 10 psi
say gas.test_time = 2026-03-25T10:05-06:00/2026-03-25T10:20-06:00
say gas.gauge_end = 10 psi
say gas.pipe_temperature_start = 60 degF
say gas.pipe_temperature_end = 60 degF
say gas.test_passed = yes
say gas.valve_over_pressure = no
say gas.rough_inspection = 2026-03-25
say gas.shut_off_near = yes
say gas.corrugated = no
say gas.new_connector = yes
say gas.leak_check = yes
say gas.appliances_off = 2
say gas.appliances_relit = 2
say gas.fitter = Quill Brasswhistle
say gas.fitter_licence = GF-3071
say start_up.inlet_static = 7.4 in wc
say start_up.inlet_running = 6.9 in wc
say start_up.manifold_high = 3.5 in wc
say start_up.manifold_low = 1.6 in wc
say start_up.lock_up = 8.1 in wc
say start_up.plate_maximum = 10.5 in wc
say start_up.meter_sort = test_dial
say start_up.meter_dial = 1 ft3
say start_up.meter_turns = 2026-03-25T13:10:00-06:00/2026-03-25T13:15:10-06:00 +155.0 +310.0
say start_up.input_in_limit = yes
say start_up.orifice_stamp = 44, label for 6,000 ft
say start_up.clean_lights = 3
say start_up.boom = no
say start_up.flame_out = 22 s
say start_up.flame_out_passed = yes
photo start_up.flame_photo
say start_up.co_outdoors = 1 ppm
say start_up.co_before = 0 ppm
say start_up.co_after = 1 ppm
say start_up.maker_port = yes
say start_up.flue_oxygen = 9
say start_up.flue_co = 34 ppm
say start_up.outdoor_temperature = 35 degF
say start_up.flue_temperature = 410 degF
say start_up.installed_on = 2026-03-25
say walk_through.screen_fitted = yes
say walk_through.co_alarm = yes
photo walk_through.after_photo
sign walk_through.owner_signature@owner:1
at 2026-03-30T10:00-06:00
say destruction.asbestos_clear@old_stove:1 = yes
photo destruction.door_off@old_stove:1
say destruction.hinges@old_stove:1 = 2
photo destruction.hinge_cut@old_stove:1
photo destruction.hinge_cut@old_stove:1
photo destruction.body_holed@old_stove:1
photo destruction.plate_defaced@old_stove:1
photo destruction.firebrick_out@old_stove:1
say destruction.destroyed_on = 2026-03-30
say destruction.door_goes = door_recycled
say destruction.weight@old_stove:1 = 412 lb
paper destruction.ticket
say destruction.ticket_number = T-88214
say destruction.ticket_date = 2026-03-30
say destruction.ticket_says = wood stove Emberwick Porcupine 2, cut
at 2026-04-07T09:30-06:00
paper destruction.certificate
say destruction.recycler_name = Rustmoor Recycling
say destruction.recycler_address = 3 Sidings, Larkspur Basin
say destruction.certificate_date = 2026-04-02
say destruction.certificate_says = wood stove Emberwick Porcupine 2, destroyed, not resold
say destruction.certificate_not_resold = yes
say destruction.certificate_signer = Sorrel Ironweed
paper claim.permit_final_paper
say claim.permit_final = 2026-04-01
say claim.permit_name = Tansy Featherstep
say claim.permit_address = 12 Nowhere Lane, Larkspur Basin
paper claim.invoice
say claim.invoice_name = Featherstep, Tansy
say claim.invoice_address = 12 Nowhere Lane, Larkspur Basin
say claim.invoice_serial = HN30-004417
say claim.invoice_date = 2026-03-26
say claim.licence_until = 2027-01-31
say claim.insurance_until = 2026-12-31
say claim.enrolment_until = 2026-12-31
say claim.tax_form = yes
say claim.tax_form_until = 2026-12-31
";
