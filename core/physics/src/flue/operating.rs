//! The tasks: operating point, figures at a given air ratio, sizing of the restrictor, calibration.

use super::answer::{Answer, Brief, Calibrated, Sized, Status};
use super::appliance::Flow;
use super::balance::Balance;
use super::plan::Plan;
use super::profile::points;
use super::temperatures::{Cut, Field};
use super::{AIR_RATIOS, Flue};
use crate::error::PhysicsError;
use crate::quantities::{Pressure, length, pressure};
use crate::restrictor;
use crate::roots::{End, brent};

/// Air ratios at which the balance is looked at, downwards. The balance is not monotone: at low air ratio
/// more flow means less cooling and more draft. The stable point is where it falls with rising air ratio,
/// which is the first crossing met from above.
const GRID: [f64; 12] = [40.0, 20.0, 12.0, 8.0, 5.5, 4.0, 3.0, 2.2, 1.7, 1.35, 1.15, 1.0];

/// Largest moves at which temperatures count as settled, K: for the sign of the balance, for its root with
/// coarse cells, and for a sign that is doubtful. One kelvin is a few tenths of a pascal, and what is still to
/// move is a fifth of what last moved.
const ROUGH: f64 = 0.2;
const NEAR: f64 = 1e-4;
const FINE: f64 = 1e-6;
/// How well the air ratio is found with coarse cells.
const COARSE_TOLERANCE: f64 = 1e-4;

/// How well an operating point is found.
#[derive(Debug, Clone, Copy)]
pub(super) struct Precision {
    /// Last step of the air ratio.
    air_ratio: f64,
    /// Largest last move of a temperature, K.
    pub settled: f64,
}

impl Precision {
    /// For figures that are shown and kept.
    pub const SHOWN: Self = Self {
        air_ratio: 1e-8,
        settled: 1e-9,
    };
    /// For one draw of many.
    pub const DRAWN: Self = Self {
        air_ratio: 1e-5,
        settled: 1e-5,
    };
}

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

/// Temperatures with coarse and with fine cells, kept from one search to the next because they begin close
/// to the answer.
pub(super) struct Fields {
    coarse: Field,
    pub fine: Field,
}

impl Flue {
    /// Finds the air ratio at which draft and wind are used up.
    ///
    /// # Errors
    /// `missing` without a pressure drop of the appliance; `not_converged`.
    pub fn operating_point(&self) -> Result<Answer, PhysicsError> {
        let mut fields = Fields::new(&self.plan);
        let found = search(&self.plan, &mut fields, Precision::SHOWN)?;
        Answer::of(
            &self.plan,
            &found.state.flow,
            &fields.fine,
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
        Ok(Brief::of(
            plan,
            &self.flow,
            &points(plan, &self.flow, field, Precision::DRAWN.settled)?,
        ))
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
    let mut field = Field::new(plan, Cut::Fine);
    let state = State::at(plan, &mut field, air_ratio, drop, Precision::SHOWN.settled)?;
    Ok((field, state))
}

/// Finds the operating point; the fine field is left at its temperatures.
pub(super) fn search(plan: &Plan, fields: &mut Fields, precision: Precision) -> Result<Found, PhysicsError> {
    let drop = rated_drop(plan)?;
    let lowest = *AIR_RATIOS.start();
    let (below, above) = match first_crossing(|air_ratio| fields.sign(plan, air_ratio, drop))? {
        Crossing::Above(air_ratio) => {
            let state = State::at(plan, &mut fields.fine, air_ratio, drop, precision.settled)?;
            return Ok(Found {
                status: Status::OutOfRange,
                state,
            });
        }
        Crossing::None => {
            let state = State::at(plan, &mut fields.fine, lowest, drop, precision.settled)?;
            return Ok(Found {
                status: Status::InsufficientDraft,
                state,
            });
        }
        Crossing::Between(below, above) => (below, above),
    };
    let nearby = root_with_coarse_cells(plan, &mut fields.coarse, below, above, drop)?;
    let sensitive = below.x > lowest && fields.sign(plan, lowest, drop)? < 0.0;
    let status = if sensitive {
        Status::OkStartSensitive
    } else {
        Status::Ok
    };
    if let Some(state) = polished(plan, &mut fields.fine, nearby, (below, above), drop, precision)? {
        return Ok(Found { status, state });
    }
    let air_ratio = careful(plan, &mut fields.fine, drop)?;
    let state = State::at(plan, &mut fields.fine, air_ratio, drop, precision.settled)?;
    Ok(Found { status, state })
}

/// Where the balance, looked at downwards over the grid, first stops being negative.
enum Crossing {
    /// It is not negative at the largest air ratio.
    Above(f64),
    /// Between these two.
    Between(End, End),
    /// Nowhere.
    None,
}

fn first_crossing(
    mut balance: impl FnMut(f64) -> Result<f64, PhysicsError>,
) -> Result<Crossing, PhysicsError> {
    let mut above: Option<End> = None;
    for x in GRID {
        let f = balance(x)?;
        match above {
            None if f >= 0.0 => return Ok(Crossing::Above(x)),
            Some(above) if f >= 0.0 => return Ok(Crossing::Between(End { x, f }, above)),
            _ => above = Some(End { x, f }),
        }
    }
    Ok(Crossing::None)
}

/// An air ratio, and the slope of the balance there.
#[derive(Clone, Copy)]
struct Nearby {
    x: f64,
    slope: f64,
}

fn root_with_coarse_cells(
    plan: &Plan,
    field: &mut Field,
    below: End,
    above: End,
    drop: f64,
) -> Result<Nearby, PhysicsError> {
    let (mut low, mut high) = (below, above);
    let x = brent(below, above, COARSE_TOLERANCE, |x| {
        let f = State::at(plan, field, x, drop, NEAR)?.balance.total;
        if f >= 0.0 {
            low = End { x, f }
        } else {
            high = End { x, f }
        }
        Ok(f)
    })?;
    Ok(Nearby {
        x,
        slope: (high.f - low.f) / (high.x - low.x),
    })
}

/// From the root with coarse cells, a few steps of the secant with fine ones. `None` when they lead out of the
/// bracket or nowhere: the flue is then one for [`careful`].
fn polished(
    plan: &Plan,
    field: &mut Field,
    nearby: Nearby,
    bracket: (End, End),
    drop: f64,
    precision: Precision,
) -> Result<Option<State>, PhysicsError> {
    let Nearby { mut x, mut slope } = nearby;
    let mut step: f64 = 0.01;
    let mut before = 0.0;
    for round in 0..12 {
        let tolerance = (0.1 * step.abs()).clamp(precision.settled, 1e-3);
        let f = State::at(plan, field, x, drop, tolerance)?.balance.total;
        if round > 0 {
            slope = (f - before) / step;
        }
        before = f;
        step = -f / slope;
        if !(slope < 0.0 && (bracket.0.x..=bracket.1.x).contains(&(x + step))) {
            return Ok(None);
        }
        x += step;
        if step.abs() < precision.air_ratio {
            return State::at(plan, field, x, drop, precision.settled).map(Some);
        }
    }
    Ok(None)
}

/// Grid and root with fine cells only. Gives the air ratio.
fn careful(plan: &Plan, field: &mut Field, drop: f64) -> Result<f64, PhysicsError> {
    let mut balance = |x| State::at(plan, field, x, drop, FINE).map(|state| state.balance.total);
    match first_crossing(&mut balance)? {
        Crossing::Above(air_ratio) => Ok(air_ratio),
        Crossing::None => Ok(*AIR_RATIOS.start()),
        Crossing::Between(below, above) => brent(below, above, Precision::SHOWN.air_ratio, balance),
    }
}

impl Fields {
    pub fn new(plan: &Plan) -> Self {
        Self {
            coarse: Field::new(plan, Cut::Coarse),
            fine: Field::new(plan, Cut::Fine),
        }
    }

    /// The balance at an air ratio, settled as far as its sign needs.
    fn sign(&mut self, plan: &Plan, air_ratio: f64, drop: f64) -> Result<f64, PhysicsError> {
        let sees = [
            (&mut self.coarse, ROUGH, 0.05),
            (&mut self.fine, 0.05 * ROUGH, 0.002),
        ];
        for (field, tolerance, doubtful) in sees {
            let rough = State::at(plan, field, air_ratio, drop, tolerance)?.balance;
            if rough.total.abs() > doubtful * rough.scale() {
                return Ok(rough.total);
            }
        }
        Ok(State::at(plan, &mut self.fine, air_ratio, drop, FINE)?
            .balance
            .total)
    }
}

fn rated_drop(plan: &Plan) -> Result<f64, PhysicsError> {
    let field = || "appliance/pressure_drop".to_owned();
    plan.appliance
        .rated_drop
        .ok_or_else(|| PhysicsError::Missing { field: field() })
}
