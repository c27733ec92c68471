//! What the stove gives off at the site, from plate, site input or outputs.

use super::fit::Output;
use super::input::Input;
use crate::compare::at_most;
use crate::form::{Pointer, Refusal, exactly_one};
use crate::words::both;

/// The stove at the site.
pub(super) struct AtSite {
    pub(super) derate_factor: f64,
    pub(super) output: Output,
    pub(super) has_low_fire: bool,
}

/// Which of the three ways the high fire is given.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Given {
    PlateInput,
    SiteInput,
    Outputs,
}

/// `high = input · factor · efficiency`, or the output times the factor; low likewise.
///
/// # Errors
/// `missing` without a high fire or its efficiency; `inconsistent` for inputs mixed with outputs, for low
/// above high, for a rule or factor beside the site input, for a rule that says nothing at the altitude.
pub(super) fn at_site(input: &Input) -> Result<AtSite, Refusal> {
    let root = Pointer::root();
    let ways = [
        ("high_input", input.high_input.is_some()),
        ("site_input", input.site_input.is_some()),
        ("high_output", input.high_output.is_some()),
    ];
    let given = match exactly_one(&root, &ways)? {
        0 => Given::PlateInput,
        1 => Given::SiteInput,
        _ => Given::Outputs,
    };
    refuse_foreign(input, given)?;
    let derate_factor = derate_factor(input, given)?;
    let high = input
        .high_input
        .or(input.site_input)
        .or(input.high_output)
        .unwrap_or_default();
    let (low, low_key) = match given {
        Given::Outputs => (input.low_output, "low_output"),
        Given::PlateInput | Given::SiteInput => (input.low_input, "low_input"),
    };
    if let Some(low) = low.filter(|low| !at_most(low.value, high.value)) {
        return Err(Refusal::inconsistent(
            root.key(low_key),
            format!(
                "Low fire at {} is above high fire at {}. Look at both figures again.",
                both(low),
                both(high)
            ),
        ));
    }
    let (efficiency, low_efficiency) = efficiencies(input, given)?;
    let output = Output {
        high: high * (derate_factor * efficiency),
        low: match low {
            Some(low) => low * (derate_factor * low_efficiency),
            None => high * (derate_factor * efficiency),
        },
    };
    Ok(AtSite {
        derate_factor,
        output,
        has_low_fire: low.is_some(),
    })
}

fn refuse_foreign(input: &Input, given: Given) -> Result<(), Refusal> {
    let foreign: &[(&str, bool)] = match given {
        Given::Outputs => &[
            ("efficiency", input.efficiency.is_some()),
            ("low_efficiency", input.low_efficiency.is_some()),
            ("low_input", input.low_input.is_some()),
        ],
        Given::PlateInput => &[("low_output", input.low_output.is_some())],
        Given::SiteInput => &[
            ("derate_rule", input.derate_rule.is_some()),
            ("derate_factor", input.derate_factor.is_some()),
            ("low_output", input.low_output.is_some()),
        ],
    };
    match foreign.iter().find(|(_, there)| *there) {
        None => Ok(()),
        Some((key @ ("derate_rule" | "derate_factor"), _)) => Err(Refusal::inconsistent(
            Pointer::root().key(key),
            "The site input is what burns at the site; it is not derated again. Leave this out, or give the plate input.",
        )),
        Some((key, _)) => Err(Refusal::inconsistent(
            Pointer::root().key(key),
            "Inputs and outputs are mixed. Give inputs with their efficiency, or outputs alone.",
        )),
    }
}

fn efficiencies(input: &Input, given: Given) -> Result<(f64, f64), Refusal> {
    if given == Given::Outputs {
        return Ok((1.0, 1.0));
    }
    let efficiency = input.efficiency.ok_or_else(|| {
        Refusal::missing(
            Pointer::root().key("efficiency"),
            "An input needs the efficiency at high fire. Read it off the stove's papers and add it.",
        )
    })?;
    Ok((efficiency, input.low_efficiency.unwrap_or(efficiency)))
}

fn derate_factor(input: &Input, given: Given) -> Result<f64, Refusal> {
    if given == Given::SiteInput {
        return Ok(1.0);
    }
    if let Some(factor) = input.derate_factor {
        return Ok(factor);
    }
    let rule = input.derate_rule.unwrap_or_default();
    rule.rule().factor(input.altitude).ok_or_else(|| {
        Refusal::inconsistent(
            Pointer::root().key("derate_rule"),
            format!(
                "This rule says nothing at {}. Take the factor from the manual and give it as derate_factor.",
                both(input.altitude)
            ),
        )
    })
}
