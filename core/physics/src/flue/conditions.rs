//! The weather and fires under which an arrangement is to be run, and what it must hold in them.

use super::Flue;
use super::answer::Answer;
use super::input::{FlueInput, Intake, Wall};
use crate::constants::ICE_POINT;
use crate::error::PhysicsError;
use crate::quantities::{
    Power, Pressure, ThermodynamicTemperature, Velocity, length, meter_per_second, temperature,
};

/// One condition.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Condition {
    /// Its name in files.
    pub name: &'static str,
    /// Outdoor temperature.
    pub outdoor: ThermodynamicTemperature,
    /// Whether the stove runs at its lowest fire.
    pub low_fire: bool,
    /// Wind, as the pressure `C_w V^2` in Pa: twice what acts per unit of air density.
    pub wind: f64,
    /// Whether the masonry is still cold.
    pub cold_start: bool,
}

/// The conditions to run: design winter, 0, +15 and +25 degC, each at high and low fire; wind that helps
/// (+20 Pa) and that hinders (-20 Pa) at the design winter and at +25 degC where the site is exposed; and the
/// cold start in the design winter.
#[must_use]
pub fn conditions(design_winter: ThermodynamicTemperature, exposed: bool) -> Vec<Condition> {
    let weather = [
        ("design_winter", design_winter),
        ("at_0_degc", temperature(ICE_POINT)),
        ("at_15_degc", temperature(ICE_POINT + 15.0)),
        ("at_25_degc", temperature(ICE_POINT + 25.0)),
    ];
    let mut list = Vec::new();
    for (name, outdoor) in weather {
        for low_fire in [false, true] {
            list.push(Condition {
                name,
                outdoor,
                low_fire,
                wind: 0.0,
                cold_start: false,
            });
        }
    }
    if exposed {
        for (name, outdoor) in [weather[0], weather[3]] {
            for wind in [-20.0, 20.0] {
                list.push(Condition {
                    name,
                    outdoor,
                    low_fire: wind < 0.0,
                    wind,
                    cold_start: false,
                });
            }
        }
    }
    let outdoor = design_winter;
    list.push(Condition {
        name: "cold_start",
        outdoor,
        low_fire: false,
        wind: 0.0,
        cold_start: true,
    });
    list
}

impl Condition {
    /// The input under this condition. `low_fire` is the appliance's lowest input; the pressure drop, stated
    /// at the rated input, goes with the square of the input. A piece whose surroundings are at the outdoor
    /// temperature stands outdoors, and follows it. In a cold start the tile is held halfway between ambient
    /// and outdoors.
    #[must_use]
    pub fn apply(&self, input: &FlueInput, low_fire: Power) -> FlueInput {
        let mut here = input.clone();
        here.site.outdoor_temperature = self.outdoor;
        for segment in &mut here.segments {
            if (segment.ambient.value - input.site.outdoor_temperature.value).abs() < 1e-9 {
                segment.ambient = self.outdoor;
            }
        }
        if self.wind.abs() > 0.0 {
            here.site.wind = Velocity::new::<meter_per_second>(10.0);
            here.site.wind_coefficient = self.wind / 100.0;
        }
        if self.low_fire {
            let share = low_fire.value / input.appliance.input.value;
            here.appliance.input = low_fire;
            here.appliance.pressure_drop = here.appliance.pressure_drop.map(|p| p * share * share);
        }
        if self.cold_start {
            for segment in &mut here.segments {
                let between = 0.5 * (segment.ambient.value + self.outdoor.value);
                segment.wall = Wall::HeldAt(temperature(between));
            }
        }
        here
    }
}

/// What an arrangement must hold. Margins mean something only to 10 to 15 K at a wall and 10 % of a draft.
#[derive(Debug, Clone, PartialEq)]
pub struct Requirements {
    /// Draft and wind left at the smallest air ratio that the appliance takes, with a 5 mm rough liner and
    /// losses taken 1.2 times: must not be negative.
    pub weakest_reserve: Pressure,
    /// The operating point with a 1 mm rough liner and losses as they are: its air ratio must not be above
    /// the largest that the appliance takes.
    pub strongest: Answer,
}

/// Checks the draft in the weakest and the strongest condition given.
///
/// # Errors
/// As [`Flue::new`], [`Flue::at`] and [`Flue::operating_point`].
pub fn requirements(weakest: &FlueInput, strongest: &FlueInput) -> Result<Requirements, PhysicsError> {
    let weak = Flue::new(&rough(weakest, 0.005, 1.2))?;
    let strong = Flue::new(&rough(strongest, 0.001, 1.0))?;
    Ok(Requirements {
        weakest_reserve: weak.reserve_at(weak.air_ratio_limits().0)?,
        strongest: strong.operating_point()?,
    })
}

/// The input with all liners of one roughness and a flow safety factor.
fn rough(input: &FlueInput, roughness: f64, flow_safety: f64) -> FlueInput {
    let mut here = input.clone();
    here.options.flow_safety = flow_safety;
    for segment in &mut here.segments {
        segment.exhaust.roughness = length(roughness);
        match &mut segment.intake {
            Intake::Coaxial { roughness_inner, .. } => *roughness_inner = length(roughness),
            Intake::Colinear { liner, .. } => liner.roughness = length(roughness),
        }
    }
    here
}
