//! What there is to say about all the conditions, in words.

use wythe_physics::flue::Finding;
use wythe_physics::flue::conditions::Condition;

use super::Whole;
use crate::form::{FindingKind, Findings, Severity};
use crate::words::both;

const LOOP: &str = "balance of intake and exhaust column around the loop, first principles";
const LIMITS: &str =
    "the stove's air ratio limits; 1.4 and 1.5 x the rated one where none are given, an assumption";
const DEW: &str =
    "EN 13384-1 temperature requirement, from memory; margins mean something to 10 to 15 K only";
const RESERVE: &str =
    "EN 13384-1 pressure requirement, from memory; margins mean something to 10 % of the draft only";

/// A kind for each finding of one condition, in the order in which they stand, the code of the same where it
/// only passes, and what to say.
const KINDS: [(Finding, FindingKind, FindingKind, &str); 7] = [
    (
        Finding::InsufficientDraft,
        FindingKind::stop(1, "insufficient_draft", LOOP),
        FindingKind::caution(1, "insufficient_draft_passing", LOOP),
        "The flue does not draw the air the stove needs. Look at height, liner size and losses, and at the \
         manual's vent table.",
    ),
    (
        Finding::DraftOutOfRange,
        FindingKind::stop(2, "draft_out_of_range", LOOP),
        FindingKind::caution(2, "draft_out_of_range_passing", LOOP),
        "The flue draws more than the sum reaches. Look at the measurements.",
    ),
    (
        Finding::AirRatioLow,
        FindingKind::stop(3, "air_ratio_low", LIMITS),
        FindingKind::caution(3, "air_ratio_low_passing", LIMITS),
        "The stove gets less air than it needs. Open the restrictor, or take losses out of the flue, as the \
         manual allows.",
    ),
    (
        Finding::AirRatioHigh,
        FindingKind::stop(4, "air_ratio_high", LIMITS),
        FindingKind::caution(4, "air_ratio_high_at_low_fire", LIMITS),
        "The stove gets more air than it takes: lazy or lifting flame, little heat. Set the restrictor as the \
         manual says for this rise.",
    ),
    (
        Finding::Freezing,
        FindingKind::stop(5, "freezing", DEW),
        FindingKind::caution(5, "freezing_passing", DEW),
        "The liner's top is wet and at frost: the condensate can close the outlet. Insulate the top, or close \
         the restrictor as the manual allows.",
    ),
    (
        Finding::StartSensitive,
        FindingKind::caution(9, "start_sensitive", LOOP),
        FindingKind::caution(9, "start_sensitive", LOOP),
        "With less flow the draft breaks down. Light it cold and watch the flame until the flue is warm.",
    ),
    (
        Finding::Condensing,
        FindingKind::caution(10, "condensing", DEW),
        FindingKind::caution(10, "condensing", DEW),
        "The liner is wet. It must be listed for condensate and drain where it may.",
    ),
];
const UNSETTLED: FindingKind =
    FindingKind::caution(6, "not_settled", "the sum did not settle; the sum advises");
const RESERVE_SHORT: FindingKind = FindingKind::caution(7, "reserve_short", RESERVE);
const STRONGEST_OVER: FindingKind = FindingKind::caution(8, "strongest_over", RESERVE);
const NO_LOW_FIRE: FindingKind = FindingKind::info(11, "no_low_fire", "the stove's papers");
const MANUAL: FindingKind = FindingKind::info(12, "manual_governs", "the appliance's listing and manual");

/// What a condition is called.
pub(super) fn said(condition: &Condition) -> String {
    let day = match condition.name {
        "at_0_degc" => "at 32 °F (0 °C)",
        "at_15_degc" => "at 59 °F (15 °C)",
        "at_25_degc" => "at 77 °F (25 °C)",
        "cold_start" => "lit from cold on the coldest day",
        _ => "on the coldest day",
    };
    let fire = if condition.low_fire { "low" } else { "high" };
    let wind = match condition.wind {
        wind if wind < 0.0 => ", wind against it",
        wind if wind > 0.0 => ", wind with it",
        _ => "",
    };
    format!("{day}, {fire} fire{wind}")
}

/// How much a finding weighs in one condition: a gust, the minutes after lighting, and much air at low fire
/// are worth a caution, what lasts is worth its stop.
fn weight(finding: Finding, condition: &Condition) -> Severity {
    let passing = condition.wind.abs() > 0.0 || condition.cold_start;
    match finding {
        Finding::InsufficientDraft if condition.cold_start => Severity::Stop,
        Finding::InsufficientDraft | Finding::DraftOutOfRange | Finding::AirRatioLow | Finding::Freezing
            if !passing =>
        {
            Severity::Stop
        }
        Finding::AirRatioHigh if !passing && !condition.low_fire => Severity::Stop,
        _ => Severity::Caution,
    }
}

/// Puts the findings of all conditions into words: each kind once, with in how many it is met.
pub(super) fn remarks(whole: &Whole) -> Findings {
    let mut findings = Findings::default();
    for (finding, lasting, passing, what) in KINDS {
        let met: Vec<&Condition> = whole
            .runs
            .iter()
            .filter(|run| {
                run.found
                    .as_ref()
                    .is_ok_and(|(_, found)| found.contains(&finding))
            })
            .map(|run| &run.condition)
            .collect();
        if let Some(severity) = met.iter().map(|condition| weight(finding, condition)).max() {
            let heaviest = met
                .iter()
                .filter(|condition| weight(finding, condition) == severity);
            let (many, all) = (heaviest.count(), whole.runs.len());
            let kind = if severity == Severity::Stop {
                lasting
            } else {
                passing
            };
            findings.add(kind, format!("{what} So it is in {many} of {all} conditions."));
        }
    }
    let (unsettled, all) = (
        whole.runs.iter().filter(|run| run.found.is_err()).count(),
        whole.runs.len(),
    );
    if unsettled > 0 {
        findings.add(
            UNSETTLED,
            format!("No figures were found in {unsettled} of {all} conditions. Go by the manual's vent table there."),
        );
    }
    requirements(whole, &mut findings);
    if !whole.low_fire_known {
        findings.add(
            NO_LOW_FIRE,
            "Only high fire was run: the stove's lowest input is not known. Put it into the model library.",
        );
    }
    findings.add(
        MANUAL,
        "The maker's vent table and restrictor zone come first. Look there for this rise and run.",
    );
    findings
}

fn requirements(whole: &Whole, findings: &mut Findings) {
    let Ok(required) = &whole.required else { return };
    if whole.reserve_holds() == Some(false) {
        findings.add(
            RESERVE_SHORT,
            format!(
                "Taken at its worst, with a very rough liner and losses a fifth larger, {} of draft are lacking in \
                 the weakest condition. Straighten the liner, and go by the manual's vent table.",
                both(required.weakest_reserve.abs())
            ),
        );
    }
    if whole.strongest_holds() == Some(false) {
        findings.add(
            STRONGEST_OVER,
            format!(
                "Taken at its strongest, with a smooth liner, the air ratio is {:.2}, and the stove takes {:.2}. Set \
                 the restrictor as the manual says for this rise.",
                required.strongest.air_ratio, whole.limits.1
            ),
        );
    }
}
