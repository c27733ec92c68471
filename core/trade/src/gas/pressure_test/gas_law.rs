//! The standing pressure test of new or altered piping, with what temperature and barometer did.

use uom::si::pressure::pascal;
use uom::si::time::minute;
use uom::si::volume::cubic_meter;
use uom::si::volume_rate::cubic_meter_per_second;

use crate::compare::at_most;
use crate::customary::CUBIC_FOOT;
use crate::gas::meter_clock::clocking::Base;
use crate::gas::orifice::hole::hole_area;
use crate::quantities::{
    Length, Pressure, TemperatureInterval, ThermodynamicTemperature, Time, Volume, VolumeRate,
};

/// One moment of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Gauge pressure.
    pub gauge: Pressure,
    /// Absolute air pressure at that moment.
    pub barometer: Pressure,
    /// Temperature of the gas in the pipe; 20 °C at both moments where it was not taken.
    pub gas_temperature: ThermodynamicTemperature,
}

impl Moment {
    fn absolute(&self) -> Pressure {
        self.gauge + self.barometer
    }
}

/// How long and how hard the piping must be tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// Highest pressure the piping will work at, gauge.
    pub max_working_pressure: Pressure,
    /// Least test pressure, gauge; 3 psi.
    pub minimum_test_pressure: Pressure,
    /// Test pressure over working pressure; 1.5.
    pub pressure_factor: f64,
    /// Time from the local rule, which replaces the one below.
    pub minimum_duration: Option<Time>,
    /// Whether the house is a single-family one.
    pub single_family: bool,
}

impl Rule {
    /// max(factor · working pressure, least test pressure).
    #[must_use]
    pub fn required_pressure(&self) -> Pressure {
        let by_factor = self.max_working_pressure * self.pressure_factor;
        if by_factor > self.minimum_test_pressure {
            by_factor
        } else {
            self.minimum_test_pressure
        }
    }

    /// 10 min for a single-family house or less than 10 ft³; else half an hour for every 500 ft³
    /// begun, at most 24 h. Fuel gas code (NFPA 54 8.1.4), from memory.
    #[must_use]
    pub fn required_time(&self, volume: Volume) -> Time {
        if let Some(given) = self.minimum_duration {
            return given;
        }
        let cubic_feet = volume.get::<cubic_meter>() / CUBIC_FOOT;
        if self.single_family || !at_most(10.0, cubic_feet) {
            return Time::new::<minute>(10.0);
        }
        let begun = libm::ceil(cubic_feet / 500.0 - 1e-9);
        Time::new::<minute>((30.0 * begun).min(24.0 * 60.0))
    }
}

/// Inside volume of a run of pipe, pi/4 d² L.
#[must_use]
pub fn pipe_volume(length: Length, inside_diameter: Length) -> Volume {
    hole_area(inside_diameter) * length
}

/// One standing pressure test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandingTest {
    /// Its rule.
    pub rule: Rule,
    /// Inside volume of the piping.
    pub volume: Volume,
    /// When the clock started.
    pub start: Moment,
    /// When it stopped.
    pub end: Moment,
    /// Whether gas temperatures were taken.
    pub temperatures_taken: bool,
    /// Time between, above 0.
    pub duration: Time,
    /// Smallest step read on the gauge, above 0.
    pub gauge_resolution: Pressure,
    /// Top of the gauge's scale, where known.
    pub gauge_full_scale: Option<Pressure>,
    /// Uncertainty of each gas temperature.
    pub temperature_uncertainty: TemperatureInterval,
    /// Largest leak that may stay unseen, where a rule names one.
    pub leak_limit: Option<VolumeRate>,
    /// The standard volume.
    pub base: Base,
}

/// What the test shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandingAnswer {
    /// Least gauge pressure to start from.
    pub required_pressure: Pressure,
    /// Least time.
    pub required_time: Time,
    /// End minus start, gauge.
    pub raw_change: Pressure,
    /// Gauge pressure a tight pipe would end at.
    pub expected_end: Pressure,
    /// What is left once temperature and barometer are taken out; negative = lost.
    pub compensated_change: Pressure,
    /// Least compensated change that means anything.
    pub detectable_change: Pressure,
    /// Leak in standard volume a second.
    pub leak_rate: VolumeRate,
    /// Least leak the test could have seen.
    pub detectable_leak: VolumeRate,
    /// What must be said of it.
    pub marks: Marks,
}

/// What must be said of a standing pressure test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each mark stands or not by itself")]
pub struct Marks {
    /// More was lost than the test can mistake.
    pub leak_indicated: bool,
    /// The start was below the required pressure.
    pub pressure_low: bool,
    /// The time was below the required time.
    pub too_short: bool,
    /// The gauge fell within what temperature may explain.
    pub fall_may_be_temperature: bool,
    /// More pressure at the end than anything explains.
    pub unexplained_rise: bool,
    /// The test could not have seen the limit's leak.
    pub too_coarse_for_limit: bool,
    /// The gauge stood still while a warming gas should have raised it.
    pub temperature_hides_leak: bool,
    /// The gauge's scale is more than five times the start.
    pub gauge_range: bool,
}

/// Judges a test by the gas law: a tight pipe ends at `P1 T2/T1 - barometer2`; what is missing
/// from that beyond the gauge's step and the temperatures' uncertainty is a leak.
///
/// Detectable change `D = step + (P1 T2/T1) u (1/T1 + 1/T2)`. Temperature relation:
/// ufgscriteriadocreport.tpub.com/15195N/15195N0019.htm. Any reduction is a leak unless readily
/// attributed to another cause: NFPA 54 8.1.5.2, from memory.
#[must_use]
pub fn judge(test: &StandingTest) -> StandingAnswer {
    let (t1, t2) = (test.start.gas_temperature.value, test.end.gas_temperature.value);
    let (p1, p2) = (test.start.absolute().value, test.end.absolute().value);
    let tight_end = p1 * t2 / t1;
    let raw = (test.end.gauge - test.start.gauge).value;
    let change = p2 - tight_end;
    let step = test.gauge_resolution.value;
    let detectable = step + tight_end * test.temperature_uncertainty.value * (1.0 / t1 + 1.0 / t2);
    let standard = test.base.temperature.value / test.base.pressure.value;
    let volume = test.volume.value;
    let seconds = test.duration.value;
    let leak_rate = volume * standard * (p1 / t1 - p2 / t2) / seconds;
    let detectable_leak = detectable * volume * standard / (t2 * seconds);
    let required_pressure = test.rule.required_pressure();
    let required_time = test.rule.required_time(test.volume);

    let leak_indicated = !at_most(-change, detectable);
    let fell = !at_most(-raw, step);
    let rose_untaken = !test.temperatures_taken && !at_most(raw, step) && !at_most(change, step);
    let marks = Marks {
        leak_indicated,
        pressure_low: !at_most(required_pressure.value, test.start.gauge.value),
        too_short: !at_most(required_time.value, seconds),
        fall_may_be_temperature: !leak_indicated && fell,
        unexplained_rise: !leak_indicated && (!at_most(change, detectable) || rose_untaken),
        too_coarse_for_limit: !leak_indicated
            && test
                .leak_limit
                .is_some_and(|limit| !at_most(detectable_leak, limit.value)),
        temperature_hides_leak: test.temperatures_taken && !fell && leak_indicated,
        gauge_range: test
            .gauge_full_scale
            .is_some_and(|scale| !at_most(scale.value, 5.0 * test.start.gauge.value)),
    };
    let pressure = Pressure::new::<pascal>;
    let rate = VolumeRate::new::<cubic_meter_per_second>;
    StandingAnswer {
        required_pressure,
        required_time,
        raw_change: pressure(raw),
        expected_end: pressure(tight_end - test.end.barometer.value),
        compensated_change: pressure(change),
        detectable_change: pressure(detectable),
        leak_rate: rate(leak_rate),
        detectable_leak: rate(detectable_leak),
        marks,
    }
}

#[cfg(test)]
mod tests {
    use uom::si::length::meter;
    use uom::si::temperature_interval::kelvin as kelvin_difference;
    use uom::si::thermodynamic_temperature::degree_fahrenheit;

    use super::*;
    use crate::customary::{FOOT, PSI};
    use crate::gas::pipe_sizes::PipeMaterial;

    fn moment(psi: f64, fahrenheit: f64) -> Moment {
        Moment {
            gauge: Pressure::new::<pascal>(psi * PSI),
            barometer: Pressure::new::<pascal>(101_325.0),
            gas_temperature: ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit),
        }
    }

    fn run(size: &str, feet: f64) -> Volume {
        let size = PipeMaterial::Schedule40.size(size).unwrap();
        pipe_volume(Length::new::<meter>(feet * FOOT), size.inside_diameter)
    }

    fn test(start: Moment, end: Moment) -> StandingTest {
        StandingTest {
            rule: Rule {
                max_working_pressure: Pressure::new::<pascal>(0.5 * PSI),
                minimum_test_pressure: Pressure::new::<pascal>(3.0 * PSI),
                pressure_factor: 1.5,
                minimum_duration: None,
                single_family: true,
            },
            volume: run("1/2", 40.0) + run("3/4", 20.0),
            start,
            end,
            temperatures_taken: true,
            duration: Time::new::<minute>(10.0),
            gauge_resolution: Pressure::new::<pascal>(0.05 * PSI),
            gauge_full_scale: Some(Pressure::new::<pascal>(15.0 * PSI)),
            temperature_uncertainty: TemperatureInterval::new::<kelvin_difference>(0.5),
            leak_limit: None,
            base: Base {
                pressure: Pressure::new::<pascal>(14.73 * PSI),
                temperature: ThermodynamicTemperature::new::<degree_fahrenheit>(60.0),
            },
        }
    }

    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found - wanted).abs() <= relative * wanted.abs(),
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn a_fall_with_the_temperature_is_a_test_to_do_again() {
        let found = judge(&test(moment(3.0, 70.0), moment(2.67, 60.0)));
        close(found.expected_end.value, 18_380.8, 1e-5);
        close(found.compensated_change.value, 28.2261, 1e-4);
        close(found.detectable_change.value, 755.453, 1e-5);
        close(found.detectable_leak.value, 5.563_22e-8, 1e-5);
        assert_eq!(
            found.marks,
            Marks {
                fall_may_be_temperature: true,
                ..Marks::default()
            }
        );
    }

    #[test]
    fn once_settled_a_gauge_that_stands_still_has_no_mark() {
        let found = judge(&test(moment(3.0, 60.0), moment(2.98, 60.0)));
        close(found.raw_change.value, -137.895, 1e-5);
        assert_eq!(found.marks, Marks::default());
    }

    #[test]
    fn a_fall_beyond_the_temperature_is_a_leak_and_warmth_can_hide_one() {
        let leak = judge(&test(moment(3.0, 60.0), moment(2.8, 60.0)));
        assert!(leak.marks.leak_indicated && !leak.marks.temperature_hides_leak);
        assert!(leak.leak_rate.value > leak.detectable_leak.value);
        let hidden = judge(&test(moment(3.0, 60.0), moment(3.0, 75.0)));
        assert!(hidden.marks.leak_indicated && hidden.marks.temperature_hides_leak);
    }

    #[test]
    fn pipe_volumes_a_foot_are_those_of_the_tables() {
        for (size, cubic_feet) in [("1/2", 0.002_110), ("1", 0.006_002), ("2", 0.023_303)] {
            close(run(size, 1.0).value / CUBIC_FOOT, cubic_feet, 2.5e-4);
        }
    }

    #[test]
    fn required_times_follow_volume_only_beyond_one_family() {
        let minutes = |single_family, cubic_feet: f64| {
            Rule {
                single_family,
                ..test(moment(3.0, 60.0), moment(3.0, 60.0)).rule
            }
            .required_time(Volume::new::<cubic_meter>(cubic_feet * CUBIC_FOOT))
            .get::<minute>()
        };
        for (single, feet, wanted) in [
            (true, 1000.0, 10.0),
            (false, 9.9, 10.0),
            (false, 10.0, 30.0),
            (false, 500.0, 30.0),
            (false, 501.0, 60.0),
            (false, 30_000.0, 1440.0),
        ] {
            close(minutes(single, feet), wanted, 1e-12);
        }
    }
}
