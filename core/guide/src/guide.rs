use std::collections::BTreeMap;

use serde::Deserialize;
use sha2::{Digest as _, Sha256};
use toml::{Spanned, Table};
use wythe_job::Digest;
use wythe_units::Dimension;

use crate::ask::{Ask, AskKind, Careful, Group, Stage, VisitSort};
use crate::condition::Condition;
use crate::figures::{FiguresPlan, RawFigures};
use crate::load::{Bound, File, Item, LoadFault, range, settle};
use crate::stops::{RawStop, Stop};

/// A moment of the job that rules refer to: the removal, the approval, the final.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Its id.
    pub id: String,
    /// The asks whose answer is the event; the first that is answered tells its date.
    pub asks: Vec<String>,
}

/// What a job asks: stages, visits, asks, stops and figures.
#[derive(Debug, Clone)]
pub struct Guide {
    /// From the survey to the claim.
    pub stages: Vec<Stage>,
    /// In the order a job usually has them.
    pub visits: Vec<VisitSort>,
    /// What there can be several of.
    pub groups: Vec<Group>,
    /// Moments that rules refer to.
    pub events: Vec<Event>,
    /// All asks, in the order of the stages and of the files.
    pub asks: Vec<Ask>,
    /// The stops.
    pub stops: Vec<Stop>,
    /// How the figures are filled from the answers.
    pub figures: Vec<FiguresPlan>,
    /// The asks that the head of a claim shows, in order.
    pub glance: Vec<String>,
    /// SHA-256 over the files.
    pub digest: Digest,
    index: BTreeMap<String, usize>,
}

const STAGES: &str = include_str!("../data/stages.toml");
const STOPS: &str = include_str!("../data/stops.toml");
const FIGURES: &str = include_str!("../data/figures.toml");
const ASKS: &[(&str, &str)] = &[
    ("asks/survey.toml", include_str!("../data/asks/survey.toml")),
    ("asks/plan.toml", include_str!("../data/asks/plan.toml")),
    ("asks/removal.toml", include_str!("../data/asks/removal.toml")),
    (
        "asks/chimney_top.toml",
        include_str!("../data/asks/chimney_top.toml"),
    ),
    ("asks/lining.toml", include_str!("../data/asks/lining.toml")),
    ("asks/setting.toml", include_str!("../data/asks/setting.toml")),
    ("asks/gas.toml", include_str!("../data/asks/gas.toml")),
    ("asks/start_up.toml", include_str!("../data/asks/start_up.toml")),
    (
        "asks/walk_through.toml",
        include_str!("../data/asks/walk_through.toml"),
    ),
    (
        "asks/destruction.toml",
        include_str!("../data/asks/destruction.toml"),
    ),
    ("asks/claim.toml", include_str!("../data/asks/claim.toml")),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StagesFile {
    stage: Vec<Spanned<Table>>,
    visit: Vec<Spanned<Table>>,
    group: Vec<Spanned<Table>>,
    event: Vec<Spanned<Table>>,
    #[serde(default)]
    glance: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawStage {
    id: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawVisit {
    id: String,
    #[serde(default)]
    leaves_house_open: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawGroup {
    id: String,
    #[serde(default)]
    least: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawEvent {
    id: String,
    asks: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AsksFile {
    stage: String,
    ask: Vec<Spanned<Table>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawAsk {
    id: String,
    step: String,
    visit: String,
    kind: String,
    #[serde(default)]
    choices: Vec<String>,
    signer: Option<String>,
    each: Option<String>,
    when: Option<Condition>,
    refused: Option<(Bound, Bound)>,
    doubtful: Option<(Bound, Bound)>,
    mark: Option<String>,
    tolerance: Option<Bound>,
    #[serde(default)]
    careful: RawCareful,
    #[serde(default)]
    roles: Vec<String>,
    caution: Option<String>,
    #[serde(default)]
    optional: bool,
    #[serde(default)]
    roof: bool,
    #[serde(default)]
    act: bool,
}

#[derive(Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum RawCareful {
    #[default]
    Smaller,
    Larger,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StopsFile {
    stop: Vec<Spanned<Table>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FiguresFile {
    figures: Vec<Spanned<Table>>,
}

impl Guide {
    /// The guide that this program carries.
    ///
    /// # Errors
    /// A [`LoadFault`]; a test loads it, so a released program never meets one.
    pub fn embedded() -> Result<Self, LoadFault> {
        Self::load(STAGES, ASKS, STOPS, FIGURES)
    }

    /// Reads a guide from the texts of its files.
    ///
    /// # Errors
    /// The first mistake, with file, line and what to write instead.
    pub fn load(stages: &str, asks: &[(&str, &str)], stops: &str, figures: &str) -> Result<Self, LoadFault> {
        let mut hash = Sha256::new();
        for text in [stages, stops, figures]
            .into_iter()
            .chain(asks.iter().map(|(_, text)| *text))
        {
            hash.update(text.len().to_be_bytes());
            hash.update(text.as_bytes());
        }
        let mut guide = read_stages(File {
            name: "stages.toml",
            text: stages,
        })?;
        guide.digest = Digest(hash.finalize().into());
        let mut lines = Vec::new();
        for (name, text) in asks {
            let file = File { name, text };
            for (line, ask) in guide.read_asks(file)? {
                if guide.index.insert(ask.id.clone(), guide.asks.len()).is_some() {
                    return Err(file.fault(line, format!("the ask \"{}\" stands twice", ask.id)));
                }
                guide.asks.push(ask);
                lines.push((*name, *text, line));
            }
        }
        guide.settle_asks(&lines)?;
        guide.read_stops(File {
            name: "stops.toml",
            text: stops,
        })?;
        guide.read_figures(File {
            name: "figures.toml",
            text: figures,
        })?;
        guide.check_events(File {
            name: "stages.toml",
            text: stages,
        })?;
        Ok(guide)
    }

    /// The ask with this id.
    #[must_use]
    pub fn ask(&self, id: &str) -> Option<&Ask> {
        self.index.get(id).and_then(|index| self.asks.get(*index))
    }

    /// The event with this id.
    #[must_use]
    pub fn event(&self, id: &str) -> Option<&Event> {
        self.events.iter().find(|event| event.id == id)
    }

    /// The asks of a stage.
    pub fn asks_of_stage<'g>(&'g self, stage: &'g str) -> impl Iterator<Item = &'g Ask> {
        self.asks.iter().filter(move |ask| ask.stage == stage)
    }

    /// The place of a stage in the order of the job.
    #[must_use]
    pub fn stage_place(&self, stage: &str) -> usize {
        self.stages
            .iter()
            .position(|known| known.id == stage)
            .unwrap_or(usize::MAX)
    }

    /// What an ask asks for, for checking conditions.
    pub(crate) fn kind_of(&self, ask: &str) -> Option<AskKind> {
        self.ask(ask).map(|ask| ask.kind.clone())
    }

    fn read_asks(&self, file: File<'_>) -> Result<Vec<(usize, Ask)>, LoadFault> {
        let head: AsksFile = file.head()?;
        if !self.stages.iter().any(|stage| stage.id == head.stage) {
            return Err(file.fault(1, format!("there is no stage \"{}\"", head.stage)));
        }
        let items: Vec<Item<RawAsk>> = file.items(head.ask)?;
        let read = |item: Item<RawAsk>| {
            let line = item.line;
            let ask = self
                .read_ask(&head.stage, item.body)
                .map_err(|message| file.fault(line, message))?;
            Ok((line, ask))
        };
        items.into_iter().map(read).collect()
    }

    fn read_ask(&self, stage: &str, raw: RawAsk) -> Result<Ask, String> {
        let id = raw.id;
        if !id.strip_prefix(stage).is_some_and(|rest| rest.starts_with('.')) {
            return Err(format!(
                "the id of an ask begins with its stage: write \"{stage}.{id}\""
            ));
        }
        if !self.visits.iter().any(|visit| visit.id == raw.visit) {
            return Err(format!("{id}: there is no visit \"{}\"", raw.visit));
        }
        if let Some(each) = &raw.each
            && !self.groups.iter().any(|group| group.id == *each)
        {
            return Err(format!("{id}: there is no group \"{each}\""));
        }
        let kind = match raw.kind.as_str() {
            "choice" if raw.choices.len() < 2 => {
                return Err(format!("{id}: a choice needs two choices or more"));
            }
            "choice" => AskKind::Choice(raw.choices),
            "yes_no" => AskKind::YesNo,
            "count" => AskKind::Count,
            "ppm" | "percent" | "cords" => AskKind::Number(raw.kind.clone()),
            "text" => AskKind::Text,
            "date" => AskKind::Date,
            "span" => AskKind::Span,
            "money" => AskKind::Money,
            "place" => AskKind::Place,
            "person" => AskKind::Person,
            "list" => AskKind::List,
            "photo" => AskKind::Photo,
            "paper" => AskKind::Paper,
            "signature" => AskKind::Signature(
                raw.signer
                    .ok_or_else(|| format!("{id}: a signature names its signer"))?,
            ),
            other => AskKind::Quantity(Dimension::from_code(other).ok_or_else(|| {
                format!("{id}: \"{other}\" is no kind of ask; write length, yes_no, choice, photo ...")
            })?),
        };
        let within = |message: String| format!("{id}: {message}");
        Ok(Ask {
            stage: stage.to_owned(),
            step: raw.step,
            visit: raw.visit,
            each: raw.each,
            when: raw.when,
            refused: range(raw.refused.as_ref(), &kind).map_err(within)?,
            doubtful: range(raw.doubtful.as_ref(), &kind).map_err(within)?,
            mark: raw.mark,
            tolerance: raw
                .tolerance
                .map_or(Ok(0.0), |bound| bound.read(&kind))
                .map_err(within)?,
            careful: match raw.careful {
                RawCareful::Smaller => Careful::Smaller,
                RawCareful::Larger => Careful::Larger,
            },
            roles: raw.roles,
            caution: raw.caution,
            optional: raw.optional,
            roof: raw.roof,
            act: raw.act,
            kind,
            id,
        })
    }

    fn settle_asks(&mut self, lines: &[(&str, &str, usize)]) -> Result<(), LoadFault> {
        for index in 0..self.asks.len() {
            let Some(mut when) = self.asks.get(index).and_then(|ask| ask.when.clone()) else {
                continue;
            };
            let settled = settle(&mut when, &|id| self.kind_of(id));
            if let (Err(message), Some((name, text, line))) = (settled, lines.get(index)) {
                return Err(File { name, text }.fault(*line, message));
            }
            if let Some(ask) = self.asks.get_mut(index) {
                ask.when = Some(when);
            }
        }
        Ok(())
    }

    fn read_stops(&mut self, file: File<'_>) -> Result<(), LoadFault> {
        let head: StopsFile = file.head()?;
        for item in file.items::<RawStop>(head.stop)? {
            let stop = Stop::settle(item.body, self).map_err(|message| file.fault(item.line, message))?;
            self.stops.push(stop);
        }
        Ok(())
    }

    fn read_figures(&mut self, file: File<'_>) -> Result<(), LoadFault> {
        let head: FiguresFile = file.head()?;
        for item in file.items::<RawFigures>(head.figures)? {
            let plan =
                FiguresPlan::settle(item.body, self).map_err(|message| file.fault(item.line, message))?;
            self.figures.push(plan);
        }
        Ok(())
    }

    fn check_events(&self, file: File<'_>) -> Result<(), LoadFault> {
        if let Some(ask) = self.glance.iter().find(|ask| self.ask(ask).is_none()) {
            return Err(file.fault(1, format!("glance: there is no ask \"{ask}\"")));
        }
        for event in &self.events {
            if let Some(ask) = event.asks.iter().find(|ask| self.ask(ask).is_none()) {
                return Err(file.fault(1, format!("event {}: there is no ask \"{ask}\"", event.id)));
            }
        }
        Ok(())
    }
}

fn read_stages(file: File<'_>) -> Result<Guide, LoadFault> {
    let head: StagesFile = file.head()?;
    let stages = file.items::<RawStage>(head.stage)?;
    let visits = file.items::<RawVisit>(head.visit)?;
    let groups = file.items::<RawGroup>(head.group)?;
    let events = file.items::<RawEvent>(head.event)?;
    let visit = |raw: RawVisit| VisitSort {
        id: raw.id,
        leaves_house_open: raw.leaves_house_open,
    };
    Ok(Guide {
        stages: stages
            .into_iter()
            .map(|item| Stage { id: item.body.id })
            .collect(),
        visits: visits.into_iter().map(|item| visit(item.body)).collect(),
        groups: groups
            .into_iter()
            .map(|item| Group {
                id: item.body.id,
                least: item.body.least,
            })
            .collect(),
        events: events
            .into_iter()
            .map(|item| Event {
                id: item.body.id,
                asks: item.body.asks,
            })
            .collect(),
        asks: Vec::new(),
        stops: Vec::new(),
        figures: Vec::new(),
        glance: head.glance,
        digest: Digest([0; 32]),
        index: BTreeMap::new(),
    })
}
