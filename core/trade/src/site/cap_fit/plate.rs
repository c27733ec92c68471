//! The plate: opening, cut, trims, skirt and sealant.

use uom::si::f64::Length;
use wythe_units::Quantity;

use super::figures::{Plan, Sides};
use super::input::Input;
use crate::compare::{counted_up, exceeds, reaches};
use crate::form::{Refusal, Trace};
use crate::words::both;

/// A parallelogram further from square than this (cosine of its angle) is a slip of the tape.
const MOST_SKEWED: f64 = 0.5;
/// Diagonals and sides that break the parallelogram law by more than this can't be of one tile.
const LAW_BROKEN: f64 = 0.25;

/// The tile, seen from above.
#[derive(Clone, Copy, Debug)]
pub(super) struct TileTop {
    pub(super) a: Length,
    pub(super) b: Length,
    /// How far one face is shifted against the opposite one.
    pub(super) skew: Length,
    pub(super) skew_angle_deg: f64,
    /// Relative miss of the parallelogram law, 0 without diagonals.
    pub(super) law: f64,
    /// The larger difference of two measurements of one side.
    pub(super) uneven: Length,
}

impl TileTop {
    /// Sides are the largest measured. With diagonals d1, d2:
    /// cos g = (d1^2 - d2^2)/(4 a b); law = |d1^2 + d2^2 - 2 (a^2 + b^2)| / (2 (a^2 + b^2)); skew = b |cos g|.
    pub(super) fn of(input: &Input) -> Result<Self, Refusal> {
        let (a, uneven_a) = largest_and_spread(&input.tile_a);
        let (b, uneven_b) = largest_and_spread(&input.tile_b);
        let uneven = uneven_a.max(uneven_b);
        let straight = Self {
            a,
            b,
            skew: Length::from_base(0.0),
            skew_angle_deg: 0.0,
            law: 0.0,
            uneven,
        };
        let (Some(d1), Some(d2)) = (input.diagonal_1, input.diagonal_2) else {
            return Ok(straight);
        };
        let cosine = ((d1 * d1 - d2 * d2) / (a * b * 4.0)).value.abs();
        let squares = (a * a + b * b) * 2.0;
        let law = ((d1 * d1 + d2 * d2 - squares) / squares).value.abs();
        if cosine > MOST_SKEWED || law > LAW_BROKEN {
            let message = format!(
                "Diagonals of {} and {} do not belong to a tile of {} by {}. Measure the four again.",
                both(d1),
                both(d2),
                both(a),
                both(b)
            );
            return Err(Refusal::inconsistent("/diagonal_1", message));
        }
        Ok(Self {
            skew: b * cosine,
            skew_angle_deg: libm::asin(cosine).to_degrees(),
            law,
            ..straight
        })
    }
}

fn largest_and_spread(measured: &[Length]) -> (Length, Length) {
    let largest = measured.iter().copied().fold(Length::from_base(0.0), Length::max);
    let least = measured.iter().copied().fold(largest, Length::min);
    (largest, largest - least)
}

/// The plate as it is cut.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plate {
    pub(super) opening_a: Length,
    pub(super) opening_b: Length,
    pub(super) widest_gap: Length,
    pub(super) skirt_cut: Sides<Length>,
    pub(super) skirt_reaches: Option<bool>,
    pub(super) cut_a: Length,
    pub(super) cut_b: Length,
    pub(super) trim: Sides<Length>,
    pub(super) short: Length,
    pub(super) plan: Plan,
}

impl Plate {
    pub(super) fn of(input: &Input, tile: &TileTop, trace: &mut Trace) -> Result<Self, Refusal> {
        let gap = input.gap;
        let opening_a = tile.a + tile.skew + gap * 2.0;
        let opening_b = tile.b + gap * 2.0;
        let skirt = Skirt::of(input)?;
        let beyond = skirt.beyond;
        let cut_a = opening_a + beyond.a_low + beyond.a_high;
        let cut_b = opening_b + beyond.b_low + beyond.b_high;
        trace.quantity("opening along a", opening_a);
        trace.quantity("opening along b", opening_b);
        for (side, length) in ["a_low", "a_high", "b_low", "b_high"].iter().zip(beyond.all()) {
            trace.quantity(format!("plate beyond the opening, {side}"), length);
        }
        trace.quantity("plate after trimming, along a", cut_a);
        trace.quantity("plate after trimming, along b", cut_b);

        let hole_a = centre("/hole_centre_a", input.hole_centre_a, input.plate_a)?;
        let hole_b = centre("/hole_centre_b", input.hole_centre_b, input.plate_b)?;
        let liner_a = centre("/liner_centre_a", input.liner_centre_a, tile.a)?;
        let liner_b = centre("/liner_centre_b", input.liner_centre_b, tile.b)?;
        let half_skew = tile.skew / 2.0;
        let bend = Sides {
            a_low: hole_a - (liner_a + half_skew + gap),
            a_high: hole_a + (tile.a - liner_a + half_skew + gap),
            b_low: hole_b - (liner_b + gap),
            b_high: hole_b + (tile.b - liner_b + gap),
        };
        let cut = Sides {
            a_low: bend.a_low - beyond.a_low,
            a_high: bend.a_high + beyond.a_high,
            b_low: bend.b_low - beyond.b_low,
            b_high: bend.b_high + beyond.b_high,
        };
        let trim = Sides {
            a_low: cut.a_low,
            a_high: input.plate_a - cut.a_high,
            b_low: cut.b_low,
            b_high: input.plate_b - cut.b_high,
        }
        .map(nothing_when_negligible);
        let nothing = Length::from_base(0.0);
        let least = trim.all().into_iter().fold(trim.a_low, Length::min);
        let tile_faces = Sides {
            a_low: hole_a - liner_a,
            a_high: hole_a - liner_a + tile.a,
            b_low: hole_b - liner_b,
            b_high: hole_b - liner_b + tile.b,
        };
        Ok(Self {
            opening_a,
            opening_b,
            widest_gap: gap + tile.uneven / 2.0,
            skirt_cut: skirt.cut,
            skirt_reaches: skirt.reaches,
            cut_a,
            cut_b,
            trim,
            short: if exceeds(-least, nothing) { -least } else { nothing },
            plan: Plan {
                plate: (input.plate_a, input.plate_b),
                hole: (hole_a, hole_b),
                cut,
                bend,
                tile: tile_faces,
            },
        })
    }
}

/// What stands beyond the opening at each side: the skirt after it is shortened, or the lap on the crown.
struct Skirt {
    beyond: Sides<Length>,
    cut: Sides<Length>,
    reaches: Option<bool>,
}

impl Skirt {
    fn of(input: &Input) -> Result<Self, Refusal> {
        let nothing = Length::from_base(0.0);
        let projection = Sides {
            a_low: input.projection.a_low,
            a_high: input.projection.a_high,
            b_low: input.projection.b_low,
            b_high: input.projection.b_high,
        };
        match (input.has_skirt(), input.skirt_depth) {
            (true, None) => Err(Refusal::missing(
                "/skirt_depth",
                "Over the tile the length bent down is needed. Measure it.",
            )),
            (false, Some(_)) => Err(Refusal::inconsistent(
                "/skirt_depth",
                "A plate that lies flat on the crown has no skirt. Leave this out, or mount it over the tile.",
            )),
            (false, None) => {
                let lap = projection.map(|_| input.overlap);
                Ok(Self {
                    beyond: lap,
                    cut: projection.map(|_| nothing),
                    reaches: None,
                })
            }
            (true, Some(depth)) => {
                // The plate rides on its bead, so the skirt hangs that much less deep.
                let reach = depth - input.bead_height;
                let too_long = |stands: Length| {
                    if exceeds(reach, stands) {
                        reach - stands
                    } else {
                        nothing
                    }
                };
                let cut = projection.map(too_long);
                Ok(Self {
                    beyond: cut.map(|cut| depth - cut),
                    cut,
                    reaches: Some(reaches(reach, input.overlap)),
                })
            }
        }
    }
}

fn centre(at: &str, given: Option<Length>, whole: Length) -> Result<Length, Refusal> {
    match given {
        Some(given) if exceeds(given, whole) => Err(Refusal::inconsistent(
            at,
            format!(
                "The centre, {}, lies beyond its piece of {}. Measure both again.",
                both(given),
                both(whole)
            ),
        )),
        Some(given) => Ok(given),
        None => Ok(whole / 2.0),
    }
}

fn nothing_when_negligible(trim: Length) -> Length {
    let nothing = Length::from_base(0.0);
    if trim < nothing && !exceeds(-trim, nothing) {
        nothing
    } else {
        trim
    }
}

/// Bead length over all passes, and cartridges.
pub(super) fn sealant(input: &Input, tile: &TileTop, plate: &Plate, trace: &mut Trace) -> (Length, u32) {
    let once = if input.has_skirt() {
        (tile.a + tile.b) * 2.0
    } else {
        (plate.cut_a + plate.cut_b) * 2.0
    };
    let length = once * f64::from(input.bead_passes);
    let volume = length * input.bead_width * input.bead_height * input.waste_factor;
    trace.quantity("length of the bead", length);
    trace.quantity("sealant with waste", volume);
    (length, counted_up((volume / input.cartridge_volume).value))
}
