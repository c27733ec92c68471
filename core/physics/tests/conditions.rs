//! The weather and fires an arrangement is run in.

mod shared;

use wythe_physics::constants::ICE_POINT;
use wythe_physics::flue::conditions::{conditions, requirements};
use wythe_physics::flue::{Flue, Wall};
use wythe_physics::quantities::{length, power, temperature};

#[test]
fn four_outdoor_temperatures_high_and_low_fire_and_a_cold_start() {
    let winter = temperature(ICE_POINT - 26.0);
    let sheltered = conditions(winter, false);
    assert_eq!(sheltered.len(), 9);
    assert_eq!(sheltered.iter().filter(|c| c.low_fire).count(), 4);
    assert_eq!(sheltered.iter().filter(|c| c.cold_start).count(), 1);
    assert!(sheltered.iter().all(|c| c.wind.abs() < 1e-12));
    let exposed = conditions(winter, true);
    assert_eq!(exposed.len(), 13);
    assert_eq!(exposed.iter().filter(|c| c.wind < 0.0).count(), 2);
}

#[test]
fn a_condition_changes_what_it_says() {
    let input = shared::coaxial();
    let low = power(4000.0);
    for condition in conditions(temperature(ICE_POINT - 26.0), true) {
        let here = condition.apply(&input, low);
        assert_eq!(here.site.outdoor_temperature, condition.outdoor);
        let held = here.segments.iter().all(|s| matches!(s.wall, Wall::HeldAt(_)));
        assert_eq!(held, condition.cold_start);
        let answer = Flue::new(&here)
            .and_then(|flue| flue.operating_point())
            .map_err(|e| format!("{condition:?}: {e}"))
            .unwrap();
        assert_eq!(
            answer.input,
            if condition.low_fire {
                low
            } else {
                input.appliance.input
            }
        );
        let density = 2.0 * answer.wind_pressure.value / condition.wind;
        assert!(
            condition.wind.abs() < 1e-12 || (1.0..1.6).contains(&density),
            "{condition:?}"
        );
    }
}

/// At lower fire the stove's own passages resist as before: the same flow loses the same pressure.
#[test]
fn low_fire_keeps_the_resistance_of_the_stove() {
    let input = shared::coaxial();
    let winter = temperature(ICE_POINT - 10.0);
    let low = conditions(winter, false)
        .into_iter()
        .find(|c| c.low_fire)
        .unwrap()
        .apply(&input, power(4400.0));
    let per_flow = |input, ratio| {
        let answer = Flue::new(input).unwrap().at(ratio).unwrap();
        answer.losses.appliance.value / (answer.flue_flow.value * answer.flue_flow.value)
    };
    assert!((per_flow(&low, 3.0) / per_flow(&input, 3.0) - 1.0).abs() < 1e-9);
}

#[test]
fn the_weakest_and_the_strongest_condition_bound_the_ordinary_one() {
    let weakest = {
        let mut input = shared::coaxial();
        input.site.outdoor_temperature = temperature(ICE_POINT + 25.0);
        input
    };
    let strongest = shared::coaxial();
    let found = requirements(&weakest, &strongest).unwrap();
    let plain = Flue::new(&weakest).unwrap().reserve_at(1.4).unwrap();
    assert!(found.weakest_reserve < plain && found.weakest_reserve.value > 0.0);
    let ordinary = Flue::new(&strongest).unwrap().operating_point().unwrap();
    assert!(found.strongest.air_ratio > ordinary.air_ratio);

    let mut short = weakest.clone();
    short.segments[0].length = length(0.6);
    short.segments[0].rise = length(0.6);
    assert!(requirements(&short, &strongest).unwrap().weakest_reserve.value < 0.0);
}
