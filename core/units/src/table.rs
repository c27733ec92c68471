//! The units that are read, with their exact definitions.
//!
//! Definitions (from memory of NIST SP 811 and the agreement of 1959): inch 25.4 mm, pound
//! 0.45359237 kg, US gallon 231 in3, Btu (International Table) 1055.05585262 J, standard gravity
//! 9.80665 m/s2, so psi = pound x gravity / in2 = 6894.757293168 Pa; conventional inch of water
//! 249.08891 Pa and inch of mercury 3386.388640341 Pa (water 1000 kg/m3, mercury 13595.1 kg/m3);
//! short ton 2,000 lb; therm 100,000 Btu; degree Fahrenheit 5/9 K.

use crate::dimension::Dimension::{self, *};
use crate::unit::{Reference, Unit};

const BTU: f64 = 1_055.055_852_62;
const POUND: f64 = 0.453_592_37;
const FOOT: f64 = 0.3048;
const SQUARE_FOOT: f64 = 0.092_903_04;
const CUBIC_FOOT: f64 = 0.028_316_846_592;
const GALLON: f64 = 0.003_785_411_784;
const HOUR: f64 = 3600.0;
const PSI: f64 = 6_894.757_293_168;
/// Kelvins per degree Fahrenheit times 9: kept whole so that the fraction stays exact.
const FIVE: f64 = 5.0;
const NINE: f64 = 9.0;

const fn unit(
    dimension: Dimension,
    code: &'static str,
    times: f64,
    over: f64,
    spellings: &'static [&'static str],
) -> Unit {
    Unit {
        code,
        dimension,
        times,
        over,
        zero: 0.0,
        spellings,
        reference: None,
    }
}

const fn from_zero(zero: f64, unit: Unit) -> Unit {
    Unit { zero, ..unit }
}

const fn referred(reference: Reference, unit: Unit) -> Unit {
    Unit {
        reference: Some(reference),
        ..unit
    }
}

/// The base unit of each dimension comes first.
pub(crate) static UNITS: &[Unit] = &[
    unit(
        Length,
        "m",
        1.0,
        1.0,
        &["m", "metre", "metres", "meter", "meters"],
    ),
    unit(
        Length,
        "in",
        254.0,
        10_000.0,
        &["in", "inch", "inches", "\"", "''"],
    ),
    unit(Length, "ft", 3_048.0, 10_000.0, &["ft", "foot", "feet", "'"]),
    unit(Length, "yd", 9_144.0, 10_000.0, &["yd", "yds", "yard", "yards"]),
    unit(
        Length,
        "mm",
        1.0,
        1_000.0,
        &["mm", "millimetre", "millimetres", "millimeter", "millimeters"],
    ),
    unit(
        Length,
        "cm",
        1.0,
        100.0,
        &["cm", "centimetre", "centimetres", "centimeter", "centimeters"],
    ),
    unit(Area, "m2", 1.0, 1.0, &["m2", "sqm"]),
    unit(
        Area,
        "ft2",
        9_290_304.0,
        100_000_000.0,
        &["ft2", "sqft", "squarefeet", "squarefoot"],
    ),
    unit(
        Area,
        "in2",
        64_516.0,
        100_000_000.0,
        &["in2", "sqin", "squareinches", "squareinch"],
    ),
    unit(Area, "cm2", 1.0, 10_000.0, &["cm2", "sqcm"]),
    unit(Area, "mm2", 1.0, 1_000_000.0, &["mm2", "sqmm"]),
    unit(Volume, "m3", 1.0, 1.0, &["m3"]),
    unit(
        Volume,
        "ft3",
        CUBIC_FOOT,
        1.0,
        &["ft3", "cf", "cuft", "cubicfeet", "cubicfoot"],
    ),
    unit(
        Volume,
        "in3",
        16_387_064.0,
        1e12,
        &["in3", "cuin", "cubicinches", "cubicinch"],
    ),
    unit(
        Volume,
        "L",
        1.0,
        1_000.0,
        &["l", "litre", "litres", "liter", "liters"],
    ),
    unit(Volume, "mL", 1.0, 1_000_000.0, &["ml", "cm3"]),
    unit(Volume, "gal", GALLON, 1.0, &["gal", "gallon", "gallons"]),
    unit(Mass, "kg", 1.0, 1.0, &["kg"]),
    unit(
        Mass,
        "lb",
        45_359_237.0,
        100_000_000.0,
        &["lb", "lbs", "pound", "pounds", "#"],
    ),
    unit(Mass, "oz", POUND, 16.0, &["oz", "ounce", "ounces"]),
    unit(Mass, "g", 1.0, 1_000.0, &["g", "gram", "grams"]),
    unit(
        Mass,
        "ton",
        POUND * 2_000.0,
        1.0,
        &["ton", "tons", "shortton", "shorttons"],
    ),
    unit(
        Mass,
        "t",
        1_000.0,
        1.0,
        &["t", "tonne", "tonnes", "metricton", "metrictons"],
    ),
    unit(Time, "s", 1.0, 1.0, &["s", "sec", "secs", "second", "seconds"]),
    unit(Time, "min", 60.0, 1.0, &["min", "mins", "minute", "minutes"]),
    unit(Time, "h", HOUR, 1.0, &["h", "hr", "hrs", "hour", "hours"]),
    unit(Speed, "m/s", 1.0, 1.0, &["m/s", "mps"]),
    unit(Speed, "mph", 44_704.0, 100_000.0, &["mph", "mi/h"]),
    unit(Speed, "ft/min", 508.0, 100_000.0, &["ft/min", "fpm"]),
    unit(Speed, "km/h", 1.0, 3.6, &["km/h", "kph", "kmh"]),
    unit(Pressure, "Pa", 1.0, 1.0, &["pa"]),
    unit(Pressure, "kPa", 1_000.0, 1.0, &["kpa"]),
    unit(Pressure, "hPa", 100.0, 1.0, &["hpa"]),
    unit(Pressure, "mbar", 100.0, 1.0, &["mbar", "mb"]),
    unit(Pressure, "bar", 100_000.0, 1.0, &["bar"]),
    unit(
        Pressure,
        "in wc",
        249.088_91,
        1.0,
        &[
            "inwc",
            "\"wc",
            "''wc",
            "inh2o",
            "\"h2o",
            "inwg",
            "\"wg",
            "iwc",
            "incheswc",
            "incheswatercolumn",
        ],
    ),
    unit(Pressure, "mm wc", 9.806_65, 1.0, &["mmwc", "mmh2o", "mmwg"]),
    unit(
        Pressure,
        "inHg",
        3_386.388_640_341,
        1.0,
        &["inhg", "\"hg", "''hg"],
    ),
    unit(Pressure, "psi", PSI, 1.0, &["psi", "lb/in2", "lbf/in2"]),
    referred(Reference::Gauge, unit(Pressure, "psig", PSI, 1.0, &["psig"])),
    unit(AbsolutePressure, "Pa", 1.0, 1.0, &["pa"]),
    unit(AbsolutePressure, "kPa", 1_000.0, 1.0, &["kpa"]),
    unit(AbsolutePressure, "hPa", 100.0, 1.0, &["hpa"]),
    unit(AbsolutePressure, "mbar", 100.0, 1.0, &["mbar", "mb"]),
    unit(AbsolutePressure, "bar", 100_000.0, 1.0, &["bar"]),
    unit(
        AbsolutePressure,
        "inHg",
        3_386.388_640_341,
        1.0,
        &["inhg", "\"hg", "''hg"],
    ),
    unit(AbsolutePressure, "mmHg", 133.322_387_415, 1.0, &["mmhg"]),
    unit(
        AbsolutePressure,
        "in wc",
        249.088_91,
        1.0,
        &["inwc", "\"wc", "''wc", "inh2o", "\"h2o", "inwg"],
    ),
    unit(AbsolutePressure, "psi", PSI, 1.0, &["psi"]),
    referred(
        Reference::Absolute,
        unit(AbsolutePressure, "psia", PSI, 1.0, &["psia"]),
    ),
    unit(Power, "W", 1.0, 1.0, &["w", "watt", "watts"]),
    unit(Power, "kW", 1_000.0, 1.0, &["kw"]),
    unit(
        Power,
        "Btu/h",
        BTU,
        HOUR,
        &["btu/h", "btuh", "btu/hr", "btu/hour", "btuhr", "btuperhour"],
    ),
    unit(
        Power,
        "MBH",
        BTU * 1_000.0,
        HOUR,
        &["mbh", "kbtu/h", "kbtu/hr", "kbtuh"],
    ),
    unit(Power, "MMBtu/h", BTU * 1e6, HOUR, &["mmbtu/h", "mmbtu/hr"]),
    unit(Energy, "J", 1.0, 1.0, &["j", "joule", "joules"]),
    unit(Energy, "kJ", 1_000.0, 1.0, &["kj"]),
    unit(Energy, "MJ", 1e6, 1.0, &["mj"]),
    unit(Energy, "GJ", 1e9, 1.0, &["gj"]),
    unit(Energy, "kWh", 3.6e6, 1.0, &["kwh"]),
    unit(Energy, "Btu", BTU, 1.0, &["btu"]),
    unit(Energy, "MMBtu", BTU * 1e6, 1.0, &["mmbtu"]),
    unit(Energy, "therm", BTU * 1e5, 1.0, &["therm", "therms"]),
    unit(VolumeFlow, "m3/s", 1.0, 1.0, &["m3/s"]),
    unit(VolumeFlow, "m3/h", 1.0, HOUR, &["m3/h", "m3/hr"]),
    unit(VolumeFlow, "L/min", 1.0, 60_000.0, &["l/min", "lpm"]),
    unit(VolumeFlow, "L/s", 1.0, 1_000.0, &["l/s"]),
    unit(
        VolumeFlow,
        "cfh",
        CUBIC_FOOT,
        HOUR,
        &["cfh", "ft3/h", "ft3/hr", "cuft/h", "cuft/hr", "scfh"],
    ),
    unit(
        VolumeFlow,
        "cfm",
        CUBIC_FOOT,
        60.0,
        &["cfm", "ft3/min", "cuft/min", "scfm"],
    ),
    unit(MassFlow, "kg/s", 1.0, 1.0, &["kg/s"]),
    unit(MassFlow, "kg/h", 1.0, HOUR, &["kg/h", "kg/hr"]),
    unit(MassFlow, "g/s", 1.0, 1_000.0, &["g/s"]),
    unit(
        MassFlow,
        "lb/h",
        POUND,
        HOUR,
        &["lb/h", "lb/hr", "lbs/h", "lbs/hr"],
    ),
    unit(HeatingValue, "J/m3", 1.0, 1.0, &["j/m3"]),
    unit(HeatingValue, "kJ/m3", 1_000.0, 1.0, &["kj/m3"]),
    unit(HeatingValue, "MJ/m3", 1e6, 1.0, &["mj/m3"]),
    unit(HeatingValue, "kWh/m3", 3.6e6, 1.0, &["kwh/m3"]),
    unit(
        HeatingValue,
        "Btu/ft3",
        BTU,
        CUBIC_FOOT,
        &["btu/ft3", "btu/cf", "btu/scf", "btu/cuft", "btu/cubicfoot"],
    ),
    unit(HeatingValue, "Btu/gal", BTU, GALLON, &["btu/gal", "btu/gallon"]),
    unit(Temperature, "degC", 1.0, 1.0, &["c", "degc", "celsius"]),
    from_zero(
        32.0,
        unit(Temperature, "degF", FIVE, NINE, &["f", "degf", "fahrenheit"]),
    ),
    from_zero(273.15, unit(Temperature, "K", 1.0, 1.0, &["k", "kelvin"])),
    unit(
        TemperatureDifference,
        "K",
        1.0,
        1.0,
        &["k", "kelvin", "degc_diff", "c_diff"],
    ),
    unit(
        TemperatureDifference,
        "degF_diff",
        FIVE,
        NINE,
        &["degf_diff", "f_diff", "fdifference", "degfdifference"],
    ),
    unit(Conductivity, "W/mK", 1.0, 1.0, &["w/mk", "w/m/k"]),
    unit(
        Conductivity,
        "Btu·in/h·ft2·F",
        BTU * FOOT * NINE,
        HOUR * SQUARE_FOOT * FIVE * 12.0,
        &[
            "btuin/hft2f",
            "btuin/hrft2f",
            "btuin/hft2degf",
            "btuin/hrft2degf",
            "btuin/h/ft2/f",
        ],
    ),
    unit(
        Conductivity,
        "Btu/h·ft·F",
        BTU * NINE,
        HOUR * FOOT * FIVE,
        &["btu/hftf", "btu/hrftf", "btu/hftdegf", "btu/h/ft/f"],
    ),
    unit(HeatTransfer, "W/m2K", 1.0, 1.0, &["w/m2k", "w/m2/k"]),
    unit(
        HeatTransfer,
        "Btu/h·ft2·F",
        BTU * NINE,
        HOUR * SQUARE_FOOT * FIVE,
        &[
            "btu/hft2f",
            "btu/hrft2f",
            "btu/hft2degf",
            "btu/hrft2degf",
            "btu/h/ft2/f",
        ],
    ),
    unit(ThermalResistance, "m2K/W", 1.0, 1.0, &["m2k/w"]),
    unit(
        ThermalResistance,
        "h·ft2·F/Btu",
        HOUR * SQUARE_FOOT * FIVE,
        BTU * NINE,
        &[
            "hft2f/btu",
            "hrft2f/btu",
            "hft2degf/btu",
            "hrft2degf/btu",
            "ft2hf/btu",
            "r",
        ],
    ),
    unit(LinearConductance, "W/mK", 1.0, 1.0, &["w/mk", "w/m/k"]),
    unit(
        LinearConductance,
        "Btu/h·ft·F",
        BTU * NINE,
        HOUR * FOOT * FIVE,
        &[
            "btu/hftf",
            "btu/hrftf",
            "btu/hftdegf",
            "btu/hrftdegf",
            "btu/h/ft/f",
        ],
    ),
    unit(Conductance, "W/K", 1.0, 1.0, &["w/k"]),
    unit(
        Conductance,
        "Btu/h·F",
        BTU * NINE,
        HOUR * FIVE,
        &["btu/hf", "btu/hrf", "btu/hdegf", "btu/h/f"],
    ),
    unit(Density, "kg/m3", 1.0, 1.0, &["kg/m3"]),
    unit(Density, "lb/ft3", POUND, CUBIC_FOOT, &["lb/ft3", "lbs/ft3"]),
    unit(MassPerEnergy, "kg/J", 1.0, 1.0, &["kg/j"]),
    unit(MassPerEnergy, "lb/MMBtu", POUND, BTU * 1e6, &["lb/mmbtu"]),
];
