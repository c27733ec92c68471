//! Temperatures along the flue at one air ratio.
//!
//! Cells of constant exchange, in scattering form, are swept once upwards and once downwards; the exchange is
//! worked out anew at the temperatures found, until nothing moves.

use super::appliance::{Flow, Line};
use super::plan::Plan;
use super::segment::{Local, SegmentPlan};
use crate::error::PhysicsError;
use crate::gas::Mixture;
use crate::network::Walls;
use crate::two_stream::{Capacities, Scattering};

/// How many rounds are tried before it is given up.
const MOST_ROUNDS: u32 = 400;

/// The share of every move that is taken. Nearly all flues settle within a dozen whole moves; where walls swing
/// to and fro between streams of nearly their own temperature, smaller moves end the swing.
fn share(round: u32) -> f64 {
    match round {
        0..30 => 1.0,
        30..120 => 0.5,
        120..250 => 0.25,
        _ => 0.1,
    }
}

/// How finely a flue is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cut {
    Fine,
    Coarse,
}

impl Cut {
    fn cells(self, fine: usize) -> usize {
        match self {
            Self::Fine => fine,
            Self::Coarse => fine.div_ceil(4),
        }
    }
}

/// One cell: temperatures at its ends (K) and what was found in it.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    pub exhaust: (f64, f64),
    pub air: (f64, f64),
    pub local: Local,
    pub capacities: Capacities,
    sweep: Sweep,
}

/// What the upward sweep leaves for the downward one: exhaust entering = `by_air` x air leaving + `own`, where
/// `own` is a line in the flue temperature.
#[derive(Debug, Clone, Copy)]
struct Sweep {
    scattering: Scattering,
    by_air: f64,
    own: Line,
}

impl Sweep {
    /// Air leaving at the bottom for air entering at the top.
    fn air_bottom(&self, air_top: Line) -> Line {
        let s = &self.scattering;
        let bounce = 1.0 / (1.0 - s.air_by_exhaust * self.by_air);
        Line {
            slope: bounce * (s.air_by_exhaust * self.own.slope + s.air_by_air * air_top.slope),
            offset: bounce
                * (s.air_by_exhaust * self.own.offset + s.air_by_air * air_top.offset + s.air_offset),
        }
    }
}

impl Cell {
    pub fn exhaust_mean(&self) -> f64 {
        0.5 * (self.exhaust.0 + self.exhaust.1)
    }

    pub fn air_mean(&self) -> f64 {
        0.5 * (self.air.0 + self.air.1)
    }
}

/// Temperatures of the whole flue; kept between air ratios, because neighbours begin close to the answer.
#[derive(Debug, Clone)]
pub(super) struct Field {
    /// Per segment, bottom to top.
    pub segments: Vec<Vec<Cell>>,
    /// Exhaust leaving the appliance, K.
    pub flue_temperature: f64,
    /// Air reaching the appliance, K.
    pub air_bottom: f64,
}

impl Field {
    /// The flue cut into the cells of its plan, or into one for each four of them: coarse cells show the sign
    /// of the balance at a quarter of the cost.
    pub fn new(plan: &Plan, cut: Cut) -> Self {
        let flow = Flow::of(plan, 2.0);
        let outdoor = plan.outdoor;
        let flue_temperature = plan
            .appliance
            .flue_temperature(&flow, &plan.air, Line::level(outdoor), 500.0);
        let exhaust = 0.7 * flue_temperature + 0.3 * outdoor;
        let segments = plan.segments.iter().map(|segment| {
            let local = segment.local(plan, &flow, exhaust, outdoor, segment.guess(exhaust, outdoor));
            let capacities = Capacities {
                exhaust: 1.0,
                air: 1.0,
            };
            let scattering = Scattering::of(local.conductances, capacities, 0.0, outdoor);
            let sweep = Sweep {
                scattering,
                by_air: 0.0,
                own: Line::level(exhaust),
            };
            let cell = Cell {
                exhaust: (exhaust, exhaust),
                air: (outdoor, outdoor),
                local,
                capacities,
                sweep,
            };
            (0..cut.cells(segment.cells)).map(|_| cell.clone()).collect()
        });
        Self {
            segments: segments.collect(),
            flue_temperature,
            air_bottom: outdoor,
        }
    }

    /// Settles the temperatures at `flow` until no move is larger than `tolerance` K.
    pub fn settle(&mut self, plan: &Plan, flow: &Flow, tolerance: f64) -> Result<(), PhysicsError> {
        for round in 0..MOST_ROUNDS {
            let share = share(round);
            let moved = self.round(plan, flow, share);
            if moved.is_nan() {
                break;
            }
            if moved < tolerance * share {
                return Ok(());
            }
        }
        Err(PhysicsError::NotConverged {
            air_ratio: flow.air_ratio,
        })
    }

    /// One round; every move is taken by `share`. Gives the largest move.
    fn round(&mut self, plan: &Plan, flow: &Flow, share: f64) -> f64 {
        let mut moved = self.sweep_up(plan, flow);
        let arriving = if plan.appliance.follows_the_air() {
            let cells = self.segments.iter().flatten().rev();
            cells.fold(Line::level(plan.outdoor), |air_top, cell| {
                cell.sweep.air_bottom(air_top)
            })
        } else {
            Line::level(plan.outdoor)
        };
        let wanted = plan
            .appliance
            .flue_temperature(flow, &plan.air, arriving, self.flue_temperature);
        step(&mut self.flue_temperature, wanted, share, &mut moved);
        worst(moved, self.sweep_down(plan, wanted, share))
    }

    fn sweep_up(&mut self, plan: &Plan, flow: &Flow) -> f64 {
        let (mut by_air, mut own) = (
            0.0,
            Line {
                slope: 1.0,
                offset: 0.0,
            },
        );
        let mut moved = 0.0;
        for (segment, cells) in plan.segments.iter().zip(&mut self.segments) {
            let length = segment.length / cells.len() as f64;
            for cell in cells {
                let was = cell.local.walls;
                renew(cell, segment, plan, flow, was, length);
                moved = worst(moved, cell.local.moved);
                let s = &cell.sweep.scattering;
                let (next_by_air, next_own) = pass(s, by_air, own);
                cell.sweep.by_air = by_air;
                cell.sweep.own = own;
                (by_air, own) = (next_by_air, next_own);
            }
        }
        moved
    }

    fn sweep_down(&mut self, plan: &Plan, flue_temperature: f64, share: f64) -> f64 {
        let mut air_top = plan.outdoor;
        let mut moved = 0.0;
        for cells in self.segments.iter_mut().rev() {
            for cell in cells.iter_mut().rev() {
                let Sweep {
                    scattering: s,
                    by_air,
                    own,
                } = cell.sweep;
                let own = own.at(flue_temperature);
                let air_bottom = (s.air_by_exhaust * own + s.air_by_air * air_top + s.air_offset)
                    / (1.0 - s.air_by_exhaust * by_air);
                let exhaust_bottom = by_air * air_bottom + own;
                let exhaust_top =
                    s.exhaust_by_exhaust * exhaust_bottom + s.exhaust_by_air * air_top + s.exhaust_offset;
                step(&mut cell.exhaust.0, exhaust_bottom, share, &mut moved);
                step(&mut cell.exhaust.1, exhaust_top, share, &mut moved);
                step(&mut cell.air.0, air_bottom, share, &mut moved);
                step(&mut cell.air.1, air_top, share, &mut moved);
                air_top = air_bottom;
            }
        }
        step(&mut self.air_bottom, air_top, share, &mut moved);
        moved
    }

    /// Exhaust at the cap, K.
    pub fn exit(&self) -> f64 {
        self.segments
            .last()
            .and_then(|cells| cells.last())
            .map_or(self.flue_temperature, |cell| cell.exhaust.1)
    }
}

fn renew(cell: &mut Cell, segment: &SegmentPlan, plan: &Plan, flow: &Flow, walls: Walls, length: f64) {
    cell.local = segment.local(plan, flow, cell.exhaust_mean(), cell.air_mean(), walls);
    cell.capacities = Capacities {
        exhaust: flow.exhaust_flow * mean_heat(&flow.exhaust, cell.exhaust),
        air: flow.air_flow * mean_heat(&plan.air, cell.air),
    };
    cell.sweep.scattering = Scattering::of(
        cell.local.conductances,
        cell.capacities,
        length,
        segment.outside(),
    );
}

/// Mean heat capacity between two temperatures by Gauss's rule of three points, which is exact for the
/// polynomials used: the cells keep the enthalpy of their streams.
fn mean_heat(gas: &Mixture, ends: (f64, f64)) -> f64 {
    const SIDE: f64 = 0.774_596_669_241_483_4;
    let middle = 0.5 * (ends.0 + ends.1);
    let side = SIDE * 0.5 * (ends.1 - ends.0);
    (5.0 * (gas.cp(middle - side) + gas.cp(middle + side)) + 8.0 * gas.cp(middle)) / 18.0
}

/// Carries `exhaust = by_air x air + own` from the bottom of a cell to its top.
fn pass(s: &Scattering, by_air: f64, own: Line) -> (f64, Line) {
    let bounce = 1.0 / (1.0 - s.air_by_exhaust * by_air);
    let through = s.exhaust_by_exhaust * by_air * bounce;
    let carried = s.exhaust_by_exhaust + through * s.air_by_exhaust;
    let own = Line {
        slope: carried * own.slope,
        offset: carried * own.offset + through * s.air_offset + s.exhaust_offset,
    };
    (s.exhaust_by_air + through * s.air_by_air, own)
}

fn step(value: &mut f64, wanted: f64, share: f64, moved: &mut f64) {
    let change = wanted - *value;
    *value += share * change;
    *moved = worst(*moved, (share * change).abs());
}

/// The larger of two moves; a number that is none is not lost, as `max` would lose it.
fn worst(a: f64, b: f64) -> f64 {
    if a.is_nan() || b.is_nan() {
        f64::NAN
    } else {
        a.max(b)
    }
}
