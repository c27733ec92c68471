//! Do the liners go down the flue with room around them, and is the way in for air at least as large as the
//! way out?
//!
//! Measured inside sizes only: a tile's nominal size says little (square tiles are named by the outside,
//! round ones by the inside: rumford.com/articleFluesize.html). The clearance is for stepped joints and
//! squeezed-out mortar (common practice, no source).

mod figures;
mod hole;
mod input;
mod room;

use std::f64::consts::PI;

use uom::si::f64::{Area, Length};
use wythe_units::Quantity;

pub use figures::{Figures, Layout, OffsetFigures, PlacedLiner};
pub use input::{Arrangement, Axis, Input, LinerKind, Offset, Section, Tile, TileShape};

use crate::compare::{exceeds, reaches};
use crate::form::{Answer, FindingKind, Findings, Pointer, Reckoning, Refusal, Trace};
use crate::notes;
use crate::words::both;
use hole::{Hole, circle, governing};
use room::{Liners, layout, room};

const CODE: &str = "IFGC 503.5.10, from memory";
const DOES_NOT_FIT: FindingKind =
    FindingKind::stop(1, "liner_does_not_fit", "geometry of the measured sizes");
const OFFSET_BLOCKS: FindingKind = FindingKind::stop(2, "offset_blocks", "geometry of the measured sizes");
const AIR_SPACE: FindingKind = FindingKind::stop(3, "air_space_needs_listing", CODE);
const OFFSET_STEEP: FindingKind = FindingKind::caution(4, "offset_steep", "IRC R1003.12, from memory");
const INTAKE_SMALLER: FindingKind =
    FindingKind::caution(5, "intake_smaller_than_exhaust", "common practice, no source");

/// The steepest offset of a masonry flue, degrees from the vertical (IRC R1003.12, from memory).
const STEEPEST: f64 = 30.0;

/// Whether the liners go down the flue.
#[derive(Clone, Copy, Debug)]
pub struct LinerFit;

impl Reckoning for LinerFit {
    const NAME: &'static str = "liner_fit";
    const PURPOSE: &'static str =
        "Do the liners go down the flue with room around them, and does the air get in?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        reckon(input)
    }
}

/// Sizes in metres in, see the field docs; every step is in the trace.
///
/// # Errors
/// `missing` or `inconsistent` where keys contradict one another.
pub fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    let hole = governing(input)?;
    let liners = liners(input)?;
    let exhaust_inside = exhaust_inside(input)?;
    let mut trace = Trace::default();
    trace.quantity("governing side a", hole.a);
    trace.quantity("governing side b", hole.b);
    trace.quantity("governing corner radius", hole.radius);

    let tile_area = hole.area();
    let exhaust_area = circle(exhaust_inside);
    let (intake_area, hydraulic) = intake(input, &hole);
    trace.quantity("perimeter of the tile", hole.perimeter());
    trace.quantity("area of the tile", tile_area);
    trace.quantity("way out: exhaust area", exhaust_area);
    trace.quantity("way in: intake area", intake_area);
    let ratio = (intake_area / exhaust_area).value;
    trace.number("way in over way out", ratio);

    let room = room(&hole, &liners);
    room.trace(&mut trace);
    let offset = input
        .offset
        .as_ref()
        .map(|offset| through(offset, &hole, &liners, &mut trace));
    let fits_straight = room.fits();
    let fits = fits_straight && offset.is_none_or(|offset| offset.passes);

    let mut findings = Findings::default();
    if !fits_straight {
        findings.add(DOES_NOT_FIT, room.lack(&liners));
    }
    if let Some(offset) = offset {
        if fits_straight && !offset.passes {
            findings.add(OFFSET_BLOCKS, blocked(&offset));
        }
        if offset.angle_deg > STEEPEST + 1e-9 {
            findings.add(OFFSET_STEEP, format!(
                "The flue steps aside at {:.1}° from the vertical, and {STEEPEST:.0}° is the most a masonry flue may. \
                 Look at the flue with a camera and ask the authority.", offset.angle_deg));
        }
    }
    if input.arrangement == Arrangement::Annulus && !input.air_space_listed {
        findings.add(
            AIR_SPACE,
            "The tile itself would carry the air. That is allowed only where the appliance's instructions say so: \
             look there, or plan two liners.",
        );
    }
    if ratio < 1.0 - 1e-9 {
        findings.add(INTAKE_SMALLER, format!(
            "The way in for air is {:.0} % of the way out. Look in the manual for the smallest intake it allows, or \
             choose a smaller exhaust liner.", 100.0 * ratio));
    }

    let (one, two) = (room.one(), room.two());
    let figures = Figures {
        fits,
        governing_a: hole.a.into(),
        governing_b: hole.b.into(),
        tile_area: tile_area.into(),
        exhaust_area: exhaust_area.into(),
        intake_area: intake_area.into(),
        intake_to_exhaust: ratio,
        intake_hydraulic_diameter: hydraulic.into(),
        intake_equivalent_diameter: (intake_area * 4.0 / PI).sqrt().into(),
        gap_a: one.map(|(gap, _)| gap.into()),
        gap_b: one.map(|(_, gap)| gap.into()),
        fits_along_a: two.map(|(spare, ..)| reaches(spare, Length::from_base(0.0))),
        fits_along_b: two.map(|(_, spare, _)| reaches(spare, Length::from_base(0.0))),
        fits_diagonal: two.map(|_| room.fits()),
        spare_along_a: two.map(|(spare, ..)| spare.into()),
        spare_along_b: two.map(|(_, spare, _)| spare.into()),
        spare_diagonal: two.map(|(.., spare)| spare.into()),
        offset,
        layout: layout(&hole, &liners),
    };
    Ok(Answer {
        verdict: Some(findings.verdict_with_unknowns()),
        figures,
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![notes::GOVERNS, notes::ROOF, TRIAL_PIECE],
    })
}

const TRIAL_PIECE: &str =
    "Before the liner, a trial piece of its size goes down on a rope (common practice, no source).";

fn liners(input: &Input) -> Result<Liners, Refusal> {
    let clearance = input.clearance;
    match input.arrangement {
        Arrangement::Annulus => {
            let foreign = [
                ("intake_outside", input.intake_outside),
                ("intake_inside", input.intake_inside),
                ("clearance_between", input.clearance_between),
            ];
            match foreign.into_iter().find(|(_, given)| given.is_some()) {
                Some((key, _)) => Err(Refusal::inconsistent(
                    Pointer::root().key(key),
                    "With one liner and the air around it there is no second liner. Leave this out.",
                )),
                None => Ok(Liners::One {
                    outside: input.exhaust_outside,
                    clearance,
                }),
            }
        }
        Arrangement::TwoLiners => {
            let intake = input.intake_outside.ok_or_else(|| {
                Refusal::missing(
                    "/intake_outside",
                    "Two liners need the outside diameter of the intake liner. Add it.",
                )
            })?;
            if let Some(inside) = input.intake_inside.filter(|inside| exceeds(*inside, intake)) {
                return Err(wider_inside("/intake_inside", inside, intake));
            }
            let between = input.clearance_between.unwrap_or(clearance);
            Ok(Liners::Two {
                exhaust: input.exhaust_outside,
                intake,
                clearance,
                between,
            })
        }
    }
}

fn exhaust_inside(input: &Input) -> Result<Length, Refusal> {
    let inside = input.exhaust_inside.unwrap_or(input.exhaust_outside);
    if exceeds(inside, input.exhaust_outside) {
        return Err(wider_inside("/exhaust_inside", inside, input.exhaust_outside));
    }
    Ok(inside)
}

fn wider_inside(at: &str, inside: Length, outside: Length) -> Refusal {
    let message = format!(
        "The inside, {}, is wider than the outside, {}. Measure both again.",
        both(inside),
        both(outside)
    );
    Refusal::inconsistent(at, message)
}

/// Free area of the way in and its hydraulic diameter, 4 area / wetted perimeter.
fn intake(input: &Input, hole: &Hole) -> (Area, Length) {
    match (input.arrangement, input.intake_outside) {
        (Arrangement::TwoLiners, Some(outside)) => {
            let inside = input.intake_inside.unwrap_or(outside);
            (circle(inside), inside)
        }
        _ => {
            let free = (hole.area() - circle(input.exhaust_outside)).max(Area::from_base(0.0));
            (free, free * 4.0 / (hole.perimeter() + input.exhaust_outside * PI))
        }
    }
}

fn through(offset: &Offset, hole: &Hole, liners: &Liners, trace: &mut Trace) -> OffsetFigures {
    let whole = match offset.axis {
        Axis::A => hole.a,
        Axis::B => hole.b,
    };
    let straight = (whole - offset.shift).max(Length::from_base(0.0));
    let slope = (offset.height * offset.height + offset.shift * offset.shift).sqrt();
    let slant = whole * (offset.height / slope).value;
    let angle_deg = libm::atan((offset.shift / offset.height).value).to_degrees();
    trace.line("angle of the offset", angle_deg, "deg");
    trace.quantity("clear width for a straight pipe", straight);
    trace.quantity("clear width across the slant", slant);
    let left = match offset.liner_kind {
        LinerKind::Rigid => straight,
        LinerKind::Flexible => slant,
    };
    OffsetFigures {
        angle_deg,
        straight_clear_width: straight.into(),
        slant_clear_width: slant.into(),
        passes: room(&hole.narrowed(offset.axis, left), liners).fits(),
    }
}

fn blocked(offset: &OffsetFigures) -> String {
    format!(
        "The liners fit the straight flue, and not the offset: a straight pipe has {} there, a flexible liner {}. \
         Ask for a flexible liner of the listed kind, or for smaller liners.",
        both(offset.straight_clear_width.0),
        both(offset.slant_clear_width.0)
    )
}
