//! Figures: reckonings that fill themselves from the answers, by plans that are data.

mod earlier;
mod fill;
mod source;
mod worked;

use std::collections::BTreeSet;

use serde::Deserialize;
use serde_json::{Map, Value as Json};
use wythe_job::{FactId, Place};
use wythe_trade::form::Refusal;

use crate::condition::Condition;
use crate::guide::Guide;
use crate::known::Known;

pub use earlier::{Earlier, earlier, holds_not};
pub use fill::to_json;
pub use source::{Source, Which};
pub use worked::{Pending, Worked};

/// How one reckoning is filled from a job.
#[derive(Debug, Clone, PartialEq)]
pub struct FiguresPlan {
    /// Its id: `stage.name`.
    pub id: String,
    /// The reckoning's name.
    pub reckoning: String,
    /// The stage that shows it.
    pub stage: String,
    /// The visits that show it as well.
    pub visits: Vec<String>,
    /// The asks that are answered anew when it is measured again.
    pub again: Vec<String>,
    /// Worked out for each of these.
    pub each: Option<String>,
    /// When it applies.
    pub when: Option<Condition>,
    /// What the claim shows: JSON pointers into the result, in order.
    pub show: Vec<String>,
    /// Whether the claim pack's front part shows it, or its annex.
    pub front: bool,
    /// Shown only once nothing is missing.
    pub quiet: bool,
    /// What is said before the figures, by message, where its condition holds.
    pub said: Vec<(Condition, String)>,
    /// What is added to the input for figures that take longer: they are worked out in the background, and
    /// until then those without it stand.
    pub later: Option<Map<String, Json>>,
    /// What else of the library is named with its source, where it is there.
    pub cites: Vec<Source>,
    /// How the input is put together.
    pub input: Source,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawSaid {
    when: Condition,
    words: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RawFigures {
    id: String,
    reckoning: String,
    each: Option<String>,
    when: Option<Condition>,
    #[serde(default)]
    visits: Vec<String>,
    #[serde(default)]
    again: Vec<String>,
    #[serde(default)]
    show: Vec<String>,
    #[serde(default)]
    front: bool,
    #[serde(default)]
    quiet: bool,
    #[serde(default)]
    said: Vec<RawSaid>,
    later: Option<Map<String, Json>>,
    #[serde(default)]
    cites: Vec<toml::Table>,
    input: toml::Table,
}

/// A value of the business's library with a source of its own that figures were worked out with.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Taken {
    /// The sort of entry.
    pub sort: String,
    /// What the entry is called.
    pub name: String,
    /// Which of its values.
    pub part: String,
    /// Where the business has it from.
    pub source: String,
}

/// Figures as they stand now.
#[derive(Debug, Clone, Default)]
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
    /// The library's entries that it was read from, `sort id`, each with the source it names.
    pub editions: std::collections::BTreeMap<String, String>,
    /// The input, as far as it is known.
    pub input: Json,
    /// The result, once nothing is missing.
    pub result: Option<Result<Json, Refusal>>,
    /// What was taken from the business's library.
    pub taken: Vec<Taken>,
    /// What is said before them, by message.
    pub said: Vec<String>,
    /// What is still to be worked out in the background, where that is so.
    pub pending: Option<Pending>,
}

impl Figures {
    /// The result, when there is one and the reckoning took the input.
    #[must_use]
    pub fn good(&self) -> Option<&Json> {
        self.result.as_ref().and_then(|result| result.as_ref().ok())
    }

    /// What its first stop says.
    #[must_use]
    pub fn first_stop(&self) -> Option<&str> {
        let findings = self.good()?.get("findings")?.as_array()?;
        let is_stop = |finding: &&Json| finding.get("severity").and_then(Json::as_str) == Some("stop");
        findings.iter().find(is_stop)?.get("message")?.as_str()
    }

    /// The sources that the library names for what was taken from it.
    #[must_use]
    pub fn sources(&self) -> Vec<&str> {
        let mut sources: Vec<&str> = Vec::new();
        for source in self.editions.values().map(String::as_str) {
            if !source.is_empty() && !sources.contains(&source) {
                sources.push(source);
            }
        }
        sources
    }

    /// The codes of the findings.
    #[must_use]
    pub fn findings(&self) -> Vec<String> {
        self.good()
            .into_iter()
            .flat_map(codes_of)
            .map(str::to_owned)
            .collect()
    }
}

/// The codes of a result's findings.
pub(crate) fn codes_of(result: &Json) -> impl Iterator<Item = &str> {
    let findings = result.get("findings").and_then(Json::as_array);
    let codes = findings.into_iter().flatten();
    codes.filter_map(|finding| finding.get("code")?.as_str())
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
        if guide.figures.iter().any(|known| known.id == raw.id) {
            return Err(format!(
                "the figures \"{}\" stand twice; rename one of them",
                raw.id
            ));
        }
        if !wythe_trade::list().any(|entry| entry.name == raw.reckoning) {
            let names: Vec<&str> = wythe_trade::list().map(|entry| entry.name).collect();
            return Err(within(format!(
                "there is no reckoning \"{}\"; write one of {}",
                raw.reckoning,
                names.join(", ")
            )));
        }
        if let Some(each) = &raw.each {
            guide.check_group(each).map_err(within)?;
        }
        for visit in &raw.visits {
            guide.check_visit(visit).map_err(within)?;
        }
        for ask in &raw.again {
            guide.check_ask(ask).map_err(within)?;
        }
        let mut when = raw.when;
        if let Some(when) = &mut when {
            guide.settle(when).map_err(within)?;
        }
        if let Some(wrong) = raw.show.iter().find(|at| !at.starts_with('/')) {
            return Err(within(format!(
                "show names places in the result: write \"/{wrong}\""
            )));
        }
        let mut said = Vec::new();
        for one in raw.said {
            let mut when = one.when;
            guide.settle(&mut when).map_err(within)?;
            said.push((when, one.words));
        }
        let cites = raw
            .cites
            .into_iter()
            .map(|cite| source::read(&toml::Value::Table(cite), guide).map_err(within));
        let cites: Vec<Source> = cites.collect::<Result<_, _>>()?;
        let input = source::read(&toml::Value::Table(raw.input), guide).map_err(within)?;
        Ok(Self {
            reckoning: raw.reckoning,
            stage,
            visits: raw.visits,
            again: raw.again,
            each: raw.each,
            when,
            show: raw.show,
            front: raw.front,
            quiet: raw.quiet,
            said,
            later: raw.later,
            cites,
            input,
            id: raw.id,
        })
    }
}

/// The keys that figures read of a sort of library entry, and those that every entry may have: its name, where
/// it is from, and where single values are from. Nothing, for a sort that no figures read.
#[must_use]
pub fn library_keys<'g>(guide: &'g Guide, sort: &str) -> BTreeSet<&'g str> {
    let mut all = BTreeSet::new();
    for plan in &guide.figures {
        plan.input.library_keys(&mut all);
        plan.cites.iter().for_each(|cite| cite.library_keys(&mut all));
    }
    let mut keys: BTreeSet<&str> = all
        .into_iter()
        .filter(|(known, _)| *known == sort)
        .map(|(_, key)| key)
        .collect();
    if !keys.is_empty() {
        keys.extend(["name", "source", "sources"]);
    }
    keys
}

/// Works out every figure that applies, in the order of the guide: later ones may use earlier ones.
/// What is still to be worked out in the background is left pending.
#[must_use]
pub fn run(known: &Known<'_>, library: &Library) -> Vec<Figures> {
    run_with(known, library, &Worked::default())
}

/// The same with what was worked out before.
#[must_use]
pub fn run_with(known: &Known<'_>, library: &Library, worked: &Worked) -> Vec<Figures> {
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
                let figures = fill::work_out((known, library, worked), &done, plan, path);
                if !plan.quiet || figures.good().is_some() {
                    done.push(figures);
                }
            }
        }
    }
    done
}
