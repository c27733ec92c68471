//! A checked flue in plain SI numbers, with everything worked out that does not depend on the air ratio.

use super::appliance::AppliancePlan;
use super::input::{FlueInput, Restrictor};
use super::segment::SegmentPlan;
use crate::atmosphere::{MoistAir, air_mixture, pressure_at};
use crate::error::PhysicsError;
use crate::fuel::Fuel;
use crate::gas::Mixture;
use crate::quantities::pressure;
use crate::restrictor::loss_coefficient;

#[derive(Debug, Clone)]
pub(super) struct Plan {
    /// Site pressure, Pa; both columns have it, the few pascals of draft do not matter for density.
    pub pressure: f64,
    /// Outdoor temperature, K.
    pub outdoor: f64,
    /// The air, its vapour fraction and its density outdoors.
    pub air: Mixture,
    pub vapour_fraction: f64,
    pub outdoor_density: f64,
    /// Pressure of the wind at the cap, Pa.
    pub wind: f64,
    pub fuel: Fuel,
    pub appliance: AppliancePlan,
    /// Bottom to top.
    pub segments: Vec<SegmentPlan>,
    pub cap_exhaust_loss: f64,
    pub cap_intake_loss: f64,
    pub restrictor_loss: f64,
    pub flow_safety: f64,
    pub natural_convection: bool,
    pub radiation_factor: f64,
}

impl Plan {
    pub fn of(input: &FlueInput) -> Result<Self, PhysicsError> {
        Self::with_wall_factor(input, 1.0)
    }

    /// The same with the masonry's resistance taken `wall_factor` times.
    pub fn with_wall_factor(input: &FlueInput, wall_factor: f64) -> Result<Self, PhysicsError> {
        let site = &input.site;
        let at_pressure = site
            .barometer
            .map_or_else(|| pressure_at(site.altitude.value), |b| b.value);
        let outdoor = site.outdoor_temperature.value;
        let moist = MoistAir::new(
            pressure(at_pressure),
            site.outdoor_temperature,
            site.relative_humidity,
        );
        let vapour_fraction = moist.held_vapour_fraction();
        let air = air_mixture(vapour_fraction);
        let outdoor_density = air.rho(at_pressure, outdoor);
        let total: f64 = input.segments.iter().map(|s| s.length.value).sum();
        let segments = input
            .segments
            .iter()
            .map(|s| SegmentPlan::of(s, &input.options, total, wall_factor));
        Ok(Self {
            pressure: at_pressure,
            outdoor,
            vapour_fraction,
            outdoor_density,
            wind: 0.5 * site.wind_coefficient * outdoor_density * site.wind.value * site.wind.value,
            air,
            fuel: input.fuel,
            appliance: AppliancePlan::of(&input.appliance, &input.fuel, site.altitude)?,
            segments: segments.collect(),
            cap_exhaust_loss: input.cap.exhaust_loss,
            cap_intake_loss: input.cap.intake_loss,
            restrictor_loss: match input.restrictor {
                None => 0.0,
                Some(Restrictor::LossCoefficient(loss)) => loss,
                Some(Restrictor::OpenFraction(open)) => loss_coefficient(open),
            },
            flow_safety: input.options.flow_safety,
            natural_convection: input.options.natural_convection,
            radiation_factor: input.options.radiation_factor,
        })
    }

    /// The exhaust pipe at the appliance: its area, m2, and its inside diameter, m.
    pub fn first_pipe(&self) -> (f64, f64) {
        self.segments
            .first()
            .map_or((1.0, 1.0), |s| (s.exhaust_area, s.exhaust_diameter))
    }
}
