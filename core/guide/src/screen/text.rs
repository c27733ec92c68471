//! Reasons, deadlines and figures in words.

use serde_json::Value as Json;
use wythe_job::{Grade, Held, PersonId, Place, Value};

use crate::calendar::{local_date, read_date};
use crate::entry::show_held;
use crate::figures::{Figures, FiguresPlan, Taken, earlier};
use crate::known::Known;
use crate::readiness::{Due, Row, Why};
use crate::words::Words;

use super::findings::finding_text;

use super::Level;
use super::findings::refusal_text;

/// What is said before figures: what governs, and what they are good for.
#[must_use]
pub fn said_before(figures: &Figures, words: &Words) -> Vec<String> {
    if figures.good().is_none() {
        return Vec::new();
    }
    figures.said.iter().map(|id| words.get(id)).collect()
}

/// What stands with figures, in order: what is still pending, what they found, and what came from the
/// business's library, with its source.
#[must_use]
pub fn figure_remarks(figures: &Figures, words: &Words) -> Vec<Finding> {
    let told = |level, message| Finding {
        level,
        message,
        source: String::new(),
    };
    let Some(result) = figures.good() else {
        let refused = figures.result.iter().filter_map(|result| result.as_ref().err());
        return refused
            .map(|refusal| {
                let text = refusal_text(refusal.code.as_str(), &refusal.message, words);
                told(Level::Caution, text)
            })
            .collect();
    };
    let mut remarks = findings_of(result, words);
    if figures.pending.is_some() {
        // What is pending is said in its own words.
        let alone = result
            .get("findings")
            .and_then(Json::as_array)
            .and_then(|findings| {
                findings
                    .iter()
                    .position(|finding| finding.get("code").and_then(Json::as_str) == Some("no_band"))
            });
        let pending = told(Level::Note, words.get("figures-band-pending"));
        match alone.and_then(|at| remarks.get_mut(at)) {
            Some(remark) => *remark = pending,
            None => remarks.push(pending),
        }
    }
    let sources = sources(&figures.taken, words).into_iter();
    remarks.extend(sources.map(|source| told(Level::Note, source)));
    remarks
}

/// One sentence for each source of single values of the library.
fn sources(taken: &[Taken], words: &Words) -> Vec<String> {
    let mut by_source: Vec<(&str, Vec<String>)> = Vec::new();
    for one in taken {
        let part = library_part(&one.sort, &one.part, words);
        match by_source.iter_mut().find(|(known, _)| *known == one.source) {
            Some((_, parts)) if !parts.contains(&part) => parts.push(part),
            Some(_) => {}
            None => by_source.push((&one.source, vec![part])),
        }
    }
    let said = by_source.into_iter().map(|(source, parts)| {
        words.with(
            "library-taken",
            &[("source", source), ("parts", &parts.join(", "))],
        )
    });
    said.collect()
}

/// What a value of the business's library is called.
#[must_use]
pub fn library_part(sort: &str, part: &str, words: &Words) -> String {
    words
        .find(&format!("library-{sort}-{part}"), &[])
        .unwrap_or_else(|| part.replace('_', " "))
}

/// A reason in words. Arguments behind `#` are messages themselves; dates are written as the language
/// writes them.
#[must_use]
pub fn why_in_words(why: &Why, words: &Words) -> String {
    let part = |part: &str| {
        if let Some(date) = read_date(part) {
            return words.date(date);
        }
        let message = part.strip_prefix('#').and_then(|id| words.find(id, &[]));
        message.unwrap_or_else(|| part.to_owned())
    };
    let text = |value: &String| {
        let parts: Vec<String> = value.split("; ").map(part).collect();
        parts.join(", ")
    };
    let arguments: Vec<(&str, String)> = why
        .with
        .iter()
        .map(|(name, value)| (name.as_str(), text(value)))
        .collect();
    let arguments: Vec<(&str, &str)> = arguments
        .iter()
        .map(|(name, value)| (*name, value.as_str()))
        .collect();
    words.with(&why.code, &arguments)
}

/// What an ask is called, with which of several it is about.
#[must_use]
pub fn ask_in_words(ask: &str, path: &[Place], words: &Words) -> String {
    let mut label = words.get(&format!("ask-{ask}"));
    for place in path {
        let number = place.number.to_string();
        let place = words.with(&format!("group-{}", place.of), &[("number", &number)]);
        label = format!("{label} ({place})");
    }
    label
}

/// An answer in the reader's language.
#[must_use]
pub fn value_in_words(held: &Held, words: &Words, name: &dyn Fn(PersonId) -> String) -> String {
    match &held.value {
        Value::Choice(code) => words
            .find(&format!("choice-{code}"), &[])
            .unwrap_or_else(|| code.replace('_', " ")),
        Value::YesNo(yes) => words.get(if *yes { "choice-yes" } else { "choice-no" }),
        Value::Person(person) => name(*person),
        Value::Date(text) => match read_date(text) {
            Some(date) => words.date(date),
            None => text.clone(),
        },
        value => show_held(value, &held.measured, words.language().sign()),
    }
}

/// On what an order in time rests, the strongest first; `None` where none was wanted.
#[must_use]
pub fn rests_on(row: &Row, words: &Words) -> Option<String> {
    let told = row.rests_on.iter();
    let told: Vec<String> = told.map(|basis| words.get(basis.message())).collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// A photo's grade in words, with its reasons.
#[must_use]
pub fn grade_in_words(grade: &Grade, words: &Words) -> String {
    let label = words.get(&format!("grade-{}", grade.code));
    let reasons = grade.reasons.iter();
    let reasons: Vec<String> = reasons
        .map(|reason| words.get(&format!("photo-reason-{}", reason_code(reason))))
        .collect();
    if reasons.is_empty() {
        return label;
    }
    let reasons = reasons.join(", ");
    words.with("photo-graded", &[("grade", &label), ("reasons", &reasons)])
}

/// The way out of a grade that is less than wished: what to do about the worst reason, and that the photo
/// may be kept all the same. `None` where nothing is to be done, or why it is the best was said.
#[must_use]
pub fn way_out(grade: &Grade, words: &Words) -> Option<String> {
    if grade.code == "good" || grade.best_i_can.is_some() {
        return None;
    }
    let mut reasons = grade.reasons.iter();
    let way =
        reasons.find_map(|reason| words.attribute(&format!("photo-reason-{}", reason_code(reason)), "way"));
    Some(format!("{} {}", way?, words.get("photo-best")))
}

/// The code of a kept reason, without its figures.
pub(crate) fn reason_code(kept: &str) -> &str {
    let end = |c: char| !c.is_ascii_alphanumeric() && c != '_';
    kept.split(end).next().unwrap_or_default()
}

/// What a deadline is called.
#[must_use]
pub fn due_label(due: &Due, words: &Words) -> String {
    let own = due.words.as_ref();
    let own = own.and_then(|own| own.get(words.language().tag()).cloned());
    own.or_else(|| words.find(&format!("deadline-{}", due.id), &[]))
        .unwrap_or_else(|| due.id.replace('_', " "))
}

/// A finding of a reckoning, as it is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// How strongly.
    pub level: Level,
    /// What is so, and what to do.
    pub message: String,
    /// On what it rests; may be empty.
    pub source: String,
}

/// The findings of a reckoning's result, in its own order and the reader's language.
#[must_use]
pub fn findings_of(result: &Json, words: &Words) -> Vec<Finding> {
    let findings = result.get("findings").and_then(Json::as_array);
    let told = |finding: &Json| {
        let text = |key: &str| finding.get(key).and_then(Json::as_str).unwrap_or_default();
        Finding {
            level: match text("severity") {
                "stop" => Level::Stop,
                "caution" => Level::Caution,
                _ => Level::Note,
            },
            message: finding_text(text("code"), text("message"), words),
            source: text("source").to_owned(),
        }
    };
    findings.into_iter().flatten().map(told).collect()
}

/// What a plan shows of a result: name and figure, in the plan's order. What does not exist is left out.
#[must_use]
pub fn figure_lines(plan: &FiguresPlan, result: &Json, words: &Words) -> Vec<(String, String)> {
    let line = |at: &String| {
        let value = result.pointer(at).filter(|value| !value.is_null())?;
        let name = format!("figure-{}{}", plan.reckoning, at.replace('/', "-"));
        Some((words.get(&name), figure_text(value, words)))
    };
    plan.show.iter().filter_map(line).collect()
}

/// The figures of a plan that were kept because they did not hold: when, what they were, what they said.
#[must_use]
pub fn earlier_texts(
    known: &Known<'_>,
    plan: &FiguresPlan,
    path: &[Place],
    now: Option<&Figures>,
    words: &Words,
) -> Vec<String> {
    let text = |kept: &crate::figures::Earlier<'_>| {
        let date = local_date(kept.entry.at, known.zone()).map_or_else(String::new, |date| words.date(date));
        let lines = figure_lines(plan, &kept.result, words).into_iter();
        let lines: Vec<String> = lines.map(|(name, value)| format!("{name}: {value}")).collect();
        let told = findings_of(&kept.result, words).into_iter();
        let said = told.filter(|finding| finding.level != Level::Note);
        let said: Vec<String> = said.map(|finding| finding.message).collect();
        words.with(
            "again-earlier",
            &[
                ("date", &date),
                ("figures", &lines.join(", ")),
                ("said", &said.join(" ")),
            ],
        )
    };
    earlier(known, &plan.id, path, now).iter().map(text).collect()
}

/// A figure of a reckoning's result as a person reads it.
#[must_use]
pub fn figure_text(value: &Json, words: &Words) -> String {
    let sign = words.language().sign();
    match value {
        Json::Object(parts) => {
            let number = parts.get("value").and_then(Json::as_f64);
            let unit = parts.get("unit").and_then(Json::as_str);
            match (number, unit) {
                (Some(number), Some(unit)) => quantity_text(number, unit, sign),
                _ => points_text(parts, words).unwrap_or_else(|| value.to_string()),
            }
        }
        Json::Bool(yes) => words.get(if *yes { "choice-yes" } else { "choice-no" }),
        Json::Number(number) => number
            .as_f64()
            .map_or_else(|| number.to_string(), |number| plain_number(number, sign)),
        Json::String(text) => words
            .find(&format!("figure-text-{text}"), &[])
            .unwrap_or_else(|| text.replace('_', " ")),
        Json::Null => "–".to_owned(),
        Json::Array(items) => items
            .iter()
            .map(|item| figure_text(item, words))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

/// The 5, 50 and 95 % points of a band.
fn points_text(parts: &serde_json::Map<String, Json>, words: &Words) -> Option<String> {
    let text = |key: &str| parts.get(key).map(|value| figure_text(value, words));
    let (low, middle, high) = (text("p5")?, text("p50")?, text("p95")?);
    let with = [
        ("low", low.as_str()),
        ("middle", middle.as_str()),
        ("high", high.as_str()),
    ];
    Some(words.with("remark-band", &with))
}

/// The unit in which a figure of this size is read: feet for a ladder, psi for a test, pascals for a draft,
/// square inches for a flue. Others as they are usual.
fn style_for(
    dimension: wythe_units::Dimension,
    system: wythe_units::System,
    si: f64,
) -> Option<wythe_units::Style> {
    use wythe_units::{Dimension, Form, Style, System, Unit};
    const SIX_FEET: f64 = 6.0 * 0.3048;
    const PSI: f64 = 6_894.757;
    let size = si.abs();
    let (code, places) = match (dimension, system) {
        (Dimension::Length, System::Customary) if (SIX_FEET..10.0).contains(&size) => {
            let inches = Style::usual(dimension, system, si)?;
            let form = Form::FeetInches { parts: 16 };
            return Some(Style { form, ..inches });
        }
        (Dimension::Length, System::Metric) if (SIX_FEET..10.0).contains(&size) => ("m", 2),
        (Dimension::Pressure, System::Customary) if size >= PSI => ("psi", 2),
        (Dimension::Pressure, System::Metric) if size < 1_000.0 => ("Pa", 1),
        (Dimension::Area, System::Customary) if size < 0.1 => ("in2", 1),
        (Dimension::Area, System::Metric) if size < 0.1 => ("cm2", 0),
        _ => return Style::usual(dimension, system, si),
    };
    Some(Style::decimal(Unit::find(dimension, code)?, places))
}

fn plain_number(number: f64, sign: wythe_units::DecimalSign) -> String {
    let rounded = (number * 1000.0).round() / 1000.0;
    let text = format!("{rounded}");
    match sign {
        wythe_units::DecimalSign::Point => text,
        wythe_units::DecimalSign::Comma => text.replace('.', ","),
    }
}

fn quantity_text(number: f64, unit: &str, sign: wythe_units::DecimalSign) -> String {
    use wythe_units::{Dimension, System, show};
    let dimension = Dimension::ALL
        .into_iter()
        .find(|dimension| dimension.base_unit() == unit);
    let Some(dimension) = dimension else {
        return format!("{} {unit}", plain_number(number, sign));
    };
    if dimension == Dimension::Time && number >= 120.0 {
        return format!("{} min", plain_number(number / 60.0, sign));
    }
    let both = [System::Customary, System::Metric].into_iter();
    let shown = both.filter_map(|system| style_for(dimension, system, number));
    let mut shown: Vec<String> = shown.map(|style| show(number, &style.with_sign(sign))).collect();
    // Where both families have one unit, it is said once.
    shown.dedup();
    shown.join(" · ")
}
