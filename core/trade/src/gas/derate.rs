//! Input at altitude: which source governs, and what it leaves of the plate's input.
//!
//! In a job this is settled once; the input at the site then feeds flue, orifice, appliance match and meter
//! clock, and nothing is derated twice. The order of sources (listing table, rule printed in listing or manual,
//! gas derated by the utility, code rule) is common practice, no source.

use serde::Serialize;

use wythe_physics::derate::{DerateRule, above_2000_ft};

use crate::form::{
    Answer, ChoiceText, Figure, FindingKind, Findings, Pointer, Reckoning, Refusal, Trace, any, choice,
    input, items, within,
};
use crate::gas::derate_rule::DerateRuleChoice;
use crate::notes::GOVERNS;
use crate::quantities::{Length, Power};
use crate::words::{both, percent};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct Derate;

choice! {
    /// How a listing's table is read between its rows.
    pub enum ListingReading {
        /// Each row counts up to its altitude.
        UpTo = "up_to",
        /// Along a straight line from row to row.
        Linear = "linear",
    }
}

input! {
    /// One row of a listing's table.
    pub struct Row {
        /// Altitude above sea level.
        pub altitude: Length = within(-500.0, 4500.0),
        /// Input there.
        pub input: Power = within(0.0, 200e3),
    }
}

input! {
    /// The plate, the altitude, and what is known about derating.
    pub struct Input {
        /// Input on the plate, for sea level.
        pub input: Power = within(0.0, 200e3),
        /// Altitude of the site.
        pub altitude: Length = within(-500.0, 4500.0),
        /// The listing's table, altitudes rising.
        pub listing: Option<Vec<Row>> = items(1, 30),
        /// How that table is read between its rows.
        pub listing_reading: ListingReading = any().or("up_to"),
        /// The rule printed in the listing or manual.
        pub listing_rule: Option<DerateRuleChoice>,
        /// Whether the utility sells gas that it has derated itself.
        pub utility_derated_gas: bool = any().or(false),
        /// The rule of the adopted code.
        pub code_rule: DerateRuleChoice = any().or("four_percent_from_sea_level"),
    }
}

choice! {
    /// What settled it.
    pub enum Source {
        /// The listing or the manual.
        Listing = "listing",
        /// The utility.
        Utility = "utility",
        /// The code.
        Code = "code",
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    source: Source,
    rule: &'static str,
    input: Option<Figure<Power>>,
    factor: Option<f64>,
    readings: Readings,
    spread: Option<f64>,
}

/// What each rule would leave.
#[derive(Debug, Clone, Copy, Serialize)]
struct Readings {
    four_percent_from_sea_level: Reading,
    four_percent_above_2000_ft: Reading,
    two_percent_from_sea_level: Reading,
    two_percent_above_2000_ft: Reading,
    ten_percent_2000_to_4500_ft: Reading,
}

/// What one rule leaves; nothing where it says nothing.
#[derive(Debug, Clone, Copy, Serialize)]
struct Reading {
    factor: Option<f64>,
    input: Option<Figure<Power>>,
}

const NOT_COVERED: FindingKind =
    FindingKind::stop(1, "not_covered", "the listing's table and rules as entered");
const ABOVE_PLATE: FindingKind = FindingKind::caution(
    2,
    "listing_above_plate",
    "the plate and the listing's table as entered",
);
const TWICE: FindingKind = FindingKind::caution(3, "utility_and_listing", "common practice, no source");
const DIFFER: FindingKind = FindingKind::info(
    4,
    "readings_differ",
    "NFPA 54-2015 table E.1.1(d), ICM September/October 2015 page 19; a second reading is in use",
);
const LOW: FindingKind = FindingKind::info(
    5,
    "below_2000_ft",
    "NFPA 54-2015, quoted in ICM September/October 2015 page 19",
);

impl Reckoning for Derate {
    const NAME: &'static str = "derate";
    const PURPOSE: &'static str = "What input may the appliance have at this altitude, and who says so?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        rising(input)?;
        let settled = Settled::of(input);
        let readings = Readings::of(input);
        let mut trace = Trace::default();
        trace.quantity("input on the plate", input.input);
        trace.quantity("altitude", input.altitude);
        trace.line(
            "altitude in feet",
            input.altitude.value / wythe_physics::constants::FOOT,
            "ft",
        );
        for rule in DerateRule::READINGS {
            trace.number(
                format!("factor by {}", rule.name()),
                rule.factor(input.altitude).unwrap_or(f64::NAN),
            );
        }
        if let Some(site) = settled.input {
            trace.quantity("input at the site", site);
        }
        let spread = readings
            .four_percent_above_2000_ft
            .factor
            .zip(readings.four_percent_from_sea_level.factor)
            .map(|(above, from_sea)| above - from_sea);
        Ok(Answer {
            verdict: None,
            figures: Figures {
                source: settled.source,
                rule: settled.rule,
                input: settled.input.map(Figure::from),
                factor: settled.input.and_then(|site| share(site, input.input)),
                readings,
                spread,
            },
            findings: findings(input, &settled, spread).finish(),
            trace: trace.finish(),
            notes: vec![GOVERNS],
        })
    }
}

fn rising(input: &Input) -> Result<(), Refusal> {
    let rows = input.listing.as_deref().unwrap_or_default();
    for (place, (lower, upper)) in rows.iter().zip(rows.iter().skip(1)).enumerate() {
        if upper.altitude <= lower.altitude {
            return Err(Refusal::inconsistent(
                Pointer::root().key("listing").item(place + 1).key("altitude"),
                "The altitudes of the table do not rise here. Write the rows from the lowest to the highest.",
            ));
        }
    }
    Ok(())
}

/// What settled the input, and at what.
struct Settled {
    source: Source,
    rule: &'static str,
    input: Option<Power>,
}

impl Settled {
    fn of(input: &Input) -> Self {
        let by = |rule: DerateRuleChoice| {
            rule.rule()
                .factor(input.altitude)
                .map(|factor| input.input * factor)
        };
        if let Some(rows) = &input.listing {
            let site = match input.listing_reading {
                ListingReading::UpTo => up_to(rows, input.altitude),
                ListingReading::Linear => linear(rows, input.altitude),
            };
            return Self {
                source: Source::Listing,
                rule: "listing_table",
                input: site,
            };
        }
        if let Some(rule) = input.listing_rule {
            return Self {
                source: Source::Listing,
                rule: rule.as_str(),
                input: by(rule),
            };
        }
        if input.utility_derated_gas {
            return Self {
                source: Source::Utility,
                rule: "none",
                input: Some(input.input),
            };
        }
        Self {
            source: Source::Code,
            rule: input.code_rule.as_str(),
            input: by(input.code_rule),
        }
    }
}

/// Altitudes are compared with this slack, m.
const SLACK: f64 = 1e-6;

/// The first row that reaches the altitude.
fn up_to(rows: &[Row], altitude: Length) -> Option<Power> {
    rows.iter()
        .find(|row| row.altitude.value >= altitude.value - SLACK)
        .map(|row| row.input)
}

/// Along a straight line between rows; the first row's input below it, nothing above the last.
fn linear(rows: &[Row], altitude: Length) -> Option<Power> {
    let first = rows.first()?;
    if altitude <= first.altitude {
        return Some(first.input);
    }
    for (lower, upper) in rows.iter().zip(rows.iter().skip(1)) {
        if altitude <= upper.altitude {
            let share = (altitude - lower.altitude) / (upper.altitude - lower.altitude);
            return Some(lower.input + (upper.input - lower.input) * share.value);
        }
    }
    // The last row's own altitude, typed in another unit.
    rows.last()
        .filter(|last| altitude.value <= last.altitude.value + SLACK)
        .map(|last| last.input)
}

impl Readings {
    fn of(input: &Input) -> Self {
        let of = |rule: DerateRule| {
            let factor = rule.factor(input.altitude);
            Reading {
                factor,
                input: factor.map(|factor| (input.input * factor).into()),
            }
        };
        Self {
            four_percent_from_sea_level: of(DerateRule::FourPercentFromSeaLevel),
            four_percent_above_2000_ft: of(DerateRule::FourPercentAbove2000Ft),
            two_percent_from_sea_level: of(DerateRule::TwoPercentFromSeaLevel),
            two_percent_above_2000_ft: of(DerateRule::TwoPercentAbove2000Ft),
            ten_percent_2000_to_4500_ft: of(DerateRule::TenPercent2000To4500Ft),
        }
    }
}

fn share(site: Power, plate: Power) -> Option<f64> {
    (plate.value > 0.0).then(|| (site / plate).value)
}

fn findings(input: &Input, settled: &Settled, spread: Option<f64>) -> Findings {
    let mut findings = Findings::default();
    if settled.input.is_none() {
        findings.add(
            NOT_COVERED,
            format!(
                "What was entered says nothing for {}. Ask the maker for the input there before anything is set.",
                both(input.altitude)
            ),
        );
    }
    let rows = input.listing.as_deref().unwrap_or_default();
    if let Some(row) = rows
        .iter()
        .find(|row| row.input.value > input.input.value * (1.0 + 1e-9))
    {
        findings.add(
            ABOVE_PLATE,
            format!(
                "The table gives {} at {}, and the plate {}. Read the plate and the table again.",
                both(row.input),
                both(row.altitude),
                both(input.input)
            ),
        );
    }
    let listed = input.listing.is_some() || input.listing_rule.is_some();
    if input.utility_derated_gas && listed {
        findings.add(
            TWICE,
            "The utility derates its gas and the listing derates the appliance: that may count the altitude twice. \
             Ask the utility for the heating value it delivers, and the maker whether the listing is for it.",
        );
    }
    let high = above_2000_ft(input.altitude);
    if settled.source == Source::Code && high {
        findings.add(
            DIFFER,
            format!(
                "The 4 % rule is read in two ways that differ by {} of the plate here. Look in the manual for the \
                 input at this altitude, and ask the authority which reading holds.",
                percent(spread.unwrap_or(0.0))
            ),
        );
    }
    if settled.source == Source::Code && !high {
        findings.add(LOW, "Up to 2,000 ft nothing is taken off the plate's input.");
    }
    findings
}
