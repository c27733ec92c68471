//! The figures of a balanced flue, as they are written.

use serde::Serialize;
use uom::si::f64::{MassRate, TemperatureInterval};

use wythe_physics::flue;

use super::band::BandFigures;
use super::input::Input;
use crate::form::Figure;
use crate::quantities::{Length, Power, Pressure, ThermodynamicTemperature};

/// What comes out. Losses stand without the flow safety factor.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    status: &'static str,
    air_ratio: f64,
    excess_air: f64,
    input: Figure<Power>,
    fuel_flow: Figure<MassRate>,
    air_flow: Figure<MassRate>,
    flue_flow: Figure<MassRate>,
    co2_dry: f64,
    o2_dry: f64,
    h2o_wet: f64,
    dew_point: Option<Figure<ThermodynamicTemperature>>,
    flue_temperature: Figure<ThermodynamicTemperature>,
    exit_temperature: Figure<ThermodynamicTemperature>,
    intake_temperature: Figure<ThermodynamicTemperature>,
    wall_temperature_top: Figure<ThermodynamicTemperature>,
    wall_temperature_lowest: Figure<ThermodynamicTemperature>,
    wall_lowest_at: Figure<Length>,
    condensation_margin: Option<Figure<TemperatureInterval>>,
    condensing: bool,
    freezing: bool,
    wet_length: Figure<Length>,
    draft: Figure<Pressure>,
    wind_pressure: Figure<Pressure>,
    exhaust_loss: Figure<Pressure>,
    intake_loss: Figure<Pressure>,
    cap_exhaust_loss: Figure<Pressure>,
    cap_intake_loss: Figure<Pressure>,
    acceleration_exhaust: Figure<Pressure>,
    acceleration_intake: Figure<Pressure>,
    appliance_loss: Figure<Pressure>,
    restrictor_loss: Figure<Pressure>,
    balance: Figure<Pressure>,
    exhaust_heat: Figure<Power>,
    intake_heat: Figure<Power>,
    ambient_heat: Figure<Power>,
    energy_residual: Figure<Power>,
    #[serde(flatten)]
    sized: Option<SizedFigures>,
    #[serde(flatten)]
    calibrated: Option<CalibratedFigures>,
    segments: Vec<SegmentFigures>,
    profile: Vec<Point>,
    #[serde(skip_serializing_if = "Option::is_none")]
    band: Option<BandFigures>,
}

/// The restrictor that was sized.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct SizedFigures {
    pub restrictor_loss_coefficient: Option<f64>,
    pub restrictor_open_fraction: Option<f64>,
    pub restrictor_hole: Option<Figure<Length>>,
}

/// The pressure drop that was found.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct CalibratedFigures {
    pub pressure_drop: Option<Figure<Pressure>>,
}

/// One piece.
#[derive(Debug, Clone, Serialize)]
struct SegmentFigures {
    name: String,
    exhaust_temperature: Along,
    intake_temperature: Along,
    draft: Figure<Pressure>,
    exhaust_loss: Figure<Pressure>,
    intake_loss: Figure<Pressure>,
}

/// A temperature along a piece.
#[derive(Debug, Clone, Copy, Serialize)]
struct Along {
    bottom: Figure<ThermodynamicTemperature>,
    top: Figure<ThermodynamicTemperature>,
    mean: Figure<ThermodynamicTemperature>,
}

/// Temperatures at one height above the stove; `along` is the way along the flue.
#[derive(Debug, Clone, Copy, Serialize)]
struct Point {
    height: Figure<Length>,
    along: Figure<Length>,
    exhaust_temperature: Figure<ThermodynamicTemperature>,
    intake_temperature: Figure<ThermodynamicTemperature>,
    wall_temperature: Figure<ThermodynamicTemperature>,
    tile_temperature: Figure<ThermodynamicTemperature>,
    dew_point: Option<Figure<ThermodynamicTemperature>>,
}

impl Figures {
    pub(super) fn of(
        input: &Input,
        answer: &flue::Answer,
        sized: Option<SizedFigures>,
        calibrated: Option<CalibratedFigures>,
        band: Option<BandFigures>,
    ) -> Self {
        let losses = &answer.losses;
        let dew_point = answer.dew_point.map(Figure::from);
        Self {
            status: answer.status.name(),
            air_ratio: answer.air_ratio,
            excess_air: answer.air_ratio - 1.0,
            input: answer.input.into(),
            fuel_flow: answer.fuel_flow.into(),
            air_flow: answer.air_flow.into(),
            flue_flow: answer.flue_flow.into(),
            co2_dry: answer.co2_dry,
            o2_dry: answer.o2_dry,
            h2o_wet: answer.h2o_wet,
            dew_point,
            flue_temperature: answer.flue_temperature.into(),
            exit_temperature: answer.exit_temperature.into(),
            intake_temperature: answer.intake_temperature.into(),
            wall_temperature_top: answer.wall_temperature_top.into(),
            wall_temperature_lowest: answer.wall_temperature_lowest.into(),
            wall_lowest_at: answer.wall_lowest_at.into(),
            condensation_margin: answer.condensation_margin.map(Figure::from),
            condensing: answer.condensing,
            freezing: answer.freezing,
            wet_length: answer.wet_length.into(),
            draft: answer.draft.into(),
            wind_pressure: answer.wind_pressure.into(),
            exhaust_loss: losses.exhaust.into(),
            intake_loss: losses.intake.into(),
            cap_exhaust_loss: losses.cap_exhaust.into(),
            cap_intake_loss: losses.cap_intake.into(),
            acceleration_exhaust: losses.acceleration_exhaust.into(),
            acceleration_intake: losses.acceleration_intake.into(),
            appliance_loss: losses.appliance.into(),
            restrictor_loss: losses.restrictor.into(),
            balance: answer.balance.into(),
            exhaust_heat: answer.exhaust_heat.into(),
            intake_heat: answer.intake_heat.into(),
            ambient_heat: answer.ambient_heat.into(),
            energy_residual: answer.energy_residual.into(),
            sized,
            calibrated,
            segments: segments(input, answer),
            profile: answer
                .profile
                .iter()
                .map(|point| Point::of(point, dew_point))
                .collect(),
            band,
        }
    }
}

fn segments(input: &Input, answer: &flue::Answer) -> Vec<SegmentFigures> {
    let named = input.segments.iter().enumerate().zip(&answer.segments);
    let figures = named.map(|((place, given), found)| SegmentFigures {
        name: given
            .name
            .clone()
            .unwrap_or_else(|| format!("segment {}", place + 1)),
        exhaust_temperature: Along::of(found.exhaust),
        intake_temperature: Along::of(found.intake),
        draft: found.draft.into(),
        exhaust_loss: found.exhaust_loss.into(),
        intake_loss: found.intake_loss.into(),
    });
    figures.collect()
}

impl Along {
    fn of([bottom, top, mean]: [ThermodynamicTemperature; 3]) -> Self {
        Self {
            bottom: bottom.into(),
            top: top.into(),
            mean: mean.into(),
        }
    }
}

impl Point {
    fn of(point: &flue::ProfilePoint, dew_point: Option<Figure<ThermodynamicTemperature>>) -> Self {
        Self {
            height: point.height.into(),
            along: point.along.into(),
            exhaust_temperature: point.exhaust.into(),
            intake_temperature: point.intake.into(),
            wall_temperature: point.inner_wall.into(),
            tile_temperature: point.tile.into(),
            dew_point,
        }
    }
}
