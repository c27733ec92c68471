//! From what the installer measured on the roof: how to cut the flashing plate, how much sealant, and whether
//! the top meets the rules.
//!
//! Gap, overlap, trimming, sealant, bead and fastening as the manual says; the fallbacks stand where it is
//! silent. `roof.top_above_penetration` counts from the highest point where the chimney passes the roof.

mod checks;
mod figures;
mod input;
mod plate;

use uom::si::f64::Length;

pub use figures::{Checks, Figures, Plan, Sides};
pub use input::{Input, Mount, Part, Projection, Roof};

use crate::compare::{exceeds, reaches};
use crate::form::{Answer, FindingKind, Findings, Reckoning, Refusal, Trace, Verdict};
use crate::notes;
use crate::site::inches;
use crate::words::{both, size};
use checks::{halves, most_projection};
use plate::{Plate, TileTop, sealant};

const GEOMETRY: &str = "geometry of the measured sizes";
const PRACTICE: &str = "common practice, no source";
const CROWNS: &str = "ASTM C1283 section 8, www.rumford.com/training/chimneycap.html";
const LISTING: &str = "the appliance's listing or manual";
const THREE_TWO_TEN: &str = "rumford.com/code/IRC03.html";

const PLATE_TOO_SMALL: FindingKind = FindingKind::stop(1, "plate_too_small", GEOMETRY);
const SKIRT_SHORT: FindingKind = FindingKind::stop(2, "skirt_short", GEOMETRY);
const TILE_TOO_LOW: FindingKind = FindingKind::stop(3, "tile_too_low_for_skirt", GEOMETRY);
const SKIRT_CUT: FindingKind = FindingKind::caution(4, "skirt_cut_needed", GEOMETRY);
const PAST_CROWN: FindingKind = FindingKind::caution(5, "plate_past_crown", GEOMETRY);
const OUT_OF_SQUARE: FindingKind = FindingKind::caution(6, "tile_out_of_square", PRACTICE);
const DOUBTFUL: FindingKind = FindingKind::caution(7, "diagonals_doubtful", "the parallelogram law");
const SIDES_DIFFER: FindingKind = FindingKind::caution(8, "tile_sides_differ", PRACTICE);
const TOO_FAR: FindingKind = FindingKind::caution(9, "tile_projects_too_far", CROWNS);
const LOW: FindingKind = FindingKind::caution(
    10,
    "tile_projection_low",
    "inspection practice, looked up at second hand",
);
const FLAT: FindingKind = FindingKind::caution(11, "crown_too_flat", CROWNS);
const OVERHANG: FindingKind = FindingKind::caution(12, "crown_overhang_short", CROWNS);
const TOO_LOW: FindingKind = FindingKind::stop(13, "chimney_too_low", LISTING);
const BELOW_RULE: FindingKind = FindingKind::caution(14, "below_three_two_ten", THREE_TWO_TEN);
const SEPARATION_SHORT: FindingKind = FindingKind::stop(15, "separation_short", LISTING);
const SEPARATION_UNKNOWN: FindingKind = FindingKind::caution(16, "separation_unknown", LISTING);
const SEPARATION_UNLISTED: FindingKind = FindingKind::info(17, "separation_listing_missing", LISTING);
const HEIGHT_UNLISTED: FindingKind = FindingKind::info(18, "height_listing_missing", LISTING);

/// Two measurements of one thing that differ by more are worth a second look.
fn tolerable() -> Length {
    inches(0.25)
}

/// A parallelogram law missed by more than this means a slip of the tape somewhere.
const DOUBTFUL_LAW: f64 = 0.10;

/// How the cap's plate is cut, and whether the top meets the rules.
#[derive(Clone, Copy, Debug)]
pub struct CapFit;

impl Reckoning for CapFit {
    const NAME: &'static str = "cap_fit";
    const PURPOSE: &'static str =
        "How is the flashing plate cut, how much sealant, and does the top meet the rules?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        reckon(input)
    }
}

/// Does the sum.
///
/// # Errors
/// `missing` for half a pair, a skirt depth or a crown that is needed; `inconsistent` for diagonals that can't be
/// of this tile, a skirt on the crown, a centre beyond its piece.
pub fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    let mut trace = Trace::default();
    let diagonals = halves("/diagonal_1", "/diagonal_2", input.diagonal_1, input.diagonal_2)?;
    let tile = TileTop::of(input)?;
    trace.quantity("tile along a", tile.a);
    trace.quantity("tile along b", tile.b);
    trace.quantity("skew", tile.skew);
    trace.number("miss of the parallelogram law", tile.law);
    let plate = Plate::of(input, &tile, &mut trace)?;
    let (bead_length, cartridges) = sealant(input, &tile, &plate, &mut trace);
    let checks = Checks::of(input, &mut trace)?;

    let mut findings = Findings::default();
    plate_findings(input, &plate, &mut findings);
    tile_findings(input, &tile, diagonals, &mut findings);
    check_findings(input, &checks, &mut findings);
    Ok(Answer {
        verdict: Some(findings.verdict_with_unknowns()),
        figures: Figures {
            opening_a: plate.opening_a.into(),
            opening_b: plate.opening_b.into(),
            cut_a: plate.cut_a.into(),
            cut_b: plate.cut_b.into(),
            trim: plate.trim.map(Into::into),
            skirt_cut: plate.skirt_cut.map(Into::into),
            plate_short: plate.short.into(),
            widest_gap: plate.widest_gap.into(),
            bead_length: bead_length.into(),
            skirt_reaches: plate.skirt_reaches,
            skew_angle_deg: tile.skew_angle_deg,
            cartridges,
            checks,
            plan: plate.plan,
        },
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![notes::GOVERNS, notes::ROOF],
    })
}

fn plate_findings(input: &Input, plate: &Plate, findings: &mut Findings) {
    if plate.short.value > 0.0 {
        findings.add(
            PLATE_TOO_SMALL,
            format!(
                "The plate is {} too small at one side. Order a larger plate.",
                both(plate.short)
            ),
        );
    }
    if plate.skirt_reaches == Some(false) {
        let message = format!(
            "The skirt does not reach {} down the tile. Order a plate with a deeper skirt, or look in the manual for \
             the overlap it wants.",
            both(input.overlap)
        );
        findings.add(SKIRT_SHORT, message);
    }
    let projection = &input.projection;
    let lowest = projection
        .a_low
        .min(projection.a_high)
        .min(projection.b_low)
        .min(projection.b_high);
    if input.has_skirt() && !reaches(lowest, input.overlap) {
        findings.add(
            TILE_TOO_LOW,
            format!(
                "The tile stands only {} above the crown, less than the overlap of {}. Mount the plate on the crown, or \
                 look in the manual.",
                both(lowest),
                both(input.overlap)
            ),
        );
    }
    let deepest = plate
        .skirt_cut
        .all()
        .into_iter()
        .fold(plate.skirt_cut.a_low, Length::max);
    if deepest.value > 0.0 {
        findings.add(
            SKIRT_CUT,
            format!(
                "The skirt would stand on the crown. Shorten it by up to {} as given for each side.",
                both(deepest)
            ),
        );
    }
    let past = |cut: Length, crown: Option<Length>| crown.is_some_and(|crown| exceeds(cut, crown));
    if !input.has_skirt() && (past(plate.cut_a, input.crown_a) || past(plate.cut_b, input.crown_b)) {
        findings.add(
            PAST_CROWN,
            "The plate is larger than the crown it lies on. Choose less overlap, or look in the manual how it ends.",
        );
    }
    if input.has_skirt() && exceeds(inches(2.0), lowest) {
        findings.add(
            LOW,
            format!(
                "The tile stands {} above the crown at its lowest face, less than 2 in. Look where water and snow lie.",
                both(lowest)
            ),
        );
    }
}

fn tile_findings(
    input: &Input,
    tile: &TileTop,
    diagonals: Option<(Length, Length)>,
    findings: &mut Findings,
) {
    if let Some((one, other)) = diagonals {
        if exceeds((one - other).abs(), tolerable()) {
            let message = format!(
                "The diagonals differ by {}: the tile is {:.1}° out of square. Cut the plate by the trims given here and \
                 try it before bending.",
                size(one - other),
                tile.skew_angle_deg
            );
            findings.add(OUT_OF_SQUARE, message);
        }
        if tile.law > DOUBTFUL_LAW {
            findings.add(
                DOUBTFUL,
                "Sides and diagonals do not agree well. Measure the two sides and the two diagonals again.",
            );
        }
    }
    if exceeds(tile.uneven, tolerable()) {
        findings.add(
            SIDES_DIFFER,
            format!(
                "Two measurements of one side differ by {}. The larger one is used; measure again.",
                size(tile.uneven)
            ),
        );
    }
    let projection = &input.projection;
    let tallest = projection
        .a_low
        .max(projection.a_high)
        .max(projection.b_low)
        .max(projection.b_high);
    if exceeds(tallest, most_projection()) {
        findings.add(
            TOO_FAR,
            format!("The tile stands {} above the crown, more than 4 in. Try whether it is firm, and ask a mason.", both(tallest)),
        );
    }
}

fn check_findings(input: &Input, checks: &Checks, findings: &mut Findings) {
    if let Some(slope) = checks.crown_slope.filter(|check| check.verdict != Verdict::Pass) {
        let measured = slope.measured.unwrap_or_default();
        findings.add(
            FLAT,
            format!("The crown falls {measured:.1}°, less than 10°. Water stands on it: have it built up."),
        );
    }
    if checks
        .overhang
        .is_some_and(|check| check.verdict != Verdict::Pass)
    {
        findings.add(
            OVERHANG,
            "The crown stands less than 2 in beyond the brick. Water runs down the brick: look at it.",
        );
    }
    if let (Some(height), Some(roof)) = (checks.roof_height, input.roof.as_ref()) {
        let lack = height.margin.map(|margin| size(margin.0)).unwrap_or_default();
        match height.verdict {
            Verdict::Fail => findings.add(
                TOO_LOW,
                format!("The top is {lack} lower above the roof than the listing gives. Raise it as the manual shows."),
            ),
            Verdict::Caution => findings.add(
                BELOW_RULE,
                format!(
                    "The top is {lack} below the 3-2-10 rule. That rule is for solid fuel; a sealed gas cap stands as \
                     high as its manual says. Look there."
                ),
            ),
            Verdict::Pass | Verdict::CannotTell => {}
        }
        if roof.listing_min_height.is_none() {
            findings.add(
                HEIGHT_UNLISTED,
                "The manual's least height above the roof is not given. It governs: look there.",
            );
        }
    }
    match (input.listing_min_separation, input.outlet_above_intake, checks.separation) {
        (Some(_), Some(_), Some(check)) if check.verdict != Verdict::Pass => {
            let lack = check.margin.map(|margin| size(margin.0)).unwrap_or_default();
            findings.add(
                SEPARATION_SHORT,
                format!("The outlet stands {lack} less above the intake than the listing gives. Change the cap's pieces."),
            );
        }
        (Some(_), None, _) => findings.add(
            SEPARATION_UNKNOWN,
            "The listing gives a separation of outlet and intake, and it is not measured. Measure it on the cap.",
        ),
        (None, Some(_), _) => findings.add(
            SEPARATION_UNLISTED,
            "The separation of outlet and intake is measured, and the listing's figure is not given. Look in the manual.",
        ),
        _ => {}
    }
}
