//! Figures as drawings: what a reckoning found, to scale or as a plot.
//!
//! Each is made from a reckoning's input and result; where either lacks what a drawing needs, there is
//! none.

mod cap_trim;
mod flue;
mod gauge;

use serde_json::Value as Json;
use wythe_drawing::Drawing;
use wythe_units::DecimalSign;

use crate::figures::Figures;
use crate::words::Words;

/// The drawings of figures, in the order in which they are shown.
#[must_use]
pub fn pictures(figures: &Figures, words: &Words) -> Vec<Drawing> {
    let Some(result) = figures.good() else {
        return Vec::new();
    };
    let sheet = Sheet {
        input: &figures.input,
        result,
        words,
    };
    let drawn = match figures.reckoning.as_str() {
        "flue" => vec![
            flue::section(&sheet),
            flue::temperatures(&sheet),
            flue::budget(&sheet),
        ],
        "cap_fit" => vec![cap_trim::trim(&sheet)],
        "pressure_test" => vec![gauge::test(&sheet)],
        _ => Vec::new(),
    };
    drawn
        .into_iter()
        .flatten()
        .filter(|drawing| drawing.check().is_ok())
        .collect()
}

/// What a drawing is made from.
struct Sheet<'s> {
    input: &'s Json,
    result: &'s Json,
    words: &'s Words,
}

impl Sheet<'_> {
    /// A figure of the result, in its base unit.
    fn found(&self, at: &str) -> Option<f64> {
        number(self.result.pointer(at)?)
    }

    /// A length of the input, in metres.
    fn given(&self, at: &str) -> Option<f64> {
        length(self.input.pointer(at)?)
    }

    fn word(&self, id: &str) -> String {
        self.words.get(&format!("picture-{id}"))
    }

    fn sign(&self) -> DecimalSign {
        self.words.language().sign()
    }

    /// A length in inches and sixteenths.
    fn inches(&self, metres: f64) -> String {
        let style =
            wythe_units::Unit::find(wythe_units::Dimension::Length, "in").map(|unit| wythe_units::Style {
                unit,
                form: wythe_units::Form::Fraction { parts: 16 },
                sign: self.sign(),
            });
        style.map_or_else(String::new, |style| wythe_units::show(metres, &style))
    }

    /// A length in metres with two places.
    fn metres(&self, metres: f64) -> String {
        let style = wythe_units::Unit::find(wythe_units::Dimension::Length, "m")
            .map(|unit| wythe_units::Style::decimal(unit, 2).with_sign(self.sign()));
        style.map_or_else(String::new, |style| wythe_units::show(metres, &style))
    }
}

/// A number, bare or with its unit.
fn number(value: &Json) -> Option<f64> {
    value
        .as_f64()
        .or_else(|| value.get("value").and_then(Json::as_f64))
}

/// A length as a reckoning takes it, in metres.
fn length(value: &Json) -> Option<f64> {
    use wythe_units::{Dimension, read, read_entry};
    match value {
        Json::String(text) => read(Dimension::Length, text).ok().map(|reading| reading.si),
        Json::Object(parts) => {
            let unit = parts.get("unit").and_then(Json::as_str)?;
            let figure = parts.get("value").and_then(Json::as_f64)?;
            read_entry(Dimension::Length, figure, unit)
                .ok()
                .map(|reading| reading.si)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::words::Language;

    fn drawn(reckoning: &str, input: &Json) -> Vec<Drawing> {
        let figures = Figures {
            id: format!("test.{reckoning}"),
            reckoning: reckoning.to_owned(),
            path: Vec::new(),
            missing: Vec::new(),
            from: Vec::new(),
            input: input.clone(),
            result: Some(wythe_trade::reckon(reckoning, &input.to_string())),
        };
        assert!(figures.good().is_some(), "{:?}", figures.result);
        pictures(&figures, &Words::of(Language::En))
    }

    fn sample(text: &str) -> Json {
        serde_json::from_str(text).unwrap()
    }

    #[test]
    fn a_flue_is_drawn_co_linear_co_axial_and_impossible() {
        let colinear = sample(include_str!("../../../trade/samples/flue.json"));
        assert_eq!(drawn("flue", &colinear).len(), 3);
        let mut coaxial = colinear.clone();
        *coaxial.pointer_mut("/segments/0/intake").unwrap() = json!({
            "kind": "coaxial", "loss_coefficient": 0.5,
            "tile": {"shape": "rectangle", "a": "6 1/2 in", "b": "10 1/2 in", "area_factor": 0.932},
        });
        assert_eq!(drawn("flue", &coaxial).len(), 3);
        let mut impossible = colinear;
        *impossible.pointer_mut("/appliance/pressure_drop").unwrap() = json!("300 Pa");
        let drawings = drawn("flue", &impossible);
        assert_eq!(drawings.len(), 3);
        assert!(
            drawings.iter().all(|drawing| !drawing.alt.contains('[')),
            "words are missing"
        );
    }

    #[test]
    fn the_caps_trim_and_the_pressure_test_are_drawn() {
        let trim = drawn(
            "cap_fit",
            &sample(include_str!("../../../trade/samples/cap_fit.json")),
        );
        assert_eq!(trim.len(), 1);
        let test = drawn(
            "pressure_test",
            &sample(include_str!("../../../trade/samples/pressure_test.json")),
        );
        assert_eq!(test.len(), 1);
    }
}
