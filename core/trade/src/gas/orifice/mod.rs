//! Orifice: the drill for an input, what a drill passes, which drill takes its place at altitude.
//!
//! The figures are to hold against the maker's stamped part, which alone goes into the burner.

pub mod drills;
pub mod hole;

mod drill_name;

use serde::Serialize;

use crate::form::{
    Answer, Figure, FindingKind, Findings, Flat, Pointer, Reckoning, Refusal, Trace, exactly_one, input,
    over, tagged, within,
};
use crate::gas::gas_weight::GasWeight;
use crate::gas::site::Site;
use crate::notes::GOVERNS;
use crate::quantities::{Area, HeatingValue, Length, Power, Pressure, Quantity, VolumeRate, heat_of};
use crate::words::{both, percent};
pub use drill_name::DrillName;
use hole::{AltitudeEquivalent, DrillInput, Supply};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct Orifice;

tagged! {
    /// What is asked, and what it needs.
    pub enum Input by "task" {
        /// Which drill gives a burner its input.
        SizeForInput(SizeForInput) = "size_for_input",
        /// What a drill or a hole passes.
        FlowOfDrill(FlowOfDrill) = "flow_of_drill",
        /// Which drill takes a sea-level drill's place at altitude.
        AltitudeEquivalent(AltitudeDrill) = "altitude_equivalent",
    }
}

input! {
    /// A burner and what it shall take.
    pub struct SizeForInput {
        /// Where the site lies.
        pub site: Flat<Site>,
        /// The gas.
        pub gas: Flat<GasWeight>,
        /// Manifold pressure, gauge.
        pub manifold_pressure: Pressure = over(0.0, 50e3),
        /// Discharge coefficient of the orifice.
        pub discharge_coefficient: f64 = within(0.5, 1.0).or(0.90),
        /// Heat per standard volume of gas.
        pub heating_value: HeatingValue = within(1e6, 200e6),
        /// Input the burner shall take at this site, already derated.
        pub input: Power = over(0.0, 200e3),
    }
}

input! {
    /// A hole and the gas before it.
    pub struct FlowOfDrill {
        /// Where the site lies.
        pub site: Flat<Site>,
        /// The gas.
        pub gas: Flat<GasWeight>,
        /// Manifold pressure, gauge.
        pub manifold_pressure: Pressure = over(0.0, 50e3),
        /// Discharge coefficient of the orifice.
        pub discharge_coefficient: f64 = within(0.5, 1.0).or(0.90),
        /// Heat per standard volume of gas; without it no input is given.
        pub heating_value: Option<HeatingValue> = within(1e6, 200e6),
        /// Number drill, 1 to 80.
        pub drill: Option<DrillName>,
        /// Diameter of the hole, when it is no number drill.
        pub diameter: Option<Length> = over(0.0, 0.02),
    }
}

input! {
    /// A drill that is right at sea level.
    pub struct AltitudeDrill {
        /// Where the site lies.
        pub site: Flat<Site>,
        /// Number drill at sea level.
        pub drill: DrillName,
        /// Share of the input taken off per 1,000 ft.
        pub reduction_per_1000_ft: f64 = within(0.0, 0.10).or(0.04),
    }
}

/// What comes out, by what was asked.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Figures {
    /// For an input.
    Size(SizeFigures),
    /// For a hole.
    Flow(FlowFigures),
    /// For a drill at altitude.
    Altitude(AltitudeFigures),
}

/// The drill for an input.
#[derive(Debug, Clone, Serialize)]
pub struct SizeFigures {
    flow: Figure<VolumeRate>,
    area: Figure<Area>,
    diameter: Figure<Length>,
    drill_below: Option<DrillFigures>,
    drill_above: Option<DrillFigures>,
    recommended_drill: Option<String>,
    altitude_factor: f64,
}

/// A burner's input through one drill.
#[derive(Debug, Clone, Serialize)]
pub struct DrillFigures {
    drill: String,
    diameter: Figure<Length>,
    input: Figure<Power>,
    ratio: f64,
}

impl From<DrillInput> for DrillFigures {
    fn from(found: DrillInput) -> Self {
        Self {
            drill: found.drill.number.to_string(),
            diameter: found.drill.diameter.into(),
            input: found.input.into(),
            ratio: found.ratio,
        }
    }
}

/// What a hole passes.
#[derive(Debug, Clone, Serialize)]
pub struct FlowFigures {
    diameter: Figure<Length>,
    area: Figure<Area>,
    flow: Figure<VolumeRate>,
    input: Option<Figure<Power>>,
    altitude_factor: f64,
}

/// The drill at altitude.
#[derive(Debug, Clone, Serialize)]
pub struct AltitudeFigures {
    sea_level_drill: String,
    area_ratio: f64,
    diameter: Figure<Length>,
    drill: String,
    drill_diameter: Figure<Length>,
}

const DRILLS: &str = "number drills, ANSI/ASME B94.11M";
const SMALLER: FindingKind = FindingKind::caution(1, "smaller_than_smallest_drill", DRILLS);
const LARGER: FindingKind = FindingKind::caution(2, "larger_than_largest_drill", DRILLS);
const BELOW_2000_FT: FindingKind = FindingKind::info(
    3,
    "below_2000_ft",
    "fuel gas code: input is reduced above 2,000 ft",
);
const ONE_DRILL: FindingKind = FindingKind::info(
    4,
    "one_drill_tolerance",
    "reckoned; within one drill of every cell of NFPA 54 table E.1.1(d), the same in 366 of 396",
);
const MAKERS: FindingKind = FindingKind::caution(
    5,
    "makers_orifice_governs",
    "the appliance's listing and its manual, common practice",
);

impl Reckoning for Orifice {
    const NAME: &'static str = "orifice";
    const PURPOSE: &'static str =
        "Which drill gives the burner its input, what a drill passes, and what altitude does to it.";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        match input {
            Input::SizeForInput(input) => size_for_input(input),
            Input::FlowOfDrill(input) => flow_of_drill(input),
            Input::AltitudeEquivalent(input) => altitude_equivalent(input),
        }
    }
}

fn size_for_input(input: &SizeForInput) -> Result<Answer<Figures>, Refusal> {
    let supply = supply(
        &input.site,
        &input.gas,
        input.manifold_pressure,
        input.discharge_coefficient,
    )?;
    let found = hole::size_for_input(&supply, input.heating_value, input.input);
    let mut trace = trace_supply(&supply);
    trace.quantity("flow for the input", found.flow);
    trace.quantity("area of the hole", found.area);
    trace.quantity("diameter of the hole", found.diameter);

    let mut findings = Findings::default();
    if found.below.is_none() {
        findings.add(
            SMALLER,
            format!(
                "A hole of {} is smaller than drill 80, the smallest. Look at input, pressure and heating value again.",
                both(found.diameter)
            ),
        );
    }
    if found.above.is_none() {
        findings.add(
            LARGER,
            format!(
                "A hole of {} is larger than drill 1, the largest. Look at input, pressure and heating value again.",
                both(found.diameter)
            ),
        );
    }
    let nearest = found.below.map_or_else(String::new, |below| {
        format!(
            " Drill {} would give {}, {} of what is wanted.",
            below.drill.number,
            both(below.input),
            percent(below.ratio)
        )
    });
    findings.add(MAKERS, makers_orifice(&nearest));
    let recommended_drill = found.below.map(|below| below.drill.number.to_string());
    Ok(answer(
        Figures::Size(SizeFigures {
            flow: found.flow.into(),
            area: found.area.into(),
            diameter: found.diameter.into(),
            drill_below: found.below.map(DrillFigures::from),
            drill_above: found.above.map(DrillFigures::from),
            recommended_drill,
            altitude_factor: supply.altitude_factor(),
        }),
        findings,
        trace,
    ))
}

fn flow_of_drill(input: &FlowOfDrill) -> Result<Answer<Figures>, Refusal> {
    let supply = supply(
        &input.site,
        &input.gas,
        input.manifold_pressure,
        input.discharge_coefficient,
    )?;
    let given = [
        ("drill", input.drill.is_some()),
        ("diameter", input.diameter.is_some()),
    ];
    exactly_one(&Pointer::root(), &given)?;
    let diameter = input
        .drill
        .map(|name| name.0.diameter)
        .or(input.diameter)
        .unwrap_or_else(|| Length::from_base(0.0));
    let area = hole::hole_area(diameter);
    let flow = supply.flow(area);
    let mut trace = trace_supply(&supply);
    trace.quantity("area of the hole", area);
    trace.quantity("flow", flow);
    Ok(answer(
        Figures::Flow(FlowFigures {
            diameter: diameter.into(),
            area: area.into(),
            flow: flow.into(),
            input: input
                .heating_value
                .map(|heating_value| heat_of(flow, heating_value).into()),
            altitude_factor: supply.altitude_factor(),
        }),
        Findings::default(),
        trace,
    ))
}

fn altitude_equivalent(input: &AltitudeDrill) -> Result<Answer<Figures>, Refusal> {
    let sea_level = input.drill.0;
    let reduction = input.reduction_per_1000_ft;
    let pressure = input.site.pressure();
    let Some(found) = hole::altitude_equivalent(sea_level, input.site.altitude, pressure, reduction) else {
        return Err(Refusal::inconsistent(
            Pointer::root().key("reduction_per_1000_ft"),
            format!(
                "A reduction of {} per 1,000 ft leaves no input at {}. Look at both figures again.",
                percent(reduction),
                both(input.site.altitude)
            ),
        ));
    };
    let AltitudeEquivalent {
        area_ratio,
        diameter,
        drill,
        below_2000_ft,
    } = found;
    let mut trace = Trace::default();
    trace.quantity("altitude", input.site.altitude);
    trace.quantity("air pressure", pressure);
    trace.number("area ratio", area_ratio);
    trace.quantity("sea-level diameter", sea_level.diameter);
    trace.quantity("wanted diameter", diameter);

    let mut findings = Findings::default();
    if below_2000_ft {
        findings.add(
            BELOW_2000_FT,
            format!(
                "The site lies below 2,000 ft. The sea-level drill {} stays.",
                sea_level.number
            ),
        );
    } else {
        findings.add(
            ONE_DRILL,
            format!(
                "Drill {} takes the place of {} at {}. The code's table may print one drill more or less; go by the table in the manual.",
                drill.number,
                sea_level.number,
                both(input.site.altitude)
            ),
        );
    }
    findings.add(MAKERS, makers_orifice(""));
    Ok(answer(
        Figures::Altitude(AltitudeFigures {
            sea_level_drill: sea_level.number.to_string(),
            area_ratio,
            diameter: diameter.into(),
            drill: drill.number.to_string(),
            drill_diameter: drill.diameter.into(),
        }),
        findings,
        trace,
    ))
}

fn supply(
    site: &Site,
    gas: &GasWeight,
    manifold_pressure: Pressure,
    coefficient: f64,
) -> Result<Supply, Refusal> {
    Ok(Supply {
        specific_gravity: gas.weight()?,
        manifold_pressure,
        discharge_coefficient: coefficient,
        site_pressure: site.pressure(),
    })
}

fn trace_supply(supply: &Supply) -> Trace {
    let mut trace = Trace::default();
    trace.quantity("air pressure", supply.site_pressure);
    trace.number("altitude factor", supply.altitude_factor());
    trace.number("specific gravity", supply.specific_gravity);
    trace.quantity("manifold pressure", supply.manifold_pressure);
    trace.line(
        "flow per square inch",
        supply.customary_flow_per_area(),
        "cfh/in2",
    );
    trace
}

fn makers_orifice(before: &str) -> String {
    format!(
        "Only the maker's stamped orifice goes into this burner.{before} Hold the figure against the part and the \
         manual; never drill an orifice in the field."
    )
}

fn answer(figures: Figures, findings: Findings, trace: Trace) -> Answer<Figures> {
    Answer {
        verdict: None,
        figures,
        findings: findings.finish(),
        trace: trace.finish(),
        notes: vec![GOVERNS],
    }
}
