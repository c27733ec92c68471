//! Is the place for the cap (termination) allowed: through a wall, or on the roof by way of the chimney?

mod input;
mod items;
mod roof;

use serde::Serialize;
use uom::si::f64::Length;

pub use input::{
    Distances, Edition, Inlet, Input, Kind, Meter, Overhang, OwnMinimum, Roof, RoofTable, TerminalIs, Walkway,
};

use crate::compare::reaches;
use crate::form::{
    Answer, Check, Figure, FindingKind, Findings, OrNone, Pointer, Reckoning, Refusal, Trace, Verdict,
};
use crate::notes;
use crate::site::feet;
use crate::words::{both, size};
use items::{Item, Near, items, only_for_a_wall};

const DISTANCES: &str = "ANSI Z223.1/NFPA 54 12.9 or CSA B149.1 as quoted in equipment manuals; grade: \
     eofficial.org/uniform-code-spotlight-august17-2023; or the listing's own figure";
const LISTING: &str = "the appliance's listing or the local rule";
const ROOFS: &str = "IRC roof table, online.flipbuilder.com/mewf/mima/files/basic-html/page616.html";

const DISTANCE_SHORT: FindingKind = FindingKind::stop(1, "distance_short", DISTANCES);
const OVERHANG_ENCLOSED: FindingKind = FindingKind::stop(2, "overhang_enclosed", DISTANCES);
const ROOF_TOO_LOW: FindingKind = FindingKind::stop(3, "roof_too_low", ROOFS);
const NOT_MEASURED: FindingKind = FindingKind::caution(4, "not_measured_unknown", DISTANCES);
const OWN_UNKNOWN: FindingKind = FindingKind::caution(5, "own_minimum_unknown", LISTING);
const OTHER_FLUE: FindingKind = FindingKind::caution(6, "other_flue_close", "common practice, no source");
const ROOF_UNKNOWN: FindingKind = FindingKind::caution(7, "roof_unknown", ROOFS);
const LISTING_GOVERNS: FindingKind = FindingKind::info(8, "listing_governs", LISTING);

/// What comes out: a check per thing near the cap, and for a roof its height.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// By item, in order.
    pub checks: Checks,
}

/// Checks by name, in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Checks(pub Vec<(&'static str, Check<Figure<Length>>)>);

impl Serialize for Checks {
    fn serialize<S: serde::Serializer>(&self, writer: S) -> Result<S::Ok, S::Error> {
        writer.collect_map(self.0.iter().map(|(name, check)| (name, check)))
    }
}

/// Whether the cap may stand where it is to stand.
#[derive(Clone, Copy, Debug)]
pub struct VentTerminal;

impl Reckoning for VentTerminal {
    const NAME: &'static str = "vent_terminal";
    const PURPOSE: &'static str = "Is the place for the cap allowed, through a wall or on the roof?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        reckon(input)
    }
}

/// Looks at everything near the cap.
///
/// # Errors
/// `unknown_key` for an item of the other kind; `missing` or `inconsistent` for the roof; `inconsistent` when there
/// is another flue and there is none.
pub fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    let roof = keys_of_the_kind(input)?;
    let mut findings = Findings::default();
    let mut trace = Trace::default();
    let mut checks: Vec<(&'static str, Check<Figure<Length>>)> = items(input)
        .iter()
        .map(|item| (item.name, look_at(item, &mut findings)))
        .collect();
    if let Some(roof) = roof {
        checks.push(("other_flue", other_flue(input, &mut findings)?));
        checks.push(("roof_height", roof_height(roof, &mut findings)));
        findings.add(
            LISTING_GOVERNS,
            "On a roof the height and distances of the appliance's listing govern. Look in its manual.",
        );
    }
    trace.line("input", input.input.get::<uom::si::power::watt>(), "W");
    for (name, check) in &checks {
        if let Some(required) = check.required {
            trace.quantity(format!("{name}: required"), required.0);
        }
    }
    Ok(Answer {
        verdict: Some(findings.verdict_with_unknowns()),
        figures: Figures {
            checks: Checks(checks),
        },
        findings: findings.finish(),
        trace: trace.finish(),
        notes: match input.kind {
            Kind::Wall => vec![notes::GOVERNS, edition_note(input.edition)],
            Kind::Roof => vec![notes::GOVERNS, edition_note(input.edition), notes::ROOF],
        },
    })
}

fn edition_note(edition: Edition) -> &'static str {
    match edition {
        Edition::UsOlder => {
            "Distances by the older US steps of 6, 9 and 12 in; newer codes send to a table instead."
        }
        Edition::UsNewer => {
            "Distances by the newer US steps; above 150,000 Btu/h the listing's figure is needed."
        }
        Edition::Canada => {
            "Distances by the Canadian code as quoted in manuals; the 10,000 Btu/h step from memory."
        }
    }
}

fn keys_of_the_kind(input: &Input) -> Result<Option<&Roof>, Refusal> {
    let unknown = |object: &str, key: &str| {
        let message = match input.kind {
            Kind::Roof => "On a roof known are: opening, mechanical_inlet, other_terminal, other_flue.",
            Kind::Wall => "Another flue is looked at on a roof only. Leave it out.",
        };
        Refusal::unknown_key(Pointer::root().key(object).key(key), message)
    };
    let refused = |key: &str| {
        Refusal::inconsistent(
            Pointer::root().key(key),
            "This is for a roof, and the vent leaves through a wall. Leave it out.",
        )
    };
    match input.kind {
        Kind::Roof => {
            for (key, distance, own) in only_for_a_wall(&input.distances, &input.own_minimum) {
                if distance {
                    return Err(unknown("distances", key));
                }
                if own {
                    return Err(unknown("own_minimum", key));
                }
            }
            let message = "On a roof the roof itself is needed. Add its pitch and the cap's diameter.";
            input
                .roof
                .as_ref()
                .map(Some)
                .ok_or_else(|| Refusal::missing("/roof", message))
        }
        Kind::Wall if input.distances.other_flue.is_some() => Err(unknown("distances", "other_flue")),
        Kind::Wall if input.own_minimum.other_flue.is_some() => Err(unknown("own_minimum", "other_flue")),
        Kind::Wall if input.other_flue_present.is_some() => Err(refused("other_flue_present")),
        Kind::Wall if input.roof.is_some() => Err(refused("roof")),
        Kind::Wall => Ok(None),
    }
}

fn look_at(item: &Item, findings: &mut Findings) -> Check<Figure<Length>> {
    let Near::Measured {
        measured,
        code,
        own,
        own_needed,
        enclosed,
    } = item.near
    else {
        if item.near == Near::NotMeasured {
            not_measured(item.name, item.words, findings);
        }
        return nothing(if item.near == Near::NotMeasured {
            Verdict::CannotTell
        } else {
            Verdict::Pass
        });
    };
    let required = match (code, own) {
        (Some(code), Some(own)) => Some(code.max(own)),
        (Some(code), None) if !own_needed => Some(code),
        (None, Some(own)) => Some(own),
        _ => None,
    };
    let Some(required) = required else {
        findings.add(
            OWN_UNKNOWN,
            format!(
                "{}: the code names no distance to {} that is enough alone. Look in the appliance's manual and the local \
                 rule.",
                item.name, item.words
            ),
        );
        if enclosed {
            closed_in(findings);
        }
        let verdict = if enclosed {
            Verdict::Fail
        } else {
            Verdict::CannotTell
        };
        return Check {
            measured: Some(measured.into()),
            ..nothing(verdict)
        };
    };
    let met = reaches(measured, required);
    if !met {
        short(item.name, item.words, measured - required, required, findings);
    }
    if enclosed {
        closed_in(findings);
    }
    compared(
        required,
        measured,
        if met && !enclosed {
            Verdict::Pass
        } else {
            Verdict::Fail
        },
    )
}

/// How near another live flue may be when nothing else is said, from the cap's intake (common practice, no source).
fn usual_from_other_flue() -> Length {
    feet(3.0)
}

fn other_flue(input: &Input, findings: &mut Findings) -> Result<Check<Figure<Length>>, Refusal> {
    let present = input.other_flue_present == Some(true);
    let words = "another live flue";
    Ok(match (input.distances.other_flue, input.own_minimum.other_flue) {
        (Some(OrNone::NoSuch), _) if present => {
            let message = "Another flue is said to be near, and its distance says there is none. Correct one of the two.";
            return Err(Refusal::inconsistent("/distances/other_flue", message));
        }
        (None, _) if present => {
            not_measured("other_flue", words, findings);
            nothing(Verdict::CannotTell)
        }
        (None | Some(OrNone::NoSuch), _) => nothing(Verdict::Pass),
        (Some(OrNone::At(measured)), Some(own)) => {
            let met = reaches(measured, own);
            if !met {
                short("other_flue", words, measured - own, own, findings);
            }
            compared(own, measured, if met { Verdict::Pass } else { Verdict::Fail })
        }
        (Some(OrNone::At(measured)), None) => {
            let required = usual_from_other_flue();
            let met = reaches(measured, required);
            if !met {
                findings.add(
                    OTHER_FLUE,
                    format!(
                        "Another live flue opens {} from the cap's intake: its smoke goes in with the air. Move the cap or \
                         raise one of the two.",
                        both(measured)
                    ),
                );
            }
            compared(
                required,
                measured,
                if met { Verdict::Pass } else { Verdict::Caution },
            )
        }
    })
}

fn roof_height(roof: &Roof, findings: &mut Findings) -> Check<Figure<Length>> {
    let required = roof::required(roof);
    let (Some(required), Some(height)) = (required, roof.height) else {
        findings.add(
            ROOF_UNKNOWN,
            "The height above the roof can't be checked: a figure is lacking, or the roof is steeper than the table. Look in \
             the manual, and measure.",
        );
        return Check {
            required: required.map(Into::into),
            measured: roof.height.map(Into::into),
            ..nothing(Verdict::CannotTell)
        };
    };
    let met = reaches(height, required);
    if !met {
        findings.add(
            ROOF_TOO_LOW,
            format!(
                "The lowest outlet stands {} above the roof, and {} is required. Raise the cap.",
                both(height),
                both(required)
            ),
        );
    }
    compared(required, height, if met { Verdict::Pass } else { Verdict::Fail })
}

fn not_measured(name: &str, words: &str, findings: &mut Findings) {
    findings.add(
        NOT_MEASURED,
        format!("{name}: the distance to {words} is not measured. Measure it, or say that there is none."),
    );
}

fn short(name: &str, words: &str, margin: Length, required: Length, findings: &mut Findings) {
    let message = format!(
        "{name}: {} is lacking of the {} to {words}. Choose another place for the cap.",
        size(margin),
        both(required)
    );
    findings.add(DISTANCE_SHORT, message);
}

fn closed_in(findings: &mut Findings) {
    findings.add(
        OVERHANG_ENCLOSED,
        "overhang: fewer than two sides below the porch or deck are open, so exhaust stays there. Choose another place.",
    );
}

fn compared(required: Length, measured: Length, verdict: Verdict) -> Check<Figure<Length>> {
    Check {
        required: Some(required.into()),
        measured: Some(measured.into()),
        margin: Some((measured - required).into()),
        verdict,
    }
}

fn nothing(verdict: Verdict) -> Check<Figure<Length>> {
    Check {
        required: None,
        measured: None,
        margin: None,
        verdict,
    }
}
