//! What there is to say of a gas line.

use super::equations::Equation;
use super::input::{Input, MaterialChoice, MethodChoice};
use super::line::{Line, LineAnswer};
use crate::compare::at_most;
use crate::customary::FOOT;
use crate::form::{FindingKind, Findings, Severity};
use crate::gas::gas_weight::Gas;
use crate::words::both;

const CODE: &str = "IRC 2018 G2413.4, online.flipbuilder.com/mewf/mima/files/basic-html/page579.html";
const ALTITUDE: &str = "IRC 2018 G2413.2, online.flipbuilder.com/mewf/mima/files/basic-html/page579.html";

/// Findings of one appliance share a rank, so that they stay together in the order of the appliances.
const APPLIANCES: u16 = 3;

const NO_SIZE_FITS: FindingKind = FindingKind::stop(1, "no_size_fits", CODE);
const UNDERSIZED: FindingKind = FindingKind::stop(2, "segment_undersized", CODE);
const DROP_OVER: FindingKind = FindingKind::caution(APPLIANCES, "drop_over_allowed", CODE);
const BELOW_MINIMUM: FindingKind = FindingKind::stop(
    APPLIANCES,
    "below_minimum_pressure",
    "the appliance's plate and manual",
);
const EXHAUSTED: FindingKind = FindingKind::stop(APPLIANCES, "pressure_exhausted", CODE);
const NOT_ADJUSTED: FindingKind = FindingKind::caution(4, "altitude_flow_not_adjusted", ALTITUDE);
const DEAD_END: FindingKind = FindingKind::info(5, "dead_end", "the tree as given");
const PROPANE_ROWS: FindingKind = FindingKind::info(
    6,
    "printed_propane_rows_suspect",
    "IFGC table 402.4(28) against its own equation: its rows of 80 and 100 ft are the values of 70 and 80 ft",
);
const LISTED: FindingKind = FindingKind::info(
    7,
    "listed_tube_governs",
    "the tube's listing; the law between its points is reckoned from a corrugated-tubing table",
);

/// Beyond this length the printed propane rows do not follow their equation.
const GOOD_PROPANE_ROWS_M: f64 = 60.0 * FOOT;

pub(super) fn findings(input: &Input, line: &Line, found: &LineAnswer) -> Findings {
    let mut findings = Findings::default();
    segments(&mut findings, input, found);
    appliances(&mut findings, input, found);
    if input.site.above_2000_ft() && !input.adjust_flow_for_altitude {
        findings.add(
            NOT_ADJUSTED,
            format!(
                "The site lies at {}, where the gas is thinner, and the flows are not raised for it. Ask the supplier whether \
                 the heating value is for the site; if not, reckon with adjust_flow_for_altitude.",
                both(input.site.altitude)
            ),
        );
    }
    for (asked, _) in input
        .segments
        .iter()
        .zip(&found.segments)
        .filter(|(_, segment)| segment.load.value <= 0.0)
    {
        findings.add(
            DEAD_END,
            format!(
                "Segment {} carries nothing. Cap it as the code says, or name what hangs on it.",
                asked.id
            ),
        );
    }
    let steel = input
        .segments
        .iter()
        .any(|segment| segment.material == MaterialChoice::Schedule40);
    let low = matches!(line.equation, Equation::Low { .. });
    if input.gas.gas == Gas::Propane
        && low
        && steel
        && !at_most(found.longest_length.value, GOOD_PROPANE_ROWS_M)
    {
        findings.add(
            PROPANE_ROWS,
            "Printed propane tables for steel pipe promise up to 24 % too much beyond 60 ft. Go by the equation, or by the \
             next longer row.",
        );
    }
    if input
        .segments
        .iter()
        .any(|segment| segment.material == MaterialChoice::ListedTube)
    {
        findings.add(
            LISTED,
            "The line holds listed tubing. Its maker's own tables, fittings and bonding rules govern; hold the figures \
             against them.",
        );
    }
    findings
}

fn segments(findings: &mut Findings, input: &Input, found: &LineAnswer) {
    for (asked, segment) in input.segments.iter().zip(&found.segments) {
        if segment.no_size_fits {
            findings.add(
                NO_SIZE_FITS,
                format!(
                    "No size in the table carries the {} of segment {}. Split the load, shorten the run, or raise the pressure.",
                    both(segment.flow),
                    asked.id
                ),
            );
        }
        if segment.undersized {
            let capacity = match input.method {
                MethodChoice::BranchLength => segment.capacity_branch,
                MethodChoice::LongestLength | MethodChoice::PressureDrop => segment.capacity_longest,
            };
            let carries = capacity.map_or_else(|| "less".to_owned(), both);
            findings.add(
                UNDERSIZED,
                format!(
                    "Segment {} carries {carries}, and its appliances take {}. Choose the next size.",
                    asked.id,
                    both(segment.flow)
                ),
            );
        }
    }
}

fn appliances(findings: &mut Findings, input: &Input, found: &LineAnswer) {
    let drop_over = match input.method {
        MethodChoice::PressureDrop => DROP_OVER.weighing(Severity::Stop),
        MethodChoice::LongestLength | MethodChoice::BranchLength => DROP_OVER,
    };
    for (asked, appliance) in input.appliances.iter().zip(&found.appliances) {
        let id = &asked.id;
        if !appliance.within_allowed_drop {
            findings.add(
                drop_over,
                format!(
                    "On the way to {id} {} are lost, and {} are allowed. Choose larger pipe on that way.",
                    both(appliance.drop),
                    both(input.allowed_drop)
                ),
            );
        }
        if let (Some(false), Some(minimum)) = (appliance.above_minimum, asked.minimum_pressure) {
            findings.add(
                BELOW_MINIMUM,
                format!(
                    "{} are left at {id}, and its plate asks for {}. Choose larger pipe, or ask the supplier for more pressure.",
                    both(appliance.pressure),
                    both(minimum)
                ),
            );
        }
        if appliance.exhausted {
            findings.add(
                EXHAUSTED,
                format!("No pressure is left at {id}: the pipe on that way can't carry the flow. Choose larger pipe."),
            );
        }
    }
}
