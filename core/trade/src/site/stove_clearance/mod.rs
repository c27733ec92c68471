//! Is the stove far enough from what burns, with the protection that is there?

mod input;
mod reduction;

use serde::Serialize;
use uom::si::f64::Length;
use wythe_units::Quantity;

pub use input::{Appliance, Edition, Floor, Input, PadListed, PadMeasured, Protection, Side, Sides};

use crate::compare::reaches;
use crate::form::{
    Answer, Check, Figure, FindingKind, Findings, Reckoning, Refusal, RefusalCode, Trace, Verdict,
};
use crate::notes;
use crate::site::inches;
use crate::words::{both, size};
use reduction::{Reduction, in_words, reduced};

const TABLES: &str = "NFPA 211 (from memory), IRC G2409.2, IMC 308.6: the edition that is named";
const FLOORS: &str = "nasdonline.org/document/1254";
const DEFAULTS: &str = "nasdonline.org/document/1254; up.codes/s/heating-appliance-clearance-to-combustible-materials; \
     connector: codelibrary.amlegal.com/codes/newburghhts 1343.09";

const CLEARANCE_SHORT: FindingKind = FindingKind::stop(1, "clearance_short", TABLES);
const FLOOR_SHORT: FindingKind = FindingKind::stop(2, "floor_short", FLOORS);
const CLEARANCE_UNKNOWN: FindingKind =
    FindingKind::caution(3, "clearance_unknown", "the appliance's listing");
const MEASURED_UNKNOWN: FindingKind = FindingKind::caution(4, "measured_unknown", TABLES);
const FLOOR_UNKNOWN: FindingKind = FindingKind::caution(5, "floor_unknown", FLOORS);
const NOT_FOR_CEILING: FindingKind = FindingKind::caution(6, "reduction_not_for_ceiling", TABLES);
const NOT_IN_TABLE: FindingKind = FindingKind::caution(7, "protection_not_in_table", TABLES);
const OUTSIDE_TABLE: FindingKind = FindingKind::caution(8, "outside_table", TABLES);
const NOT_ALLOWED: FindingKind = FindingKind::caution(9, "reduction_not_allowed", "the appliance's listing");
const FOR_GAS: FindingKind = FindingKind::caution(10, "table_is_for_gas", "IRC G2409.2");
const DEFAULT_USED: FindingKind = FindingKind::caution(11, "unlisted_default_used", DEFAULTS);
const NONCOMBUSTIBLE: FindingKind = FindingKind::info(12, "noncombustible_surface", "what was seen on site");

/// What comes out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// Each side that was asked for.
    pub sides: SideChecks,
    /// The least margin of all, where there is one.
    pub smallest_margin: Option<Figure<Length>>,
    /// The pad; none when it was not asked for, or the floor does not burn.
    pub floor: Option<FloorChecks>,
}

/// The sides by name, in order.
#[derive(Clone, Debug, PartialEq)]
pub struct SideChecks(pub Vec<(&'static str, SideCheck)>);

impl Serialize for SideChecks {
    fn serialize<S: serde::Serializer>(&self, writer: S) -> Result<S::Ok, S::Error> {
        writer.collect_map(self.0.iter().map(|(name, check)| (name, check)))
    }
}

/// One side.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SideCheck {
    /// Clearance without protection.
    pub base: Option<Figure<Length>>,
    /// Required, measured, margin and verdict.
    #[serde(flatten)]
    pub check: Check<Figure<Length>>,
}

/// The pad around the stove.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FloorChecks {
    /// Before the stove.
    pub front: Check<Figure<Length>>,
    /// Behind it.
    pub rear: Check<Figure<Length>>,
    /// To the left.
    pub left: Check<Figure<Length>>,
    /// To the right.
    pub right: Check<Figure<Length>>,
    /// Width of the whole pad, when every figure for it is there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pad_width: Option<Figure<Length>>,
    /// Depth of the whole pad, when every figure for it is there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pad_depth: Option<Figure<Length>>,
}

/// Whether the stove stands far enough from what burns.
#[derive(Clone, Copy, Debug)]
pub struct StoveClearance;

impl Reckoning for StoveClearance {
    const NAME: &'static str = "stove_clearance";
    const PURPOSE: &'static str =
        "Is the stove far enough from what burns, with the protection that is there?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        reckon(input)
    }
}

/// Looks at each side and at the floor.
///
/// # Errors
/// `empty_list` when no side is given.
pub fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    if input.sides.given().next().is_none() {
        let message = "No side is given. Measure at least one: rear, left, right, front, top or connector.";
        return Err(Refusal::new(RefusalCode::EmptyList, "/sides", message));
    }
    let mut findings = Findings::default();
    let mut trace = Trace::default();
    let sides: Vec<(&'static str, SideCheck)> = input
        .sides
        .given()
        .map(|(name, side)| (name, look_at(input, name, side, &mut findings, &mut trace)))
        .collect();
    let smallest_margin = sides
        .iter()
        .filter_map(|(_, side)| side.check.margin)
        .reduce(|least, margin| if margin < least { margin } else { least });
    let floor = input.floor.as_ref().filter(|floor| floor.combustible);
    let floor = floor.map(|floor| pad(input, floor, &mut findings));
    Ok(Answer {
        verdict: Some(findings.verdict_with_unknowns()),
        figures: Figures {
            sides: SideChecks(sides),
            smallest_margin,
            floor,
        },
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![notes::GOVERNS, edition_note(input.edition)],
    })
}

fn edition_note(edition: Edition) -> &'static str {
    match edition {
        Edition::Nfpa211 => "Reductions by NFPA 211, from memory; hold them against the adopted edition.",
        Edition::IrcG2409 => {
            "Reductions by IRC table G2409.2, made for gas; hold them against the adopted edition."
        }
        Edition::Imc308 => "Reductions by IMC table 308.6; hold them against the adopted edition.",
    }
}

fn look_at(
    input: &Input,
    name: &'static str,
    side: &Side,
    findings: &mut Findings,
    trace: &mut Trace,
) -> SideCheck {
    let (base, required) = if side.combustible {
        let base = base(input, name, side, findings);
        (
            base,
            base.map(|base| with_protection(input, name, side, base, findings)),
        )
    } else {
        findings.add(
            NONCOMBUSTIBLE,
            format!(
                "{}: what stands there does not burn. No clearance is asked for.",
                title(name)
            ),
        );
        (Some(Length::from_base(0.0)), Some(Length::from_base(0.0)))
    };
    if let Some(base) = base {
        trace.quantity(format!("{name}: clearance without protection"), base);
    }
    if let Some(required) = required {
        trace.quantity(format!("{name}: clearance required"), required);
    }
    let check = compared(required, side.measured);
    match (required, check.margin, check.verdict) {
        (None, ..) => findings.add(
            CLEARANCE_UNKNOWN,
            format!("{}: no clearance is known. Look on the appliance's plate or in its manual.", title(name)),
        ),
        (Some(required), None, _) => findings.add(
            MEASURED_UNKNOWN,
            format!("{}: {} is required and nothing is measured. Measure it.", title(name), both(required)),
        ),
        (Some(required), Some(margin), Verdict::Fail) => findings.add(
            CLEARANCE_SHORT,
            format!(
                "{}: {} is lacking of the {} required. Move the stove, or protect the surface as the table and the \
                 manual show.",
                title(name),
                size(margin.0),
                both(required)
            ),
        ),
        _ => {}
    }
    SideCheck {
        base: base.map(Into::into),
        check,
    }
}

/// The clearance without protection: the listing's, else the usual one for appliances without a listing.
fn base(input: &Input, name: &str, side: &Side, findings: &mut Findings) -> Option<Length> {
    if side.listing_required.is_some() {
        return side.listing_required;
    }
    let usual = match (input.listed, input.appliance, name) {
        (true, ..) | (_, Appliance::Gas, "connector") => None,
        (_, Appliance::SolidFuel, "connector") | (_, Appliance::Gas, _) => Some(inches(18.0)),
        (_, Appliance::SolidFuel, _) => Some(inches(36.0)),
    };
    if usual.is_some() && !findings.has(DEFAULT_USED) {
        findings.add(
            DEFAULT_USED,
            "The stove has no listing, so the usual clearances stand in. Ask the authority whether it may stay at all.",
        );
    }
    usual
}

/// The least clearance of solid fuel behind any protection (ashireporter.org article 1394), inches.
const LEAST_FOR_SOLID_FUEL: f64 = 12.0;

fn with_protection(input: &Input, name: &str, side: &Side, base: Length, findings: &mut Findings) -> Length {
    if side.protection == Protection::None {
        return base;
    }
    if input.listed && !input.reduction_allowed_by_listing {
        findings.add(
            NOT_ALLOWED,
            format!("{}: the listing does not allow a reduced clearance, so the protection does not count. Keep the \
                 listed clearance.", title(name)),
        );
        return base;
    }
    if input.appliance == Appliance::SolidFuel && input.edition == Edition::IrcG2409 && !findings.has(FOR_GAS)
    {
        findings.add(
            FOR_GAS,
            "This table is made for gas. For solid fuel take NFPA 211, or the code that is adopted.",
        );
    }
    let protection = in_words(side.protection);
    match reduced(input.edition, side.protection, base, name == "top") {
        Reduction::To(reduced) if input.appliance == Appliance::SolidFuel => {
            base.min(reduced.max(inches(LEAST_FOR_SOLID_FUEL)))
        }
        Reduction::To(reduced) => reduced,
        Reduction::NotForCeiling => {
            findings.add(
                NOT_FOR_CEILING,
                format!("Top: {protection} does not reduce the clearance above. Keep the whole clearance, or choose another."),
            );
            base
        }
        Reduction::NotInTable => {
            let message = format!(
                "{}: this edition has no row for {protection}. Keep the whole clearance.",
                title(name)
            );
            findings.add(NOT_IN_TABLE, message);
            base
        }
        Reduction::OutsideTable => {
            findings.add(
                OUTSIDE_TABLE,
                format!(
                    "{}: the table does not go as far as {}. Keep the whole clearance.",
                    title(name),
                    both(base)
                ),
            );
            base
        }
    }
}

fn pad(input: &Input, floor: &Floor, findings: &mut Findings) -> FloorChecks {
    let (measured, listed) = (&floor.measured, &floor.listing_required);
    let mut edge = |name: &str, listed: Option<Length>, measured: Option<Length>| {
        let required = listed.or((!input.listed).then(|| inches(18.0)));
        let check = compared(required, measured);
        let lacking = check.margin.map(|margin| size(margin.0)).unwrap_or_default();
        match check.verdict {
            Verdict::Fail => findings.add(
                FLOOR_SHORT,
                format!("Floor, {name}: the pad lacks {lacking}. Lay a larger one, of the kind the manual names."),
            ),
            Verdict::CannotTell => findings.add(
                FLOOR_UNKNOWN,
                format!("Floor, {name}: a figure is lacking. Measure the pad, and look in the manual for its size."),
            ),
            Verdict::Pass | Verdict::Caution => {}
        }
        check
    };
    let front = edge("front", listed.front, measured.front);
    let rear = edge("rear", listed.rear, measured.rear);
    let left = edge("left", listed.left, measured.left);
    let right = edge("right", listed.right, measured.right);
    let whole = |size: Option<Length>, one: Check<Figure<Length>>, other: Check<Figure<Length>>| {
        Some((size? + one.required?.0 + other.required?.0).into())
    };
    FloorChecks {
        front,
        rear,
        left,
        right,
        pad_width: whole(floor.appliance_width, left, right),
        pad_depth: whole(floor.appliance_depth, front, rear),
    }
}

fn compared(required: Option<Length>, measured: Option<Length>) -> Check<Figure<Length>> {
    let both = required.zip(measured);
    Check {
        required: required.map(Into::into),
        measured: measured.map(Into::into),
        margin: both.map(|(required, measured)| (measured - required).into()),
        verdict: match both {
            None => Verdict::CannotTell,
            Some((required, measured)) if reaches(measured, required) => Verdict::Pass,
            Some(_) => Verdict::Fail,
        },
    }
}

fn title(name: &str) -> &'static str {
    match name {
        "rear" => "Rear",
        "left" => "Left",
        "right" => "Right",
        "front" => "Front",
        "top" => "Top",
        _ => "Connector",
    }
}
