use std::collections::BTreeMap;

use serde::Deserialize;
use sha2::{Digest as _, Sha256};
use toml::{Spanned, Table};
use wythe_job::{Address, Digest};

use crate::ask::{Ask, AskKind, Group, Stage, VisitSort};
use crate::condition::Condition;
use crate::figures::{FiguresPlan, RawFigures};
use crate::load::{File, LoadFault, settle};
use crate::loading::{Load, RawLoad};
use crate::stops::{RawStop, Stop};
use crate::{ask_file, stages_file};

/// A moment of the job that rules refer to: the removal, the approval, the final.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Its id.
    pub id: String,
    /// The asks whose answer, photograph, paper or signature is the event; the first that is there
    /// tells its date.
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
    /// Who takes part: whoever answers, brings or signs something.
    pub roles: Vec<String>,
    /// What is done before a house is left open over a pause.
    pub left_safe: Vec<String>,
    /// All asks, in the order of the stages and of the files.
    pub asks: Vec<Ask>,
    /// The stops.
    pub stops: Vec<Stop>,
    /// How the figures are filled from the answers.
    pub figures: Vec<FiguresPlan>,
    /// What goes on the truck before each visit, in order.
    pub loads: Vec<Load>,
    /// The asks that the head of a claim shows, in order.
    pub glance: Vec<String>,
    /// SHA-256 over the files.
    pub digest: Digest,
    pub(crate) index: BTreeMap<String, usize>,
}

const STAGES: &str = include_str!("../data/stages.toml");
const STOPS: &str = include_str!("../data/stops.toml");
const FIGURES: &str = include_str!("../data/figures.toml");

macro_rules! asks {
    ($($stage:literal),*) => {
        &[$((
            concat!("asks/", $stage, ".toml"),
            include_str!(concat!("../data/asks/", $stage, ".toml")),
        )),*]
    };
}

const ASKS: &[(&str, &str)] = asks!(
    "survey",
    "plan",
    "removal",
    "chimney_top",
    "lining",
    "setting",
    "gas",
    "start_up",
    "walk_through",
    "destruction",
    "claim"
);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StopsFile {
    stop: Vec<Spanned<Table>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FiguresFile {
    figures: Vec<Spanned<Table>>,
    #[serde(default)]
    load: Vec<Spanned<Table>>,
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
        let mut guide = stages_file::read(File {
            name: "stages.toml",
            text: stages,
        })?;
        guide.digest = Digest(hash.finalize().into());
        let mut lines = Vec::new();
        for (name, text) in asks {
            let file = File { name, text };
            for (line, ask) in ask_file::read(&guide, file)? {
                if guide.index.insert(ask.id.clone(), guide.asks.len()).is_some() {
                    return Err(file.fault(
                        line,
                        format!("the ask \"{}\" stands twice; rename one of them", ask.id),
                    ));
                }
                guide.asks.push(ask);
                lines.push((*name, *text, line));
            }
        }
        guide.settle_asks(&lines)?;
        guide.read_figures(File {
            name: "figures.toml",
            text: figures,
        })?;
        guide.read_stops(File {
            name: "stops.toml",
            text: stops,
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

    /// The asks that are usually met on a visit.
    pub fn asks_of_visit<'g>(&'g self, visit: &'g str) -> impl Iterator<Item = &'g Ask> {
        self.asks.iter().filter(move |ask| ask.visit == visit)
    }

    /// Whether a signature at one address is for what is answered at another: in the stages and steps that
    /// it names, or in every stage up to its own; of one of several, only that one. Who reads gauges or
    /// cameras in his own role signs for his own readings alone.
    #[must_use]
    pub fn is_signed_for(&self, signature: &Address, answer: &Address) -> bool {
        let asks = self.ask(&signature.ask).zip(self.ask(&answer.ask));
        let Some((signing, ask)) = asks else {
            return false;
        };
        if signing.signs_for.is_empty() {
            return self.stage_place(&ask.stage) <= self.stage_place(&signing.stage);
        }
        let is_named = |ask: &Ask| {
            let step = format!("{}.{}", ask.stage, ask.step);
            signing
                .signs_for
                .iter()
                .any(|named| *named == ask.stage || *named == step)
        };
        let AskKind::Signature(role) = &signing.kind else {
            return false;
        };
        let is_own = |ask: &Ask| ask.roles.contains(role);
        let has_own = self.asks.iter().any(|ask| is_named(ask) && is_own(ask));
        let same_place = answer.path.iter().all(|place| {
            signature
                .path
                .iter()
                .all(|here| here.of != place.of || here == place)
        });
        is_named(ask) && (!has_own || is_own(ask)) && same_place
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

    /// Reads the limits of a condition and checks whatever it names.
    pub(crate) fn settle(&self, condition: &mut Condition) -> Result<(), String> {
        settle(condition, &|id| self.kind_of(id))?;
        let mut wrong = None;
        condition.visit_parts(&mut |part| {
            if let Some(figures) = &part.figures
                && !self.figures.iter().any(|plan| plan.id == *figures)
            {
                wrong = Some(format!("there are no figures \"{figures}\""));
            }
        });
        wrong.map_or(Ok(()), Err)
    }

    pub(crate) fn check_role(&self, role: &str) -> Result<(), String> {
        if self.roles.iter().any(|known| known == role) {
            return Ok(());
        }
        Err(format!(
            "there is no role \"{role}\"; write one of {}",
            self.roles.join(", ")
        ))
    }

    pub(crate) fn check_visit(&self, visit: &str) -> Result<(), String> {
        if self.visits.iter().any(|known| known.id == visit) {
            return Ok(());
        }
        let known: Vec<&str> = self.visits.iter().map(|visit| visit.id.as_str()).collect();
        Err(format!(
            "there is no visit \"{visit}\"; write one of {}",
            known.join(", ")
        ))
    }

    pub(crate) fn check_ask(&self, ask: &str) -> Result<&Ask, String> {
        self.ask(ask)
            .ok_or_else(|| format!("there is no ask \"{ask}\"; look it up in the files of asks"))
    }

    pub(crate) fn check_group(&self, group: &str) -> Result<(), String> {
        if self.groups.iter().any(|known| known.id == group) {
            return Ok(());
        }
        let known: Vec<&str> = self.groups.iter().map(|group| group.id.as_str()).collect();
        Err(format!(
            "there is no group \"{group}\"; write one of {}",
            known.join(", ")
        ))
    }

    fn check_signs_for(&self, ask: &Ask) -> Result<(), String> {
        let is_known = |named: &String| {
            let of_step = |ask: &Ask| format!("{}.{}", ask.stage, ask.step) == *named;
            self.stages.iter().any(|stage| stage.id == *named) || self.asks.iter().any(of_step)
        };
        match ask.signs_for.iter().find(|named| !is_known(named)) {
            Some(wrong) => Err(format!(
                "signs_for names stages, or steps as stage.step; \"{wrong}\" is neither"
            )),
            None => Ok(()),
        }
    }

    fn settle_asks(&mut self, lines: &[(&str, &str, usize)]) -> Result<(), LoadFault> {
        for index in 0..self.asks.len() {
            let Some(mut ask) = self.asks.get(index).cloned() else {
                continue;
            };
            let checked = ask.clone();
            let conditions = ask
                .when
                .iter_mut()
                .chain(ask.usual_when.iter_mut().map(|(when, _)| when));
            let mut settled = self.check_signs_for(&checked);
            for condition in conditions {
                settled = settled.and_then(|()| self.settle(condition));
            }
            if let (Err(message), Some((name, text, line))) = (settled, lines.get(index)) {
                return Err(File { name, text }.fault(*line, format!("{}: {message}", ask.id)));
            }
            if let Some(slot) = self.asks.get_mut(index) {
                *slot = ask;
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
        for item in file.items::<RawLoad>(head.load)? {
            let load = Load::settle(item.body, self).map_err(|message| file.fault(item.line, message))?;
            self.loads.push(load);
        }
        Ok(())
    }

    fn check_events(&self, file: File<'_>) -> Result<(), LoadFault> {
        for ask in &self.glance {
            self.check_ask(ask)
                .map_err(|wrong| file.fault(1, format!("glance: {wrong}")))?;
        }
        for event in &self.events {
            for ask in &event.asks {
                self.check_ask(ask)
                    .map_err(|wrong| file.fault(1, format!("event {}: {wrong}", event.id)))?;
            }
        }
        Ok(())
    }
}
