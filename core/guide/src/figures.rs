//! Figures: reckonings that fill themselves from the answers, by plans that are data.

use serde::Deserialize;
use serde_json::{Map, Value as Json, json};
use wythe_job::{FactId, Place, Value};
use wythe_trade::form::Refusal;
use wythe_trade::reckon;
use wythe_units::Dimension;

use crate::condition::{Condition, Scope};
use crate::guide::Guide;
use crate::known::Known;
use crate::load::settle;

/// Where a figure of a reckoning's input comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// What the data file says.
    Fixed(Json),
    /// An answer, perhaps under another name, perhaps with something to fall back on.
    Ask {
        /// The ask.
        ask: String,
        /// What each choice is called in the reckoning.
        names: Map<String, Json>,
        /// What is taken when it was not answered.
        or: Option<Json>,
        /// May be left out.
        optional: bool,
    },
    /// A result of other figures.
    Figures {
        /// Their id.
        figures: String,
        /// JSON pointer into their result.
        at: String,
        /// May be left out.
        optional: bool,
    },
    /// A value of the business's library entry that the job has chosen.
    Library {
        /// The sort of entry: `model`, `stock` ...
        sort: String,
        /// The ask whose answer is the entry's id.
        chosen_by: String,
        /// JSON pointer into the entry.
        at: String,
        /// May be left out.
        optional: bool,
    },
    /// A list with one item for each instance.
    Each {
        /// Of what.
        group: String,
        /// One item.
        item: Box<Source>,
        /// The list may be left out when it would be empty.
        optional: bool,
    },
    /// An object.
    Object(Vec<(String, Source)>),
    /// A list.
    List(Vec<Source>),
}

/// How one reckoning is filled from a job.
#[derive(Debug, Clone, PartialEq)]
pub struct FiguresPlan {
    /// Its id: `stage.name`.
    pub id: String,
    /// The reckoning's name.
    pub reckoning: String,
    /// The stage that shows it.
    pub stage: String,
    /// Worked out for each of these.
    pub each: Option<String>,
    /// When it applies.
    pub when: Option<Condition>,
    /// What the claim shows: JSON pointers into the result, in order.
    pub show: Vec<String>,
    /// Whether the claim pack's front part shows it, or its annex.
    pub front: bool,
    /// How the input is put together.
    pub input: Source,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawFigures {
    id: String,
    reckoning: String,
    each: Option<String>,
    when: Option<Condition>,
    #[serde(default)]
    show: Vec<String>,
    #[serde(default)]
    front: bool,
    input: toml::Table,
}

/// Figures as they stand now.
#[derive(Debug, Clone)]
pub struct Figures {
    /// The plan's id.
    pub id: String,
    /// The reckoning's name.
    pub reckoning: String,
    /// Of which of several.
    pub path: Vec<Place>,
    /// The asks, figures or library entries that are still missing.
    pub missing: Vec<String>,
    /// The facts that the input was read from.
    pub from: Vec<FactId>,
    /// The input, as far as it is known.
    pub input: Json,
    /// The result, once nothing is missing.
    pub result: Option<Result<Json, Refusal>>,
}

impl Figures {
    /// The result, when there is one and the reckoning took the input.
    #[must_use]
    pub fn good(&self) -> Option<&Json> {
        self.result.as_ref().and_then(|result| result.as_ref().ok())
    }

    /// The codes of the findings.
    #[must_use]
    pub fn findings(&self) -> Vec<String> {
        let findings = self
            .good()
            .and_then(|result| result.get("findings"))
            .and_then(Json::as_array);
        let code = |finding: &Json| finding.get("code").and_then(Json::as_str).map(str::to_owned);
        findings.into_iter().flatten().filter_map(code).collect()
    }
}

/// The entries of the business's library: by sort and id.
pub type Library = std::collections::BTreeMap<(String, String), Json>;

impl FiguresPlan {
    pub(crate) fn settle(raw: RawFigures, guide: &Guide) -> Result<Self, String> {
        let within = |wrong: String| format!("{}: {wrong}", raw.id);
        let stage = raw.id.split('.').next().unwrap_or_default().to_owned();
        if !guide.stages.iter().any(|known| known.id == stage) {
            return Err(format!(
                "the id of figures begins with its stage; \"{stage}\" is none"
            ));
        }
        if !wythe_trade::list().any(|entry| entry.name == raw.reckoning) {
            return Err(within(format!("there is no reckoning \"{}\"", raw.reckoning)));
        }
        let mut when = raw.when;
        if let Some(when) = &mut when {
            settle(when, &|id| guide.kind_of(id)).map_err(within)?;
        }
        let input = source(&toml::Value::Table(raw.input), guide).map_err(within)?;
        Ok(Self {
            reckoning: raw.reckoning,
            stage,
            each: raw.each,
            when,
            show: raw.show,
            front: raw.front,
            input,
            id: raw.id,
        })
    }
}

fn source(value: &toml::Value, guide: &Guide) -> Result<Source, String> {
    let toml::Value::Table(table) = value else {
        return match value {
            toml::Value::Array(items) => items
                .iter()
                .map(|item| source(item, guide))
                .collect::<Result<_, _>>()
                .map(Source::List),
            other => Ok(Source::Fixed(plain(other)?)),
        };
    };
    let text = |key: &str| table.get(key).and_then(toml::Value::as_str).map(str::to_owned);
    let optional = table
        .get("optional")
        .and_then(toml::Value::as_bool)
        .unwrap_or_default();
    let or = table.get("or").map(plain).transpose()?;
    if let Some(ask) = text("ask") {
        guide
            .ask(&ask)
            .ok_or_else(|| format!("there is no ask \"{ask}\""))?;
        let mut names = Map::new();
        for (from, to) in table
            .get("names")
            .and_then(toml::Value::as_table)
            .into_iter()
            .flatten()
        {
            names.insert(from.clone(), plain(to)?);
        }
        return Ok(Source::Ask {
            ask,
            names,
            or,
            optional,
        });
    }
    if let (Some(figures), Some(at)) = (text("figures"), text("at")) {
        return Ok(Source::Figures {
            figures,
            at,
            optional,
        });
    }
    if let (Some(sort), Some(chosen_by), Some(at)) = (text("library"), text("chosen_by"), text("at")) {
        guide
            .ask(&chosen_by)
            .ok_or_else(|| format!("there is no ask \"{chosen_by}\""))?;
        return Ok(Source::Library {
            sort,
            chosen_by,
            at,
            optional,
        });
    }
    if let (Some(group), Some(item)) = (text("each"), table.get("item")) {
        return Ok(Source::Each {
            group,
            item: Box::new(source(item, guide)?),
            optional,
        });
    }
    let part = |(key, value): (&String, &toml::Value)| Ok((key.clone(), source(value, guide)?));
    table
        .iter()
        .map(part)
        .collect::<Result<_, String>>()
        .map(Source::Object)
}

fn plain(value: &toml::Value) -> Result<Json, String> {
    serde_json::to_value(value).map_err(|wrong| wrong.to_string())
}

/// Works out every figure that applies, in the order of the guide: later ones may use earlier ones.
#[must_use]
pub fn run(known: &Known<'_>, library: &Library) -> Vec<Figures> {
    let mut done: Vec<Figures> = Vec::new();
    for plan in &known.guide.figures {
        let paths: Vec<Vec<Place>> = match &plan.each {
            None => vec![Vec::new()],
            Some(group) => {
                let numbers = known.instances(group).into_iter();
                numbers
                    .map(|number| {
                        vec![Place {
                            of: group.clone(),
                            number,
                        }]
                    })
                    .collect()
            }
        };
        for path in paths {
            if plan.when.as_ref().is_none_or(|when| when.holds(known, &path)) {
                let figures = Filling {
                    known,
                    library,
                    done: &done,
                    missing: Vec::new(),
                    from: Vec::new(),
                }
                .work_out(plan, path);
                done.push(figures);
            }
        }
    }
    done
}

struct Filling<'a, 'k> {
    known: &'a Known<'k>,
    library: &'a Library,
    done: &'a [Figures],
    missing: Vec<String>,
    from: Vec<FactId>,
}

impl Filling<'_, '_> {
    fn work_out(mut self, plan: &FiguresPlan, path: Vec<Place>) -> Figures {
        let input = self.fill(&plan.input, &path).unwrap_or(Json::Null);
        self.missing.sort();
        self.missing.dedup();
        self.from.sort_unstable();
        self.from.dedup();
        let result = self
            .missing
            .is_empty()
            .then(|| reckon(&plan.reckoning, &input.to_string()));
        Figures {
            id: plan.id.clone(),
            reckoning: plan.reckoning.clone(),
            path,
            missing: self.missing,
            from: self.from,
            input,
            result,
        }
    }

    /// The value of a source; `None` leaves the key out.
    fn fill(&mut self, source: &Source, scope: Scope<'_>) -> Option<Json> {
        match source {
            Source::Fixed(value) => Some(value.clone()),
            Source::Ask {
                ask,
                names,
                or,
                optional,
            } => self.fill_ask(ask, names, or.as_ref(), *optional, scope),
            Source::Figures {
                figures,
                at,
                optional,
            } => {
                let earlier = self.done.iter().find(|done| done.id == *figures);
                let value = earlier
                    .and_then(Figures::good)
                    .and_then(|result| result.pointer(at))
                    .cloned();
                if let Some(earlier) = earlier
                    && value.is_some()
                {
                    self.from.extend(&earlier.from);
                }
                self.or_missing(value.filter(|value| !value.is_null()), figures, *optional)
            }
            Source::Library {
                sort,
                chosen_by,
                at,
                optional,
            } => {
                let chosen = self.known.answer_in(chosen_by, scope);
                let id = chosen.and_then(|answer| match answer.value {
                    Value::Text(id) | Value::Choice(id) => Some(id.clone()),
                    _ => None,
                });
                let Some((id, chosen)) = id.zip(chosen) else {
                    return self.or_missing(None, chosen_by, *optional);
                };
                self.from.push(chosen.fact);
                let entry = self.library.get(&(sort.clone(), id.clone()));
                let value = entry.and_then(|entry| entry.pointer(at)).cloned();
                self.or_missing(value, &format!("{sort} {id}{at}"), *optional)
            }
            Source::Each {
                group,
                item,
                optional,
            } => {
                let numbers = self.known.instances(group);
                let mut items = Vec::new();
                for number in numbers {
                    let place = [Place {
                        of: group.clone(),
                        number,
                    }];
                    items.extend(self.fill(item, &place));
                }
                if items.is_empty() && *optional {
                    None
                } else {
                    Some(Json::Array(items))
                }
            }
            Source::Object(parts) => {
                let mut object = Map::new();
                for (key, part) in parts {
                    if let Some(value) = self.fill(part, scope) {
                        object.insert(key.clone(), value);
                    }
                }
                Some(Json::Object(object))
            }
            Source::List(items) => Some(Json::Array(
                items.iter().filter_map(|item| self.fill(item, scope)).collect(),
            )),
        }
    }

    fn fill_ask(
        &mut self,
        ask: &str,
        names: &Map<String, Json>,
        or: Option<&Json>,
        optional: bool,
        scope: Scope<'_>,
    ) -> Option<Json> {
        if let Some(answer) = self.known.answer_in(ask, scope) {
            self.from.push(answer.fact);
            let plain = to_json(answer.value);
            let name = match &plain {
                Json::String(text) => names.get(text),
                Json::Bool(yes) => names.get(if *yes { "yes" } else { "no" }),
                _ => None,
            };
            return Some(name.unwrap_or(&plain).clone());
        }
        if or.is_some() {
            return or.cloned();
        }
        self.or_missing(None, ask, optional)
    }

    fn or_missing(&mut self, value: Option<Json>, what: &str, optional: bool) -> Option<Json> {
        if value.is_none() && !optional {
            self.missing.push(what.to_owned());
        }
        value
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
