//! Meter clock: the burner's input by the meter, against what it may take at this site.
//!
//! Only the stove may burn, at a steady fire. Propane without a meter can't be clocked. What to do about
//! a finding is what the manual says.

pub mod clocking;

use serde::Serialize;

use crate::compare::at_most;
use crate::form::{
    Answer, Figure, FindingKind, Findings, Flat, Pointer, Reckoning, Refusal, Trace, Verdict, choice,
    exactly_one, input, over, within,
};
use crate::gas::site::{Base, Site};
use crate::notes::GOVERNS;
use crate::quantities::{HeatingValue, Power, Pressure, ThermodynamicTemperature, Time, Volume, VolumeRate};
use crate::words::{both, percent};
use clocking::{Clocking, Counted, Firing, HeatingValueBasis, Reading};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct MeterClock;

choice! {
    /// What volume the heating value is for.
    pub enum Basis {
        /// A standard volume.
        Standard = "standard",
        /// A volume as this meter counts it, as the utility tells it for the site.
        AsMetered = "as_metered",
    }
}

input! {
    /// One clocking and what it is held against.
    pub struct Input {
        /// Volume of one turn of the test dial.
        pub dial_volume: Option<Volume> = over(0.0, 1.0),
        /// Volume counted by the index digits, for meters without a test dial.
        pub counted_volume: Option<Volume> = over(0.0, 100.0),
        /// Volume of the last readable digit of the index.
        pub index_resolution: Option<Volume> = over(0.0, 1.0),
        /// Time for all of it.
        pub time: Time = within(1.0, 7200.0),
        /// Turns of the dial in that time; 1 unless given.
        pub revolutions: Option<u32> = within(1.0, 1000.0),
        /// How far that time may be off.
        pub timing_uncertainty: Time = within(0.0, 10.0).or("0.5 s"),
        /// Gauge pressure at the meter.
        pub meter_pressure: Pressure = within(0.0, 1e6).or("0.25 psi"),
        /// Gas temperature at the meter.
        pub meter_temperature: ThermodynamicTemperature = within(-40.0, 60.0).or("60 degF"),
        /// Whether the meter corrects for temperature itself.
        pub temperature_compensated: bool = crate::form::any().or(false),
        /// Heat per volume of gas.
        pub heating_value: HeatingValue = within(1e6, 200e6),
        /// What volume that is for.
        pub heating_value_basis: Basis = crate::form::any().or("standard"),
        /// Plate input at sea level.
        pub plate_input: Option<Power> = over(0.0, 200e3),
        /// What the site leaves of the plate input.
        pub derate_factor: f64 = within(0.3, 1.0).or(1.0),
        /// Share by which the input may lie over the limit.
        pub over_tolerance: f64 = within(0.0, 0.25).or(0.0),
        /// Share by which it may lie under.
        pub under_tolerance: f64 = within(0.0, 0.5).or(0.05),
        /// Where the site lies.
        pub site: Flat<Site>,
        /// The standard volume.
        pub base: Flat<Base>,
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    flow_metered: Figure<VolumeRate>,
    flow_standard: Figure<VolumeRate>,
    correction: f64,
    correction_used: f64,
    input: Figure<Power>,
    input_low: Figure<Power>,
    input_high: Figure<Power>,
    relative_uncertainty: f64,
    limit: Option<Figure<Power>>,
    ratio: Option<f64>,
}

const ONLY_THE_STOVE: &str = "Only the stove may burn while the meter is clocked, at a steady fire. Propane without a meter \
     can't be clocked.";
const COMMON: &str = "common practice, no source";
const ONE_TURN: FindingKind = FindingKind::info(1, "one_turn_only", COMMON);
const TIMING_COARSE: FindingKind = FindingKind::caution(2, "timing_coarse", COMMON);
const INDEX_COARSE: FindingKind = FindingKind::caution(3, "index_coarse", COMMON);
const ASK_UTILITY: FindingKind = FindingKind::info(
    4,
    "ask_utility_for_site_heating_value",
    "hvactechhangout.com/home/system-measurements/how-to-clock-a-gas-meter/",
);
const PLATE: &str = "the rating plate and the manual; 5 % shortfall is common practice";
const NO_PLATE: FindingKind = FindingKind::caution(5, "no_plate", PLATE);
const OVER_PLATE: FindingKind = FindingKind::stop(6, "over_plate", PLATE);
const UNDER_FIRED: FindingKind = FindingKind::caution(7, "under_fired", PLATE);
const STRADDLES: FindingKind = FindingKind::caution(8, "straddles_limit", PLATE);

/// Above this share of the time or of the counted volume a reading is coarse.
const COARSE: f64 = 0.02;

impl Reckoning for MeterClock {
    const NAME: &'static str = "meter_clock";
    const PURPOSE: &'static str =
        "The burner's input by the meter, and whether it is what the plate allows at this site.";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let counted = counted(input)?;
        if at_most(input.time.value, input.timing_uncertainty.value) {
            return Err(Refusal::out_of_range(
                Pointer::root().key("timing_uncertainty"),
                format!(
                    "The time is {}, and it must be longer than its uncertainty. Watch more turns of the dial.",
                    both(input.time)
                ),
            ));
        }
        let clocking = Clocking {
            counted,
            time: input.time,
            timing_uncertainty: input.timing_uncertainty,
            meter_pressure: input.meter_pressure,
            meter_temperature: input.meter_temperature,
            temperature_compensated: input.temperature_compensated,
            heating_value: input.heating_value,
            basis: match input.heating_value_basis {
                Basis::Standard => HeatingValueBasis::Standard,
                Basis::AsMetered => HeatingValueBasis::AsMetered,
            },
            plate_input: input.plate_input,
            derate_factor: input.derate_factor,
            over_tolerance: input.over_tolerance,
            under_tolerance: input.under_tolerance,
            site_pressure: input.site.pressure(),
            base: clocking::Base {
                pressure: input.base.base_pressure.0,
                temperature: input.base.base_temperature,
            },
        };
        let reading = clocking::read(&clocking);
        Ok(Answer {
            verdict: Some(match reading.firing {
                Firing::Over => Verdict::Fail,
                Firing::Under => Verdict::Caution,
                Firing::Within => Verdict::Pass,
                Firing::NoPlate | Firing::Straddles => Verdict::CannotTell,
            }),
            findings: findings(input, &clocking, &reading).finish(),
            trace: trace(&clocking, &reading).finish(),
            figures: figures(&reading),
            notes: vec![GOVERNS, ONLY_THE_STOVE],
        })
    }
}

fn counted(input: &Input) -> Result<Counted, Refusal> {
    let root = Pointer::root();
    let given = [
        ("dial_volume", input.dial_volume.is_some()),
        ("counted_volume", input.counted_volume.is_some()),
    ];
    exactly_one(&root, &given)?;
    let Some(volume) = input.counted_volume else {
        if input.index_resolution.is_some() {
            return Err(Refusal::inconsistent(
                root.key("index_resolution"),
                "The last digit of the index counts only with counted_volume. Leave it out, or count by the index.",
            ));
        }
        return Ok(Counted::Dial {
            volume: input.dial_volume.unwrap_or_default(),
            revolutions: input.revolutions.unwrap_or(1),
        });
    };
    let Some(resolution) = input.index_resolution else {
        return Err(Refusal::missing(
            root.key("index_resolution"),
            "The volume of the last readable digit of the index is needed with counted_volume. Add it.",
        ));
    };
    if at_most(volume.value, resolution.value) {
        return Err(Refusal::out_of_range(
            root.key("index_resolution"),
            format!(
                "{} were counted and the last digit is {}: one digit says nothing. Count for longer.",
                both(volume),
                both(resolution)
            ),
        ));
    }
    if input.revolutions.is_some() {
        return Err(Refusal::inconsistent(
            root.key("revolutions"),
            "Turns belong to a dial, and the index was counted. Leave revolutions out.",
        ));
    }
    Ok(Counted::Index { volume, resolution })
}

fn findings(input: &Input, clocking: &Clocking, reading: &Reading) -> Findings {
    let mut findings = Findings::default();
    if matches!(
        clocking.counted,
        Counted::Dial {
            revolutions: 0 | 1,
            ..
        }
    ) {
        findings.add(
            ONE_TURN,
            "One turn was timed. Two or more turns average out the needle's unevenness.",
        );
    }
    let timing = (clocking.timing_uncertainty / clocking.time).value;
    if !at_most(timing, COARSE) {
        findings.add(
            TIMING_COARSE,
            format!(
                "The watch may be off by {} of the time. Time more turns, until it is under 2 %.",
                percent(timing)
            ),
        );
    }
    if let Counted::Index { volume, resolution } = clocking.counted {
        let coarse = (resolution / volume).value;
        if !at_most(coarse, COARSE) {
            findings.add(
                INDEX_COARSE,
                format!(
                    "One digit of the index is {} of what was counted. Count for longer, until it is under 2 %.",
                    percent(coarse)
                ),
            );
        }
    }
    let standard = input.heating_value_basis == Basis::Standard;
    if standard && input.site.above_2000_ft() && input.site.barometer.is_none() {
        findings.add(
            ASK_UTILITY,
            format!(
                "The site lies at {} and the air pressure comes from a table. Ask the utility for the heating value as \
                 metered at this site.",
                both(input.site.altitude)
            ),
        );
    }
    let band = format!("{} to {}", both(reading.input_low), both(reading.input_high));
    match (reading.firing, reading.limit) {
        (Firing::NoPlate, _) | (_, None) => findings.add(
            NO_PLATE,
            format!("The burner takes {}, and no plate input is there to hold it against. Read the plate.", both(reading.input)),
        ),
        (Firing::Over, Some(limit)) => findings.add(
            OVER_PLATE,
            format!(
                "The burner takes {band}, more than the {} it may take at this site. Turn it off and check manifold \
                 pressure and orifice as the manual says.",
                both(limit)
            ),
        ),
        (Firing::Under, Some(limit)) => findings.add(
            UNDER_FIRED,
            format!(
                "The burner takes {band}, less than the {} it may take at this site. Check inlet and manifold pressure \
                 and orifice as the manual says.",
                both(limit)
            ),
        ),
        (Firing::Straddles, Some(limit)) => findings.add(
            STRADDLES,
            format!(
                "The burner takes {band}; the limit is {}, so the reading can't tell. Clock more turns for a narrower band.",
                both(limit)
            ),
        ),
        (Firing::Within, Some(_)) => {}
    }
    findings
}

fn trace(clocking: &Clocking, reading: &Reading) -> Trace {
    let mut trace = Trace::default();
    trace.quantity("volume counted", clocking.counted.volume());
    trace.quantity("flow as metered", reading.flow_metered);
    trace.quantity("air pressure", clocking.site_pressure);
    trace.number("correction to standard volume", reading.correction);
    trace.number("correction used", reading.correction_used);
    trace.quantity("input", reading.input);
    if let (Some(lower), Some(limit), Some(upper)) = (reading.lower, reading.limit, reading.upper) {
        trace.quantity("limit", limit);
        trace.quantity("least accepted", lower);
        trace.quantity("most accepted", upper);
    }
    trace
}

fn figures(reading: &Reading) -> Figures {
    Figures {
        flow_metered: reading.flow_metered.into(),
        flow_standard: reading.flow_standard.into(),
        correction: reading.correction,
        correction_used: reading.correction_used,
        input: reading.input.into(),
        input_low: reading.input_low.into(),
        input_high: reading.input_high.into(),
        relative_uncertainty: reading.relative_uncertainty,
        limit: reading.limit.map(Figure::from),
        ratio: reading.ratio,
    }
}
