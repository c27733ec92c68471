//! Appliance match: the stove against the load of its room and of the house.
//!
//! Nothing is derated twice: with the settled site input no rule and no factor is taken.

pub mod fit;

mod input;
mod output;

use serde::Serialize;

pub use input::{Heats, Input, LoadInput};

use crate::form::{Answer, Figure, FindingKind, Findings, Reckoning, Refusal, Trace, Verdict};
use crate::notes::GOVERNS;
use crate::quantities::{Power, ThermalConductance, ThermodynamicTemperature};
use crate::words::{both, percent};
use fit::{Case, Climate, Fit, Load, Output};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct ApplianceMatch;

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    heats: Heats,
    derate_factor: f64,
    high_output: Figure<Power>,
    low_output: Figure<Power>,
    turndown: Option<f64>,
    room: Option<CaseFigures>,
    house: Option<CaseFigures>,
}

/// The stove against one load.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct CaseFigures {
    load: Figure<Power>,
    ua: Figure<ThermalConductance>,
    high_ratio: Option<f64>,
    low_ratio: Option<f64>,
    balance_temperature: Option<Figure<ThermodynamicTemperature>>,
    low_fire_temperature: Option<Figure<ThermodynamicTemperature>>,
    high_fire_temperature: Option<Figure<ThermodynamicTemperature>>,
    low_fire_temperature_mild: Option<Figure<ThermodynamicTemperature>>,
    verdict: Verdict,
}

impl From<&Case> for CaseFigures {
    fn from(case: &Case) -> Self {
        Self {
            load: case.load.load.into(),
            ua: case.load.ua.into(),
            high_ratio: case.high_ratio,
            low_ratio: case.low_ratio,
            balance_temperature: case.balance_temperature.map(Figure::from),
            low_fire_temperature: case.low_fire_temperature.map(Figure::from),
            high_fire_temperature: case.high_fire_temperature.map(Figure::from),
            low_fire_temperature_mild: case.low_fire_temperature_mild.map(Figure::from),
            verdict: verdict(case),
        }
    }
}

fn verdict(case: &Case) -> Verdict {
    match case.fit {
        Fit::NoLoad => Verdict::CannotTell,
        Fit::TooSmall => Verdict::Fail,
        Fit::TooLarge { .. } => Verdict::Caution,
        Fit::Fits => Verdict::Pass,
    }
}

const BALANCE: &str = "steady heat balance, from memory";
const LIMIT: &str = "1.4 for central equipment, from memory; none is published for one room";
const NO_LOW_FIRE: FindingKind = FindingKind::info(1, "no_low_fire", BALANCE);
const GOVERN: FindingKind =
    FindingKind::info(20, "plate_and_listing_govern", "the rating plate and the listing");

/// The findings of one case, ranked from `first`.
struct CaseKinds {
    load_zero: FindingKind,
    output_below_load: FindingKind,
    low_fire_over_load: FindingKind,
    oversized: FindingKind,
}

const ROOM: CaseKinds = CaseKinds {
    load_zero: FindingKind::caution(2, "room_load_zero", BALANCE),
    output_below_load: FindingKind::caution(3, "room_output_below_load", BALANCE),
    low_fire_over_load: FindingKind::caution(4, "room_low_fire_over_load", BALANCE),
    oversized: FindingKind::caution(5, "room_oversized", LIMIT),
};
const HOUSE: CaseKinds = CaseKinds {
    load_zero: FindingKind::caution(6, "house_load_zero", BALANCE),
    output_below_load: FindingKind::caution(7, "house_output_below_load", BALANCE),
    low_fire_over_load: FindingKind::caution(8, "house_low_fire_over_load", BALANCE),
    oversized: FindingKind::caution(9, "house_oversized", LIMIT),
};

impl Reckoning for ApplianceMatch {
    const NAME: &'static str = "appliance_match";
    const PURPOSE: &'static str =
        "Does the stove's high fire carry the load, and does its low fire run without cycling?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let heats = input.heats()?;
        let climate = input.climate()?;
        let at_site = output::at_site(input)?;
        let case = |asked: &Option<LoadInput>| {
            asked.as_ref().map(|asked| {
                let load = load(asked, climate);
                fit::hold_against(at_site.output, load, climate, input.oversize_limit)
            })
        };
        let room = case(&input.room);
        let house = case(&input.house);
        let judged = match heats {
            Heats::Room => room.as_ref(),
            Heats::House => house.as_ref(),
        };
        let mut findings = Findings::default();
        if !at_site.has_low_fire {
            findings.add(
                NO_LOW_FIRE,
                "No low fire is given, so high fire stands for it. Read the lowest input off the plate.",
            );
        }
        if let Some(case) = &room {
            add_findings(
                &mut findings,
                &ROOM,
                "room",
                at_site.output,
                case,
                input.oversize_limit,
            );
        }
        if let Some(case) = &house {
            add_findings(
                &mut findings,
                &HOUSE,
                "house",
                at_site.output,
                case,
                input.oversize_limit,
            );
        }
        findings.add(GOVERN, "Plate and listing say what the stove gives and where it may stand. Hold the figures against them.");
        Ok(Answer {
            verdict: Some(judged.map_or(Verdict::CannotTell, verdict)),
            trace: trace(&at_site, &room, &house).finish(),
            findings: findings.finish(),
            notes: vec![GOVERNS],
            figures: Figures {
                heats,
                derate_factor: at_site.derate_factor,
                high_output: at_site.output.high.into(),
                low_output: at_site.output.low.into(),
                turndown: at_site.output.turndown(),
                room: room.as_ref().map(CaseFigures::from),
                house: house.as_ref().map(CaseFigures::from),
            },
        })
    }
}

fn load(asked: &LoadInput, climate: Climate) -> Load {
    let by_design = Load::at(asked.load, climate.indoor, climate.outdoor);
    Load {
        ua: asked.ua.unwrap_or(by_design.ua),
        ..by_design
    }
}

fn add_findings(
    findings: &mut Findings,
    kinds: &CaseKinds,
    place: &str,
    output: Output,
    case: &Case,
    limit: f64,
) {
    let load = both(case.load.load);
    match case.fit {
        Fit::NoLoad => findings.add(
            kinds.load_zero,
            format!("The {place} has no load to hold the stove against. Reckon its heat loss first."),
        ),
        Fit::TooSmall => findings.add(
            kinds.output_below_load,
            format!(
                "High fire gives {}, and the {place} loses {load} on the design day. Take a larger stove, or leave other \
                 heat in place for the coldest days.",
                both(output.high)
            ),
        ),
        Fit::TooLarge { low_fire_over_load, oversized } => {
            if low_fire_over_load {
                let steady = case.low_fire_temperature.map_or_else(String::new, |steady| {
                    format!(" Left burning with the doors shut it would bring the {place} to {}.", both(steady))
                });
                findings.add(
                    kinds.low_fire_over_load,
                    format!(
                        "Low fire alone gives {}, and the {place} loses {load} on the design day, so it cycles on every \
                         day.{steady} Open the room to others, or take a smaller stove.",
                        both(output.low)
                    ),
                );
            }
            if oversized {
                let ratio = case.high_ratio.map_or_else(String::new, |ratio| format!(", {} of the load", percent(ratio)));
                findings.add(
                    kinds.oversized,
                    format!(
                        "High fire gives {}{ratio}, and up to {} is usual. Look for a smaller stove, or one that turns \
                         further down.",
                        both(output.high),
                        percent(limit)
                    ),
                );
            }
        }
        Fit::Fits => {}
    }
}

fn trace(at_site: &output::AtSite, room: &Option<Case>, house: &Option<Case>) -> Trace {
    let mut trace = Trace::default();
    trace.number("derate factor", at_site.derate_factor);
    trace.quantity("output at high fire", at_site.output.high);
    trace.quantity("output at low fire", at_site.output.low);
    for (name, case) in [("room", room), ("house", house)] {
        if let Some(case) = case {
            trace.quantity(format!("{name}: load"), case.load.load);
            trace.quantity(format!("{name}: heat per degree"), case.load.ua);
            trace.line(
                format!("{name}: high fire over load"),
                case.high_ratio.unwrap_or(f64::NAN),
                "1",
            );
            trace.line(
                format!("{name}: low fire over load"),
                case.low_ratio.unwrap_or(f64::NAN),
                "1",
            );
        }
    }
    trace
}
