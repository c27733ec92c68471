//! The stove against the load: does its high fire carry the room, and does its low fire let it
//! run without cycling?

use uom::si::power::watt;
use uom::si::temperature_interval::kelvin as kelvin_difference;

use crate::compare::at_most;
use crate::quantities::{Power, TemperatureInterval, ThermalConductance, ThermodynamicTemperature};

/// Design heat loss of a room or of the house.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Loss at the design temperatures, 0 or more.
    pub load: Power,
    /// Loss per kelvin, 0 or more.
    pub ua: ThermalConductance,
}

impl Load {
    /// A load whose conductance follows from the design temperatures: load/(t_in - t_out).
    #[must_use]
    pub fn at(load: Power, inside: ThermodynamicTemperature, outside: ThermodynamicTemperature) -> Self {
        use uom::si::thermal_conductance::watt_per_kelvin;
        Self {
            load,
            ua: ThermalConductance::new::<watt_per_kelvin>(load.value / (inside.value - outside.value)),
        }
    }
}

/// What the stove gives off at the site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    /// At high fire.
    pub high: Power,
    /// At low fire; equal to high where no low fire is known.
    pub low: Power,
}

impl Output {
    /// High over low, `None` when low is 0.
    #[must_use]
    pub fn turndown(&self) -> Option<f64> {
        (self.low.value > 0.0).then(|| (self.high / self.low).value)
    }
}

/// Temperatures the stove is judged at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Climate {
    /// Wanted indoors.
    pub indoor: ThermodynamicTemperature,
    /// Design outdoors, below indoors.
    pub outdoor: ThermodynamicTemperature,
    /// A mild day outdoors, where asked.
    pub mild_outdoor: Option<ThermodynamicTemperature>,
}

/// The stove against one load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Case {
    /// The load it was held against.
    pub load: Load,
    /// High output over load; `None` at load 0.
    pub high_ratio: Option<f64>,
    /// Low output over load; `None` at load 0.
    pub low_ratio: Option<f64>,
    /// Outdoor temperature above which low fire must cycle; this and the next three are `None`
    /// when the conductance is 0.
    pub balance_temperature: Option<ThermodynamicTemperature>,
    /// Steady room temperature at low fire on the design day, doors closed, no cycling.
    pub low_fire_temperature: Option<ThermodynamicTemperature>,
    /// The same at high fire.
    pub high_fire_temperature: Option<ThermodynamicTemperature>,
    /// At low fire on the mild day.
    pub low_fire_temperature_mild: Option<ThermodynamicTemperature>,
    /// How the stove fits.
    pub fit: Fit,
}

/// How a stove fits a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fit {
    /// There is no load to hold it against.
    NoLoad,
    /// High fire does not carry the load.
    TooSmall,
    /// It carries the load, with one or both of the marks of too large a stove.
    TooLarge {
        /// Low fire alone covers the load.
        low_fire_over_load: bool,
        /// High fire exceeds the oversize limit.
        oversized: bool,
    },
    /// It carries the load and can turn down under it.
    Fits,
}

/// Holds an output against a load: ratios, the balance temperature `t_in - low/ua`, and the
/// steady temperatures `t_out + output/ua`.
///
/// `oversize_limit` is the accepted high output over load, 1 to 5 (1.4 for central equipment;
/// none is published for one room). Formulas: steady heat balance, from memory.
#[must_use]
pub fn hold_against(output: Output, load: Load, climate: Climate, oversize_limit: f64) -> Case {
    let ratio = |power: Power| (load.load.value > 0.0).then(|| (power / load.load).value);
    let rise = |power: Power| {
        (load.ua.value > 0.0)
            .then(|| TemperatureInterval::new::<kelvin_difference>(power.value / load.ua.value))
    };
    Case {
        load,
        high_ratio: ratio(output.high),
        low_ratio: ratio(output.low),
        balance_temperature: rise(output.low).map(|rise| climate.indoor - rise),
        low_fire_temperature: rise(output.low).map(|rise| climate.outdoor + rise),
        high_fire_temperature: rise(output.high).map(|rise| climate.outdoor + rise),
        low_fire_temperature_mild: climate
            .mild_outdoor
            .zip(rise(output.low))
            .map(|(mild, rise)| mild + rise),
        fit: fit(output, load.load, oversize_limit),
    }
}

fn fit(output: Output, load: Power, oversize_limit: f64) -> Fit {
    let watts = |power: Power| power.get::<watt>();
    if watts(load) <= 0.0 {
        return Fit::NoLoad;
    }
    if !at_most(watts(load), watts(output.high)) {
        return Fit::TooSmall;
    }
    let low_fire_over_load = at_most(watts(load), watts(output.low));
    let oversized = !at_most(watts(output.high), oversize_limit * watts(load));
    if low_fire_over_load || oversized {
        Fit::TooLarge {
            low_fire_over_load,
            oversized,
        }
    } else {
        Fit::Fits
    }
}

#[cfg(test)]
mod tests {
    use uom::si::thermal_conductance::watt_per_kelvin;
    use uom::si::thermodynamic_temperature::{degree_celsius, degree_fahrenheit};

    use super::*;
    use crate::customary::BTU_PER_HOUR;

    fn btu(per_hour: f64) -> Power {
        Power::new::<watt>(per_hour * BTU_PER_HOUR)
    }

    fn load(per_hour: f64, per_fahrenheit: f64) -> Load {
        Load {
            load: btu(per_hour),
            ua: ThermalConductance::new::<watt_per_kelvin>(per_fahrenheit * BTU_PER_HOUR * 1.8),
        }
    }

    fn climate(indoor: f64, outdoor: f64) -> Climate {
        Climate {
            indoor: ThermodynamicTemperature::new::<degree_fahrenheit>(indoor),
            outdoor: ThermodynamicTemperature::new::<degree_fahrenheit>(outdoor),
            mild_outdoor: None,
        }
    }

    fn close(found: f64, wanted: f64, off: f64) {
        assert!((found - wanted).abs() <= off, "{found} is not {wanted}");
    }

    #[test]
    fn a_stove_for_the_house_overheats_its_room() {
        let output = Output {
            high: btu(24_000.0),
            low: btu(8000.0),
        };
        let climate = climate(70.0, -12.46);
        let room = hold_against(output, load(5293.0, 64.18), climate, 1.4);
        close(room.high_ratio.unwrap(), 4.534_29, 1e-5);
        close(room.low_ratio.unwrap(), 1.511_43, 1e-5);
        let celsius = |t: Option<ThermodynamicTemperature>| t.unwrap().get::<degree_celsius>();
        close(celsius(room.balance_temperature), -48.1386, 1e-3);
        close(celsius(room.low_fire_temperature), 44.5497, 1e-3);
        assert_eq!(
            room.fit,
            Fit::TooLarge {
                low_fire_over_load: true,
                oversized: true
            }
        );
        let house = hold_against(output, load(13_251.0, 315.80), climate, 1.4);
        close(house.low_ratio.unwrap(), 0.603_728, 1e-6);
        close(celsius(house.balance_temperature), 7.037_51, 1e-3);
        close(output.turndown().unwrap(), 3.0, 1e-12);
    }

    #[test]
    fn a_stove_just_at_the_load_carries_it() {
        let output = |high| Output {
            high: btu(high),
            low: btu(4000.0),
        };
        let fit_at = |high| hold_against(output(high), load(10_000.0, 200.0), climate(70.0, 20.0), 1.4).fit;
        assert_eq!(fit_at(10_000.0), Fit::Fits);
        assert_eq!(fit_at(9999.0), Fit::TooSmall);
        assert_eq!(fit_at(14_000.0), Fit::Fits);
        assert!(matches!(
            fit_at(14_001.0),
            Fit::TooLarge {
                low_fire_over_load: false,
                oversized: true
            }
        ));
    }

    #[test]
    fn no_load_has_no_ratio_and_no_temperature() {
        let output = Output {
            high: btu(1000.0),
            low: btu(0.0),
        };
        let inside = ThermodynamicTemperature::new::<degree_celsius>(20.0);
        let outside = ThermodynamicTemperature::new::<degree_celsius>(0.0);
        let none = Load::at(btu(0.0), inside, outside);
        let case = hold_against(output, none, climate(70.0, 20.0), 1.4);
        assert_eq!(case.fit, Fit::NoLoad);
        assert_eq!((case.high_ratio, case.balance_temperature), (None, None));
        assert_eq!(output.turndown(), None);
    }
}
