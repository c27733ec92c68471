//! Flue gas: the analyser's reading as air ratio, efficiency, and carbon monoxide in the flue and the room.
//!
//! The reading is taken only at the maker's port; most sealed vents have none, and nobody drills one.

pub mod reading;

use serde::Serialize;

use crate::compare::at_most;
use crate::form::{
    Answer, Figure, FindingKind, Findings, Flat, Pointer, Reckoning, Refusal, Trace, Verdict, exactly_one,
    input, within,
};
use crate::gas::fuel_gas::FuelGas;
use crate::gas::site::Site;
use crate::notes::GOVERNS;
use crate::quantities::{AbsolutePressure, ThermodynamicTemperature};
use crate::words::both;
use reading::{DryReading, FlueGasReading, Probe};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct FlueGas;

input! {
    /// A reading, the air that fed the fire, and the limits it is held against.
    pub struct Input {
        /// The fuel gas.
        pub fuel: Flat<FuelGas>,
        /// Oxygen in the dry gas, as a share.
        pub o2_dry: Option<f64> = within(0.0, 0.20),
        /// Carbon dioxide in the dry gas, as a share.
        pub co2_dry: Option<f64> = within(0.005, 0.20),
        /// Carbon monoxide in the dry gas as read, parts per million.
        pub co_ppm: Option<f64> = within(0.0, 50_000.0),
        /// Temperature of the flue gas.
        pub flue_temperature: ThermodynamicTemperature = within(-20.0, 700.0),
        /// Where the site lies.
        pub site: Flat<Site>,
        /// Temperature of the combustion air, at the intake of a balanced flue.
        pub air_temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// Its relative humidity.
        pub relative_humidity: f64 = within(0.0, 1.0).or(0.0),
        /// Carbon monoxide free of air above which somebody has to look, parts per million.
        pub co_caution_ppm: f64 = within(1.0, 5000.0).or(100.0),
        /// Carbon monoxide free of air above which the stove goes off, parts per million.
        pub co_stop_ppm: f64 = within(1.0, 5000.0).or(400.0),
        /// Carbon monoxide in the room, parts per million.
        pub room_co_ppm: Option<f64> = within(0.0, 50_000.0),
        /// Carbon monoxide outdoors, parts per million.
        pub outdoor_co_ppm: Option<f64> = within(0.0, 1000.0),
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    air_ratio: f64,
    excess_air: f64,
    o2_dry: f64,
    co2_dry: f64,
    co2_max_dry: f64,
    dew_point: Option<Figure<ThermodynamicTemperature>>,
    dry_loss: f64,
    vapour_loss: f64,
    latent_loss: f64,
    co_loss: f64,
    efficiency_gross: f64,
    efficiency_net: f64,
    dilution: f64,
    co_air_free_ppm: Option<f64>,
}

const LIMITS: &str = "400 ppm air-free: appliance standards, from memory; 100 ppm: common practice, no source; the manual's \
     own limits go first";
const ROOM_STEPS: &str = "forum.nachi.org/t/carbon-monoxide/169908, a trade protocol; a second one agrees";
const READING: &str = "the reading itself";
const TOO_DILUTE: FindingKind = FindingKind::caution(1, "reading_too_dilute", READING);
const CO_NOT_MEASURED: FindingKind = FindingKind::caution(2, "co_not_measured", READING);
const FLUE_STOP: FindingKind = FindingKind::stop(3, "flue_co_stop", LIMITS);
const FLUE_HIGH: FindingKind = FindingKind::caution(4, "flue_co_high", LIMITS);
const ROOM_EVACUATE: FindingKind = FindingKind::stop(5, "room_co_evacuate", ROOM_STEPS);
const ROOM_STOP: FindingKind = FindingKind::stop(6, "room_co_stop", ROOM_STEPS);
const ROOM_ADVISE: FindingKind = FindingKind::caution(7, "room_co_advise", ROOM_STEPS);
const ABOVE_OUTDOORS: FindingKind = FindingKind::caution(8, "room_co_above_outdoors", ROOM_STEPS);
const COLDER: FindingKind = FindingKind::caution(9, "flue_colder_than_air", READING);
const CONDENSING: FindingKind = FindingKind::caution(10, "condensing", READING);
const PORT_ONLY: FindingKind = FindingKind::info(
    11,
    "read_at_makers_port_only",
    "the vent's listing and the manual",
);

/// Above this dilution a flue reading says little about the fire.
const MOST_DILUTION: f64 = 10.0;
/// Room steps, parts per million.
const ADVISE_PPM: f64 = 9.0;
const STOP_PPM: f64 = 36.0;
const EVACUATE_PPM: f64 = 100.0;

impl Reckoning for FlueGas {
    const NAME: &'static str = "flue_gas";
    const PURPOSE: &'static str = "What the analyser's reading says of air, efficiency and carbon monoxide.";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let probe = probe(input)?;
        if !at_most(input.co_caution_ppm, input.co_stop_ppm) {
            return Err(Refusal::inconsistent(
                Pointer::root().key("co_stop_ppm"),
                format!(
                    "The stop at {} ppm lies below the caution at {} ppm. Look at both limits again.",
                    input.co_stop_ppm, input.co_caution_ppm
                ),
            ));
        }
        let Some(found) = reading::read(&probe) else {
            return Err(Refusal::inconsistent(
                Pointer::root().key("co2_dry"),
                "More carbon dioxide was read than this fuel can give. Look at the fuel set in the analyser and read again.",
            ));
        };
        let findings = findings(input, &found);
        Ok(Answer {
            verdict: Some(verdict(input, &findings)),
            trace: trace(&probe, &found).finish(),
            findings: findings.finish(),
            notes: vec![GOVERNS],
            figures: Figures {
                air_ratio: found.air_ratio,
                excess_air: found.air_ratio - 1.0,
                o2_dry: found.o2_dry,
                co2_dry: found.co2_dry,
                co2_max_dry: found.co2_max_dry,
                dew_point: found.dew_point.map(Figure::from),
                dry_loss: found.dry_loss,
                vapour_loss: found.vapour_loss,
                latent_loss: found.latent_loss,
                co_loss: found.co_loss,
                efficiency_gross: found.efficiency_gross,
                efficiency_net: found.efficiency_net,
                dilution: found.dilution,
                co_air_free_ppm: found.co_air_free_ppm,
            },
        })
    }
}

fn probe(input: &Input) -> Result<Probe, Refusal> {
    let fuel = input.fuel.gas()?;
    let given = [
        ("o2_dry", input.o2_dry.is_some()),
        ("co2_dry", input.co2_dry.is_some()),
    ];
    exactly_one(&Pointer::root(), &given)?;
    Ok(Probe {
        fuel,
        dry: match (input.co2_dry, input.o2_dry) {
            (Some(share), _) => DryReading::CarbonDioxide(share),
            (None, share) => DryReading::Oxygen(share.unwrap_or(0.0)),
        },
        co_ppm: input.co_ppm,
        flue: input.flue_temperature,
        air: input.air_temperature,
        relative_humidity: input.relative_humidity,
        pressure: input.site.pressure(),
    })
}

fn verdict(input: &Input, findings: &Findings) -> Verdict {
    let neither = input.co_ppm.is_none() && input.room_co_ppm.is_none();
    match findings.verdict() {
        Verdict::Fail => Verdict::Fail,
        _ if neither || findings.has(TOO_DILUTE) => Verdict::CannotTell,
        verdict => verdict,
    }
}

fn findings(input: &Input, found: &FlueGasReading) -> Findings {
    let mut findings = Findings::default();
    let dilute = !at_most(found.dilution, MOST_DILUTION);
    if dilute {
        findings.add(
            TOO_DILUTE,
            format!(
                "The gas is thinned {:.0} times with air, so the reading says little of the fire. Look for a loose probe or an \
                 air leak, and read again.",
                found.dilution
            ),
        );
    }
    match found.co_air_free_ppm {
        None => findings.add(
            CO_NOT_MEASURED,
            "No carbon monoxide was read in the flue. Read it at a steady fire.",
        ),
        Some(ppm) if !dilute => flue_co(&mut findings, input, ppm),
        Some(_) => {}
    }
    if let Some(ppm) = input.room_co_ppm {
        room_co(&mut findings, ppm);
    }
    if let (Some(room), Some(outdoors)) = (input.room_co_ppm, input.outdoor_co_ppm)
        && !at_most(room, outdoors)
    {
        findings.add(
            ABOVE_OUTDOORS,
            format!(
                "The room has {room} ppm of carbon monoxide and outdoors there are {outdoors} ppm. Something indoors makes it: \
                 find it before leaving."
            ),
        );
    }
    if input.flue_temperature < input.air_temperature {
        findings.add(
            COLDER,
            format!(
                "The flue gas at {} is colder than the air at {}. Look at the probe and at where each was read.",
                both(input.flue_temperature),
                both(input.air_temperature)
            ),
        );
    }
    if let Some(dew_point) = found
        .dew_point
        .filter(|dew_point| input.flue_temperature < *dew_point)
    {
        findings.add(
            CONDENSING,
            format!(
                "The flue gas at {} is below its dew point of {}, so water condenses; what heat that gives is not in the \
                 efficiency. See whether the manual allows a wet vent.",
                both(input.flue_temperature),
                both(dew_point)
            ),
        );
    }
    findings.add(
        PORT_ONLY,
        "Read only at the maker's sampling port or at the termination as the manual says. Most sealed vents have no port: \
         never drill one.",
    );
    findings
}

fn flue_co(findings: &mut Findings, input: &Input, ppm: f64) {
    if !at_most(ppm, input.co_stop_ppm) {
        findings.add(
            FLUE_STOP,
            format!(
                "The flue gas has {ppm:.0} ppm of carbon monoxide free of air, and {} ppm is the stop. Turn the stove off, tag \
                 it, and have the burner looked at.",
                input.co_stop_ppm
            ),
        );
    } else if !at_most(ppm, input.co_caution_ppm) {
        findings.add(
            FLUE_HIGH,
            format!(
                "The flue gas has {ppm:.0} ppm of carbon monoxide free of air, above {} ppm. Check logs, air shutter, manifold \
                 pressure and vent as the manual says, and read again.",
                input.co_caution_ppm
            ),
        );
    }
}

fn room_co(findings: &mut Findings, ppm: f64) {
    if at_most(EVACUATE_PPM, ppm) {
        findings.add(
            ROOM_EVACUATE,
            format!(
                "The room has {ppm} ppm of carbon monoxide. Everybody out now, call from outside, and nobody goes back in \
                 before the fire service says so."
            ),
        );
    } else if at_most(STOP_PPM, ppm) {
        findings.add(
            ROOM_STOP,
            format!(
                "The room has {ppm} ppm of carbon monoxide. Turn off what burns, open the house, take people outside, and \
                 find the cause before anything is lit."
            ),
        );
    } else if at_most(ADVISE_PPM, ppm) {
        findings.add(
            ROOM_ADVISE,
            format!(
                "The room has {ppm} ppm of carbon monoxide. Tell the people of the house, air it, and find the cause before \
                 leaving."
            ),
        );
    }
}

fn trace(probe: &Probe, found: &FlueGasReading) -> Trace {
    let mut trace = Trace::default();
    trace.quantity("air pressure", AbsolutePressure(probe.pressure));
    trace.number("air ratio", found.air_ratio);
    trace.number("most carbon dioxide of this fuel, dry", found.co2_max_dry);
    trace.number("loss with the dry gas", found.dry_loss);
    trace.number("loss with the vapour", found.vapour_loss);
    trace.number("latent loss", found.latent_loss);
    trace.number("loss with carbon monoxide", found.co_loss);
    trace.line("efficiency, gross", 100.0 * found.efficiency_gross, "%");
    trace.number("dilution", found.dilution);
    trace
}
