//! What there is to say about an answer, in words.

use wythe_physics::flue::{Answer, Finding, Flue};

use crate::form::{FindingKind, Findings};
use crate::words::{both, size};

const LOOP: &str = "balance of intake and exhaust column around the loop, first principles";
const LIMITS: &str =
    "the stove's air ratio limits; 1.4 and 1.5 x the rated one where none are given, an assumption";
const DEW: &str =
    "EN 13384-1 temperature requirement, from memory; margins mean something to 10 to 15 K only";
const UNCERTAIN: &str = "uncertainty of the inputs; the sum advises";

const INSUFFICIENT: FindingKind = FindingKind::stop(1, "insufficient_draft", LOOP);
const OUT_OF_RANGE: FindingKind = FindingKind::stop(2, "draft_out_of_range", LOOP);
const LOW: FindingKind = FindingKind::stop(3, "air_ratio_low", LIMITS);
const HIGH: FindingKind = FindingKind::stop(4, "air_ratio_high", LIMITS);
const FREEZING: FindingKind = FindingKind::stop(5, "freezing", DEW);
const START: FindingKind = FindingKind::caution(6, "start_sensitive", LOOP);
const CONDENSING: FindingKind = FindingKind::caution(7, "condensing", DEW);
const NO_BAND: FindingKind = FindingKind::info(8, "no_band", UNCERTAIN);
const MANUAL: FindingKind = FindingKind::info(9, "manual_governs", "the appliance's listing and manual");

/// Puts the findings of the physics into words.
pub(super) fn remarks(flue: &Flue, answer: &Answer, found: &[Finding]) -> Findings {
    let (least, most) = flue.air_ratio_limits();
    let ratio = answer.air_ratio;
    let mut findings = Findings::default();
    for finding in found {
        let (kind, message) = match finding {
            Finding::InsufficientDraft => (
                INSUFFICIENT,
                format!(
                    "The flue does not draw the air this needs: {} are lacking at air ratio {ratio:.2}. Do not fire; \
                     look at height, liner size and losses, and at the manual's vent table.",
                    size_of_pressure(answer)
                ),
            ),
            Finding::DraftOutOfRange => (
                OUT_OF_RANGE,
                "The flue draws more than the sum reaches: over 40 times the air needed. Look at the measurements; \
                 without a restrictor the stove cannot be set here."
                    .to_owned(),
            ),
            Finding::AirRatioLow => (
                LOW,
                format!(
                    "The air ratio is {ratio:.2}, and the stove needs at least {least:.2}. Open the restrictor, or take \
                     losses out of the flue, as the manual allows."
                ),
            ),
            Finding::AirRatioHigh => (
                HIGH,
                format!(
                    "The air ratio is {ratio:.2}, and the stove takes at most {most:.2}: lazy or lifting flame, little \
                     heat. Set the restrictor as the manual says for this rise."
                ),
            ),
            Finding::Freezing => (
                FREEZING,
                format!(
                    "The liner's top is at {} and wet: the condensate can freeze and close the outlet. Insulate the \
                     top, or close the restrictor as the manual allows.",
                    both(answer.wall_temperature_top)
                ),
            ),
            Finding::StartSensitive => (
                START,
                "With less flow the draft breaks down: lighting in wind or with a cold flue may not establish flow. \
                 Light it cold and watch the flame until the flue is warm."
                    .to_owned(),
            ),
            Finding::Condensing => (
                CONDENSING,
                format!(
                    "The liner is wet over {} at the least, its coldest place at {}. The liner must be listed for \
                     condensate and drain where it may.",
                    size(answer.wet_length),
                    both(answer.wall_temperature_lowest)
                ),
            ),
            Finding::NoBand => (
                NO_BAND,
                "This is one middle value; the inputs are not known that well. Ask for the band before relying on it."
                    .to_owned(),
            ),
            Finding::ManualGoverns => (
                MANUAL,
                "The maker's vent table and restrictor zone come first. Look there for this rise and run.".to_owned(),
            ),
        };
        findings.add(kind, message);
    }
    findings
}

fn size_of_pressure(answer: &Answer) -> String {
    both(answer.balance.abs())
}
