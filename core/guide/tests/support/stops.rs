//! The table of stops, written down a second time from the rules of the trade: what raises each, and what
//! it blocks.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::book::{Book, figure, liner_is_too_wide};

/// What each stop blocks, and nothing else.
pub const BLOCKS: [(&str, &[&str]); 43] = [
    // A smell of gas, and 36 ppm or more: everything.
    ("gas_smell", &["everything"]),
    ("room_co_leave", &["everything"]),
    ("room_co_stop", &["everything"]),
    // 9 to 35 ppm, or a rise above outdoors: the owner does not sign.
    ("room_co_cause", &["sign_off"]),
    // Papers.
    ("approval_missing", &["removal"]),
    ("not_on_the_list", &["removal"]),
    ("permit_missing", &["gas", "start_up"]),
    ("suspect_material", &["removal", "destruction"]),
    ("lead_not_settled", &["removal"]),
    ("other_on_flue", &["lining"]),
    ("breached_flue", &["lining"]),
    ("outside_vent_table", &["lining", "start_up"]),
    ("flue_does_not_suit", &["lining", "start_up"]),
    ("tile_as_air_not_listed", &["lining", "start_up"]),
    // The old stove comes out.
    ("before_photos_missing", &["removal"]),
    ("hot_stove", &["removal"]),
    // The liner goes down.
    ("ash_in_the_house", &["sign_off"]),
    ("flue_not_swept", &["lining"]),
    ("trial_piece_first", &["lining"]),
    ("liner_does_not_fit", &["lining"]),
    ("liner_will_not_pass", &["start_up", "sign_off"]),
    ("ends_not_proven", &["start_up", "sign_off"]),
    ("cap_wrong", &["start_up", "sign_off"]),
    ("cap_too_low_or_near", &["start_up", "sign_off"]),
    // The act on the roof.
    ("roof_weather", &["chimney_top", "lining.liner"]),
    ("ladder_stands_wrong", &["chimney_top", "lining.liner"]),
    // The new stove, its gas, its start.
    ("clearance_short", &["start_up", "sign_off"]),
    ("not_as_the_manual", &["start_up", "sign_off"]),
    ("wrong_fuel", &["gas", "start_up", "sign_off"]),
    ("gas_not_tested", &["start_up"]),
    ("pressure_test_failed", &["start_up", "sign_off"]),
    ("leak_found", &["start_up", "sign_off"]),
    ("valve_over_pressure", &["start_up", "sign_off"]),
    ("gas_not_as_the_code", &["start_up", "sign_off"]),
    ("boom_at_light_up", &["start_up", "sign_off"]),
    ("flame_out_failed", &["start_up", "sign_off"]),
    ("over_plate_input", &["start_up", "sign_off"]),
    ("pressures_off_plate", &["start_up", "sign_off"]),
    ("lock_up_too_high", &["start_up", "sign_off"]),
    // With the owner.
    ("not_relit", &["sign_off"]),
    ("no_safety_screen", &["sign_off"]),
    ("no_co_alarm", &["sign_off"]),
    ("change_not_signed", &["sign_off"]),
];

const ROOM_CO: [&str; 4] = [
    "survey.room_co",
    "removal.co_on_arrival",
    "start_up.co_before",
    "start_up.co_after",
];

impl Book {
    fn is(&self, address: &str, wanted: &str) -> bool {
        self.has(address, wanted)
    }

    fn lacks(&self, address: &str) -> bool {
        self.heads(address).is_empty() && !self.papers.contains(address) && !self.has_photo(address)
    }

    fn has_photo(&self, address: &str) -> bool {
        self.photos.iter().any(|photo| photo.2 == address)
    }

    fn less(&self, address: &str, than: &str) -> bool {
        let pair = self.number(address).zip(self.number(than));
        pair.is_some_and(|(one, other)| one < other)
    }

    /// Whether a reading of this kind lasts: no newer one of the same sort has passed since.
    fn lasts(&self, same: &[&str], fails: &dyn Fn(&str, f64) -> bool) -> bool {
        let mut readings: Vec<(usize, &str, f64)> = Vec::new();
        for address in same {
            let history = self.answers.get(*address).into_iter().flatten();
            readings.extend(history.map(|(place, _, typed)| (*place, *address, figure(typed))));
        }
        readings.sort_by_key(|reading| reading.0);
        // What counts at an address is its last reading; any failing one stands until a later one passes.
        let last_passing = same
            .iter()
            .filter_map(|address| readings.iter().rfind(|reading| reading.1 == *address))
            .filter(|(_, address, figure)| !fails(address, *figure))
            .map(|(place, ..)| *place)
            .max();
        readings
            .iter()
            .filter(|(_, address, figure)| fails(address, *figure))
            .any(|(place, ..)| last_passing.is_none_or(|passing| passing < *place))
    }

    fn ever(&self, same: &[&str], fails: &dyn Fn(&str, f64) -> bool) -> bool {
        same.iter().any(|address| {
            let history = self.answers.get(*address).into_iter().flatten();
            history
                .into_iter()
                .any(|(_, _, typed)| fails(address, figure(typed)))
        })
    }
}

/// The stops that stand.
pub fn raised(book: &Book) -> BTreeSet<&'static str> {
    let stoves: Vec<u32> = book.numbers("old_stove").into_iter().collect();
    let of_stove = |ask: &str, number: u32| format!("{ask}@old_stove:{number}");
    let any_stove = |ask: &str, wanted: &str| {
        stoves
            .iter()
            .any(|number| book.is(&of_stove(ask, *number), wanted))
    };
    let smell = ["survey.gas_smell", "removal.gas_smell", "gas.gas_smell"];
    let rises = |address: &str, co: f64| {
        let above = |other| book.number(other).is_some_and(|other| co > other);
        address == "start_up.co_after" && above("start_up.co_outdoors") && above("start_up.co_before")
    };
    let cause = |address: &str, co: f64| (9.0..36.0).contains(&co) || rises(address, co);
    let letters = book.lacks("plan.maker_letter") || book.lacks("plan.authority_agrees");
    let expired = book.value("plan.approval_expires").is_some_and(|until| {
        let day = |text: &str| NaiveDate::parse_from_str(text, "%Y-%m-%d").unwrap();
        day(until) < day(&book.today)
    });
    let tile_unlisted = book.is("plan.tile_as_air_listed", "no");
    let gauge_fell = [
        "survey.delivered_pressure",
        "gas.test_medium",
        "gas.test_time",
        "plan.altitude",
        "survey.run_length",
        "gas.gauge_division",
    ]
    .iter()
    .all(|address| book.value(address).is_some())
        && book
            .number("gas.gauge_start")
            .zip(book.number("gas.gauge_end"))
            .is_some_and(|(start, end)| start - end > 0.2);
    let mut on = BTreeMap::new();
    let mut raise = |code: &'static str, stands: bool| {
        on.insert(code, stands);
    };
    raise("gas_smell", {
        let last = smell.iter().filter_map(|address| {
            let (place, _, typed) = book.answers.get(*address)?.last()?;
            Some((*place, typed == "yes"))
        });
        // The newest answer of all decides: a later "no" ends an earlier "yes".
        last.max().is_some_and(|(_, smells)| smells)
    });
    raise("room_co_leave", book.lasts(&ROOM_CO, &|_, co| co >= 100.0));
    raise(
        "room_co_stop",
        book.lasts(&ROOM_CO, &|_, co| (36.0..100.0).contains(&co)),
    );
    raise(
        "room_co_cause",
        book.lasts(&ROOM_CO, &cause) || (book.ever(&ROOM_CO, &cause) && book.lacks("start_up.co_cause")),
    );
    raise(
        "approval_missing",
        book.lacks("plan.approval_number")
            || book.lacks("plan.approval_paper")
            || book.is("removal.approval_seen", "no")
            || (expired && book.lacks("removal.removed_on")),
    );
    raise(
        "not_on_the_list",
        book.is("plan.model_listed", "no") || book.is("plan.heater_rated", "no"),
    );
    raise(
        "permit_missing",
        book.lacks("plan.permit_number") || book.lacks("plan.permit_paper"),
    );
    let no_result = book.lacks("plan.lab_paper") || book.lacks("plan.lab_result");
    raise(
        "suspect_material",
        (book.is("survey.suspect_material", "yes") && (no_result || book.is("plan.lab_result", "contains")))
            || any_stove("destruction.asbestos_clear", "no"),
    );
    raise("other_on_flue", book.is("survey.other_on_flue", "yes"));
    raise(
        "breached_flue",
        book.is("removal.flue_breached", "yes") && book.lacks("removal.sweep_report"),
    );
    raise(
        "outside_vent_table",
        book.is("plan.in_vent_table", "no") && letters,
    );
    // No random job names a stove that the business knows; a test of its own raises this one.
    raise("flue_does_not_suit", false);
    raise(
        "tile_as_air_not_listed",
        book.is("plan.arrangement", "annulus")
            && if tile_unlisted {
                letters
            } else {
                book.lacks("plan.air_path_page")
            },
    );
    raise(
        "before_photos_missing",
        stoves.iter().any(|number| {
            [
                "removal.before_with_tag",
                "removal.no_before_reason",
                "removal.disconnected",
            ]
            .iter()
            .all(|ask| book.lacks(&of_stove(ask, *number)))
        }),
    );
    raise(
        "hot_stove",
        any_stove("removal.live_coals", "yes")
            || stoves.iter().any(|number| {
                let body = book.number(&of_stove("removal.body_temperature", *number));
                body.is_some_and(|body| body > 100.0)
            }),
    );
    raise(
        "lead_not_settled",
        book.is("survey.built_before_1978", "yes") && book.lacks("plan.lead_result"),
    );
    raise("ash_in_the_house", book.is("removal.ash_outdoors", "no"));
    raise("flue_not_swept", book.is("removal.swept", "no"));
    let trial_failed = book.is("lining.trial_passed", "no");
    raise(
        "trial_piece_first",
        trial_failed || book.lacks("lining.trial_passed"),
    );
    raise("liner_will_not_pass", trial_failed);
    let measured = [
        "plan.arrangement",
        "plan.exhaust_outside",
        "plan.exhaust_inside",
        "survey.tile_shape",
        "survey.tile_inside_a@tile_section:1",
        "survey.tile_inside_b@tile_section:1",
        "survey.tile_inside_a@tile_section:2",
        "survey.tile_inside_b@tile_section:2",
    ];
    raise(
        "liner_does_not_fit",
        measured.iter().all(|address| book.value(address).is_some()) && liner_is_too_wide(book),
    );
    raise(
        "ends_not_proven",
        book.is("lining.ends_proven", "no")
            || [
                "lining.ends_proven",
                "lining.exhaust_top",
                "lining.exhaust_bottom",
            ]
            .iter()
            .any(|address| book.lacks(address)),
    );
    raise(
        "cap_wrong",
        book.lacks("chimney_top.cap_right_way")
            || book.is("chimney_top.cap_right_way", "no")
            || book.is("chimney_top.sealed", "no"),
    );
    raise(
        "cap_too_low_or_near",
        book.less("chimney_top.height_above_roof", "chimney_top.height_by_manual"),
    );
    raise(
        "roof_weather",
        book.is("chimney_top.roof_dry", "no")
            || book.is("chimney_top.ladder_safe", "no")
            || book.number("chimney_top.wind").is_some_and(|wind| wind > 25.0),
    );
    raise("ladder_stands_wrong", false);
    raise(
        "clearance_short",
        book.less("setting.clearance_rear", "setting.required_rear")
            || book.less("setting.clearance_left", "setting.required_left")
            || book.less("setting.clearance_right", "setting.required_right")
            || book.less("setting.clearance_top", "setting.required_top")
            || book.less("setting.pad_front", "setting.required_front")
            || book.is("setting.pad_and_mantel", "no"),
    );
    let zone = book
        .value("plan.restrictor_zone")
        .zip(book.value("setting.restrictor_set"));
    raise(
        "not_as_the_manual",
        [
            "lining.liner_listed",
            "lining.collars_sealed",
            "lining.clamp_holds",
            "lining.openings_closed",
            "setting.pipe_listed",
            "setting.media_as_diagram",
            "setting.glass_latched",
            "setting.level",
        ]
        .iter()
        .any(|address| book.is(address, "no"))
            || zone.is_some_and(|(wanted, set)| !wanted.eq_ignore_ascii_case(set)),
    );
    let house = book.value("survey.fuel");
    let other_fuel = |address: &str| {
        house
            .zip(book.value(address))
            .is_some_and(|(house, stove)| !book.has(address, house) && !stove.is_empty())
    };
    raise(
        "wrong_fuel",
        book.is("gas.fuel_matches", "no") || other_fuel("plan.listed_fuel") || other_fuel("plan.crate_fuel"),
    );
    raise(
        "gas_not_tested",
        ["gas.test_passed", "gas.leak_check", "gas.rough_inspection"]
            .iter()
            .any(|address| book.lacks(address)),
    );
    raise(
        "pressure_test_failed",
        book.is("gas.test_passed", "no") || gauge_fell,
    );
    raise("leak_found", book.is("gas.leak_check", "no"));
    raise(
        "valve_over_pressure",
        book.is("gas.valve_over_pressure", "yes")
            || (book.is("gas.appliance_apart", "no")
                && book.number("gas.gauge_start").is_some_and(|start| start > 0.5)),
    );
    raise(
        "gas_not_as_the_code",
        [
            "gas.shut_off_near",
            "gas.corrugated_bonded",
            "gas.new_connector",
            "gas.covered_after",
        ]
        .iter()
        .any(|address| book.is(address, "no")),
    );
    raise(
        "not_relit",
        book.less("gas.appliances_relit", "gas.appliances_off")
            || (!book.lacks("gas.appliances_off") && book.lacks("gas.appliances_relit"))
            || book.is("gas.purged", "no"),
    );
    raise("boom_at_light_up", book.is("start_up.boom", "yes"));
    raise(
        "flame_out_failed",
        book.is("start_up.flame_out_passed", "no")
            || book
                .number("start_up.flame_out")
                .is_some_and(|seconds| seconds > 90.0),
    );
    raise("over_plate_input", book.is("start_up.input_in_limit", "no"));
    raise(
        "pressures_off_plate",
        book.less("start_up.plate_maximum", "start_up.inlet_static")
            || book.less("start_up.inlet_running", "start_up.plate_minimum")
            || book.less("start_up.plate_manifold_most", "start_up.manifold_high")
            || book.less("start_up.manifold_high", "start_up.plate_manifold_least"),
    );
    raise(
        "lock_up_too_high",
        book.less("start_up.plate_maximum", "start_up.lock_up"),
    );
    raise(
        "no_safety_screen",
        book.lacks("walk_through.screen_fitted") || book.is("walk_through.screen_fitted", "no"),
    );
    raise(
        "no_co_alarm",
        book.lacks("walk_through.co_alarm") || book.is("walk_through.co_alarm", "no"),
    );
    raise("change_not_signed", false);
    assert_eq!(on.len(), BLOCKS.len());
    on.into_iter()
        .filter(|(_, stands)| *stands)
        .map(|(code, _)| code)
        .collect()
}

/// Whether any of these closes the owner's sign-off.
pub fn closes_sign_off(raised: &BTreeSet<&'static str>) -> bool {
    let closes = |blocks: &[&str]| blocks.contains(&"sign_off") || blocks.contains(&"everything");
    BLOCKS
        .iter()
        .any(|(code, blocks)| raised.contains(code) && closes(blocks))
}
