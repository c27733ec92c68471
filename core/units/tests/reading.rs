//! What a tradesperson types, and what it is in the base unit.

#![expect(clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

use wythe_units::{Dimension, ReadError, read, read_entry};

/// The value in the base unit, to a relative 1e-12.
fn check(dimension: Dimension, typed: &str, base: f64) {
    let reading = read(dimension, typed).unwrap_or_else(|refusal| panic!("{typed:?}: {refusal}"));
    let slack = 1e-12 * base.abs().max(1e-9);
    assert!(
        (reading.si - base).abs() <= slack,
        "{typed:?} gives {}, not {base}",
        reading.si
    );
}

fn refused(dimension: Dimension, typed: &str, code: &str) -> ReadError {
    let refusal = read(dimension, typed).expect_err(typed);
    assert_eq!(refusal.code(), code, "{typed:?}: {refusal}");
    assert!(refusal.to_string().ends_with('.'), "{refusal}");
    refusal
}

#[test]
fn lengths() {
    use Dimension::Length;
    for typed in [
        "11 3/8 in",
        "11-3/8\"",
        "11 3/8\"",
        "11⅜ in",
        "11 ⅜″",
        "11-⅜ in.",
        "11.375 in",
        "11 3⁄8 IN",
        "  11 3/8  inches ",
        "11 - 3/8 in",
        "11 3 / 8 in",
        "11 3/8 ”",
        "+11 3/8 in",
        "11 3/8''",
        "1.1375e1 in",
    ] {
        check(Length, typed, 0.288_925);
    }
    for typed in [
        "7' 4 1/2\"",
        "7 ft 4 1/2 in",
        "7’ 4½”",
        "7′-4 1/2″",
        "7ft4.5in",
        "7 feet, 4 1/2 inches",
        "7 ft. 4 1/2 in.",
        "7'4½\"",
        "7'4 1/2''",
    ] {
        check(Length, typed, 2.2479);
    }
    check(Length, "8 ft 4 1/2 in", 2.5527);
    check(Length, "7 ft", 2.1336);
    check(Length, "0.5 in", 0.0127);
    check(Length, "½ in", 0.0127);
    check(Length, "1/2 in", 0.0127);
    check(Length, "19/8 in", 0.060_325);
    check(Length, "-1 1/2 in", -0.0381);
    check(Length, "−3 ft 6 in", -1.0668);
    check(Length, "289 mm", 0.289);
    check(Length, "1.2 m", 1.2);
    check(Length, "1864 m", 1864.0);
    check(Length, "1,864 m", 1864.0);
    check(Length, "6,115 ft", 1863.852);
    check(Length, "2 yd", 1.8288);
    check(Length, "12 cm", 0.12);
    check(Length, "0 in", 0.0);
    check(Length, "-0 in", 0.0);
}

#[test]
fn gas_and_heat() {
    use Dimension::*;
    let btu_per_hour = 1_055.055_852_62 / 3600.0;
    for typed in [
        "35000 Btu/h",
        "35,000 BTU/hr",
        "35 MBH",
        "35 mbh",
        "35,000.0 btuh",
    ] {
        check(Power, typed, 35_000.0 * btu_per_hour);
    }
    check(Power, "10.3 kW", 10_300.0);
    for typed in [
        "7 in wc",
        "7\" w.c.",
        "7″ WC",
        "7 in. w.c.",
        "7 in H2O",
        "7'' wc",
        "7 in W.C.",
    ] {
        check(Pressure, typed, 7.0 * 249.088_91);
    }
    check(Pressure, "3 1/2 in wc", 3.5 * 249.088_91);
    check(Pressure, "0.5 psi", 3_447.378_646_584);
    check(Pressure, "3 psig", 20_684.271_879_504);
    check(Pressure, "1.74 kPa", 1_740.0);
    check(Pressure, "17 mbar", 1_700.0);
    check(Pressure, "-0.02 in wc", -4.981_778_2);
    check(AbsolutePressure, "29.53 inHg", 29.53 * 3_386.388_640_341);
    check(AbsolutePressure, "29.53\" Hg", 29.53 * 3_386.388_640_341);
    check(AbsolutePressure, "14.73 psia", 14.73 * 6_894.757_293_168);
    check(VolumeFlow, "62 cfh", 62.0 * 0.028_316_846_592 / 3600.0);
    check(VolumeFlow, "60 ft³/h", 60.0 * 0.028_316_846_592 / 3600.0);
    check(HeatingValue, "38 MJ/m3", 38e6);
    check(
        HeatingValue,
        "1020 Btu/ft3",
        1020.0 * 1_055.055_852_62 / 0.028_316_846_592,
    );
    check(
        HeatingValue,
        "91,500 Btu/gal",
        91_500.0 * 1_055.055_852_62 / 0.003_785_411_784,
    );
    for typed in ["12 degF", "12 °F", "12 F", "12°f", "12 ℉", "12F"] {
        check(Temperature, typed, -100.0 / 9.0);
    }
    check(Temperature, "-11 degC", -11.0);
    check(Temperature, "–11 °C", -11.0);
    check(Temperature, "-40 F", -40.0);
    check(TemperatureDifference, "9 degF_diff", 5.0);
    check(TemperatureDifference, "22 K", 22.0);
}

#[test]
fn the_rest() {
    use Dimension::*;
    check(Area, "120 ft2", 11.148_364_8);
    check(Area, "120 sq ft", 11.148_364_8);
    check(Area, "42.7 in²", 0.027_548_332);
    check(Volume, "1/2 ft3", 0.014_158_423_296);
    check(Volume, "0.3 L", 0.000_3);
    check(Volume, "1 gal", 0.003_785_411_784);
    check(Mass, "180 lb", 81.646_626_6);
    check(Mass, "1 ton", 907.184_74);
    check(Mass, "1 t", 1000.0);
    check(Time, "24 h", 86_400.0);
    check(Time, "4 min", 240.0);
    check(Speed, "12 mph", 5.364_48);
    check(Speed, "200 ft/min", 1.016);
    check(Conductivity, "0.6 W/mK", 0.6);
    // NIST SP 811 lists 1.442279e-1, 5.678263 and 1.761102e-1 for these three.
    assert!((read(Conductivity, "1 Btu·in/h·ft2·F").unwrap().si - 0.144_227_9).abs() < 5e-8);
    assert!((read(HeatTransfer, "1 Btu/(h·ft²·°F)").unwrap().si - 5.678_263).abs() < 5e-7);
    assert!((read(ThermalResistance, "R-1").unwrap().si - 0.176_110_2).abs() < 5e-8);
    assert!((read(LinearConductance, "1 Btu/h·ft·F").unwrap().si - 1.730_735).abs() < 5e-7);
    check(ThermalResistance, "2 m2K/W", 2.0);
    let thirteen = read(ThermalResistance, "R-13").unwrap().si;
    for typed in ["r13", "R 13", "R-13.0", "13 h·ft2·F/Btu", "13 hr·ft²·°F/Btu"] {
        check(ThermalResistance, typed, thirteen);
    }
    check(HeatTransfer, "0.35 W/m²·K", 0.35);
}

#[test]
fn a_number_with_its_unit_beside_it() {
    let reading = read_entry(Dimension::Length, 11.375, "in").unwrap();
    assert!((reading.length().unwrap().value - 0.288_925).abs() < 1e-15);
    assert!(reading.pressure().is_none());
    let cold = read_entry(Dimension::Temperature, 12.0, "°F")
        .unwrap()
        .temperature()
        .unwrap();
    assert!((cold.get::<uom::si::thermodynamic_temperature::degree_fahrenheit>() - 12.0).abs() < 1e-9);
    assert_eq!(
        read_entry(Dimension::Length, f64::NAN, "in").unwrap_err().code(),
        "not_finite"
    );
    assert_eq!(
        read_entry(Dimension::Length, 1.0, " ").unwrap_err().code(),
        "unit_missing"
    );
    assert_eq!(
        read_entry(Dimension::Length, 1.0, "psi").unwrap_err().code(),
        "unit_wrong_kind"
    );
    assert_eq!(
        read_entry(Dimension::Length, 1.0, &"z".repeat(9_000))
            .unwrap_err()
            .code(),
        "unit_unknown"
    );
}

#[test]
fn a_unit_is_never_guessed() {
    use Dimension::*;
    refused(Length, "11 3/8", "unit_missing");
    refused(Length, "11", "unit_missing");
    refused(Temperature, "-4", "unit_missing");
    refused(Length, "7 in wc", "unit_wrong_kind");
    refused(Pressure, "7 in", "unit_wrong_kind");
    refused(TemperatureDifference, "12 °F", "unit_wrong_kind");
    refused(Length, "R-13", "unit_wrong_kind");
    refused(Pressure, "14.7 psia", "unit_wrong_kind");
    refused(AbsolutePressure, "3 psig", "unit_wrong_kind");
    refused(Pressure, "7' 4\"", "unit_wrong_kind");
    refused(Length, "3 cubits", "unit_unknown");
    let refusal = refused(Length, "3 cubits", "unit_unknown").to_string();
    assert!(
        refusal.contains("cubits") && refusal.contains("11 3/8 in") && refusal.contains("mm"),
        "{refusal}"
    );
}

#[test]
fn a_number_is_never_guessed() {
    use Dimension::*;
    for typed in [
        "",
        " ",
        "in",
        "abc",
        "0,5 in",
        "1,5 m",
        "0,125 in",
        "12,34 ft",
        "1,2345 ft",
        "1.2.3 in",
        "1.5 3/8 in",
        "11 19/8 in",
        "11 8/8 in",
        "11 3/0 in",
        "3/0 in",
        "0/0 in",
        "11 3 in",
        "7 ft 4",
        "7' 4",
        "7.5 ft 3 in",
        "7 ft 14 in",
        "5 lb 3 oz",
        "1 m 20 cm",
        "1,864 3/8 in",
        "--3 in",
        "3/99999 in",
        ".in",
        "/8 in",
        ",5 in",
    ] {
        let refusal = read(Length, typed).expect_err(typed);
        assert_eq!(refusal.code(), "number_unreadable", "{typed:?}: {refusal}");
    }
    let comma = refused(Length, "0,5 in", "number_unreadable").to_string();
    assert!(comma.contains("with a point"), "{comma}");
    refused(Length, "1e999 in", "not_finite");
    refused(Length, "NaN in", "not_finite");
    refused(Length, "-inf m", "not_finite");
    refused(Power, "1e308 MMBtu/h", "not_finite");
    refused(Time, "2 min 30 s", "number_unreadable");
    refused(Length, &"9".repeat(1_000_000), "number_unreadable");
    refused(Length, &"½".repeat(50), "number_unreadable");
}
