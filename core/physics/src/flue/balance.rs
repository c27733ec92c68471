//! The pressures around the loop at one air ratio.

use super::appliance::Flow;
use super::plan::Plan;
use super::segment::SegmentPlan;
use super::temperatures::{Cell, Field};
use crate::constants::GRAVITY;
use crate::error::PhysicsError;

/// Pressures in Pa; losses positive, draft positive when it drives the exhaust up. Losses stand without the
/// flow safety factor.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Balance {
    pub draft: f64,
    pub wind: f64,
    pub exhaust_loss: f64,
    pub intake_loss: f64,
    pub cap_exhaust_loss: f64,
    pub cap_intake_loss: f64,
    pub acceleration_exhaust: f64,
    pub acceleration_intake: f64,
    pub appliance_loss: f64,
    pub restrictor_loss: f64,
    /// What is left: positive when more would flow.
    pub total: f64,
    /// Pressure of the exhaust's motion in the first segment, to which a restrictor's loss refers.
    pub first_motion: f64,
    /// What the appliance's pressure drop at the rating is multiplied with.
    pub drop_factor: f64,
}

/// Draft and losses of one segment, Pa.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct SegmentBalance {
    pub draft: f64,
    pub exhaust_loss: f64,
    pub intake_loss: f64,
}

/// Both streams' density as functions of temperature, and their flows.
struct Columns<'a> {
    plan: &'a Plan,
    flow: &'a Flow,
}

impl Columns<'_> {
    fn exhaust(&self, t: f64) -> f64 {
        self.flow.exhaust.rho(self.plan.pressure, t)
    }

    fn air(&self, t: f64) -> f64 {
        self.plan.air.rho(self.plan.pressure, t)
    }

    /// Mass flow per area of the exhaust and of the air.
    fn fluxes(&self, segment: &SegmentPlan) -> (f64, f64) {
        (
            self.flow.exhaust_flow / segment.exhaust_area,
            self.flow.air_flow / segment.air_area,
        )
    }
}

impl Balance {
    /// Adds up the loop over settled temperatures. `rated_drop` is the appliance's, Pa.
    pub fn of(plan: &Plan, flow: &Flow, field: &Field, rated_drop: f64) -> Result<Self, PhysicsError> {
        let columns = Columns { plan, flow };
        let flue_density = columns.exhaust(field.flue_temperature);
        let mut sum = Self {
            wind: plan.wind,
            draft: GRAVITY * plan.appliance.internal_height * (columns.air(field.air_bottom) - flue_density),
            ..Self::default()
        };
        let mut below: Option<(f64, f64)> = None;
        for (segment, cells) in plan.segments.iter().zip(&field.segments) {
            let part = SegmentBalance::of(plan, flow, segment, cells);
            sum.draft += part.draft;
            sum.exhaust_loss += part.exhaust_loss;
            sum.intake_loss += part.intake_loss;
            let (exhaust_flux, air_flux) = columns.fluxes(segment);
            if let (Some(bottom), Some(top)) = (cells.first(), cells.last()) {
                // Momentum: constant area and changing density in the segment, changing area at the joint.
                let (low, high) = (columns.exhaust(bottom.exhaust.0), columns.exhaust(top.exhaust.1));
                sum.acceleration_exhaust += exhaust_flux * exhaust_flux * (1.0 / high - 1.0 / low);
                let (air_low, air_high) = (columns.air(bottom.air.0), columns.air(top.air.1));
                sum.acceleration_intake += air_flux * air_flux * (1.0 / air_low - 1.0 / air_high);
                if let Some((exhaust_below, air_below)) = below {
                    sum.acceleration_exhaust +=
                        (exhaust_flux * exhaust_flux - exhaust_below * exhaust_below) / (2.0 * low);
                    sum.acceleration_intake +=
                        (air_below * air_below - air_flux * air_flux) / (2.0 * air_low);
                }
            }
            below = Some((exhaust_flux, air_flux));
        }
        if let Some((exhaust_flux, air_flux)) = below {
            let entry = air_flux * air_flux / (2.0 * plan.outdoor_density);
            sum.cap_exhaust_loss =
                plan.cap_exhaust_loss * exhaust_flux * exhaust_flux / (2.0 * columns.exhaust(field.exit()));
            sum.cap_intake_loss = plan.cap_intake_loss * entry;
            sum.acceleration_intake += entry;
        }
        let first_flux = flow.exhaust_flow / plan.first_pipe().0;
        sum.first_motion = first_flux * first_flux / (2.0 * flue_density);
        sum.restrictor_loss = plan.restrictor_loss * sum.first_motion;
        sum.drop_factor = plan.appliance.drop_factor(flow, flue_density);
        sum.appliance_loss = rated_drop * sum.drop_factor;
        sum.total = sum.draft + sum.wind
            - plan.flow_safety
                * (sum.exhaust_loss + sum.intake_loss + sum.cap_exhaust_loss + sum.cap_intake_loss)
            - sum.acceleration_exhaust
            - sum.acceleration_intake
            - sum.appliance_loss
            - sum.restrictor_loss;
        if sum.total.is_finite() {
            Ok(sum)
        } else {
            Err(PhysicsError::NotConverged {
                air_ratio: flow.air_ratio,
            })
        }
    }

    /// The size of what is balanced, Pa.
    pub fn scale(&self) -> f64 {
        self.draft.abs() + self.wind.abs() + self.exhaust_loss + self.appliance_loss + self.restrictor_loss
    }
}

impl SegmentBalance {
    pub fn of(plan: &Plan, flow: &Flow, segment: &SegmentPlan, cells: &[Cell]) -> Self {
        let columns = Columns { plan, flow };
        let (exhaust_flux, air_flux) = columns.fluxes(segment);
        let length = segment.length / cells.len() as f64;
        let rise = segment.rise / cells.len() as f64;
        let mut sum = Self::default();
        for cell in cells {
            let exhaust = columns.exhaust(cell.exhaust_mean());
            let air = columns.air(cell.air_mean());
            sum.draft += (air - exhaust) * GRAVITY * rise;
            let per_length = cell.local.exhaust_friction / segment.exhaust_diameter
                + segment.exhaust_loss / segment.length;
            sum.exhaust_loss += per_length * length * exhaust_flux * exhaust_flux / (2.0 * exhaust);
            let per_length =
                cell.local.air_friction / segment.air_diameter + segment.air_loss / segment.length;
            sum.intake_loss += per_length * length * air_flux * air_flux / (2.0 * air);
        }
        sum
    }
}
