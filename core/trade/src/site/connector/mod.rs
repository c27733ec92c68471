//! Which pipe sections and elbows from the stock, in which order, make the exact span from the appliance's
//! collar to the liner adapter?
//!
//! Sealed direct-vent pipe is one maker's listed system: pieces, slope, screws, seal and cutting as its manual
//! says. So a stock list holds one maker's pieces.

mod figures;
mod found;
mod input;
mod nearest;
mod picks;
mod search;
mod stock;
#[cfg(test)]
mod tests;
mod ticks;

use std::f64::consts::PI;

use uom::si::f64::Length;
use wythe_units::Quantity;

pub use figures::{Cut, Figures, Part, PartKind, Run};
pub use input::{Adjustable, Arrangement, Direction, Elbow, ElbowAngle, Input, Section};

use crate::form::{Answer, FindingKind, Findings, Reckoning, Refusal, Trace};
use crate::notes;
use crate::words::size;
use found::{Found, Placed};
use search::search;
use stock::{Leg, Stock};
use ticks::{length, money};

const MANUAL: &str = "the pipe maker's manual";
const NO_ARRANGEMENT: FindingKind = FindingKind::stop(1, "no_arrangement", "arithmetic of the stock");
const NO_SPAN: FindingKind = FindingKind::stop(2, "no_span", "arithmetic of the stock");
const SLOPE_LOW: FindingKind = FindingKind::caution(
    3,
    "slope_low",
    "codelibrary.amlegal.com/codes/newburghhts 1343.09 (solid fuel)",
);
const WITHIN_TOLERANCE: FindingKind =
    FindingKind::info(4, "within_tolerance_only", "arithmetic of the stock");
const CUTTING: FindingKind = FindingKind::info(5, "cutting_needs_listing", MANUAL);

const ONE_SYSTEM: &str = "Sealed direct-vent pipe is one maker's listed system: pieces, slope, screws, seal and cutting as its manual says.";

/// Which pieces span from the collar to the adapter.
#[derive(Clone, Copy, Debug)]
pub struct Connector;

impl Reckoning for Connector {
    const NAME: &'static str = "connector";
    const PURPOSE: &'static str =
        "Which pipe sections and elbows from the stock span from the collar to the adapter?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        reckon(input)
    }
}

/// Searches the stock; whole ticks of 1/160 mm throughout.
///
/// # Errors
/// `inconsistent` for equal ids, a section no longer than its joint takes, a telescope whose least is above its most.
pub fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    let stock = Stock::of(input)?;
    let found = search(&stock);
    let mut trace = Trace::default();
    let mut findings = Findings::default();
    trace.quantity("rise in whole ticks", length(stock.rise));
    trace.quantity("run in whole ticks", length(stock.run));
    let figures = match &found {
        Some(found) => {
            say(input, &stock, found, &mut findings);
            steps(&stock, found, &mut trace);
            figures(input, &stock, found)
        }
        None => {
            findings.add(
                NO_ARRANGEMENT,
                "No arrangement can be built: an elbow is lacking, not allowed, or there is no piece. Look at the stock \
                 and at the arrangements allowed.",
            );
            nothing()
        }
    };
    Ok(Answer {
        verdict: Some(findings.verdict_with_unknowns()),
        figures,
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![notes::GOVERNS, ONE_SYSTEM, notes::LOAD],
    })
}

fn say(input: &Input, stock: &Stock, found: &Found<'_>, findings: &mut Findings) {
    let (rise, run) = (length(found.rise_error), length(found.run_error));
    if !found.spans(stock) {
        findings.add(
            NO_SPAN,
            format!(
                "No pieces of this stock span. The nearest misses the rise by {} and the run by {}. Add a section or a \
                 telescoping piece, or move the appliance.",
                size(rise),
                size(run)
            ),
        );
    } else if found.miss() > 0 {
        findings.add(
            WITHIN_TOLERANCE,
            format!(
                "The pieces span within the tolerance: rise {}, run {} off.",
                size(rise),
                size(run)
            ),
        );
    }
    let level = matches!(found.plan.leg, Leg::Level { .. }) && found.leg_built.length > 0;
    if level && input.leg_slope_in_per_ft < input.min_slope_in_per_ft - 1e-9 {
        findings.add(
            SLOPE_LOW,
            format!(
                "The level leg is set at {} in per ft, and {} is the least. Set it steeper and reckon again.",
                input.leg_slope_in_per_ft, input.min_slope_in_per_ft
            ),
        );
    }
    if found.upright_built.offcut + found.leg_built.offcut > 0 {
        findings.add(
            CUTTING,
            "A section is cut. Only where the pipe's manual lets it be cut, and as it shows.",
        );
    }
}

fn steps(stock: &Stock, found: &Found<'_>, trace: &mut Trace) {
    let plan = found.plan;
    trace.quantity("rise of the elbows", length(plan.elbow_rise));
    trace.quantity("run of the elbows", length(plan.elbow_run));
    if plan.leg != Leg::None {
        trace.quantity(
            "leg wanted",
            length(plan.leg.length_for(stock.run - plan.elbow_run)),
        );
        trace.quantity("leg built", length(found.leg_built.length));
        trace.quantity("run of the leg", length(plan.leg.run(found.leg_built.length)));
        trace.quantity("rise of the leg", length(plan.leg.rise(found.leg_built.length)));
    }
    if plan.has_upright() {
        let wanted = stock.rise - plan.elbow_rise - plan.leg.rise(found.leg_built.length);
        trace.quantity("upright wanted", length(wanted));
        trace.quantity("upright built", length(found.upright_built.length));
    }
}

fn figures(input: &Input, stock: &Stock, found: &Found<'_>) -> Figures {
    let placed = found.parts(stock);
    let offcut = found.upright_built.offcut + found.leg_built.offcut;
    let setting = found.upright_built.setting + found.leg_built.setting;
    let telescopes = found.upright.telescope || found.leg.telescope;
    let elbow = found.plan.elbow.as_ref();
    let parts: Vec<Part> = placed
        .iter()
        .map(|part| match part {
            Placed::Section { section, cut, .. } => {
                let off = if *cut { offcut } else { 0 };
                Part {
                    id: section.id.clone(),
                    kind: PartKind::Section,
                    effective_length: Some(length(section.effective - off).into()),
                    overall_length: Some(length(section.length - off).into()),
                    cut: *cut,
                }
            }
            Placed::Telescope { .. } => Part {
                id: stock
                    .adjustable
                    .as_ref()
                    .map(|adjustable| adjustable.id.clone())
                    .unwrap_or_default(),
                kind: PartKind::Adjustable,
                effective_length: Some(length(setting).into()),
                overall_length: None,
                cut: false,
            },
            Placed::Elbow => Part {
                id: elbow.map(|elbow| elbow.id.clone()).unwrap_or_default(),
                kind: PartKind::Elbow,
                effective_length: None,
                overall_length: None,
                cut: false,
            },
        })
        .collect();
    let cut = parts
        .iter()
        .position(|part| part.cut)
        .zip(parts.iter().find(|part| part.cut))
        .and_then(|(position, part)| {
            let cut_to = part.overall_length?;
            Some(Cut {
                id: part.id.clone(),
                position,
                cut_to,
                cut_off: length(offcut).into(),
            })
        });
    let joints = parts.len() + 1;
    Figures {
        spans: found.spans(stock),
        arrangement: Some(found.plan.arrangement),
        ids: parts.iter().map(|part| part.id.clone()).collect(),
        part_count: parts.len(),
        elbow_count: usize::from(found.plan.elbows),
        joints,
        offcut: length(offcut).into(),
        cut,
        adjustable_setting: telescopes.then(|| length(setting).into()),
        cost: money(found.cost()),
        rise_error: Some(length(found.rise_error).into()),
        run_error: Some(length(found.run_error).into()),
        miss: Some(length(found.miss()).into()),
        screws: input
            .screws_per_joint
            .and_then(|screws| usize::try_from(screws).ok())
            .map(|screws| screws * joints),
        seal_length: input.outside_diameter.map(|outside| seal(outside, joints).into()),
        path: path(found, &placed),
        parts,
    }
}

fn seal(outside: Length, joints: usize) -> Length {
    outside * PI * f64::from(u32::try_from(joints).unwrap_or(u32::MAX))
}

fn nothing() -> Figures {
    Figures {
        spans: false,
        arrangement: None,
        ids: vec![],
        parts: vec![],
        part_count: 0,
        elbow_count: 0,
        joints: 0,
        offcut: Length::from_base(0.0).into(),
        cut: None,
        adjustable_setting: None,
        cost: 0.0,
        rise_error: None,
        run_error: None,
        miss: None,
        screws: None,
        seal_length: None,
        path: vec![],
    }
}

/// Where each part runs, from the collar.
fn path(found: &Found<'_>, placed: &[Placed<'_>]) -> Vec<Run> {
    let plan = found.plan;
    let offcut = found.upright_built.offcut + found.leg_built.offcut;
    let setting = found.upright_built.setting + found.leg_built.setting;
    let elbows = f64::from(plan.elbows.max(1));
    let elbow = (length(plan.elbow_run) / elbows, length(plan.elbow_rise) / elbows);
    let along = |ticks: i64, in_leg: bool| {
        if in_leg {
            (length(plan.leg.run(ticks)), length(plan.leg.rise(ticks)))
        } else {
            (length(0), length(ticks))
        }
    };
    let mut at = (length(0), length(0));
    let mut runs = Vec::with_capacity(placed.len());
    for part in placed {
        let step = match part {
            Placed::Section { section, cut, in_leg } => {
                along(section.effective - if *cut { offcut } else { 0 }, *in_leg)
            }
            Placed::Telescope { in_leg } => along(setting, *in_leg),
            Placed::Elbow => elbow,
        };
        let to = (at.0 + step.0, at.1 + step.1);
        runs.push(Run { from: at, to });
        at = to;
    }
    runs
}
