//! Filling a reckoning's input from what a job knows.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};
use wythe_job::{FactId, Place, Value};
use wythe_trade::reckon;
use wythe_units::{Dimension, read};

use super::source::{Take, Which};
use super::{Figures, FiguresPlan, Library, Pending, Source, Taken, Worked};
use crate::condition::Scope;
use crate::known::Known;

/// Fills one plan and runs its reckoning once nothing is missing.
pub(super) fn work_out(
    (known, library, worked): (&Known<'_>, &Library, &Worked),
    done: &[Figures],
    plan: &FiguresPlan,
    path: Vec<Place>,
) -> Figures {
    let mut filling = Filling {
        known,
        library,
        done,
        missing: Vec::new(),
        from: Vec::new(),
        taken: Vec::new(),
        editions: BTreeMap::new(),
    };
    let input = filling.fill(&plan.input, &path).unwrap_or(Json::Null);
    let missing = filling.missing.len();
    for cite in &plan.cites {
        let _named_only = filling.fill(cite, &path);
    }
    filling.missing.truncate(missing);
    let Filling {
        mut missing,
        mut from,
        mut taken,
        editions,
        ..
    } = filling;
    missing.sort();
    missing.dedup();
    from.sort_unstable();
    from.dedup();
    taken.sort();
    taken.dedup();
    let said = plan.said.iter().filter(|(when, _)| when.holds(known, &path));
    let said = said.map(|(_, words)| words.clone()).collect();
    let mut figures = Figures {
        id: plan.id.clone(),
        reckoning: plan.reckoning.clone(),
        path,
        missing,
        from,
        editions,
        input,
        taken,
        said,
        ..Figures::default()
    };
    if figures.missing.is_empty() {
        result(&mut figures, plan, known, worked);
    }
    figures
}

/// The result as far as it is there: with what takes longer, where that was worked out or kept as a fact.
fn result(figures: &mut Figures, plan: &FiguresPlan, known: &Known<'_>, worked: &Worked) {
    if let (Some(later), Json::Object(input)) = (&plan.later, &figures.input) {
        let mut whole = input.clone();
        whole.extend(later.clone());
        let whole = Json::Object(whole);
        let waiting = Pending {
            reckoning: plan.reckoning.clone(),
            input: whole.to_string(),
        };
        let kept = kept(figures, &waiting, known).map(Ok);
        if let Some(result) = kept.or_else(|| worked.of(&waiting.reckoning, &waiting.input).cloned()) {
            figures.input = whole;
            figures.result = Some(result);
            return;
        }
        figures.pending = Some(waiting);
    }
    let input = figures.input.to_string();
    let found = worked.of(&plan.reckoning, &input).cloned();
    figures.result = Some(found.unwrap_or_else(|| reckon(&plan.reckoning, &input)));
    if figures.good().is_none() {
        figures.pending = None;
    }
}

/// The result that was relied upon for this very input.
fn kept(figures: &Figures, waiting: &Pending, known: &Known<'_>) -> Option<Json> {
    let of_these = known.job.figures.iter().filter(|held| held.holds());
    let same = of_these.rev().find(|held| {
        let body = &held.body;
        body.address.ask == figures.id
            && body.address.path == figures.path
            && body.reckoning == waiting.reckoning
            && body.input == waiting.input
    })?;
    serde_json::from_str(&same.body.result).ok()
}

struct Filling<'a, 'k> {
    known: &'a Known<'k>,
    library: &'a Library,
    done: &'a [Figures],
    missing: Vec<String>,
    from: Vec<FactId>,
    taken: Vec<Taken>,
    editions: BTreeMap<String, String>,
}

impl Filling<'_, '_> {
    /// The value of a source; `None` leaves the key out.
    fn fill(&mut self, source: &Source, scope: Scope<'_>) -> Option<Json> {
        match source {
            Source::Fixed(value) => Some(value.clone()),
            Source::Ask { .. } => self.fill_ask(source, scope),
            Source::Figures {
                figures,
                at,
                optional,
            } => self.fill_figures(figures, *optional, scope, |done| done.good()?.pointer(at)),
            Source::InputOf {
                figures,
                at,
                optional,
            } => self.fill_figures(figures, *optional, scope, |done| {
                done.input.pointer(at).filter(|_| done.missing.is_empty())
            }),
            Source::Library { .. } => self.fill_library(source, scope),
            Source::Each {
                group,
                item,
                optional,
            } => {
                let mut items = Vec::new();
                for number in self.known.instances(group) {
                    let place = [Place {
                        of: group.clone(),
                        number,
                    }];
                    items.extend(self.fill(item, &place));
                }
                (!items.is_empty() || !*optional).then_some(Json::Array(items))
            }
            Source::First { of, optional } => self.fill_first(of, *optional, scope),
            Source::Times { of, unit, optional } => self.fill_times(of, unit.as_deref(), *optional, scope),
            Source::When(when, then) => {
                if when.holds(self.known, scope) {
                    self.fill(then, scope)
                } else {
                    None
                }
            }
            Source::Object { parts, optional } => self.fill_object(parts, *optional, scope),
            Source::List(items) => {
                let there: Vec<Json> = items.iter().filter_map(|item| self.fill(item, scope)).collect();
                (!there.is_empty() || items.is_empty()).then_some(Json::Array(there))
            }
            Source::Numbered(group) => {
                let place = scope.iter().find(|place| place.of == *group)?;
                Some(json!(format!("{group} {}", place.number)))
            }
        }
    }

    fn fill_ask(&mut self, source: &Source, scope: Scope<'_>) -> Option<Json> {
        let Source::Ask {
            ask: id,
            names,
            or,
            optional,
            take,
        } = source
        else {
            return None;
        };
        let ask = self.known.guide.ask(id)?;
        if !self.known.applies(ask, scope) {
            return or.clone();
        }
        let Some(answer) = self.known.answer_in(id, scope) else {
            return or.clone().or_else(|| self.or_missing(None, id, *optional));
        };
        let value = match take {
            Some(Take::Taps) => taps(answer.value),
            Some(Take::Tapped) => tapped(answer.value).or_else(|| Some(to_json(answer.value))),
            None => named(to_json(answer.value), names),
        };
        if value.is_some() {
            self.from.push(answer.fact);
        }
        let value = value.or_else(|| or.clone());
        self.or_missing(value, id, *optional)
    }

    fn fill_figures(
        &mut self,
        id: &str,
        optional: bool,
        scope: Scope<'_>,
        of: impl Fn(&Figures) -> Option<&Json>,
    ) -> Option<Json> {
        let here = self
            .done
            .iter()
            .find(|done| done.id == id && (done.path.is_empty() || done.path == scope));
        let value = here.and_then(of).filter(|value| !value.is_null()).cloned();
        let Some(here) = here else {
            return self.or_missing(value, id, optional);
        };
        if value.is_some() {
            self.from.extend(&here.from);
            self.taken.extend(here.taken.iter().cloned());
            self.editions.extend(here.editions.clone());
        } else if !optional && !here.missing.is_empty() {
            // What the figures behind wait for is named, and not the figures.
            self.missing.extend(here.missing.iter().cloned());
            return None;
        }
        self.or_missing(value, id, optional)
    }

    fn fill_library(&mut self, source: &Source, scope: Scope<'_>) -> Option<Json> {
        let Source::Library {
            sort,
            which,
            at,
            or,
            optional,
        } = source
        else {
            return None;
        };
        let (id, chosen) = match which {
            Which::Always(id) => (id.clone(), None),
            Which::ChosenBy(ask) => {
                let chosen = self.known.answer_in(ask, scope);
                let id = chosen.and_then(|answer| match answer.value {
                    Value::Text(id) | Value::Choice(id) => Some(id.trim().to_owned()),
                    _ => None,
                });
                let Some((id, chosen)) = id.zip(chosen) else {
                    return or.clone().or_else(|| self.or_missing(None, ask, *optional));
                };
                (id, Some(chosen.fact))
            }
        };
        let entry = self.library.get(&(sort.clone(), id.clone()));
        let value = entry
            .and_then(|entry| entry.pointer(at))
            .filter(|value| !value.is_null())
            .cloned();
        if value.is_some() {
            self.from.extend(chosen);
            self.taken
                .extend(entry.and_then(|entry| taken(sort, &id, at, entry)));
            let source = entry.and_then(|entry| entry.get("source")).and_then(Json::as_str);
            self.editions
                .insert(format!("{sort} {id}"), source.unwrap_or_default().to_owned());
        }
        let value = value.or_else(|| or.clone());
        self.or_missing(value, &format!("{sort} {id}{at}"), *optional)
    }

    fn fill_first(&mut self, of: &[Source], optional: bool, scope: Scope<'_>) -> Option<Json> {
        let before = self.missing.len();
        for source in of {
            let start = self.missing.len();
            if let Some(value) = self.fill(source, scope) {
                // What stood before it and was not there is not missing: this takes its place. What it
                // lacks itself stays.
                self.missing.drain(before..start);
                return Some(value);
            }
        }
        // The first one is what a person would be asked for.
        self.missing.truncate(if optional { before } else { before + 1 });
        None
    }

    fn fill_times(
        &mut self,
        of: &[Source],
        unit: Option<&str>,
        optional: bool,
        scope: Scope<'_>,
    ) -> Option<Json> {
        let before = self.missing.len();
        let mut product = Some(1.0);
        for source in of {
            let factor = self.fill(source, scope).and_then(|value| si(&value));
            product = product.zip(factor).map(|(product, factor)| product * factor);
        }
        if optional {
            self.missing.truncate(before);
        }
        product.map(|value| match unit {
            Some(unit) => json!({"value": value, "unit": unit}),
            None => json!(value),
        })
    }

    fn fill_object(&mut self, parts: &[(String, Source)], optional: bool, scope: Scope<'_>) -> Option<Json> {
        let (missing, from) = (self.missing.len(), self.from.len());
        let mut object = Map::new();
        for (key, part) in parts {
            if let Some(value) = self.fill(part, scope) {
                object.insert(key.clone(), value);
            }
        }
        if optional && (self.missing.len() > missing || object.is_empty()) {
            self.missing.truncate(missing);
            self.from.truncate(from);
            return None;
        }
        Some(Json::Object(object))
    }

    fn or_missing(&mut self, value: Option<Json>, what: &str, optional: bool) -> Option<Json> {
        if value.is_none() && !optional {
            self.missing.push(what.to_owned());
        }
        value
    }
}

/// A value of the library that has a source of its own, beside that of the whole entry.
fn taken(sort: &str, id: &str, at: &str, entry: &Json) -> Option<Taken> {
    let part = at.trim_start_matches('/').split('/').next().unwrap_or_default();
    let text = |at: &str| entry.pointer(at).and_then(Json::as_str).map(str::to_owned);
    Some(Taken {
        sort: sort.to_owned(),
        name: text("/name").unwrap_or_else(|| id.to_owned()),
        part: part.to_owned(),
        source: text(&format!("/sources/{part}")).or_else(|| text(&format!("/{part}/source")))?,
    })
}

/// An answer under the reckoning's name for it.
fn named(plain: Json, names: &Map<String, Json>) -> Option<Json> {
    if names.is_empty() {
        return Some(plain);
    }
    match &plain {
        Json::String(text) => names.get(text).cloned(),
        Json::Bool(yes) => names.get(if *yes { "yes" } else { "no" }).cloned(),
        _ => Some(plain),
    }
}

fn taps(value: &Value) -> Option<Json> {
    match value {
        Value::Span { taps, .. } if !taps.is_empty() => Some(json!(taps.len())),
        _ => None,
    }
}

/// The time to the last tap: whoever stops the clock later has not measured longer.
fn tapped(value: &Value) -> Option<Json> {
    let Value::Span { taps, .. } = value else {
        return None;
    };
    let seconds = f64::from(*taps.last()?) / 1000.0;
    Some(json!({"value": seconds, "unit": "s"}))
}

/// The number of a value in base units: bare, with its unit, or as a text with its unit.
fn si(value: &Json) -> Option<f64> {
    match value {
        Json::Number(number) => number.as_f64(),
        Json::Object(parts) => {
            let number = parts.get("value").and_then(Json::as_f64)?;
            let unit = parts.get("unit").and_then(Json::as_str)?;
            let is_base = Dimension::ALL
                .iter()
                .any(|dimension| dimension.base_unit() == unit);
            if is_base {
                Some(number)
            } else {
                si(&json!(format!("{number} {unit}")))
            }
        }
        Json::String(text) => {
            let readings = Dimension::ALL.into_iter();
            readings
                .filter_map(|dimension| read(dimension, text).ok())
                .map(|reading| reading.si)
                .next()
        }
        _ => None,
    }
}

/// A value as a reckoning takes it.
#[must_use]
pub fn to_json(value: &Value) -> Json {
    match value {
        Value::Quantity { dimension, si } => match Dimension::from_code(dimension) {
            Some(dimension) => json!({"value": si.0, "unit": dimension.base_unit()}),
            None => json!(si.0),
        },
        Value::Choice(text) | Value::Text(text) | Value::Date(text) => json!(text),
        Value::YesNo(yes) => json!(yes),
        Value::Count(count) => json!(count),
        Value::Span { .. } => json!({"value": crate::condition::measure(value), "unit": "s"}),
        Value::Money { amount, .. } => json!(amount),
        Value::Place(place) => json!([place.latitude.0, place.longitude.0]),
        Value::Person(person) => json!(person),
        Value::Unknown(_) => Json::Null,
        Value::List(values) => Json::Array(values.iter().map(to_json).collect()),
    }
}
