//! Where a figure of a reckoning's input comes from, as it is written in the data.

use std::collections::BTreeSet;

use serde_json::{Map, Value as Json};
use toml::Table;

use crate::condition::Condition;
use crate::guide::Guide;

/// Where a figure of a reckoning's input comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// What the data file says.
    Fixed(Json),
    /// An answer, perhaps under another name, perhaps with something to fall back on. An ask that does
    /// not apply to the job leaves its key out and is not missing.
    Ask {
        /// The ask.
        ask: String,
        /// What each choice is called in the reckoning. With names, a choice without one is no answer.
        names: Map<String, Json>,
        /// What is taken when it was not answered.
        or: Option<Json>,
        /// May be left out.
        optional: bool,
        /// `taps`: how many taps a span has, instead of how long it is; `tapped`: how long to the last.
        take: Option<Take>,
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
    /// What other figures were given.
    InputOf {
        /// Their id.
        figures: String,
        /// JSON pointer into their input.
        at: String,
        /// May be left out.
        optional: bool,
    },
    /// A value of an entry of the business's library.
    Library {
        /// The sort of entry: `model`, `stock`, `preset` ...
        sort: String,
        /// Which entry of the sort.
        which: Which,
        /// JSON pointer into the entry.
        at: String,
        /// What is taken when the entry does not say.
        or: Option<Json>,
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
    /// The first of these that is there.
    First {
        /// In order.
        of: Vec<Source>,
        /// May be left out.
        optional: bool,
    },
    /// The product of these.
    Times {
        /// The factors.
        of: Vec<Source>,
        /// The base unit of the product; a bare number without one.
        unit: Option<String>,
        /// May be left out.
        optional: bool,
    },
    /// Only where a condition holds.
    When(Box<Condition>, Box<Source>),
    /// An object.
    Object {
        /// Key and source, in order.
        parts: Vec<(String, Source)>,
        /// Left out as a whole while a part of it is missing.
        optional: bool,
    },
    /// A list; left out when nothing of it is there.
    List(Vec<Source>),
    /// What an instance is called, such as `room 2`.
    Numbered(String),
}

impl Source {
    /// The values that are taken of the business's library, by sort and key.
    pub(super) fn library_keys<'s>(&'s self, keys: &mut BTreeSet<(&'s str, &'s str)>) {
        match self {
            Self::Library { sort, at, .. } => {
                let key = at.trim_start_matches('/').split('/').next();
                keys.extend(key.map(|key| (sort.as_str(), key)));
            }
            Self::Each { item, .. } => item.library_keys(keys),
            Self::First { of, .. } | Self::Times { of, .. } | Self::List(of) => {
                of.iter().for_each(|part| part.library_keys(keys));
            }
            Self::When(_, then) => then.library_keys(keys),
            Self::Object { parts, .. } => parts.iter().for_each(|(_, part)| part.library_keys(keys)),
            Self::Fixed(_)
            | Self::Ask { .. }
            | Self::Figures { .. }
            | Self::InputOf { .. }
            | Self::Numbered(_) => {}
        }
    }
}

/// Which entry of a sort of the library is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// The one whose id is the answer of this ask.
    ChosenBy(String),
    /// Always this one: what the business has settled for all its jobs.
    Always(String),
}

/// What is taken of an answer, when not the answer itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Take {
    /// How many taps a span has.
    Taps,
    /// How long it took to the last tap; the whole span where there is none.
    Tapped,
}

/// Reads a source: a table by its telling key, a list by its items, anything else as it is.
pub(super) fn read(value: &toml::Value, guide: &Guide) -> Result<Source, String> {
    let table = match value {
        toml::Value::Table(table) => table,
        toml::Value::Array(items) => {
            let items: Result<_, String> = items.iter().map(|item| read(item, guide)).collect();
            return items.map(Source::List);
        }
        other => return Ok(Source::Fixed(plain(other)?)),
    };
    let Some(when) = table.get("when") else {
        return of_table(table, guide);
    };
    let when: Result<Condition, toml::de::Error> = when.clone().try_into();
    let mut when = when.map_err(|wrong| format!("when: {}", wrong.message()))?;
    guide.settle(&mut when)?;
    let mut rest = table.clone();
    rest.remove("when");
    Ok(Source::When(Box::new(when), Box::new(of_table(&rest, guide)?)))
}

/// The keys that tell a sort of source, with the others that go with each.
const SORTS: [(&str, &[&str]); 10] = [
    ("ask", &["names", "or", "optional", "take"]),
    ("figures", &["at", "optional"]),
    ("input_of", &["at", "optional"]),
    ("library", &["chosen_by", "id", "at", "or", "optional"]),
    ("each", &["item", "optional"]),
    ("first", &["optional"]),
    ("times", &["unit", "optional"]),
    ("list", &[]),
    ("literal", &[]),
    ("numbered", &[]),
];

fn of_table(table: &Table, guide: &Guide) -> Result<Source, String> {
    let optional = flag(table)?;
    let Some((sort, others)) = SORTS.iter().find(|(sort, _)| table.contains_key(*sort)) else {
        let part = |(key, value): (&String, &toml::Value)| Ok((key.clone(), read(value, guide)?));
        let parts = table.iter().filter(|(key, _)| *key != "optional");
        let parts: Result<_, String> = parts.map(part).collect();
        return Ok(Source::Object {
            parts: parts?,
            optional,
        });
    };
    if let Some(wrong) = table
        .keys()
        .find(|key| key != sort && !others.contains(&key.as_str()))
    {
        return Err(format!(
            "a source with {sort} has no key {wrong}; the keys are {}",
            others.join(", ")
        ));
    }
    let or = table.get("or").map(plain).transpose()?;
    match *sort {
        "ask" => ask(table, guide, or, optional),
        "figures" => Ok(Source::Figures {
            figures: stands_before(table, "figures", guide)?,
            at: text(table, "at")?,
            optional,
        }),
        "input_of" => Ok(Source::InputOf {
            figures: stands_before(table, "input_of", guide)?,
            at: text(table, "at")?,
            optional,
        }),
        "library" => {
            let which = if table.contains_key("id") && !table.contains_key("chosen_by") {
                Which::Always(text(table, "id")?)
            } else {
                let chosen_by = text(table, "chosen_by")?;
                guide.check_ask(&chosen_by)?;
                Which::ChosenBy(chosen_by)
            };
            Ok(Source::Library {
                sort: text(table, "library")?,
                which,
                at: text(table, "at")?,
                or,
                optional,
            })
        }
        "each" => {
            let group = text(table, "each")?;
            guide.check_group(&group)?;
            let item = table
                .get("item")
                .ok_or_else(|| "a source with each needs its item".to_owned())?;
            Ok(Source::Each {
                group,
                item: Box::new(read(item, guide)?),
                optional,
            })
        }
        "first" => Ok(Source::First {
            of: several(table, "first", guide)?,
            optional,
        }),
        "list" => {
            let items = table.get("list").and_then(toml::Value::as_array);
            let items = items.ok_or_else(|| "list is a list of sources".to_owned())?;
            let items: Result<_, String> = items.iter().map(|item| read(item, guide)).collect();
            items.map(Source::List)
        }
        "literal" => {
            let value = table.get("literal").map(plain).transpose()?;
            Ok(Source::Fixed(value.unwrap_or_default()))
        }
        "numbered" => {
            let group = text(table, "numbered")?;
            guide.check_group(&group)?;
            Ok(Source::Numbered(group))
        }
        _ => Ok(Source::Times {
            of: several(table, "times", guide)?,
            unit: table.get("unit").map(|_| text(table, "unit")).transpose()?,
            optional,
        }),
    }
}

fn stands_before(table: &Table, key: &str, guide: &Guide) -> Result<String, String> {
    let figures = text(table, key)?;
    if guide.figures.iter().any(|plan| plan.id == figures) {
        return Ok(figures);
    }
    Err(format!(
        "figures \"{figures}\" do not stand before these; move them up in the file"
    ))
}

fn ask(table: &Table, guide: &Guide, or: Option<Json>, optional: bool) -> Result<Source, String> {
    let ask = text(table, "ask")?;
    let kind = &guide.check_ask(&ask)?.kind;
    let mut names = Map::new();
    if let Some(given) = table.get("names") {
        let given = given
            .as_table()
            .ok_or_else(|| "names is a table: write names = { yes = \"…\" }".to_owned())?;
        for (from, to) in given {
            let known = match kind {
                crate::AskKind::Choice(choices) => choices.contains(from),
                crate::AskKind::YesNo => from == "yes" || from == "no",
                _ => true,
            };
            if !known {
                return Err(format!("\"{from}\" is no choice of {ask}"));
            }
            names.insert(from.clone(), plain(to)?);
        }
    }
    let take = match table.get("take").map(|_| text(table, "take")).transpose()? {
        None => None,
        Some(take) if take == "taps" && *kind == crate::AskKind::Span => Some(Take::Taps),
        Some(take) if take == "tapped" && *kind == crate::AskKind::Span => Some(Take::Tapped),
        Some(take) => {
            return Err(format!(
                "\"{take}\" cannot be taken of {ask}; write taps or tapped, of a span"
            ));
        }
    };
    Ok(Source::Ask {
        ask,
        names,
        or,
        optional,
        take,
    })
}

fn several(table: &Table, key: &str, guide: &Guide) -> Result<Vec<Source>, String> {
    let items = table.get(key).and_then(toml::Value::as_array);
    let items = items.filter(|items| items.len() > 1);
    let items = items.ok_or_else(|| format!("{key} is a list of two sources or more"))?;
    items.iter().map(|item| read(item, guide)).collect()
}

fn text(table: &Table, key: &str) -> Result<String, String> {
    let text = table.get(key).and_then(toml::Value::as_str).map(str::to_owned);
    text.ok_or_else(|| format!("a source needs {key} as a text"))
}

fn flag(table: &Table) -> Result<bool, String> {
    match table.get("optional") {
        None => Ok(false),
        Some(value) => value
            .as_bool()
            .ok_or_else(|| "optional is true or false".to_owned()),
    }
}

fn plain(value: &toml::Value) -> Result<Json, String> {
    serde_json::to_value(value).map_err(|wrong| wrong.to_string())
}
