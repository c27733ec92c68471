//! Single formulas against figures worked out beside them, and parts of the flue against what they are made of.

mod shared;

use wythe_physics::atmosphere::{MoistAir, pressure_en, standard_pressure};
use wythe_physics::chimney::{RoomChimney, exhaust_per_heat_natural_gas, exhaust_per_heat_propane};
use wythe_physics::constants::{FOOT, GRAVITY, ICE_POINT};
use wythe_physics::derate::DerateRule;
use wythe_physics::flue::conditions::requirements;
use wythe_physics::flue::{Flue, FlueInput, Intake, Wall};
use wythe_physics::friction::{Closure, Duct, Shape, colebrook};
use wythe_physics::quantities::{
    HeatTransfer, MassRate, Velocity, insulance, kilogram_per_second, length, meter_per_second, pressure,
    temperature, watt_per_square_meter_kelvin,
};

fn close(found: f64, wanted: f64, share: f64) {
    assert!((found / wanted - 1.0).abs() < share, "{found}, not {wanted}");
}

/// EN 13384-1, from memory: 97000 Pa · exp(-9.80665 · 500 / (288 · 288.15)) = 91434.755 Pa.
#[test]
fn the_low_barometer_of_the_standard() {
    let found = pressure_en(length(500.0), temperature(288.15)).value;
    close(found, 91_434.755_357, 1e-9);
}

/// Gnielinski 1976 as printed in heat transfer textbooks, smooth pipe, Re 10,000, Pr 0.7: f = 0.0308830 by
/// Colebrook-White, Nu = (f/8)(Re - 1000) Pr / (1 + 12.7 sqrt(f/8)(Pr^(2/3) - 1)) = 29.1957.
#[test]
fn the_full_formula_of_gnielinski() {
    let long = Duct::new(Closure::Physical, Shape::Round, 0.0, true, 0.0);
    close(colebrook(1e4, 0.0), 0.030_882_950, 1e-7);
    close(long.nusselt(1e4, 0.7), 29.195_684_6, 1e-6);
}

/// Percentages of one's own arithmetic: 4,000 ft are 2,000 ft above 2,000 ft.
#[test]
fn each_rule_of_reducing_at_four_thousand_feet() {
    let at = length(4000.0 * FOOT);
    for (rule, wanted) in [
        (DerateRule::FourPercentFromSeaLevel, 0.84),
        (DerateRule::FourPercentAbove2000Ft, 0.92),
        (DerateRule::TwoPercentFromSeaLevel, 0.92),
        (DerateRule::TwoPercentAbove2000Ft, 0.96),
        (DerateRule::TenPercent2000To4500Ft, 0.90),
    ] {
        close(rule.factor(at).unwrap(), wanted, 1e-12);
    }
}

/// What insulates so well that nothing else counts lets through pi D_i L / R for each kelvin, with R per area
/// of the liner's inside.
#[test]
fn insulation_counts_by_the_inside_of_the_liner() {
    let mut input = shared::coaxial();
    input.site.outdoor_temperature = temperature(ICE_POINT);
    for segment in &mut input.segments {
        segment.exhaust.insulation = Some(insulance(200.0));
        segment.exhaust.outside_diameter = length(0.13);
        segment.wall = Wall::HeldAt(temperature(ICE_POINT));
        segment.ambient = temperature(ICE_POINT);
    }
    let answer = Flue::new(&input).unwrap().at(2.2).unwrap();
    let mean = answer.segments[0].exhaust[2].value - ICE_POINT;
    let wanted = std::f64::consts::PI * 0.1016 * 6.0 / 200.0 * mean;
    close(answer.exhaust_heat.value, wanted, 0.01);
}

/// The roughness of the space between liner and tile is that of both by their perimeters.
#[test]
fn two_roughnesses_count_by_their_perimeters() {
    let with = |tile_rough: f64, liner_rough: f64| {
        let mut input = shared::coaxial();
        for segment in &mut input.segments {
            if let Intake::Coaxial {
                roughness,
                roughness_inner,
                ..
            } = &mut segment.intake
            {
                *roughness = length(tile_rough);
                *roughness_inner = length(liner_rough);
            }
        }
        Flue::new(&input).unwrap().at(4.0).unwrap().losses.intake.value
    };
    let (tile, liner) = (4.0 * 0.17145, std::f64::consts::PI * 0.1046);
    let mean = (0.001 * tile + 0.006 * liner) / (tile + liner);
    close(with(0.001, 0.006), with(mean, mean), 1e-9);
    assert!((with(0.001, 0.006) / with(0.001, 0.001) - 1.0).abs() > 0.01);
}

/// Where the input is reduced, the drop is still that of the plate: at the rated air ratio in dry air the flow
/// is the factor of the rated one, and the gas is thinner by the pressure of the site.
#[test]
fn the_pressure_drop_is_that_of_the_plates_input() {
    let mut input = shared::coaxial();
    input.site.altitude = length(2000.0);
    input.site.relative_humidity = 0.0;
    input.appliance.derate_rule = DerateRule::FourPercentFromSeaLevel;
    let factor = input.appliance.derate_rule.factor(input.site.altitude).unwrap();
    let answer = Flue::new(&input).unwrap().at(input.appliance.air_ratio).unwrap();
    let thinner = standard_pressure(length(0.0)).value / standard_pressure(input.site.altitude).value;
    close(
        answer.losses.appliance.value,
        6.0 * factor * factor * thinner,
        1e-9,
    );
}

/// Half the density of the air outdoors times the coefficient and the square of the speed.
#[test]
fn wind_presses_by_half_of_its_square() {
    let mut input = shared::coaxial();
    input.site.wind = Velocity::new::<meter_per_second>(8.0);
    input.site.wind_coefficient = 0.2;
    let outdoors = MoistAir::new(
        standard_pressure(length(0.0)),
        input.site.outdoor_temperature,
        input.site.relative_humidity,
    );
    let answer = Flue::new(&input).unwrap().at(2.2).unwrap();
    let wanted = 0.5 * 0.2 * outdoors.density().value * 64.0;
    // The rounded molar masses of the gases make up that of air to 2 in a million.
    close(answer.wind_pressure.value, wanted, 1e-5);
}

/// The height inside the stove draws by the air that arrives less the gas that leaves.
#[test]
fn the_height_inside_the_stove_draws_too() {
    let draft = |height: f64| {
        let mut input: FlueInput = shared::coaxial();
        input.site.relative_humidity = 0.0;
        input.appliance.internal_height = length(height);
        Flue::new(&input).unwrap().at(2.2).unwrap()
    };
    let (with, without) = (draft(0.5), draft(0.0));
    let p = standard_pressure(length(0.0)).value;
    let air = p * 28.9657e-3 / (8.314_462_618 * with.intake_temperature.value);
    let wanted = GRAVITY * 0.5 * (air - burnt(&with, p, with.flue_temperature.value));
    close(with.draft.value - without.draft.value, wanted, 1e-4);
}

/// Along a pipe the gas slows down as it cools, by G squared times the change of 1/rho; at a joint it changes by
/// half of G squared over rho.
#[test]
fn speeding_up_is_momentum_along_a_pipe_and_head_at_a_joint() {
    let mut input = shared::coaxial();
    input.site.relative_humidity = 0.0;
    let mut upper = input.segments[0].clone();
    upper.exhaust.inside_diameter = length(0.0762);
    input.segments.push(upper);
    let answer = Flue::new(&input).unwrap().at(2.2).unwrap();
    let p = standard_pressure(length(0.0)).value;
    let flux = |d: f64| answer.flue_flow.value / (std::f64::consts::PI * d * d / 4.0);
    let (low, high) = (flux(0.1016), flux(0.0762));
    let thin =
        |segment: usize, end: usize| 1.0 / burnt(&answer, p, answer.segments[segment].exhaust[end].value);
    let along = low * low * (thin(0, 1) - thin(0, 0)) + high * high * (thin(1, 1) - thin(1, 0));
    let joint = 0.5 * (high * high - low * low) * thin(1, 0);
    close(answer.losses.acceleration_exhaust.value, along + joint, 1e-5);
}

/// The weakest condition is taken with a liner of 5 mm and a fifth more of all losses.
#[test]
fn the_weakest_condition_is_taken_at_its_worst() {
    let input = shared::coaxial();
    let found = requirements(&input, &input).unwrap().weakest_reserve.value;
    let mut worst = input;
    worst.options.flow_safety = 1.2;
    for segment in &mut worst.segments {
        segment.exhaust.roughness = length(0.005);
        if let Intake::Coaxial { roughness_inner, .. } = &mut segment.intake {
            *roughness_inner = length(0.005);
        }
    }
    close(
        found,
        Flue::new(&worst).unwrap().reserve_at(1.4).unwrap().value,
        1e-9,
    );
}

/// EN 13384-1's chain taken backwards: how far the gas cools gives the transmission, that less the wall's and the
/// outside's resistance gives the film inside, and the flux through it the wall's temperature at the top.
#[test]
fn the_wall_at_the_top_of_a_room_chimney_follows_from_its_cooling() {
    let chimney = RoomChimney {
        gas: wythe_physics::gas::Mixture::dry_air(),
        flow: MassRate::new::<kilogram_per_second>(0.02),
        inlet: temperature(500.0),
        barometer: standard_pressure(length(0.0)),
        air: wythe_physics::gas::Mixture::dry_air(),
        outdoor: temperature(273.15),
        surroundings: temperature(273.15),
        surroundings_at_top: temperature(273.15),
        diameter: length(0.2),
        outside_diameter: length(0.3),
        height: length(6.0),
        roughness: length(0.002),
        loss_coefficient: 1.0,
        resistance: insulance(0.12),
        outside_coefficient: HeatTransfer::new::<watt_per_square_meter_kelvin>(23.0),
        flow_safety: 1.2,
        air_supply: pressure(4.0),
        soaked: 1.0,
    };
    let answer = chimney.answer(pressure(0.0));
    let over = |t: f64| t - 273.15;
    let cooling = libm::log(over(500.0) / over(answer.outlet.value));
    let cp = chimney.gas.heat_capacity(answer.mean).value;
    let transfer = cooling * 0.02 * cp / (std::f64::consts::PI * 0.2 * 6.0);
    let film = 1.0 / (1.0 / transfer - 0.12 - 0.2 / (0.3 * 23.0));
    let wanted = answer.outlet.value - transfer / film * over(answer.outlet.value);
    close(over(answer.wall_at_top.value), over(wanted), 1e-6);
}

/// ASHRAE's exhaust for the heat in it, from memory, at 10 % CO2: 0.705 (0.159 + 1.072) = 0.867855 and
/// 0.706 (0.168 + 1.259) = 1.007462 lb per 1000 Btu, in kg/MJ. Complete combustion gives 1 to 3 % more.
#[test]
fn exhaust_for_its_heat() {
    close(exhaust_per_heat_natural_gas(10.0), 0.373110490, 1e-8);
    close(exhaust_per_heat_propane(10.0), 0.433130696, 1e-8);
}

/// The density of natural gas burnt in dry air, from its fractions.
fn burnt(answer: &wythe_physics::flue::Answer, p: f64, t: f64) -> f64 {
    let fuel = wythe_physics::fuel::Fuel::natural_gas();
    let made = wythe_physics::combustion::Products::of(&fuel, answer.air_ratio, 0.0);
    let grams = made.nitrogen * 28.0134
        + made.oxygen * 31.9988
        + made.argon * 39.948
        + made.carbon_dioxide * 44.0095
        + made.water * 18.01528;
    p * grams / made.wet() / 1000.0 / (8.314_462_618 * t)
}
