//! Figures as drawings: what a reckoning found, to scale or as a plot.
//!
//! Each is made from a reckoning's input and result; where either lacks what a drawing needs, there is
//! none.

mod bars;
mod cap_trim;
mod flue;
mod gas_tree;
mod gauge;
mod heat;
mod liners;
mod near_cap;
mod stack;

use serde_json::Value as Json;
use wythe_drawing::{Axis, Drawing};
use wythe_trade::form::{Reckoning, read_input};
use wythe_units::{DecimalSign, Dimension, Style, System, Unit, read, read_entry, show};

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
            flue::operating(&sheet),
        ],
        "flue_conditions" => vec![flue::conditions(&sheet)],
        "cap_fit" => vec![cap_trim::trim(&sheet)],
        "pressure_test" => vec![gauge::test(&sheet)],
        "liner_fit" => vec![liners::section(&sheet)],
        "connector" => vec![stack::pieces(&sheet)],
        "gas_line" => vec![gas_tree::tree(&sheet)],
        "heat_loss" => vec![heat::ways(&sheet)],
        "appliance_match" => vec![heat::matching(&sheet)],
        "vent_terminal" => vec![near_cap::distances(&sheet)],
        _ => Vec::new(),
    };
    drawn
        .into_iter()
        .flatten()
        .filter(|drawing| drawing.check().is_ok())
        .collect()
}

/// The drawing of figures that is printed at full size, to be laid on the work: the cap's trim.
#[must_use]
pub fn full_size(figures: &Figures, words: &Words) -> Option<Drawing> {
    let is_trim = figures.reckoning == "cap_fit" && figures.first_stop().is_none();
    let mut drawings = is_trim.then(|| pictures(figures, words))?.into_iter();
    drawings.next()
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

    /// A quantity of the input, in the base unit of its dimension.
    fn measured(&self, at: &str, dimension: Dimension) -> Option<f64> {
        quantity(self.input.pointer(at)?, dimension)
    }

    /// A quantity as the trade writes it.
    fn shown(&self, dimension: Dimension, si: f64) -> String {
        Style::usual(dimension, System::Customary, si)
            .map_or_else(String::new, |style| show(si, &style.with_sign(self.sign())))
    }

    /// A length in inches and sixteenths.
    fn inches(&self, metres: f64) -> String {
        self.shown(Dimension::Length, metres.clamp(-9.9, 9.9))
    }

    /// A longer length in feet and metres.
    fn feet(&self, metres: f64) -> String {
        let written = [("ft", 1), ("m", 2)].into_iter().filter_map(|(code, places)| {
            let unit = Unit::find(Dimension::Length, code)?;
            Some(show(metres, &Style::decimal(unit, places).with_sign(self.sign())))
        });
        written.collect::<Vec<_>>().join(" · ")
    }

    /// A bare number with the decimals of a step.
    fn plain(&self, value: f64, step: f64) -> String {
        written(wythe_drawing::plain_number(value, step), self.sign())
    }

    fn axis(&self, word: &str, low: f64, high: f64, about: u8) -> Option<Axis> {
        let write = |value, step| self.plain(value, step);
        Axis::written(self.word(word), low, high, about, write).ok()
    }
}

fn written(number: String, sign: DecimalSign) -> String {
    match sign {
        DecimalSign::Point => number,
        DecimalSign::Comma => number.replace('.', ","),
    }
}

/// The typed figures of a reckoning, with what only a drawing needs.
fn answer<R: Reckoning>(input: &Json) -> Option<R::Figures> {
    answer_to::<R>(input).map(|(_, figures)| figures)
}

fn answer_to<R: Reckoning>(input: &Json) -> Option<(R::Input, R::Figures)> {
    let input = read_input::<R>(input).ok()?;
    let figures = R::reckon(&input).ok()?.figures;
    Some((input, figures))
}

/// A number, bare or with its unit.
fn number(value: &Json) -> Option<f64> {
    value
        .as_f64()
        .or_else(|| value.get("value").and_then(Json::as_f64))
}

/// A length as a reckoning takes it, in metres.
fn length(value: &Json) -> Option<f64> {
    quantity(value, Dimension::Length)
}

/// A quantity as a reckoning takes it, in the base unit of its dimension.
fn quantity(value: &Json, dimension: Dimension) -> Option<f64> {
    match value {
        Json::String(text) => read(dimension, text).ok().map(|reading| reading.si),
        Json::Object(parts) => {
            let unit = parts.get("unit").and_then(Json::as_str)?;
            let figure = parts.get("value").and_then(Json::as_f64)?;
            read_entry(dimension, figure, unit).ok().map(|reading| reading.si)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests;
