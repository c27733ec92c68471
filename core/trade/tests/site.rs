//! What geometry says about the site reckonings, whatever the figures.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};
use wythe_trade::form::{Reckoning, read_input};
use wythe_trade::reckon;
use wythe_trade::site::cap_fit::CapFit;
use wythe_trade::site::liner_fit::{Figures, LinerFit};

fn run(name: &str, input: &Value) -> Value {
    reckon(name, &input.to_string()).unwrap()
}

fn inches(value: f64) -> String {
    format!("{value} in")
}

fn number(answer: &Value, pointer: &str) -> f64 {
    answer
        .pointer(&format!("{pointer}/value"))
        .and_then(Value::as_f64)
        .unwrap()
}

fn two_liners(sides: (f64, f64), radius: f64, liners: (f64, f64), clearance: f64) -> Value {
    let least = sides.0.min(sides.1);
    json!({
        "arrangement": "two_liners",
        "tile": {
            "shape": "rectangular", "inside_a": inches(sides.0), "inside_b": inches(sides.1),
            "corner_radius": inches(radius * least / 2.0),
        },
        "exhaust_outside": inches(liners.0), "intake_outside": inches(liners.1), "clearance": inches(clearance),
    })
}

fn liner_figures(input: &Value) -> Figures {
    LinerFit::reckon(&read_input::<LinerFit>(input).unwrap())
        .unwrap()
        .figures
}

fn cases() -> ProptestConfig {
    ProptestConfig {
        cases: 300,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(3),
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn a_larger_flue_never_fits_worse(
        a in 5.0..16.0_f64, b in 5.0..16.0_f64, more in 0.0..2.0_f64, radius in 0.0..1.0_f64,
        d1 in 2.0..7.0_f64, d2 in 2.0..7.0_f64, clearance in 0.0..1.0_f64,
    ) {
        // The radius stays that of the smaller flue.
        let small = two_liners((a, b), radius, (d1, d2), clearance);
        let mut large = two_liners((a + more, b + more), 0.0, (d1, d2), clearance);
        large["tile"]["corner_radius"] = small["tile"]["corner_radius"].clone();
        let (small, large) = (liner_figures(&small), liner_figures(&large));
        prop_assert!(large.spare_along_a.unwrap().base() >= small.spare_along_a.unwrap().base() - 1e-9);
        prop_assert!(large.fits || !small.fits);
    }

    #[test]
    fn a_wider_clearance_never_fits_better(
        a in 5.0..16.0_f64, b in 5.0..16.0_f64, radius in 0.0..1.0_f64,
        d1 in 2.0..7.0_f64, d2 in 2.0..7.0_f64, clearance in 0.0..1.0_f64, more in 0.0..1.0_f64,
    ) {
        let close = liner_figures(&two_liners((a, b), radius, (d1, d2), clearance));
        let wide = liner_figures(&two_liners((a, b), radius, (d1, d2), clearance + more));
        prop_assert!(close.fits || !wide.fits);
        // Standing in a row is one way of standing corner to corner.
        let row = close.spare_along_a.unwrap().base().max(close.spare_along_b.unwrap().base());
        prop_assert!(row < -1e-6 || close.fits);
    }

    #[test]
    fn liners_that_fit_stand_clear_of_the_wall_and_of_each_other(
        a in 6.0..16.0_f64, b in 6.0..16.0_f64, radius in 0.0..1.0_f64,
        d1 in 2.0..6.0_f64, d2 in 2.0..6.0_f64, clearance in 0.0..0.5_f64,
    ) {
        let figures = liner_figures(&two_liners((a, b), radius, (d1, d2), clearance));
        prop_assume!(figures.fits);
        let hole = &figures.layout;
        for liner in &hole.liners {
            let room = room_to_wall((hole.a.value, hole.b.value), hole.corner_radius.value, (liner.a.value, liner.b.value));
            prop_assert!(room >= liner.diameter.value / 2.0 + clearance * 0.0254 - 2e-6, "{room} {figures:?}");
        }
        let [one, other] = [&hole.liners[0], &hole.liners[1]];
        let apart = libm::hypot(one.a.value - other.a.value, one.b.value - other.b.value);
        let spare = apart - (one.diameter + other.diameter).value / 2.0 - clearance * 0.0254;
        prop_assert!((spare - figures.spare_diagonal.unwrap().base()).abs() < 1e-9, "{spare} {figures:?}");
    }

    #[test]
    fn no_other_places_leave_more_room_between_two_liners(
        a in 6.0..16.0_f64, b in 6.0..16.0_f64, radius in 0.0..1.0_f64,
        d1 in 2.0..6.0_f64, d2 in 2.0..6.0_f64,
        places in proptest::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, 0.0..1.0_f64, 0.0..1.0_f64), 200),
    ) {
        let figures = liner_figures(&two_liners((a, b), radius, (d1, d2), 0.0));
        prop_assume!(figures.fits);
        let (sides, corner) = ((a * 0.0254, b * 0.0254), figures.layout.corner_radius.value);
        for (a1, b1, a2, b2) in places {
            let (one, other) = ((a1 * sides.0, b1 * sides.1), (a2 * sides.0, b2 * sides.1));
            let inside = |place, d: f64| room_to_wall(sides, corner, place) >= d * 0.0254 / 2.0;
            if inside(one, d1) && inside(other, d2) {
                let apart = libm::hypot(one.0 - other.0, one.1 - other.1);
                let spare = apart - (d1 + d2) * 0.0254 / 2.0;
                prop_assert!(spare <= figures.spare_diagonal.unwrap().base() + 1e-9);
            }
        }
    }

    #[test]
    fn cut_and_trims_make_up_the_plate(
        a in 6.0..20.0_f64, b in 6.0..20.0_f64, more in 0.0..8.0_f64, hole in 0.0..1.0_f64, liner in 0.0..1.0_f64,
        stands in 1.0..6.0_f64, skirt in 1.0..3.0_f64, gap in 0.0..0.5_f64,
    ) {
        let input = json!({
            "mount": "over_tile", "tile_a": [inches(a)], "tile_b": [inches(b)],
            "projection": {"a_low": inches(stands), "a_high": "3 in", "b_low": "3 in", "b_high": inches(stands)},
            "plate_a": inches(a + more), "plate_b": inches(b + more), "skirt_depth": inches(skirt), "gap": inches(gap),
            "hole_centre_a": inches(hole * (a + more)), "liner_centre_a": inches(liner * a),
        });
        let figures = CapFit::reckon(&read_input::<CapFit>(&input).unwrap()).unwrap().figures;
        let trim = figures.trim.map(|trim| trim.base());
        let whole = figures.cut_a.base() + trim.a_low + trim.a_high;
        prop_assert!((whole - (a + more) * 0.0254).abs() < 2e-6, "{figures:?}");
        // A shortened skirt never stands on the crown.
        let reach = (skirt - 0.25) * 0.0254;
        prop_assert!(reach - figures.skirt_cut.a_low.base() <= stands * 0.0254 + 2e-6);
        // The plan draws the same cut.
        prop_assert!((figures.plan.cut.a_high - figures.plan.cut.a_low - figures.cut_a.0).value.abs() < 1e-9);
        prop_assert!((figures.plan.bend.a_high - figures.plan.bend.a_low - figures.opening_a.0).value.abs() < 1e-9);
    }

    #[test]
    fn more_room_around_the_stove_never_fails_more(
        measured in 0.0..40.0_f64, more in 0.0..10.0_f64, base in 1.0..40.0_f64,
        edition in proptest::sample::select(vec!["nfpa211", "irc_g2409", "imc_308"]),
        protection in proptest::sample::select(vec!["none", "masonry_no_gap", "board_on_batts", "metal_gap", "board_gap"]),
        appliance in proptest::sample::select(vec!["gas", "solid_fuel"]),
        side in proptest::sample::select(vec!["rear", "top"]),
    ) {
        let at = |measured: f64, base: f64| run("stove_clearance", &json!({
            "appliance": appliance, "listed": true, "edition": edition, "reduction_allowed_by_listing": true,
            "sides": {side: {"measured": inches(measured), "listing_required": inches(base), "protection": protection}},
        }));
        let (near, far) = (at(measured, base), at(measured + more, base));
        let verdict = format!("/sides/{side}/verdict");
        prop_assert!(near.pointer(&verdict) != Some(&json!("pass")) || far.pointer(&verdict) == Some(&json!("pass")));
        let required = format!("/sides/{side}/required");
        prop_assert!(number(&near, &required) <= base * 0.0254 + 1e-8, "protection never asks for more");
    }

    #[test]
    fn more_input_never_asks_for_less_distance(
        low in 300.0..150_000.0_f64, more in 0.0..50_000.0_f64,
        edition in proptest::sample::select(vec!["us_older", "us_newer", "canada"]),
    ) {
        let at = |watts: f64| number(&run("vent_terminal", &json!({
            "kind": "wall", "edition": edition, "input": format!("{watts} W"),
            "distances": {"opening": "9 ft"}, "own_minimum": {"opening": "1 in"},
        })), "/checks/opening/required");
        prop_assert!(at(low) <= at(low + more) + 1e-9);
    }

    #[test]
    fn further_and_heavier_is_never_easier(
        reach in 5.0..24.0_f64, more in 0.0..5.0_f64, height in 0.0..70.0_f64, load in 1.0..400.0_f64,
    ) {
        let at = |reach: f64, load: f64| run("lift", &json!({"lift": {
            "load": format!("{load} lb"), "origin": {"horizontal": inches(reach), "vertical": inches(height)},
            "travel": "20 in",
        }}));
        let near = at(reach, load);
        prop_assert!(number(&at(reach + more, load), "/lift/rwl") <= number(&near, "/lift/rwl") + 1e-9);
        let index = |answer: &Value| answer["lift"]["lifting_index"].as_f64();
        prop_assert!(index(&at(reach, load + more)) >= index(&near));
    }
}

/// Distance from a place inside a rounded rectangle to its wall; negative outside.
fn room_to_wall(sides: (f64, f64), radius: f64, place: (f64, f64)) -> f64 {
    let from_middle = ((place.0 - sides.0 / 2.0).abs(), (place.1 - sides.1 / 2.0).abs());
    let beyond = (
        from_middle.0 - (sides.0 / 2.0 - radius),
        from_middle.1 - (sides.1 / 2.0 - radius),
    );
    radius - libm::hypot(beyond.0.max(0.0), beyond.1.max(0.0)) - beyond.0.max(beyond.1).min(0.0)
}

#[test]
fn every_reckoning_has_a_name_a_purpose_and_a_schema() {
    let mut names: Vec<&str> = wythe_trade::list().map(|entry| entry.name).collect();
    for entry in wythe_trade::list() {
        assert!(
            entry.purpose.ends_with(['?', '.']) && !entry.purpose.contains('\n'),
            "{}",
            entry.name
        );
        let schema = wythe_trade::schema(entry.name).unwrap();
        assert_eq!(schema["title"], json!(entry.name));
    }
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), wythe_trade::list().count());
    let unknown = reckon("horoscope", "{}").unwrap_err();
    assert_eq!(unknown.code.as_str(), "unknown_reckoning");
    assert!(unknown.message.contains("liner_fit"), "{unknown}");
}
