//! The sum in lines, so that it can be followed by hand.

use wythe_physics::atmosphere::{MoistAir, standard_pressure};
use wythe_physics::combustion::Stoichiometry;
use wythe_physics::flue::Answer;

use super::input::Input;
use crate::form::Trace;
use crate::quantities::{Pressure, Quantity};

/// Site, gas, the two columns, and the pressures around the loop.
pub(super) fn steps(input: &Input, answer: &Answer) -> Trace {
    let mut trace = Trace::default();
    let site = &input.site;
    let pressure = site
        .barometer
        .map_or_else(|| standard_pressure(site.altitude), |barometer| barometer.0);
    let air = MoistAir::new(pressure, site.outdoor_temperature, site.relative_humidity);
    trace.quantity("air pressure at the site", pressure);
    trace.number("moles of vapour per mole of air", air.held_vapour_fraction());
    trace.quantity("density of the air outdoors", air.density());
    if let Some(rule) = super::convert::reduces(input) {
        trace.quantity("input on the plate", input.appliance.input);
        trace.number(
            format!("factor by {}", rule.name()),
            rule.factor(site.altitude).unwrap_or(f64::NAN),
        );
    }
    trace.quantity("input at the site", answer.input);
    if let Ok(fuel) = input.gas.gas() {
        trace.number("dry air needed per volume of gas", Stoichiometry::of(&fuel).air);
    }
    trace.number("air ratio", answer.air_ratio);
    trace.quantity("exhaust flow", answer.flue_flow);
    trace.quantity("water vapour pressure in the exhaust", pressure * answer.h2o_wet);
    trace.quantity("draft: intake column less exhaust column", answer.draft);
    trace.quantity("wind", answer.wind_pressure);
    let losses = &answer.losses;
    let with_factor = [
        losses.exhaust,
        losses.intake,
        losses.cap_exhaust,
        losses.cap_intake,
    ];
    let factored = with_factor
        .into_iter()
        .fold(Pressure::from_base(0.0), |sum, loss| sum + loss);
    trace.quantity("friction, form and cap losses", factored);
    trace.number("factor on these losses", answer.flow_safety);
    trace.quantity(
        "acceleration of both streams",
        losses.acceleration_exhaust + losses.acceleration_intake,
    );
    trace.quantity("stove", losses.appliance);
    trace.quantity("restrictor", losses.restrictor);
    trace.quantity("what is left", answer.balance);
    trace
}
