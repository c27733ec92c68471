//! What must hold for every flue, whatever its figures.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod shared;

use shared::random::{Chance, arrangement};
use wythe_physics::chimney::RoomChimney;
use wythe_physics::constants::{GAS_CONSTANT, GRAVITY, ICE_POINT, STANDARD_PRESSURE};
use wythe_physics::flue::{
    Answer, Flue, FlueInput, Intake, Liner, OutletModel, Restrictor, Segment, Status, Wall,
};
use wythe_physics::friction::Closure;
use wythe_physics::gas::Mixture;
use wythe_physics::quantities::{
    HeatTransfer, Velocity, insulance, length, meter_per_second, power, pressure, temperature,
    watt_per_square_meter_kelvin,
};

fn solve(input: &FlueInput) -> Answer {
    Flue::new(input).unwrap().operating_point().unwrap()
}

/// Arrangements such as a crew meets, that run at an air ratio in the middle of the range.
fn usual(count: usize) -> Vec<(u64, FlueInput, Answer)> {
    let running = (0..20 * count as u64).filter_map(|seed| {
        let input = arrangement(&mut Chance::from_seed(seed), 0.0);
        let answer = Flue::new(&input).ok()?.operating_point().ok()?;
        let runs = answer.status == Status::Ok && (1.3..15.0).contains(&answer.air_ratio);
        runs.then_some((seed, input, answer))
    });
    let found: Vec<_> = running.take(count).collect();
    assert_eq!(
        found.len(),
        count,
        "too few of the seeds run in the middle of the range"
    );
    found
}

#[test]
fn heat_that_leaves_the_exhaust_arrives() {
    for (seed, _, answer) in usual(100) {
        let lost = answer.exhaust_heat.value;
        let arrived = answer.intake_heat.value + answer.ambient_heat.value;
        assert!(
            (lost - arrived).abs() < 0.1,
            "seed {seed}: {lost} W leave, {arrived} W arrive"
        );
        assert!(
            (lost - arrived - answer.energy_residual.value).abs() < 1e-9,
            "seed {seed}"
        );
        assert!(lost > 0.0, "seed {seed}");
    }
}

#[test]
fn pressures_around_the_loop_add_up_to_nothing() {
    for (seed, input, answer) in usual(100) {
        let l = &answer.losses;
        let factored = l.exhaust + l.intake + l.cap_exhaust + l.cap_intake;
        let rest = l.acceleration_exhaust + l.acceleration_intake + l.appliance + l.restrictor;
        let left = answer.draft + answer.wind_pressure - factored * input.options.flow_safety - rest;
        assert!((left - answer.balance).value.abs() < 1e-9, "seed {seed}");
        assert!(
            answer.balance.value.abs() < 1e-6,
            "seed {seed}: {} Pa are left",
            answer.balance.value
        );
    }
}

#[test]
fn equal_temperatures_leave_only_the_weight_of_the_gases() {
    for mut input in [shared::coaxial(), shared::colinear()] {
        let t = temperature(288.0);
        input.site.outdoor_temperature = t;
        input.appliance.outlet = OutletModel::Fixed;
        input.appliance.flue_temperature = t;
        input.segments[0].ambient = t;
        let answer = Flue::new(&input).unwrap().at(2.0).unwrap();
        assert!(answer.exhaust_heat.value.abs() < 1e-6 && answer.ambient_heat.value.abs() < 1e-6);
        let height = input.segments[0].rise.value;
        let air = weight_of_air(&input);
        let exhaust = weight_of_exhaust(&answer);
        let wanted = GRAVITY * height * STANDARD_PRESSURE / (GAS_CONSTANT * 288.0) * (air - exhaust) / 1000.0;
        assert!(
            (answer.draft.value - wanted).abs() < 1e-9 * wanted.abs(),
            "{} {wanted}",
            answer.draft.value
        );
    }
}

/// Molar mass of the air from its moisture.
fn weight_of_air(input: &FlueInput) -> f64 {
    use wythe_physics::atmosphere::MoistAir;
    let site = &input.site;
    let air = MoistAir::new(
        pressure(STANDARD_PRESSURE),
        site.outdoor_temperature,
        site.relative_humidity,
    );
    let x = air.vapour_fraction();
    let dry = Mixture::dry_air().molar_mass().value * 1000.0;
    (1.0 - x) * dry + x * 18.015_28
}

/// Molar mass of the exhaust from its composition.
fn weight_of_exhaust(answer: &Answer) -> f64 {
    let wet = answer.h2o_wet;
    let (co2, o2) = (answer.co2_dry, answer.o2_dry);
    // Argon goes with the nitrogen of the air; what nitrogen the fuel has is without argon.
    let air = o2_and_burnt(answer);
    let argon = 0.0093 * air;
    let nitrogen = 1.0 - co2 - o2 - argon;
    let dry = 44.0095 * co2 + 31.9988 * o2 + 39.948 * argon + 28.0134 * nitrogen;
    (1.0 - wet) * dry + wet * 18.015_28
}

/// Moles of dry air per mole of dry exhaust, from the mass flows.
fn o2_and_burnt(answer: &Answer) -> f64 {
    answer.o2_dry / 0.2095 * answer.air_ratio / (answer.air_ratio - 1.0)
}

#[test]
fn without_rise_nothing_draws() {
    let mut input = shared::coaxial();
    input.segments[0].rise = length(0.0);
    let answer = solve(&input);
    assert_eq!(answer.status, Status::InsufficientDraft);
    assert!(answer.draft.value.abs() < 1e-12);
    assert!((answer.air_ratio - 1.0).abs() < 1e-12);
    input.site.wind = Velocity::new::<meter_per_second>(10.0);
    input.site.wind_coefficient = 0.3;
    assert_eq!(solve(&input).status, Status::Ok);
}

#[test]
fn a_segment_cut_in_two_changes_nothing() {
    for (seed, input, answer) in usual(40) {
        let mut cut = input.clone();
        cut.segments = input.segments.iter().flat_map(halves).collect();
        let halved = solve(&cut);
        // The halves may be cut into other cells than the whole; both are within the error of the cells.
        assert!(
            (halved.air_ratio - answer.air_ratio).abs() < 2e-4 * answer.air_ratio,
            "seed {seed}"
        );
        assert!(
            (halved.exit_temperature.value - answer.exit_temperature.value).abs() < 0.02,
            "seed {seed}"
        );
    }
    let input = shared::coaxial();
    let mut cut = input.clone();
    cut.segments = input.segments.iter().flat_map(halves).collect();
    let (whole, halved) = (solve(&input), solve(&cut));
    assert!((whole.air_ratio - halved.air_ratio).abs() < 1e-7);
    assert!((whole.exit_temperature.value - halved.exit_temperature.value).abs() < 1e-7);
}

fn halves(segment: &Segment) -> [Segment; 2] {
    let mut half = segment.clone();
    half.length = segment.length / 2.0;
    half.rise = segment.rise / 2.0;
    half.exhaust.loss_coefficient /= 2.0;
    match &mut half.intake {
        Intake::Coaxial { loss_coefficient, .. } => *loss_coefficient /= 2.0,
        Intake::Colinear { liner, .. } => liner.loss_coefficient /= 2.0,
    }
    [half.clone(), half]
}

#[test]
fn halving_the_cells_quarters_the_error() {
    for input in [shared::coaxial(), shared::colinear()] {
        let at = |cell: f64| {
            let mut input = input.clone();
            input.options.cell = length(cell);
            let answer = Flue::new(&input).unwrap().at(2.5).unwrap();
            (answer.exit_temperature.value, answer.draft.value)
        };
        let (coarse, middle, fine) = (at(1.0), at(0.5), at(0.25));
        for ratio in [
            (coarse.0 - middle.0) / (middle.0 - fine.0),
            (coarse.1 - middle.1) / (middle.1 - fine.1),
        ] {
            assert!((3.5..4.5).contains(&ratio), "the error falls by {ratio}");
        }
    }
}

#[test]
fn a_sized_restrictor_gives_its_air_ratio() {
    let mut sized = 0;
    for (seed, mut input, answer) in usual(60) {
        input.restrictor = None;
        let wanted = 1.5 + 0.5 * (answer.air_ratio - 1.3).min(2.0);
        let found = Flue::new(&input).unwrap().restrictor_for(wanted).unwrap();
        let Some(loss) = found.loss_coefficient else {
            continue;
        };
        input.restrictor = Some(Restrictor::LossCoefficient(loss));
        let back = solve(&input);
        // Where a lower air ratio draws less, the stable point is the one asked for only above the turn.
        if back.status == Status::Ok {
            assert!(
                (back.air_ratio - wanted).abs() < 1e-6,
                "seed {seed}: {} for {wanted}",
                back.air_ratio
            );
            sized += 1;
        }
        if let Some(open) = found.open_fraction {
            input.restrictor = Some(Restrictor::OpenFraction(open));
            assert!(
                (solve(&input).air_ratio - back.air_ratio).abs() < 1e-6,
                "seed {seed}"
            );
        }
    }
    assert!(sized > 20, "only {sized} were sized");
}

#[test]
fn a_calibrated_pressure_drop_gives_its_air_ratio() {
    let mut input = shared::coaxial();
    let drop = Flue::new(&input)
        .unwrap()
        .pressure_drop_for(2.2)
        .unwrap()
        .pressure_drop;
    input.appliance.pressure_drop = drop;
    let answer = solve(&input);
    assert!((answer.air_ratio - 2.2).abs() < 1e-6);
    input.segments[0].rise = length(0.0);
    let none = Flue::new(&input).unwrap().pressure_drop_for(2.2).unwrap();
    assert_eq!(
        (none.pressure_drop, none.answer.status),
        (None, Status::InsufficientDraft)
    );
}

#[test]
fn what_hinders_the_flow_lowers_the_air_ratio() {
    for (seed, mut input, _) in usual(30) {
        input.site.wind = Velocity::new::<meter_per_second>(4.0);
        input.site.wind_coefficient = 0.0;
        // Laminar flow does not feel roughness.
        input.options.closure = Closure::Floor2300;
        let base = solve(&input).air_ratio;
        let changed = |change: &dyn Fn(&mut FlueInput)| {
            let mut input = input.clone();
            change(&mut input);
            solve(&input).air_ratio
        };
        let hindered = [
            changed(&|i| i.segments[0].exhaust.loss_coefficient += 1.0),
            changed(&|i| i.segments[0].exhaust.roughness *= 1.5),
            changed(&|i| i.appliance.pressure_drop = i.appliance.pressure_drop.map(|p| p * 1.2)),
            changed(&|i| i.site.wind_coefficient = -0.05),
            changed(&|i| i.cap.intake_loss += 1.0),
            changed(&|i| i.options.flow_safety *= 1.2),
            changed(&|i| i.restrictor = more(i.restrictor)),
        ];
        for (which, ratio) in hindered.iter().enumerate() {
            assert!(
                *ratio < base,
                "seed {seed}: hindrance {which} gives {ratio}, without it {base}"
            );
        }
        assert!(changed(&|i| i.site.wind_coefficient = 0.05) > base, "seed {seed}");
    }
}

fn more(restrictor: Option<Restrictor>) -> Option<Restrictor> {
    match restrictor {
        None => Some(Restrictor::LossCoefficient(1.0)),
        Some(Restrictor::LossCoefficient(loss)) => Some(Restrictor::LossCoefficient(loss + 1.0)),
        Some(Restrictor::OpenFraction(open)) => Some(Restrictor::OpenFraction(0.9 * open)),
    }
}

#[test]
fn a_higher_flue_draws_more_air() {
    let ratios = [3.0, 4.5, 6.0, 8.0].map(|height| {
        let mut input = shared::coaxial();
        input.segments[0].length = length(height);
        input.segments[0].rise = length(height);
        solve(&input).air_ratio
    });
    assert!(ratios.windows(2).all(|pair| pair[0] < pair[1]), "{ratios:?}");
}

#[test]
fn moister_air_raises_the_dew_point_and_altitude_lowers_it() {
    let dew = |humidity: f64, altitude: f64, ratio: f64| {
        let mut input = shared::coaxial();
        input.site.relative_humidity = humidity;
        input.site.altitude = length(altitude);
        Flue::new(&input)
            .unwrap()
            .at(ratio)
            .unwrap()
            .dew_point
            .unwrap()
            .value
    };
    assert!(dew(0.9, 0.0, 2.0) > dew(0.2, 0.0, 2.0));
    assert!(dew(0.5, 1500.0, 2.0) < dew(0.5, 0.0, 2.0));
    assert!(dew(0.5, 0.0, 3.0) < dew(0.5, 0.0, 2.0));
    let per_kilometre = dew(0.5, 0.0, 2.0) - dew(0.5, 1000.0, 2.0);
    assert!((1.8..2.8).contains(&per_kilometre), "{per_kilometre} K per km");
}

#[test]
fn a_separate_intake_warms_the_air_less_and_draws_more() {
    let coaxial = shared::coaxial();
    let mut colinear = coaxial.clone();
    let liner = Liner {
        loss_coefficient: 0.5,
        ..Liner::of(length(0.0602))
    };
    colinear.segments[0].intake = Intake::Colinear {
        liner,
        tile: shared::tile_8x8(),
    };
    let (one, two) = (
        Flue::new(&coaxial).unwrap().at(2.0).unwrap(),
        Flue::new(&colinear).unwrap().at(2.0).unwrap(),
    );
    assert!(two.intake_temperature < one.intake_temperature);
    assert!(two.draft > one.draft);
}

#[test]
fn a_flue_that_keeps_its_heat_is_a_chimney() {
    let mut input = shared::coaxial();
    input.segments[0].exhaust.insulation = Some(insulance(1000.0));
    let outdoors = input.site.outdoor_temperature;
    input.segments[0].ambient = outdoors;
    let answer = Flue::new(&input).unwrap().at(2.2).unwrap();
    let products = wythe_physics::combustion::Products::of(&input.fuel, 2.2, vapour(&input));
    let segment = &input.segments[0];
    let chimney = RoomChimney {
        gas: products.mixture(),
        flow: answer.flue_flow,
        inlet: input.appliance.flue_temperature,
        barometer: pressure(STANDARD_PRESSURE),
        air: moist(&input),
        outdoor: outdoors,
        surroundings: outdoors,
        surroundings_at_top: outdoors,
        diameter: segment.exhaust.inside_diameter,
        outside_diameter: segment.exhaust.outside_diameter,
        height: segment.rise,
        roughness: segment.exhaust.roughness,
        loss_coefficient: segment.exhaust.loss_coefficient,
        resistance: insulance(1000.0),
        outside_coefficient: HeatTransfer::new::<watt_per_square_meter_kelvin>(8.0),
        flow_safety: 1.0,
        air_supply: pressure(0.0),
        soaked: 1.0,
    };
    let alone = chimney.answer(pressure(0.0));
    assert!((answer.exit_temperature.value - alone.outlet.value).abs() < 0.1);
    assert!((answer.draft.value / alone.draft.value - 1.0).abs() < 1e-3);
    let resistance = answer.losses.exhaust.value + 0.5 * answer.losses.acceleration_exhaust.value;
    assert!((resistance / alone.resistance.value - 1.0).abs() < 1e-3);
    assert!((alone.at_inlet - alone.draft + alone.resistance).value.abs() < 1e-12);
}

fn vapour(input: &FlueInput) -> f64 {
    use wythe_physics::atmosphere::MoistAir;
    let site = &input.site;
    MoistAir::new(
        pressure(STANDARD_PRESSURE),
        site.outdoor_temperature,
        site.relative_humidity,
    )
    .vapour_fraction()
}

fn moist(input: &FlueInput) -> Mixture {
    let x = vapour(input);
    let dry = Mixture::dry_air().mole_fractions();
    let [n2, o2, ar, co2, _] = dry.map(|share| share * (1.0 - x));
    Mixture::new([n2, o2, ar, co2, x])
}

#[test]
fn a_chimney_cools_by_its_law() {
    let flue = shared::coaxial();
    let chimney = RoomChimney {
        gas: moist(&flue),
        flow: wythe_physics::quantities::MassRate::new::<wythe_physics::quantities::kilogram_per_second>(
            0.02,
        ),
        inlet: temperature(523.15),
        barometer: pressure(97_000.0),
        air: Mixture::dry_air(),
        outdoor: temperature(288.15),
        surroundings: temperature(288.15),
        surroundings_at_top: temperature(258.15),
        diameter: length(0.15),
        outside_diameter: length(0.35),
        height: length(8.0),
        roughness: length(0.001),
        loss_coefficient: 0.8,
        resistance: insulance(0.2),
        outside_coefficient: HeatTransfer::new::<watt_per_square_meter_kelvin>(23.0),
        flow_safety: 1.2,
        air_supply: pressure(3.0),
        soaked: 0.5,
    };
    let answer = chimney.answer(pressure(25.0));
    // Outlet and mean belong to one cooling number: K = ln((T0 - Tu)/(T - Tu)), mean = (1 - e^-K)/K.
    let over = 523.15 - 288.15;
    let k = libm::log(over / (answer.outlet.value - 288.15));
    let mean = 288.15 + over * -libm::expm1(-k) / k;
    assert!((answer.mean.value - mean).abs() < 1e-6);
    assert!(answer.wall_at_top < answer.outlet && answer.wall_at_top.value > 258.15);
    let left = answer.draft.value - answer.resistance.value - 25.0 - 3.0;
    assert!((answer.at_inlet.value - left).abs() < 1e-12);
    // Warmed through, more heat is lost, so that the gas arrives colder and draws less.
    let soaked = RoomChimney {
        soaked: 1.0,
        ..chimney
    }
    .answer(pressure(25.0));
    assert!(
        soaked.outlet > answer.outlet,
        "a wall that resists more keeps the gas warmer"
    );
}

#[test]
fn the_stable_point_is_the_upper_one() {
    // A flue that only just draws: below the point found, less flow means less draft.
    let mut found = 0;
    for seed in 0..400 {
        let mut input = arrangement(&mut Chance::from_seed(seed), 0.0);
        input.appliance.input = power(input.appliance.input.value * 0.3);
        let Ok(flue) = Flue::new(&input) else { continue };
        let answer = flue.operating_point().unwrap();
        if answer.status != Status::OkStartSensitive {
            continue;
        }
        found += 1;
        let reserve = |ratio: f64| flue.reserve_at(ratio).unwrap().value;
        assert!(reserve(answer.air_ratio * 1.001) < 0.0, "seed {seed}");
        assert!(reserve(answer.air_ratio / 1.001) > 0.0, "seed {seed}");
        assert!(reserve(1.0) < 0.0, "seed {seed}");
    }
    assert!(found > 0, "no start-sensitive flue among the seeds");
}

#[test]
fn a_cold_start_holds_the_tile() {
    let mut input = shared::coaxial();
    input.segments[0].wall = Wall::HeldAt(temperature(ICE_POINT + 5.0));
    let answer = solve(&input);
    assert!(
        answer
            .profile
            .iter()
            .all(|point| (point.tile.value - ICE_POINT - 5.0).abs() < 1e-12)
    );
}

#[test]
fn a_station_barometer_stands_for_the_altitude() {
    let mut high = shared::coaxial();
    high.site.altitude = length(1864.0);
    let mut measured = high.clone();
    measured.site.barometer = Some(wythe_physics::atmosphere::standard_pressure(length(1864.0)));
    measured.site.altitude = length(0.0);
    assert_eq!(solve(&high), solve(&measured));
}
