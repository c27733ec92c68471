//! Clocking the meter: the burner's input from the time the dial takes.
//!
//! Only the stove may burn, at a steady fire. Propane without a meter can't be clocked.

use uom::si::power::watt;

use crate::compare::at_most;
use crate::quantities::{
    HeatingValue, Power, Pressure, ThermodynamicTemperature, Time, Volume, VolumeRate, heat_of,
};

/// What was watched on the meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Counted {
    /// Whole turns of the test dial.
    Dial {
        /// Volume of one turn.
        volume: Volume,
        /// Turns watched, at least 1.
        revolutions: u32,
    },
    /// The difference of two index readings, for meters without a test dial.
    Index {
        /// Difference of the two readings.
        volume: Volume,
        /// Volume of the last readable digit; the reading may be off by one of it either way.
        resolution: Volume,
    },
}

impl Counted {
    /// All the volume counted.
    #[must_use]
    pub fn volume(&self) -> Volume {
        match *self {
            Self::Dial { volume, revolutions } => volume * f64::from(revolutions),
            Self::Index { volume, .. } => volume,
        }
    }

    /// How far the counted volume may be off, either way.
    #[must_use]
    pub fn uncertainty(&self) -> Volume {
        match *self {
            Self::Dial { volume, .. } => volume * 0.0,
            Self::Index { resolution, .. } => resolution,
        }
    }
}

/// What a cubic foot of the given heating value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeatingValueBasis {
    /// A standard cubic foot: base pressure and temperature.
    Standard,
    /// A cubic foot as this meter counts it.
    AsMetered,
}

/// A standard volume's pressure and temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Base {
    /// Absolute pressure; 14.73 psi by default, 14.65 in some states.
    pub pressure: Pressure,
    /// Temperature; 60 °F.
    pub temperature: ThermodynamicTemperature,
}

/// One clocking and what it is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clocking {
    /// What was watched.
    pub counted: Counted,
    /// Time for all of it.
    pub time: Time,
    /// Uncertainty of that time, below it.
    pub timing_uncertainty: Time,
    /// Gauge pressure at the meter.
    pub meter_pressure: Pressure,
    /// Gas temperature at the meter.
    pub meter_temperature: ThermodynamicTemperature,
    /// Whether the meter corrects for temperature itself.
    pub temperature_compensated: bool,
    /// Heating value.
    pub heating_value: HeatingValue,
    /// What volume that value is for.
    pub basis: HeatingValueBasis,
    /// Plate input at sea level, where known.
    pub plate_input: Option<Power>,
    /// What the site leaves of the plate, 0.3 to 1.
    pub derate_factor: f64,
    /// Share by which the limit may be exceeded.
    pub over_tolerance: f64,
    /// Share by which the input may fall short.
    pub under_tolerance: f64,
    /// Absolute air pressure at the site.
    pub site_pressure: Pressure,
    /// The standard volume.
    pub base: Base,
}

/// The input that the clocking shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Flow as the meter counts.
    pub flow_metered: VolumeRate,
    /// The same at the base.
    pub flow_standard: VolumeRate,
    /// Metered to standard volume, F.
    pub correction: f64,
    /// Factor applied before the heating value: F, or 1 for a value as metered.
    pub correction_used: f64,
    /// Input.
    pub input: Power,
    /// Least input within the uncertainty of time and index.
    pub input_low: Power,
    /// Greatest input within it.
    pub input_high: Power,
    /// Half the band over the input.
    pub relative_uncertainty: f64,
    /// Plate times derate factor.
    pub limit: Option<Power>,
    /// Most that is accepted.
    pub upper: Option<Power>,
    /// Least that is accepted.
    pub lower: Option<Power>,
    /// Input over limit.
    pub ratio: Option<f64>,
    /// How the band stands against the limit.
    pub firing: Firing,
}

/// How a clocked input stands against the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Firing {
    /// No plate input to hold it against.
    NoPlate,
    /// Over, even at the low end of the band.
    Over,
    /// Under, even at the high end of the band.
    Under,
    /// Wholly within.
    Within,
    /// The band reaches across a limit.
    Straddles,
}

/// The burner's input: `V N/t · f · HV` with `f = (p + gauge)/p_base · T_base/T_meter` for a
/// standard heating value and 1 for one as metered.
///
/// The band takes the timing uncertainty and one whole index digit either way. Formula: the
/// trade's own way of clocking a meter, hvactechhangout.com how-to-clock-a-gas-meter; the digit
/// either way is common practice.
#[must_use]
pub fn read(clocking: &Clocking) -> Reading {
    let volume = clocking.counted.volume();
    let uncertainty = clocking.counted.uncertainty();
    let meter_temperature = if clocking.temperature_compensated {
        clocking.base.temperature
    } else {
        clocking.meter_temperature
    };
    let correction = ((clocking.site_pressure + clocking.meter_pressure) / clocking.base.pressure).value
        * clocking.base.temperature.value
        / meter_temperature.value;
    let correction_used = match clocking.basis {
        HeatingValueBasis::Standard => correction,
        HeatingValueBasis::AsMetered => 1.0,
    };
    let flow_metered: VolumeRate = volume / clocking.time;
    let heat = |counted: Volume, time: Time| {
        let flow: VolumeRate = counted / time;
        heat_of(flow * correction_used, clocking.heating_value)
    };
    let input = heat(volume, clocking.time);
    let input_low = heat(volume - uncertainty, clocking.time + clocking.timing_uncertainty);
    let input_high = heat(volume + uncertainty, clocking.time - clocking.timing_uncertainty);
    let limit = clocking.plate_input.map(|plate| plate * clocking.derate_factor);
    let upper = limit.map(|limit| limit * (1.0 + clocking.over_tolerance));
    let lower = limit.map(|limit| limit * (1.0 - clocking.under_tolerance));
    Reading {
        flow_metered,
        flow_standard: flow_metered * correction,
        correction,
        correction_used,
        input,
        input_low,
        input_high,
        relative_uncertainty: ((input_high - input_low) / (input * 2.0)).value,
        limit,
        upper,
        lower,
        ratio: limit.map(|limit| (input / limit).value),
        firing: firing(input_low, input_high, lower, upper),
    }
}

fn firing(low: Power, high: Power, lower: Option<Power>, upper: Option<Power>) -> Firing {
    let (Some(lower), Some(upper)) = (lower, upper) else {
        return Firing::NoPlate;
    };
    let watts = |power: Power| power.get::<watt>();
    if !at_most(watts(low), watts(upper)) {
        Firing::Over
    } else if !at_most(watts(lower), watts(high)) {
        Firing::Under
    } else if at_most(watts(lower), watts(low)) && at_most(watts(high), watts(upper)) {
        Firing::Within
    } else {
        Firing::Straddles
    }
}

#[cfg(test)]
mod tests {
    use uom::si::pressure::pascal;
    use uom::si::thermodynamic_temperature::kelvin;
    use uom::si::time::second;
    use uom::si::volume::cubic_meter;

    use super::*;
    use crate::customary::{ATMOSPHERE, BTU, BTU_PER_HOUR, CFH, CUBIC_FOOT, PSI};

    const SIXTY_F: f64 = (60.0 - 32.0) / 1.8 + 273.15;

    fn cubic_feet(feet: f64) -> Volume {
        Volume::new::<cubic_meter>(feet * CUBIC_FOOT)
    }

    fn clocking(counted: Counted, seconds: f64, btu: f64) -> Clocking {
        Clocking {
            counted,
            time: Time::new::<second>(seconds),
            timing_uncertainty: Time::new::<second>(0.5),
            meter_pressure: Pressure::new::<pascal>(0.25 * PSI),
            meter_temperature: ThermodynamicTemperature::new::<kelvin>(SIXTY_F),
            temperature_compensated: false,
            heating_value: HeatingValue(btu * BTU / CUBIC_FOOT),
            basis: HeatingValueBasis::AsMetered,
            plate_input: None,
            derate_factor: 1.0,
            over_tolerance: 0.0,
            under_tolerance: 0.05,
            site_pressure: Pressure::new::<pascal>(ATMOSPHERE),
            base: Base {
                pressure: Pressure::new::<pascal>(14.73 * PSI),
                temperature: ThermodynamicTemperature::new::<kelvin>(SIXTY_F),
            },
        }
    }

    fn dial(feet: f64, revolutions: u32) -> Counted {
        Counted::Dial {
            volume: cubic_feet(feet),
            revolutions,
        }
    }

    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found - wanted).abs() <= relative * wanted.abs(),
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn half_a_foot_in_29_seconds_is_62_cubic_feet_an_hour() {
        let found = read(&clocking(dial(0.5, 1), 29.0, 1000.0));
        close(found.flow_metered.value / CFH, 62.07, 1e-4);
        close(found.input.value, 18_190.6, 1e-5);
        assert_eq!(found.firing, Firing::NoPlate);
    }

    #[test]
    fn the_circulated_chart_s_555_at_13_seconds_is_a_misprint() {
        let found = read(&clocking(dial(2.0, 1), 13.0, 1000.0));
        close(found.flow_metered.value / CFH, 553.846, 1e-5);
    }

    #[test]
    fn corrections_follow_pressure_and_temperature() {
        for (psia, fahrenheit, wanted) in [
            (14.73, 60.0, 1.0170),
            (14.40, 60.0, 0.9946),
            (14.73, 90.0, 0.9615),
        ] {
            let found = read(&Clocking {
                site_pressure: Pressure::new::<pascal>(psia * PSI),
                meter_temperature: ThermodynamicTemperature::new::<kelvin>(
                    (fahrenheit - 32.0) / 1.8 + 273.15,
                ),
                ..clocking(dial(1.0, 1), 40.0, 1000.0)
            });
            close(found.correction, wanted, 6e-5);
        }
    }

    #[test]
    fn an_under_fired_stove_at_altitude_is_told_from_one_within_its_plate() {
        let found = read(&Clocking {
            basis: HeatingValueBasis::Standard,
            plate_input: Some(Power::new::<watt>(35_000.0 * BTU_PER_HOUR)),
            derate_factor: 0.7554,
            site_pressure: Pressure::new::<pascal>(
                ATMOSPHERE * libm::pow(1.0 - 2.255_77e-5 * 1864.0, 5.255_88),
            ),
            ..clocking(dial(0.5, 3), 200.0, 1030.0)
        });
        close(found.correction, 0.813_023, 1e-5);
        close(found.input.value, 6626.38, 1e-5);
        close(found.input_low.value, 6609.86, 1e-5);
        close(found.input_high.value, 6642.99, 1e-5);
        close(found.ratio.unwrap(), 0.855_182, 1e-5);
        assert_eq!(found.firing, Firing::Under);
    }

    #[test]
    fn an_index_reading_carries_one_digit_either_way() {
        let found = read(&Clocking {
            plate_input: Some(Power::new::<watt>(35_000.0 * BTU_PER_HOUR)),
            ..clocking(
                Counted::Index {
                    volume: cubic_feet(10.0),
                    resolution: cubic_feet(0.1),
                },
                1060.0,
                1000.0,
            )
        });
        close(found.flow_metered.value / CFH, 33.9623, 1e-5);
        close(found.input_low.value, 9849.18, 1e-6);
        close(found.input_high.value, 10_057.64, 1e-6);
        close(found.relative_uncertainty, 0.010_471_8, 1e-5);
        assert_eq!(found.firing, Firing::Within);
    }

    #[test]
    fn a_band_across_the_plate_straddles_and_one_above_is_over() {
        let firing_at = |btu_per_hour: f64| {
            read(&Clocking {
                plate_input: Some(Power::new::<watt>(btu_per_hour * BTU_PER_HOUR)),
                ..clocking(dial(1.0, 1), 40.0, 1000.0)
            })
            .firing
        };
        assert_eq!(firing_at(90_000.0), Firing::Straddles);
        assert_eq!(firing_at(88_000.0), Firing::Over);
        assert_eq!(firing_at(92_000.0), Firing::Within);
        assert_eq!(firing_at(97_000.0), Firing::Under);
    }
}
