//! The air at the site: pressure, moisture, dew point, density.

use serde::Serialize;
use uom::si::f64::MassDensity;

use wythe_physics::atmosphere::{MoistAir, standard_pressure};
use wythe_physics::constants::STANDARD_PRESSURE;
use wythe_physics::saturation::dew_point;

use crate::form::{Answer, Figure, FindingKind, Findings, Reckoning, Refusal, Trace, input, within};
use crate::notes::GOVERNS;
use crate::quantities::{AbsolutePressure, Length, Pressure, Quantity, ThermodynamicTemperature};
use crate::words::{both, percent};

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct Air;

input! {
    /// Where, and what the air is like.
    pub struct Input {
        /// Altitude above sea level; sea level when it is not given.
        pub altitude: Option<Length> = within(-500.0, 4500.0),
        /// Barometer at the site as it stands there, not corrected to sea level; wins over the altitude.
        pub barometer: Option<AbsolutePressure> = within(50e3, 110e3),
        /// Air temperature.
        pub temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// Relative humidity, 0 to 1.
        pub relative_humidity: f64 = within(0.0, 1.0),
    }
}

/// What comes out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    pressure: Figure<Pressure>,
    pressure_ratio: f64,
    saturation_pressure: Figure<Pressure>,
    vapour_pressure: Figure<Pressure>,
    vapour_fraction: f64,
    humidity_ratio: f64,
    dew_point: Option<Figure<ThermodynamicTemperature>>,
    density: Figure<MassDensity>,
    dry_density: Figure<MassDensity>,
}

const SATURATION: &str = "Hyland and Wexler, as in the ASHRAE Handbook, from memory";
const ATMOSPHERE: &str = "US Standard Atmosphere 1976";
const OUT_OF_RANGE: FindingKind = FindingKind::info(1, "dew_point_out_of_range", SATURATION);
const FROST_POINT: FindingKind = FindingKind::info(2, "frost_point", SATURATION);
const FAR_FROM_STANDARD: FindingKind = FindingKind::caution(3, "barometer_far_from_standard", ATMOSPHERE);

/// How far a barometer may stand from the standard pressure before it looks corrected to sea level.
const FAR: f64 = 0.04;

impl Reckoning for Air {
    const NAME: &'static str = "air";
    const PURPOSE: &'static str = "What is the air at the site like: pressure, moisture, dew point, density?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let standard = standard_pressure(input.altitude.unwrap_or_else(|| Length::from_base(0.0)));
        let pressure = input.barometer.map_or(standard, |barometer| barometer.0);
        let air = MoistAir::new(pressure, input.temperature, input.relative_humidity);
        let dew = dew_point(air.vapour_pressure());

        let mut trace = Trace::default();
        trace.quantity("standard pressure at the altitude", standard);
        trace.quantity("air pressure", pressure);
        trace.quantity("saturation pressure of water vapour", air.saturation_pressure());
        trace.quantity("partial pressure of the vapour", air.vapour_pressure());
        trace.number("moles of vapour per mole of air", air.vapour_fraction());

        let mut findings = Findings::default();
        match dew {
            None if input.relative_humidity > 0.0 => findings.add(
                OUT_OF_RANGE,
                "There is so little vapour that no dew point can be given. Take the air for dry.",
            ),
            Some(dew) if dew.to_base() < 0.0 => findings.add(
                FROST_POINT,
                format!("Below {} it is frost that forms, not dew.", both(dew)),
            ),
            _ => {}
        }
        if let (Some(altitude), Some(barometer)) = (input.altitude, input.barometer) {
            let off = (barometer.to_base() / standard.value - 1.0).abs();
            if off > FAR * (1.0 + 1e-9) {
                findings.add(FAR_FROM_STANDARD, format!(
                    "The barometer stands {} from the usual pressure at {}: probably it is corrected to sea level. \
                     Ask for the station pressure, or leave the barometer out.",
                    percent(off),
                    both(altitude),
                ));
            }
        }
        Ok(Answer {
            verdict: None,
            figures: Figures {
                pressure: pressure.into(),
                pressure_ratio: pressure.value / STANDARD_PRESSURE,
                saturation_pressure: air.saturation_pressure().into(),
                vapour_pressure: air.vapour_pressure().into(),
                vapour_fraction: air.vapour_fraction(),
                humidity_ratio: air.humidity_ratio(),
                dew_point: dew.map(Figure::from),
                density: air.density().into(),
                dry_density: air.dry_density().into(),
            },
            findings: findings.finish(),
            trace: trace.finish(),
            notes: vec![GOVERNS],
        })
    }
}
