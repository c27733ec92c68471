//! Heat loss: the design heat loss of a room or a house, by surface, edge, bridge and air.
//!
//! No safety factor is added: the 99 % outdoor temperature contains the margin.

pub mod assembly;
pub mod envelope;

mod input;
mod read;

use serde::Serialize;

pub use input::{Air, AssemblyInput, Bridge, Input, LayerInput, SlabEdge, SurfaceInput, ZoneInput};

use crate::compare::at_most;
use crate::form::{Answer, Figure, FindingKind, Findings, Pointer, Reckoning, Refusal, Trace};
use crate::notes::GOVERNS;
use crate::quantities::{Area, Energy, HeatTransfer, Power, ThermalConductance, VolumeRate};
use crate::words::{both, percent};
use envelope::{Balance, HeatLoss as Loss, RuleOfThumb, Site, Zone, ZoneLoss};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct HeatLoss;

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    load: Figure<Power>,
    ua: Figure<ThermalConductance>,
    pressure_ratio: f64,
    zones: Vec<ZoneFigures>,
    balance: BalanceFigures,
    air_share: Option<f64>,
    season_heat: Option<Figure<Energy>>,
    rule_of_thumb: Option<ThumbFigures>,
}

/// One zone.
#[derive(Debug, Clone, Serialize)]
pub struct ZoneFigures {
    id: String,
    load: Figure<Power>,
    ua: Figure<ThermalConductance>,
    surfaces: Vec<SurfaceFigures>,
    air_flow: Figure<VolumeRate>,
    air_conductance: Figure<ThermalConductance>,
    balance: BalanceFigures,
    load_per_area: Option<f64>,
}

/// One surface.
#[derive(Debug, Clone, Serialize)]
pub struct SurfaceFigures {
    id: String,
    u_value: Figure<HeatTransfer>,
    conductance: Figure<ThermalConductance>,
    load: Figure<Power>,
    share: Option<f64>,
}

/// Loss by its four ways.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct BalanceFigures {
    surfaces: Figure<Power>,
    slab_edges: Figure<Power>,
    bridges: Figure<Power>,
    air: Figure<Power>,
}

impl From<Balance> for BalanceFigures {
    fn from(balance: Balance) -> Self {
        Self {
            surfaces: balance.surfaces.into(),
            slab_edges: balance.slab_edges.into(),
            bridges: balance.bridges.into(),
            air: balance.air.into(),
        }
    }
}

/// The sales guide's range.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ThumbFigures {
    low: Figure<Power>,
    high: Figure<Power>,
    ratio_low: Option<f64>,
    ratio_high: Option<f64>,
}

impl From<RuleOfThumb> for ThumbFigures {
    fn from(thumb: RuleOfThumb) -> Self {
        Self {
            low: thumb.low.into(),
            high: thumb.high.into(),
            ratio_low: thumb.ratio_low,
            ratio_high: thumb.ratio_high,
        }
    }
}

const BALANCE: &str = "steady heat balance, from memory";
const THUMB: FindingKind = FindingKind::info(1, "rule_of_thumb_comparison_only", "a sales guide, looked up");
const NOT_COLDER: FindingKind = FindingKind::caution(2, "outdoor_not_colder", BALANCE);
const GAINS: FindingKind = FindingKind::info(3, "gains_exceed_losses", BALANCE);
const THINNER: FindingKind = FindingKind::info(
    4,
    "air_thinner",
    "ideal gas; WAC 51-11C-61081 (lawfilesext.leg.wa.gov) follows the pressure within 0.5 %",
);

const DESIGN: &str = "No margin is added: the 99 % outdoor temperature contains it. Keep the source and edition of the \
     design temperature and of each U-value with the figures.";

impl Reckoning for HeatLoss {
    const NAME: &'static str = "heat_loss";
    const PURPOSE: &'static str = "What a room or a house loses on the design day, and through what.";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let zones = read::zones(input)?;
        let site = Site {
            outdoor: input.outdoor_temperature,
            pressure: input.site.pressure(),
            air_constant: input.air_constant,
        };
        let found = envelope::heat_loss(&site, &zones);
        let thumb = thumb(input, &found)?;
        let findings = findings(input, &found, thumb.as_ref());
        Ok(Answer {
            verdict: None,
            trace: trace(input, &found).finish(),
            findings: findings.finish(),
            notes: vec![GOVERNS, DESIGN],
            figures: Figures {
                load: found.load.into(),
                ua: found.ua.into(),
                pressure_ratio: found.pressure_ratio,
                zones: input
                    .zones
                    .iter()
                    .zip(zones.iter().zip(&found.zones))
                    .map(|(asked, (zone, loss))| zone_figures(asked, zone, loss))
                    .collect(),
                balance: found.balance.into(),
                air_share: found.air_share,
                season_heat: input
                    .heating_degree_days_f
                    .map(|days| envelope::season_heat(found.ua, days).into()),
                rule_of_thumb: thumb.map(ThumbFigures::from),
            },
        })
    }
}

fn thumb(input: &Input, found: &Loss) -> Result<Option<RuleOfThumb>, Refusal> {
    let Some(band) = input.climate_band else {
        return Ok(None);
    };
    let mut floor = Area::default();
    for (place, zone) in input.zones.iter().enumerate() {
        floor += zone.floor_area.ok_or_else(|| {
            Refusal::missing(
                Pointer::root().key("zones").item(place).key("floor_area"),
                "The rule of thumb goes by floor area. Add it for every zone, or leave climate_band out.",
            )
        })?;
    }
    Ok(Some(envelope::rule_of_thumb(band, floor, found.load)))
}

fn findings(input: &Input, found: &Loss, thumb: Option<&RuleOfThumb>) -> Findings {
    let mut findings = Findings::default();
    if let Some(thumb) = thumb {
        findings.add(
            THUMB,
            format!(
                "A sales guide's rule of thumb would say {} to {}. It is here for comparison only; go by the load of {}.",
                both(thumb.low),
                both(thumb.high),
                both(found.load)
            ),
        );
    }
    let outdoor = input.outdoor_temperature;
    if let Some(zone) = input.zones.iter().find(|zone| outdoor >= zone.indoor_temperature) {
        findings.add(
            NOT_COLDER,
            format!(
                "Outdoors it is {}, not colder than zone {} at {}. Look at both temperatures again.",
                both(outdoor),
                zone.id,
                both(zone.indoor_temperature)
            ),
        );
    }
    if found.load.value < 0.0 {
        findings.add(
            GAINS,
            "More heat comes in than goes out, so there is no heat loss. Look at the temperatures beyond the surfaces.",
        );
    }
    let thinner = (found.pressure_ratio - 1.0).abs();
    if input.site.above_2000_ft() || !at_most(thinner, 0.07) {
        findings.add(
            THINNER,
            format!(
                "The air here has {} of its sea-level pressure and carries that much heat. The sum counts it; tables for \
                 sea level do not.",
                percent(found.pressure_ratio)
            ),
        );
    }
    findings
}

fn zone_figures(asked: &ZoneInput, zone: &Zone, loss: &ZoneLoss) -> ZoneFigures {
    let surfaces = asked
        .surfaces
        .iter()
        .flatten()
        .zip(zone.surfaces.iter().zip(&loss.surfaces))
        .enumerate()
        .map(|(place, (asked, (surface, loss)))| SurfaceFigures {
            id: asked
                .id
                .clone()
                .unwrap_or_else(|| format!("surface {}", place + 1)),
            u_value: surface.u_value.into(),
            conductance: loss.conductance.into(),
            load: loss.load.into(),
            share: loss.share,
        })
        .collect();
    ZoneFigures {
        id: asked.id.clone(),
        load: loss.load.into(),
        ua: loss.ua.into(),
        surfaces,
        air_flow: zone.air_flow.into(),
        air_conductance: loss.air_conductance.into(),
        balance: loss.balance.into(),
        load_per_area: loss.load_per_area,
    }
}

fn trace(input: &Input, found: &Loss) -> Trace {
    let mut trace = Trace::default();
    trace.quantity("outdoor temperature", input.outdoor_temperature);
    trace.number("pressure ratio", found.pressure_ratio);
    for (asked, loss) in input.zones.iter().zip(&found.zones) {
        let id = &asked.id;
        trace.quantity(format!("{id}: through surfaces"), loss.balance.surfaces);
        trace.quantity(format!("{id}: through slab edges"), loss.balance.slab_edges);
        trace.quantity(format!("{id}: through bridges"), loss.balance.bridges);
        trace.quantity(
            format!("{id}: heat per degree that leaves with air"),
            loss.air_conductance,
        );
        trace.quantity(format!("{id}: with air"), loss.balance.air);
        trace.quantity(format!("{id}: load"), loss.load);
    }
    trace.quantity("heat per degree towards outdoors", found.ua);
    trace.quantity("load", found.load);
    trace
}
