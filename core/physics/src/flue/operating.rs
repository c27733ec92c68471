//! The tasks: operating point, figures at a given air ratio, sizing of the restrictor, calibration.

use super::answer::{Answer, Brief, Calibrated, Sized, Status};
use super::appliance::Flow;
use super::balance::Balance;
use super::plan::Plan;
use super::profile::points;
use super::temperatures::Field;
use super::{AIR_RATIOS, Flue};
use crate::error::PhysicsError;
use crate::quantities::{Pressure, length, pressure};
use crate::restrictor;
use crate::roots::{End, brent};

/// Air ratios at which the balance is looked at, downwards. The balance is not monotone: at low air ratio
/// more flow means less cooling and more draft. The stable point is where it falls with rising air ratio,
/// which is the first crossing met from above.
const GRID: [f64; 12] = [40.0, 20.0, 12.0, 8.0, 5.5, 4.0, 3.0, 2.2, 1.7, 1.35, 1.15, 1.0];

/// Largest moves at which temperatures count as settled, K: for the sign of the balance, on the way to the
/// root, and for figures that are shown.
const ROUGH: f64 = 1e-2;
const FINE: f64 = 1e-6;
const FINAL: f64 = 1e-9;
/// How well the air ratio is found.
const AIR_RATIO_TOLERANCE: f64 = 1e-8;

/// Temperatures and pressures at one air ratio.
pub(super) struct State {
    pub flow: Flow,
    pub balance: Balance,
}

/// Where the search ended.
pub(super) struct Found {
    pub status: Status,
    pub state: State,
}

impl Flue {
    /// Finds the air ratio at which draft and wind are used up.
    ///
    /// # Errors
    /// `missing` without a pressure drop of the appliance; `not_converged`.
    pub fn operating_point(&self) -> Result<Answer, PhysicsError> {
        let mut field = Field::new(&self.plan);
        let found = search(&self.plan, &mut field)?;
        Answer::of(
            &self.plan,
            &found.state.flow,
            &field,
            &found.state.balance,
            found.status,
        )
    }

    /// Figures at a given air ratio; the balance shows what is left over.
    ///
    /// # Errors
    /// `out_of_range` for an air ratio outside 1..40; `missing`; `not_converged`.
    pub fn at(&self, air_ratio: f64) -> Result<Answer, PhysicsError> {
        let drop = rated_drop(&self.plan)?;
        let (field, state) = fixed(&self.plan, air_ratio, drop)?;
        Answer::of(&self.plan, &state.flow, &field, &state.balance, Status::Fixed)
    }

    /// Sizes the restrictor for an air ratio; one that the input has is left out.
    ///
    /// # Errors
    /// `out_of_range` for an air ratio outside 1..40; `missing`; `not_converged`.
    pub fn restrictor_for(&self, air_ratio: f64) -> Result<Sized, PhysicsError> {
        let plan = Plan {
            restrictor_loss: 0.0,
            ..self.plan.clone()
        };
        let (field, mut state) = fixed(&plan, air_ratio, rated_drop(&plan)?)?;
        let loss = state.balance.total / state.balance.first_motion;
        if loss.is_nan() || loss < 0.0 {
            let answer = Answer::of(
                &plan,
                &state.flow,
                &field,
                &state.balance,
                Status::InsufficientDraft,
            )?;
            return Ok(Sized {
                answer,
                loss_coefficient: None,
                open_fraction: None,
                hole: None,
            });
        }
        state.balance.restrictor_loss = loss * state.balance.first_motion;
        state.balance.total -= state.balance.restrictor_loss;
        let answer = Answer::of(
            &plan,
            &state.flow,
            &field,
            &state.balance,
            Status::RestrictorSized,
        )?;
        let open_fraction = restrictor::open_fraction(loss);
        let hole = open_fraction.map(|open| restrictor::hole(length(plan.first_pipe().1), open));
        Ok(Sized {
            answer,
            loss_coefficient: Some(loss),
            open_fraction,
            hole,
        })
    }

    /// Finds the appliance's pressure drop at the rating from an arrangement that its manual approves
    /// without a restrictor, taken to run at this air ratio. A pressure drop or restrictor that the input has
    /// is left out.
    ///
    /// # Errors
    /// `out_of_range` for an air ratio outside 1..40; `not_converged`.
    pub fn pressure_drop_for(&self, air_ratio: f64) -> Result<Calibrated, PhysicsError> {
        let plan = Plan {
            restrictor_loss: 0.0,
            ..self.plan.clone()
        };
        let (field, mut state) = fixed(&plan, air_ratio, 0.0)?;
        let drop = state.balance.total / state.balance.drop_factor;
        if drop.is_nan() || drop < 0.0 {
            let answer = Answer::of(
                &plan,
                &state.flow,
                &field,
                &state.balance,
                Status::InsufficientDraft,
            )?;
            return Ok(Calibrated {
                answer,
                pressure_drop: None,
            });
        }
        state.balance.appliance_loss = drop * state.balance.drop_factor;
        state.balance.total -= state.balance.appliance_loss;
        let answer = Answer::of(
            &plan,
            &state.flow,
            &field,
            &state.balance,
            Status::PressureDropFound,
        )?;
        Ok(Calibrated {
            answer,
            pressure_drop: Some(pressure(drop)),
        })
    }

    /// What is left of draft and wind at an air ratio.
    ///
    /// # Errors
    /// As [`Flue::at`].
    pub fn reserve_at(&self, air_ratio: f64) -> Result<Pressure, PhysicsError> {
        let (_, state) = fixed(&self.plan, air_ratio, rated_drop(&self.plan)?)?;
        Ok(pressure(state.balance.total))
    }
}

impl State {
    fn at(
        plan: &Plan,
        field: &mut Field,
        air_ratio: f64,
        drop: f64,
        tolerance: f64,
    ) -> Result<Self, PhysicsError> {
        let flow = Flow::of(plan, air_ratio);
        field.settle(plan, &flow, tolerance)?;
        let balance = Balance::of(plan, &flow, field, drop)?;
        Ok(Self { flow, balance })
    }

    /// The wall's figures alone, without the profile.
    pub fn brief(&self, plan: &Plan, field: &Field) -> Result<Brief, PhysicsError> {
        Ok(Brief::of(plan, &self.flow, &points(plan, &self.flow, field)?))
    }
}

/// Figures at a given air ratio, settled for showing.
pub(super) fn fixed(plan: &Plan, air_ratio: f64, drop: f64) -> Result<(Field, State), PhysicsError> {
    let (low, high) = (*AIR_RATIOS.start(), *AIR_RATIOS.end());
    if !(low - 1e-9..=high + 1e-7).contains(&air_ratio) {
        return Err(PhysicsError::OutOfRange {
            field: "solve/air_ratio".into(),
            low,
            high,
            unit: "",
        });
    }
    let mut field = Field::new(plan);
    let state = State::at(plan, &mut field, air_ratio, drop, FINAL)?;
    Ok((field, state))
}

/// Finds the operating point; `field` is left at its temperatures.
pub(super) fn search(plan: &Plan, field: &mut Field) -> Result<Found, PhysicsError> {
    let drop = rated_drop(plan)?;
    let mut above: Option<End> = None;
    let mut bracket: Option<(End, End)> = None;
    for air_ratio in GRID {
        let f = rough_balance(plan, field, air_ratio, drop)?;
        let here = End { x: air_ratio, f };
        if f >= 0.0 {
            let Some(above) = above else {
                let state = State::at(plan, field, air_ratio, drop, FINAL)?;
                return Ok(Found {
                    status: Status::OutOfRange,
                    state,
                });
            };
            bracket = Some((here, above));
            break;
        }
        above = Some(here);
    }
    let Some((below, above)) = bracket else {
        let state = State::at(plan, field, *AIR_RATIOS.start(), drop, FINAL)?;
        return Ok(Found {
            status: Status::InsufficientDraft,
            state,
        });
    };
    let status =
        if below.x > *AIR_RATIOS.start() && rough_balance(plan, field, *AIR_RATIOS.start(), drop)? < 0.0 {
            Status::OkStartSensitive
        } else {
            Status::Ok
        };
    let air_ratio = brent(below, above, AIR_RATIO_TOLERANCE, |air_ratio| {
        State::at(plan, field, air_ratio, drop, FINE).map(|state| state.balance.total)
    })?;
    let state = State::at(plan, field, air_ratio, drop, FINAL)?;
    Ok(Found { status, state })
}

/// The balance at an air ratio, settled as far as its sign needs.
fn rough_balance(plan: &Plan, field: &mut Field, air_ratio: f64, drop: f64) -> Result<f64, PhysicsError> {
    let rough = State::at(plan, field, air_ratio, drop, ROUGH)?.balance;
    if rough.total.abs() > 0.02 * rough.scale() {
        return Ok(rough.total);
    }
    Ok(State::at(plan, field, air_ratio, drop, FINE)?.balance.total)
}

fn rated_drop(plan: &Plan) -> Result<f64, PhysicsError> {
    let field = || "appliance/pressure_drop".to_owned();
    plan.appliance
        .rated_drop
        .ok_or_else(|| PhysicsError::Missing { field: field() })
}
