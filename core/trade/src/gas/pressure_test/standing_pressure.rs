//! The standing pressure test: its input, its findings, its answer.

use serde::Serialize;

use super::GAS_SMELL;
use super::gas_law::{self, Marks, Moment, Rule, StandingAnswer, StandingTest};
use crate::form::{
    Answer, Figure, FindingKind, Findings, Flat, Pointer, Refusal, Trace, Verdict, any, choice, exactly_one,
    input, items, over, within,
};
use crate::gas::pipe_size::SizeText;
use crate::gas::pipe_sizes::PipeMaterial;
use crate::gas::site::{Base, Site};
use crate::notes::GOVERNS;
use crate::quantities::{
    AbsolutePressure, Length, Pressure, Quantity, TemperatureInterval, ThermodynamicTemperature, Time,
    Volume, VolumeRate,
};
use crate::words::both;

choice! {
    /// What the pipe was pumped up with.
    pub enum Medium {
        /// Air.
        Air = "air",
        /// Nitrogen.
        Nitrogen = "nitrogen",
        /// Carbon dioxide.
        CarbonDioxide = "carbon_dioxide",
        /// Another inert gas.
        InertGas = "inert_gas",
        /// The fuel gas, which is not allowed.
        FuelGas = "fuel_gas",
        /// Oxygen, which is never allowed.
        Oxygen = "oxygen",
    }
}

choice! {
    /// A kind of pipe.
    pub enum Material {
        /// Schedule 40 steel pipe.
        Schedule40 = "schedule_40",
        /// Copper tube, type K or L.
        CopperKL = "copper_k_l",
    }
}

input! {
    /// The start or the end of the test.
    pub struct Reading {
        /// Gauge pressure.
        pub pressure: Pressure = within(0.0, 1e6),
        /// Temperature of the gas in the pipe, at both moments or at none.
        pub gas_temperature: Option<ThermodynamicTemperature> = within(-60.0, 80.0),
        /// Barometer at that moment; the site's unless given.
        pub barometer: Option<AbsolutePressure> = within(50e3, 110e3),
    }
}

input! {
    /// A run of pipe.
    pub struct Pipe {
        /// Length.
        pub length: Length = within(0.0, 100.0),
        /// Trade size.
        pub size: Option<SizeText>,
        /// Inside diameter, when the size is not in the table.
        pub inside_diameter: Option<Length> = over(0.0, 0.3),
        /// What it is made of.
        pub material: Material = any().or("schedule_40"),
    }
}

input! {
    /// A standing pressure test.
    pub struct Input {
        /// Highest pressure the pipe will work at, gauge.
        pub max_working_pressure: Pressure = within(0.0, 1e6),
        /// What it was pumped up with.
        pub medium: Medium,
        /// Time between start and end.
        pub duration: Time = over(0.0, 172_800.0),
        /// Where the site lies.
        pub site: Flat<Site>,
        /// When the clock started.
        pub start: Reading,
        /// When it stopped.
        pub end: Reading,
        /// Inside volume of all the pipe.
        pub volume: Option<Volume> = over(0.0, 1000.0),
        /// The pipe, from which the volume follows.
        pub pipes: Option<Vec<Pipe>> = items(1, 200),
        /// Whether the house is a single-family one.
        pub single_family: bool = any().or(true),
        /// Smallest step read on the gauge.
        pub gauge_resolution: Pressure = over(0.0, 1e5),
        /// Top of the gauge's scale.
        pub gauge_full_scale: Option<Pressure> = over(0.0, 1e7),
        /// How far each gas temperature may be off; 0.5 K with temperatures, 3 K without.
        pub temperature_uncertainty: Option<TemperatureInterval> = within(0.0, 20.0),
        /// Least test pressure, gauge.
        pub minimum_test_pressure: Pressure = within(0.0, 1e6).or("3 psi"),
        /// Test pressure over working pressure.
        pub pressure_factor: f64 = within(1.0, 3.0).or(1.5),
        /// Least time, where the local rule has its own.
        pub minimum_duration: Option<Time> = within(0.0, 172_800.0),
        /// Largest leak that may stay unseen.
        pub leak_limit: Option<VolumeRate> = over(0.0, 1.0),
        /// The standard volume.
        pub base: Flat<Base>,
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    required_pressure_gauge: Figure<Pressure>,
    required_time: Figure<Time>,
    volume: Figure<Volume>,
    raw_change: Figure<Pressure>,
    expected_end_gauge: Figure<Pressure>,
    compensated_change: Figure<Pressure>,
    detectable_change: Figure<Pressure>,
    leak_rate: Figure<VolumeRate>,
    detectable_leak: Figure<VolumeRate>,
}

const MEDIA: &str = "IRC 2018 G2417.2, online.flipbuilder.com/mewf/mima/files/basic-html/page606.html";
const REDUCTION: &str =
    "any reduction is a leak unless readily attributed to another cause, NFPA 54 8.1.5.2, from memory";
const PRESSURE: &str = "3 psig and 10 min: ufgscriteriadocreport.tpub.com/15190A/15190A0017.htm; 1.5 times the working pressure: NFPA 54 8.1.4, from memory";
const DURATION: &str = "10 min: ufgscriteriadocreport.tpub.com/15190A/15190A0017.htm; half an hour per 500 ft3, at most 24 h: NFPA 54 8.1.4, from memory";
const GAS_LAW: &str = "ufgscriteriadocreport.tpub.com/15195N/15195N0019.htm";
const COMMON: &str = "common practice, no source";

const OXYGEN: FindingKind = FindingKind::stop(1, "oxygen_forbidden", MEDIA);
const FUEL_GAS: FindingKind = FindingKind::stop(2, "fuel_gas_as_medium", MEDIA);
const LEAK: FindingKind = FindingKind::stop(3, "leak_indicated", REDUCTION);
const PRESSURE_LOW: FindingKind = FindingKind::caution(4, "test_pressure_low", PRESSURE);
const TOO_SHORT: FindingKind = FindingKind::caution(5, "test_too_short", DURATION);
const FALL: FindingKind = FindingKind::caution(6, "fall_may_be_temperature", REDUCTION);
const RISE: FindingKind = FindingKind::caution(7, "unexplained_rise", GAS_LAW);
const COARSE: FindingKind = FindingKind::caution(8, "too_coarse_for_limit", GAS_LAW);
const HIDES: FindingKind = FindingKind::info(9, "temperature_hides_leak", GAS_LAW);
const RANGE: FindingKind = FindingKind::caution(10, "gauge_range", COMMON);
const NO_TEMPERATURE: FindingKind = FindingKind::info(11, "temperature_not_recorded", GAS_LAW);

/// The standing pressure test's reckoning.
pub(super) fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
    let temperatures = temperatures(input)?;
    let test = StandingTest {
        rule: Rule {
            max_working_pressure: input.max_working_pressure,
            minimum_test_pressure: input.minimum_test_pressure,
            pressure_factor: input.pressure_factor,
            minimum_duration: input.minimum_duration,
            single_family: input.single_family,
        },
        volume: volume(input)?,
        start: moment(input, &input.start),
        end: moment(input, &input.end),
        temperatures_taken: temperatures,
        duration: input.duration,
        gauge_resolution: input.gauge_resolution,
        gauge_full_scale: input.gauge_full_scale,
        temperature_uncertainty: input
            .temperature_uncertainty
            .unwrap_or_else(|| TemperatureInterval::from_base(if temperatures { 0.5 } else { 3.0 })),
        leak_limit: input.leak_limit,
        base: crate::gas::meter_clock::clocking::Base {
            pressure: input.base.base_pressure.0,
            temperature: input.base.base_temperature,
        },
    };
    let found = gas_law::judge(&test);
    let findings = findings(input, &test, &found);
    Ok(Answer {
        verdict: Some(verdict(&findings, &found.marks)),
        figures: Figures {
            required_pressure_gauge: found.required_pressure.into(),
            required_time: found.required_time.into(),
            volume: test.volume.into(),
            raw_change: found.raw_change.into(),
            expected_end_gauge: found.expected_end.into(),
            compensated_change: found.compensated_change.into(),
            detectable_change: found.detectable_change.into(),
            leak_rate: found.leak_rate.into(),
            detectable_leak: found.detectable_leak.into(),
        },
        trace: trace(&test, &found).finish(),
        findings: findings.finish(),
        notes: vec![GOVERNS, GAS_SMELL],
    })
}

/// Whether gas temperatures were taken: at both moments or at none.
fn temperatures(input: &Input) -> Result<bool, Refusal> {
    let lacking = match (input.start.gas_temperature, input.end.gas_temperature) {
        (Some(_), Some(_)) => return Ok(true),
        (None, None) => return Ok(false),
        (Some(_), None) => "/end/gas_temperature",
        (None, Some(_)) => "/start/gas_temperature",
    };
    Err(Refusal::missing(
        lacking,
        "The gas temperature was taken at one moment only. Add the other, or leave both out.",
    ))
}

fn volume(input: &Input) -> Result<Volume, Refusal> {
    let root = Pointer::root();
    let (volume, pipes) = match (&input.volume, &input.pipes) {
        (Some(volume), None) => return Ok(*volume),
        (None, Some(pipes)) => (Volume::from_base(0.0), pipes),
        (Some(_), Some(_)) => {
            return Err(Refusal::inconsistent(
                root.key("pipes"),
                "The volume is given, and the pipes it would follow from too. Leave one of them out.",
            ));
        }
        (None, None) => {
            return Err(Refusal::missing(
                root.key("pipes"),
                "The volume of the pipe is needed. List the pipes, or give the volume.",
            ));
        }
    };
    pipes.iter().enumerate().try_fold(volume, |sum, (place, pipe)| {
        let at = root.key("pipes").item(place);
        Ok(sum + gas_law::pipe_volume(pipe.length, inside_diameter(pipe, &at)?))
    })
}

fn inside_diameter(pipe: &Pipe, at: &Pointer) -> Result<Length, Refusal> {
    exactly_one(
        at,
        &[
            ("size", pipe.size.is_some()),
            ("inside_diameter", pipe.inside_diameter.is_some()),
        ],
    )?;
    let material = match pipe.material {
        Material::Schedule40 => PipeMaterial::Schedule40,
        Material::CopperKL => PipeMaterial::CopperKL,
    };
    match (&pipe.size, pipe.inside_diameter) {
        (Some(text), _) => Ok(text.size(material, &at.key("size"))?.inside_diameter),
        (None, given) => Ok(given.unwrap_or_default()),
    }
}

fn moment(input: &Input, reading: &Reading) -> Moment {
    let untaken = || ThermodynamicTemperature::from_base(20.0);
    Moment {
        gauge: reading.pressure,
        barometer: reading
            .barometer
            .map_or_else(|| input.site.pressure(), |barometer| barometer.0),
        gas_temperature: reading.gas_temperature.unwrap_or_else(untaken),
    }
}

fn verdict(findings: &Findings, marks: &Marks) -> Verdict {
    let open = marks.pressure_low
        || marks.too_short
        || marks.fall_may_be_temperature
        || marks.unexplained_rise
        || marks.too_coarse_for_limit;
    match findings.verdict() {
        Verdict::Caution if open => Verdict::CannotTell,
        verdict => verdict,
    }
}

fn findings(input: &Input, test: &StandingTest, found: &StandingAnswer) -> Findings {
    let marks = found.marks;
    let mut findings = Findings::default();
    match input.medium {
        Medium::Oxygen => findings.add(
            OXYGEN,
            "The pipe was pumped up with oxygen, which burns what it meets. Let it off outdoors, purge the pipe, and test \
             with air or an inert gas.",
        ),
        Medium::FuelGas => findings.add(
            FUEL_GAS,
            "The pipe was tested with fuel gas. Test it with air or an inert gas; a live system has the meter's dial or \
             the hold check.",
        ),
        Medium::Air | Medium::Nitrogen | Medium::CarbonDioxide | Medium::InertGas => {}
    }
    if marks.leak_indicated {
        findings.add(
            LEAK,
            format!(
                "The pipe lost {} once temperature and barometer are taken out, more than the {} the test can mistake. \
                 Find the leak with leak fluid, mend it, and test again from the start.",
                both(-found.compensated_change),
                both(found.detectable_change)
            ),
        );
    }
    if marks.pressure_low {
        findings.add(
            PRESSURE_LOW,
            format!(
                "The test started at {}, and it needs at least {}. Pump it up and test again.",
                both(input.start.pressure),
                both(found.required_pressure)
            ),
        );
    }
    if marks.too_short {
        findings.add(
            TOO_SHORT,
            format!(
                "The test stood for {}, and it needs {}. Test again for that long.",
                both(input.duration),
                both(found.required_time)
            ),
        );
    }
    if marks.fall_may_be_temperature {
        findings.add(
            FALL,
            format!(
                "The gauge fell by {}. That may be the temperature, and a falling gauge is a failed test until a settled one \
                 passes: let it settle for about ten minutes, pump it up to the test pressure, and start the test again.",
                both(-found.raw_change)
            ),
        );
    }
    if marks.unexplained_rise {
        findings.add(
            RISE,
            format!(
                "There is {} more at the end than temperature and barometer explain. Look whether something feeds the pipe or \
                 the gauge was read in the sun, and start the test again.",
                both(found.compensated_change)
            ),
        );
    }
    if let Some(limit) = input.leak_limit.filter(|_| marks.too_coarse_for_limit) {
        findings.add(
            COARSE,
            format!(
                "The smallest leak this test can see is {}, and the limit is {}. Test for longer, with a finer gauge, or with \
                 temperatures taken.",
                both(found.detectable_leak),
                both(limit)
            ),
        );
    }
    if marks.temperature_hides_leak {
        findings.add(
            HIDES,
            format!(
                "The gauge hardly moved while the gas warmed up; a tight pipe would stand at {}. Go by the compensated \
                 change.",
                both(found.expected_end)
            ),
        );
    }
    if let Some(scale) = input.gauge_full_scale.filter(|_| marks.gauge_range) {
        findings.add(
            RANGE,
            format!(
                "The gauge reads up to {}, more than five times the test pressure of {}. Take a gauge of a smaller range.",
                both(scale),
                both(input.start.pressure)
            ),
        );
    }
    if !test.temperatures_taken {
        findings.add(
            NO_TEMPERATURE,
            "No gas temperature was taken. Take it at start and end, so that what the temperature does is known.",
        );
    }
    findings
}

fn trace(test: &StandingTest, found: &StandingAnswer) -> Trace {
    let mut trace = Trace::default();
    trace.quantity("required test pressure", found.required_pressure);
    trace.quantity("required time", found.required_time);
    trace.quantity("volume of the pipe", test.volume);
    for (name, moment) in [("start", test.start), ("end", test.end)] {
        trace.quantity(format!("{name}, gauge"), moment.gauge);
        trace.quantity(format!("{name}, barometer"), AbsolutePressure(moment.barometer));
        trace.quantity(format!("{name}, gas temperature"), moment.gas_temperature);
    }
    trace.quantity("expected end of a tight pipe, gauge", found.expected_end);
    trace.quantity("compensated change", found.compensated_change);
    trace.quantity("detectable change", found.detectable_change);
    trace
}
