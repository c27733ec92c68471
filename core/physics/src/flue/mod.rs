//! The balanced flue: exhaust up the liner, air down beside it, both ends at the cap.
//!
//! Because both openings are at the cap, the column of outdoor air cancels. What draws is the difference
//! between the intake column and the exhaust column; air that is warmed on its way down draws less. The gas
//! rate is fixed by the burner's orifice, so the flow through the loop decides the air ratio.
//!
//! - [`FlueInput`] is what is known; [`Flue`] is the same, checked, and ready to be computed.
//! - [`Flue::operating_point`] finds the air ratio; [`Flue::at`] computes at a given one;
//!   [`Flue::restrictor_for`] sizes the restrictor; [`Flue::pressure_drop_for`] calibrates the appliance.
//! - [`Flue::band`] repeats that over the uncertain inputs.
//! - [`findings`] and [`verdict`] judge an [`Answer`]; [`conditions`] lists the weather and fires to run.
//!
//! Not modelled: heat given by condensation, exhaust drawn back in at the cap, snow or ice on it, the
//! stability of the burner, carbon monoxide, anything that changes with time.

mod answer;
mod appliance;
mod balance;
mod band;
mod check;
pub mod conditions;
mod input;
mod judgement;
mod operating;
mod plan;
mod profile;
mod segment;
mod temperatures;

pub use answer::{Answer, Calibrated, Losses, ProfilePoint, SegmentAnswer, Sized, Status};
pub use band::{Band, BandTask, Drawn, MOST_DRAWS, Quantiles, Share};
pub use input::{
    Appliance, Cap, FlueInput, InputBasis, Intake, Liner, Options, OutletModel, Restrictor, Segment, Site,
    Wall,
};
pub use judgement::{Finding, Severity, Task, Verdict, findings, verdict};

use crate::error::PhysicsError;
use plan::Plan;

/// A balanced flue whose inputs have been checked.
#[derive(Debug, Clone)]
pub struct Flue {
    input: FlueInput,
    plan: Plan,
}

/// The most segments a flue may have.
pub const MOST_SEGMENTS: usize = 50;
/// The greatest length of all segments together, m.
pub const GREATEST_LENGTH: f64 = 100.0;
/// The air ratios between which an operating point is looked for.
pub const AIR_RATIOS: std::ops::RangeInclusive<f64> = 1.0..=40.0;

impl Flue {
    /// Checks the inputs and prepares the flue.
    ///
    /// # Errors
    /// `out_of_range`, `missing`, `inconsistent`, `empty_list`, `too_many`; the field is the path in
    /// [`FlueInput`].
    pub fn new(input: &FlueInput) -> Result<Self, PhysicsError> {
        check::check(input)?;
        Ok(Self {
            plan: Plan::of(input)?,
            input: input.clone(),
        })
    }

    /// The smallest and the largest air ratio that the appliance takes.
    #[must_use]
    pub fn air_ratio_limits(&self) -> (f64, f64) {
        self.plan.appliance.limits
    }
}
