//! What a person reads, and that it reads back.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use wythe_units::{
    DecimalSign, Dimension, Form, Style, System, Unit, nine_digits, read, read_back, read_entry, show,
};

fn back(dimension: Dimension, typed: &str) -> String {
    read_back(&read(dimension, typed).unwrap(), DecimalSign::Point)
}

#[test]
fn what_was_typed_is_read_back_in_both_systems() {
    use Dimension::*;
    assert_eq!(back(Length, "11-3/8\""), "11 3/8 in · 289 mm");
    assert_eq!(back(Length, "289 mm"), "289 mm · 11 3/8 in");
    assert_eq!(back(Length, "7' 4 1/2\""), "88 1/2 in · 2248 mm");
    assert_eq!(back(Length, "6,115 ft"), "6,115 ft · 1864 m");
    assert_eq!(back(Length, "1864 m"), "1864 m · 6,115 ft");
    assert_eq!(back(Length, "11.4 in"), "11.4 in · 290 mm");
    assert_eq!(back(Length, "½ in"), "1/2 in · 13 mm");
    assert_eq!(back(Temperature, "12 F"), "12 °F · -11.1 °C");
    assert_eq!(back(Pressure, "7\" w.c."), "7 in w.c. · 1.744 kPa");
    assert_eq!(back(Power, "35 MBH"), "35 MBH · 10.26 kW");
    assert_eq!(back(Power, "10.3 kW"), "10.3 kW · 35,145 Btu/h");
    assert_eq!(back(Power, "35000 Btu/h"), "35,000 Btu/h · 10.26 kW");
    assert_eq!(back(ThermalResistance, "r13"), "R-13 · 2.29 m²K/W");
    assert_eq!(back(Time, "29 s"), "29 s");
    assert_eq!(
        read_back(&read(Dimension::Length, "0.3 m").unwrap(), DecimalSign::Comma),
        "0,3 m · 11 13/16 in"
    );
}

#[test]
fn a_length_in_feet_and_inches() {
    let style = |parts| Style {
        unit: Unit::find(Dimension::Length, "in").unwrap(),
        form: Form::FeetInches { parts },
        sign: DecimalSign::Point,
    };
    assert_eq!(show(2.2479, &style(16)), "7 ft 4 1/2 in");
    assert_eq!(show(2.1336, &style(8)), "7 ft");
    assert_eq!(show(2.1463, &style(8)), "7 ft 1/2 in");
    assert_eq!(show(0.0127, &style(8)), "1/2 in");
    assert_eq!(show(0.1143, &style(8)), "4 1/2 in");
    assert_eq!(show(0.0, &style(8)), "0 in");
    assert_eq!(show(-0.9271, &style(8)), "-3 ft 1/2 in");
    assert_eq!(show(0.3046, &style(8)), "1 ft");
}

#[test]
fn figures_that_are_kept_have_nine_digits() {
    for (value, kept) in [
        (0.288_924_999_999_99, 0.288_925),
        (-1.0 / 3.0, -0.333_333_333),
        (123_456_789.6, 123_456_790.0),
        (1e300 / 3.0, 3.333_333_33e299),
    ] {
        assert_eq!(nine_digits(value).to_bits(), f64::to_bits(kept), "{value}");
    }
    assert_eq!(nine_digits(-0.0).to_bits(), 0.0_f64.to_bits());
    assert!(nine_digits(f64::NAN).is_nan());
}

#[test]
fn every_unit_reads_back_by_its_code_and_by_its_label() {
    for dimension in Dimension::ALL {
        assert_eq!(Dimension::from_code(dimension.code()), Some(dimension));
        assert!(
            read(dimension, dimension.example()).is_ok(),
            "{}",
            dimension.example()
        );
        let mut units = Unit::all(dimension);
        assert_eq!(units.next().unwrap().code, dimension.base_unit());
        for unit in Unit::all(dimension) {
            assert_eq!(Unit::find(dimension, unit.code), Some(unit), "{}", unit.code);
            assert_eq!(
                Unit::find(dimension, &unit.label()),
                Some(unit),
                "{}",
                unit.label()
            );
            assert!(
                (unit.to_base(unit.from_base(20.0)) - 20.0).abs() < 1e-9,
                "{}",
                unit.code
            );
        }
        for system in [System::Customary, System::Metric] {
            assert!(Style::usual(dimension, system, 1.0).is_some(), "{dimension}");
        }
    }
}

fn any_dimension() -> impl Strategy<Value = Dimension> {
    proptest::sample::select(Dimension::ALL.to_vec())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() })]

    #[test]
    fn what_is_shown_reads_back_within_half_a_step(
        dimension in any_dimension(),
        metric in any::<bool>(),
        typed in -9_999.0..9_999.0_f64,
        place in 0_usize..8,
    ) {
        let units: Vec<_> = Unit::all(dimension).collect();
        let si = units[place % units.len()].to_base(typed);
        let system = if metric { System::Metric } else { System::Customary };
        let style = Style::usual(dimension, system, si).unwrap();
        let text = show(si, &style);
        let again = read(dimension, &text);
        prop_assert!(again.is_ok(), "{text:?}: {again:?}");
        let slack = style.step() * 0.5 + 1e-8 * si.abs();
        prop_assert!((again.unwrap().si - si).abs() <= slack * (1.0 + 1e-9), "{text:?} of {si}");
    }

    #[test]
    fn fractions_read_back(eighths in -4_000_i32..4_000, parts in proptest::sample::select(vec![8_u8, 16]), feet in any::<bool>()) {
        let si = f64::from(eighths) / 8.0 * 0.0254;
        let unit = Unit::find(Dimension::Length, "in").unwrap();
        let form = if feet { Form::FeetInches { parts } } else { Form::Fraction { parts } };
        let text = show(si, &Style { unit, form, sign: DecimalSign::Point });
        prop_assert!((read(Dimension::Length, &text).unwrap().si - si).abs() < 1e-12, "{text}");
    }

    #[test]
    fn inches_and_millimetres_give_the_same_figure(sixteenths in 0_u32..20_000) {
        let inches = f64::from(sixteenths) / 16.0;
        let typed = read_entry(Dimension::Length, inches, "in").unwrap().si;
        let metric = read_entry(Dimension::Length, inches * 25.4, "mm").unwrap().si;
        prop_assert_eq!(nine_digits(typed).to_bits(), nine_digits(metric).to_bits());
    }

    #[test]
    fn no_text_makes_it_panic(dimension in any_dimension(), text in any::<String>()) {
        let _ = read(dimension, &text);
    }

    #[test]
    fn no_text_of_the_trades_signs_makes_it_panic(
        dimension in any_dimension(),
        text in "[0-9 /.,'\"½⅜′″−–RrfFtTinme²³°·+-]{0,40}",
    ) {
        if let Ok(reading) = read(dimension, &text) {
            prop_assert!(reading.si.is_finite());
            let _ = read_back(&reading, DecimalSign::Comma);
        }
    }
}
