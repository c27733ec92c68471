//! Every arrangement within bounds ends: with figures that are numbers, or with a refusal that says why.
//!
//! `WYTHE_FLUES` sets how many are tried.

#![expect(clippy::panic, reason = "a test that cannot go on has failed")]

mod shared;

use shared::random::{Chance, arrangement};
use wythe_physics::PhysicsError;
use wythe_physics::flue::{Answer, BandTask, Flue, FlueInput};

/// Half of them such as a crew meets, half with every third input far out.
#[expect(clippy::disallowed_methods, reason = "how many are tried is set from outside")]
fn tried() -> u64 {
    std::env::var("WYTHE_FLUES")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(10_000)
}

#[test]
fn every_arrangement_ends_in_figures_or_in_a_refusal() {
    let (mut answered, mut refused, mut unsettled) = (0_u64, 0_u64, Vec::new());
    for seed in 0..tried() {
        let mut chance = Chance::from_seed(seed);
        let wild = if seed % 2 == 0 { 0.02 } else { 0.33 };
        let input = arrangement(&mut chance, wild);
        let flue = match Flue::new(&input) {
            Ok(flue) => flue,
            Err(refusal) => {
                assert!(
                    ["inconsistent", "out_of_range"].contains(&refusal.code()),
                    "seed {seed}: {refusal}"
                );
                refused += 1;
                continue;
            }
        };
        match flue.operating_point() {
            Ok(answer) => {
                sound(seed, &input, &answer);
                answered += 1;
            }
            Err(PhysicsError::NotConverged { .. }) => unsettled.push(seed),
            Err(other) => panic!("seed {seed}: {other}"),
        }
        if seed % 20 < 2 {
            other_tasks(seed, &mut chance, &input, &flue);
        }
    }
    println!("answered {answered}, refused {refused}");
    assert!(answered > tried() / 2);
    assert!(unsettled.is_empty(), "seeds that do not settle: {unsettled:?}");
}

fn other_tasks(seed: u64, chance: &mut Chance, input: &FlueInput, flue: &Flue) {
    let air_ratio = chance.one_of([1.0, 1.3, 2.0, 3.7, 12.0, 40.0]);
    sound(seed, input, &settled(seed, air_ratio, flue.at(air_ratio)));
    let sized = settled(seed, air_ratio, flue.restrictor_for(air_ratio));
    sound(seed, input, &sized.answer);
    assert!(
        sized
            .loss_coefficient
            .is_none_or(|loss| loss >= 0.0 && loss.is_finite()),
        "seed {seed}"
    );
    assert!(
        sized.open_fraction.is_none_or(|open| open > 0.0 && open <= 1.0),
        "seed {seed}"
    );
    let calibrated = settled(seed, air_ratio, flue.pressure_drop_for(air_ratio));
    sound(seed, input, &calibrated.answer);
    assert!(
        calibrated.pressure_drop.is_none_or(|drop| drop.value.is_finite()),
        "seed {seed}"
    );
    let band = settled(seed, air_ratio, flue.band(BandTask::OperatingPoint, 5, seed));
    let figures = [
        band.air_ratio.low,
        band.air_ratio.middle,
        band.air_ratio.high,
        band.good,
    ];
    assert!(figures.iter().all(|x| x.is_finite()), "seed {seed}: {band:?}");
    assert!(band.air_ratio.low <= band.air_ratio.high, "seed {seed}: {band:?}");
}

fn settled<T>(seed: u64, air_ratio: f64, result: Result<T, PhysicsError>) -> T {
    result.unwrap_or_else(|refusal| panic!("seed {seed} at {air_ratio}: {refusal}"))
}

fn sound(seed: u64, input: &FlueInput, answer: &Answer) {
    let losses = &answer.losses;
    let pressures = [
        answer.draft,
        answer.wind_pressure,
        losses.exhaust,
        losses.intake,
        losses.cap_exhaust,
        losses.cap_intake,
        losses.acceleration_exhaust,
        losses.acceleration_intake,
        losses.appliance,
        losses.restrictor,
        answer.balance,
    ];
    assert!(
        pressures.iter().all(|p| p.value.is_finite()),
        "seed {seed}: {answer:?}"
    );
    let heats = [
        answer.exhaust_heat,
        answer.intake_heat,
        answer.ambient_heat,
        answer.energy_residual,
    ];
    assert!(
        heats.iter().all(|q| q.value.is_finite()),
        "seed {seed}: {answer:?}"
    );
    assert!(
        (1.0 - 1e-7..=40.0 + 1e-7).contains(&answer.air_ratio),
        "seed {seed}: {}",
        answer.air_ratio
    );
    let heat = answer.energy_residual.value;
    assert!(
        heat.abs() < 0.1,
        "seed {seed}: {heat} W of heat are lost in the sum"
    );
    within_surroundings(seed, input, answer);
}

/// No temperature leaves the range of what surrounds the flue.
fn within_surroundings(seed: u64, input: &FlueInput, answer: &Answer) {
    let mut low = input
        .site
        .outdoor_temperature
        .value
        .min(answer.flue_temperature.value);
    let mut high = input
        .site
        .outdoor_temperature
        .value
        .max(answer.flue_temperature.value);
    for segment in &input.segments {
        let outside = match &segment.wall {
            wythe_physics::flue::Wall::HeldAt(t) => t.value,
            wythe_physics::flue::Wall::Masonry { .. } => segment.ambient.value,
        };
        low = low.min(outside);
        high = high.max(outside);
    }
    for point in &answer.profile {
        for t in [point.exhaust, point.intake, point.inner_wall, point.tile] {
            assert!(
                t.value >= low - 1e-6 && t.value <= high + 1e-6,
                "seed {seed}: {t:?} outside {low}..{high}"
            );
        }
    }
}
