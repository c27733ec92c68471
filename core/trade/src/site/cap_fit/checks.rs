//! The chimney top against the rules.

use uom::si::f64::Length;

use super::figures::Checks;
use super::input::{Input, Roof};
use crate::compare::reaches;
use crate::form::{Check, Figure, NumberCheck, Refusal, Trace, Verdict};
use crate::site::{feet, inches};

/// Least fall of a crown, degrees (ASTM C1283 section 8).
const CROWN_FALL: f64 = 10.0;

/// The most a tile stands above its crown (ASTM C1283 section 8).
pub(super) fn most_projection() -> Length {
    inches(4.0)
}

/// The least a crown stands beyond its brick (ASTM C1283 section 8).
fn least_overhang() -> Length {
    inches(2.0)
}

impl Checks {
    pub(super) fn of(input: &Input, trace: &mut Trace) -> Result<Self, Refusal> {
        let projection = &input.projection;
        let tallest = projection
            .a_low
            .max(projection.a_high)
            .max(projection.b_low)
            .max(projection.b_high);
        let crown = pair("crown", input.crown_a, input.crown_b)?;
        let chimney = pair("chimney", input.chimney_a, input.chimney_b)?;
        if crown.is_none() && (chimney.is_some() || !input.has_skirt()) {
            let message = "The crown over all is needed here. Measure both its sides.";
            return Err(Refusal::missing("/crown_a", message));
        }
        let slope = halves("/crown_rise", "/crown_run", input.crown_rise, input.crown_run)?;
        Ok(Self {
            projection: Check {
                required: Some(most_projection().into()),
                measured: Some(tallest.into()),
                margin: Some((most_projection() - tallest).into()),
                verdict: otherwise(reaches(most_projection(), tallest), Verdict::Caution),
            },
            crown_slope: slope.map(|(rise, run)| crown_slope(rise, run, trace)),
            overhang: crown.zip(chimney).map(|(crown, chimney)| {
                let measured = (crown.0 - chimney.0).min(crown.1 - chimney.1) / 2.0;
                least(least_overhang(), measured, Verdict::Caution)
            }),
            roof_height: input.roof.as_ref().map(|roof| roof_height(roof, trace)),
            separation: input
                .listing_min_separation
                .zip(input.outlet_above_intake)
                .map(|(required, measured)| least(required, measured, Verdict::Fail)),
        })
    }
}

fn crown_slope(rise: Length, run: Length, trace: &mut Trace) -> NumberCheck {
    let measured = libm::atan((rise / run).value).to_degrees();
    trace.line("fall of the crown", measured, "deg");
    NumberCheck {
        required: Some(CROWN_FALL),
        measured: Some(measured),
        margin: Some(measured - CROWN_FALL),
        verdict: otherwise(measured >= CROWN_FALL - 1e-6, Verdict::Caution),
    }
}

/// 3-2-10: 3 ft above where the chimney passes the roof, and 2 ft above anything within 10 ft. A height from
/// the listing replaces it.
fn roof_height(roof: &Roof, trace: &mut Trace) -> Check<Figure<Length>> {
    let within = feet(10.0);
    let roof_nearby = roof.distance_to_ridge.min(within) * (roof.pitch_in_12 / 12.0) + feet(2.0);
    let parts = roof.other_parts.as_deref().unwrap_or_default();
    let need = parts
        .iter()
        .filter(|part| reaches(within, part.distance))
        .map(|part| part.above_penetration + feet(2.0))
        .fold(feet(3.0).max(roof_nearby), Length::max);
    trace.quantity("height needed by 3-2-10", need);
    match roof.listing_min_height {
        Some(listed) => least(listed, roof.top_above_penetration, Verdict::Fail),
        None => least(need, roof.top_above_penetration, Verdict::Caution),
    }
}

fn least(required: Length, measured: Length, otherwise_: Verdict) -> Check<Figure<Length>> {
    Check {
        required: Some(required.into()),
        measured: Some(measured.into()),
        margin: Some((measured - required).into()),
        verdict: otherwise(reaches(measured, required), otherwise_),
    }
}

fn otherwise(met: bool, verdict: Verdict) -> Verdict {
    if met { Verdict::Pass } else { verdict }
}

fn pair(name: &str, a: Option<Length>, b: Option<Length>) -> Result<Option<(Length, Length)>, Refusal> {
    halves(&format!("/{name}_a"), &format!("/{name}_b"), a, b)
}

/// Two figures that only count together.
pub(super) fn halves(
    first_at: &str,
    second_at: &str,
    first: Option<Length>,
    second: Option<Length>,
) -> Result<Option<(Length, Length)>, Refusal> {
    let lacking = |at: &str| {
        Err(Refusal::missing(
            at,
            "The other half of this pair is given. Measure this one too.",
        ))
    };
    match (first, second) {
        (Some(first), Some(second)) => Ok(Some((first, second))),
        (None, None) => Ok(None),
        (Some(_), None) => lacking(second_at),
        (None, Some(_)) => lacking(first_at),
    }
}
