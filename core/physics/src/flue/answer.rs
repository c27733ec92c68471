//! What comes out.

use super::appliance::Flow;
use super::balance::{Balance, SegmentBalance};
use super::operating::Precision;
use super::plan::Plan;
use super::profile::{Point, WallSummary, points};
use super::temperatures::Field;
use crate::constants::ICE_POINT;
use crate::error::PhysicsError;
use crate::quantities::{
    Length, MassRate, Power, Pressure, TemperatureInterval, ThermodynamicTemperature, kelvin_difference,
    kilogram_per_second, length, power, pressure, temperature,
};
use crate::saturation::dew;

/// How the sum ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// One operating point.
    Ok,
    /// An operating point, but below it another, unstable one: lighting in wind or with a cold flue may not
    /// establish flow.
    OkStartSensitive,
    /// Not even the air that burning needs is drawn; figures are those at air ratio 1. For the sizing tasks:
    /// nothing is left for the restrictor or the appliance, figures are those at the air ratio asked for.
    InsufficientDraft,
    /// Still more would flow at air ratio 40; figures are those at 40.
    OutOfRange,
    /// A restrictor was sized.
    RestrictorSized,
    /// Figures at a given air ratio.
    Fixed,
    /// The appliance's pressure drop was found.
    PressureDropFound,
}

impl Status {
    /// Every status, in the order in which shares of a band are listed.
    pub const ALL: [Self; 7] = [
        Self::Ok,
        Self::OkStartSensitive,
        Self::InsufficientDraft,
        Self::OutOfRange,
        Self::RestrictorSized,
        Self::Fixed,
        Self::PressureDropFound,
    ];

    /// The status's name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::OkStartSensitive => "ok_start_sensitive",
            Self::InsufficientDraft => "insufficient_draft",
            Self::OutOfRange => "out_of_range",
            Self::RestrictorSized => "restrictor_sized",
            Self::Fixed => "fixed",
            Self::PressureDropFound => "pressure_drop_found",
        }
    }
}

/// Pressures around the loop. Losses are positive and stand without the flow safety factor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    /// Friction and form losses of the exhaust.
    pub exhaust: Pressure,
    /// Friction and form losses of the intake.
    pub intake: Pressure,
    /// At the cap, exhaust side.
    pub cap_exhaust: Pressure,
    /// At the cap, intake side.
    pub cap_intake: Pressure,
    /// Acceleration of the exhaust; negative when cooling gives pressure back.
    pub acceleration_exhaust: Pressure,
    /// Acceleration of the air.
    pub acceleration_intake: Pressure,
    /// In the appliance.
    pub appliance: Pressure,
    /// At the restrictor.
    pub restrictor: Pressure,
}

/// One segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SegmentAnswer {
    /// Exhaust temperature at the bottom, at the top, and its mean.
    pub exhaust: [ThermodynamicTemperature; 3],
    /// Air temperature at the bottom, at the top, and its mean.
    pub intake: [ThermodynamicTemperature; 3],
    /// Draft.
    pub draft: Pressure,
    /// Friction and form losses of the exhaust.
    pub exhaust_loss: Pressure,
    /// Friction and form losses of the intake.
    pub intake_loss: Pressure,
}

/// Temperatures at one height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfilePoint {
    /// Along the flue from the appliance.
    pub along: Length,
    /// Above the appliance.
    pub height: Length,
    /// Exhaust.
    pub exhaust: ThermodynamicTemperature,
    /// Air.
    pub intake: ThermodynamicTemperature,
    /// Inner wall of the exhaust liner.
    pub inner_wall: ThermodynamicTemperature,
    /// Tile surface.
    pub tile: ThermodynamicTemperature,
}

/// The figures of one sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// How it ended.
    pub status: Status,
    /// Air supplied over air needed.
    pub air_ratio: f64,
    /// Input at the site.
    pub input: Power,
    /// Fuel.
    pub fuel_flow: MassRate,
    /// Moist air.
    pub air_flow: MassRate,
    /// Exhaust.
    pub flue_flow: MassRate,
    /// Share of carbon dioxide in dry exhaust.
    pub co2_dry: f64,
    /// Share of oxygen in dry exhaust.
    pub o2_dry: f64,
    /// Share of water in wet exhaust.
    pub h2o_wet: f64,
    /// Dew point of the exhaust; none where it lies outside 173..400 K.
    pub dew_point: Option<ThermodynamicTemperature>,
    /// Exhaust at the appliance.
    pub flue_temperature: ThermodynamicTemperature,
    /// Exhaust at the cap.
    pub exit_temperature: ThermodynamicTemperature,
    /// Air at the appliance.
    pub intake_temperature: ThermodynamicTemperature,
    /// Inner wall of the liner at the top.
    pub wall_temperature_top: ThermodynamicTemperature,
    /// Its lowest temperature.
    pub wall_temperature_lowest: ThermodynamicTemperature,
    /// Where along the flue that is.
    pub wall_lowest_at: Length,
    /// Lowest wall temperature less dew point.
    pub condensation_margin: Option<TemperatureInterval>,
    /// Whether the wall is below the dew point anywhere.
    pub condensing: bool,
    /// Whether there is condensate and the top of the wall is at or below the ice point.
    pub freezing: bool,
    /// Length along the flue on which the wall is below the dew point.
    pub wet_length: Length,
    /// Draft.
    pub draft: Pressure,
    /// Pressure of the wind at the cap, positive when it helps.
    pub wind_pressure: Pressure,
    /// What is lost on the way.
    pub losses: Losses,
    /// Factor on friction, form and cap losses in the balance.
    pub flow_safety: f64,
    /// Draft and wind less everything that is lost: positive when more would flow.
    pub balance: Pressure,
    /// Heat that leaves the exhaust between appliance and cap.
    pub exhaust_heat: Power,
    /// Heat that the air takes up.
    pub intake_heat: Power,
    /// Heat that goes to the surroundings.
    pub ambient_heat: Power,
    /// What is left of the heat balance; a measure of the sum itself.
    pub energy_residual: Power,
    /// Bottom to top.
    pub segments: Vec<SegmentAnswer>,
    /// Bottom to top, both ends of each segment and in between at least every cell.
    pub profile: Vec<ProfilePoint>,
}

/// A restrictor that gives the air ratio asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Sized {
    /// The figures with that restrictor; without one when there is not enough draft.
    pub answer: Answer,
    /// Its loss in velocity heads of the exhaust pipe at the appliance; none when there is not enough draft.
    pub loss_coefficient: Option<f64>,
    /// The open share that has this loss; none when it would be less than one part in ten thousand.
    pub open_fraction: Option<f64>,
    /// The round hole of that open share.
    pub hole: Option<Length>,
}

/// The appliance's pressure drop that gives the air ratio asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibrated {
    /// The figures with that pressure drop.
    pub answer: Answer,
    /// At the rating; none when there is not enough draft.
    pub pressure_drop: Option<Pressure>,
}

/// The few figures that a band keeps of each draw, plain SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Brief {
    pub dew_point: Option<f64>,
    pub walls: WallSummary,
}

impl Brief {
    pub fn of(plan: &Plan, flow: &Flow, points: &[Point]) -> Self {
        let dew_point = dew(flow.water_share() * plan.pressure);
        Self {
            dew_point,
            walls: WallSummary::of(points, dew_point),
        }
    }

    pub fn margin(&self) -> Option<f64> {
        self.dew_point.map(|dew| self.walls.lowest - dew)
    }

    pub fn condensing(&self) -> bool {
        self.margin().is_some_and(|margin| margin < 0.0)
    }

    pub fn freezing(&self) -> bool {
        self.condensing() && self.walls.top <= ICE_POINT
    }
}

impl Answer {
    /// Puts together the figures of settled temperatures.
    pub(super) fn of(
        plan: &Plan,
        flow: &Flow,
        field: &Field,
        balance: &Balance,
        status: Status,
    ) -> Result<Self, PhysicsError> {
        let points = points(plan, flow, field, Precision::SHOWN.settled)?;
        let brief = Brief::of(plan, flow, &points);
        let heat = Heat::of(plan, flow, field);
        let products = &flow.products;
        Ok(Self {
            status,
            air_ratio: flow.air_ratio,
            input: power(plan.appliance.input),
            fuel_flow: rate(flow.fuel_flow),
            air_flow: rate(flow.air_flow),
            flue_flow: rate(flow.exhaust_flow),
            co2_dry: products.carbon_dioxide / products.dry(),
            o2_dry: products.oxygen / products.dry(),
            h2o_wet: flow.water_share(),
            dew_point: brief.dew_point.map(temperature),
            flue_temperature: temperature(field.flue_temperature),
            exit_temperature: temperature(field.exit()),
            intake_temperature: temperature(field.air_bottom),
            wall_temperature_top: temperature(brief.walls.top),
            wall_temperature_lowest: temperature(brief.walls.lowest),
            wall_lowest_at: length(brief.walls.lowest_at),
            condensation_margin: brief.margin().map(TemperatureInterval::new::<kelvin_difference>),
            condensing: brief.condensing(),
            freezing: brief.freezing(),
            wet_length: length(brief.walls.wet_length),
            draft: pressure(balance.draft),
            wind_pressure: pressure(balance.wind),
            losses: Losses::of(balance),
            flow_safety: plan.flow_safety,
            balance: pressure(balance.total),
            exhaust_heat: power(heat.exhaust),
            intake_heat: power(heat.intake),
            ambient_heat: power(heat.ambient),
            energy_residual: power(heat.exhaust - heat.intake - heat.ambient),
            segments: segments(plan, flow, field),
            profile: points.iter().map(ProfilePoint::of).collect(),
        })
    }
}

impl Losses {
    fn of(balance: &Balance) -> Self {
        Self {
            exhaust: pressure(balance.exhaust_loss),
            intake: pressure(balance.intake_loss),
            cap_exhaust: pressure(balance.cap_exhaust_loss),
            cap_intake: pressure(balance.cap_intake_loss),
            acceleration_exhaust: pressure(balance.acceleration_exhaust),
            acceleration_intake: pressure(balance.acceleration_intake),
            appliance: pressure(balance.appliance_loss),
            restrictor: pressure(balance.restrictor_loss),
        }
    }
}

impl ProfilePoint {
    fn of(point: &Point) -> Self {
        Self {
            along: length(point.along),
            height: length(point.height),
            exhaust: temperature(point.exhaust),
            intake: temperature(point.air),
            inner_wall: temperature(point.inner_wall),
            tile: temperature(point.tile),
        }
    }
}

/// Heat flows between appliance and cap, W.
struct Heat {
    exhaust: f64,
    intake: f64,
    ambient: f64,
}

impl Heat {
    /// Exhaust and intake from the enthalpies at the two ends of the flue, the surroundings from every cell.
    fn of(plan: &Plan, flow: &Flow, field: &Field) -> Self {
        let (gas, air) = (&flow.exhaust, &plan.air);
        let ambient = field.segments.iter().flatten().map(|cell| {
            cell.capacities.exhaust * (cell.exhaust.0 - cell.exhaust.1)
                - cell.capacities.air * (cell.air.0 - cell.air.1)
        });
        Self {
            exhaust: flow.exhaust_flow * (gas.h(field.flue_temperature) - gas.h(field.exit())),
            intake: flow.air_flow * (air.h(field.air_bottom) - air.h(plan.outdoor)),
            ambient: ambient.sum(),
        }
    }
}

fn segments(plan: &Plan, flow: &Flow, field: &Field) -> Vec<SegmentAnswer> {
    let mut answers = Vec::with_capacity(field.segments.len());
    for (segment, cells) in plan.segments.iter().zip(&field.segments) {
        let (Some(bottom), Some(top)) = (cells.first(), cells.last()) else {
            continue;
        };
        let count = cells.len() as f64;
        let exhaust = cells
            .iter()
            .map(super::temperatures::Cell::exhaust_mean)
            .sum::<f64>()
            / count;
        let air = cells.iter().map(super::temperatures::Cell::air_mean).sum::<f64>() / count;
        let part = SegmentBalance::of(plan, flow, segment, cells);
        answers.push(SegmentAnswer {
            exhaust: [bottom.exhaust.0, top.exhaust.1, exhaust].map(temperature),
            intake: [bottom.air.0, top.air.1, air].map(temperature),
            draft: pressure(part.draft),
            exhaust_loss: pressure(part.exhaust_loss),
            intake_loss: pressure(part.intake_loss),
        });
    }
    answers
}

fn rate(kilograms_per_second: f64) -> MassRate {
    MassRate::new::<kilogram_per_second>(kilograms_per_second)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_wet_freezes_and_only_at_frost() {
        let freezing = |dew, top, lowest| {
            Brief {
                dew_point: Some(dew),
                walls: WallSummary {
                    top,
                    lowest,
                    lowest_at: 0.0,
                    wet_length: 0.0,
                },
            }
            .freezing()
        };
        assert!(freezing(310.0, 270.0, 270.0));
        assert!(!freezing(260.0, 270.0, 265.0), "cold and dry");
        assert!(!freezing(310.0, 280.0, 280.0), "wet and above frost");
    }
}
