//! Where a job stands against its programme: "What's missing".

mod rules;
mod times;

use std::collections::{BTreeMap, BTreeSet};

use wythe_job::{Digest, FactId, JobId, OfficeArrivals, Place, TagRead};

use crate::ask::AskKind;
use crate::calendar::Date;
use crate::evidence::{Evidence, Lapse};
use crate::figures::Figures;
use crate::known::{Known, Standing};
use crate::programme::{Labels, Programme, Requirement};
use crate::stops::{OpenStop, open_stops};

pub use times::{Basis, Happened};

/// A name or an address as a clerk compares it: two that give the same are taken for the same.
#[must_use]
pub fn clerk(text: &str) -> String {
    rules::clerk(text)
}

/// How one thing stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// There, and it counts.
    Met,
    /// There, kept, and outside of what is usual.
    Doubtful,
    /// Nothing here applies to this job.
    NotNeeded,
    /// One can only wait for somebody outside.
    Waiting,
    /// Not there.
    Missing,
    /// People's entries differ.
    Disagreeing,
    /// There, but it does not count.
    DoesNotCount,
}

/// Why something does not count, or what is missing of it: a message's id with its arguments.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Why {
    /// The message: `why-photo-after-event` ...
    pub code: String,
    /// Its arguments: plain text, or the id of another message behind `#`.
    pub with: Vec<(String, String)>,
}

impl Why {
    pub(crate) fn new(code: &str, with: &[(&str, String)]) -> Self {
        Self {
            code: code.to_owned(),
            with: with
                .iter()
                .map(|(name, value)| ((*name).to_owned(), value.clone()))
                .collect(),
        }
    }
}

/// One line of what is there and what is missing.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Row {
    /// The requirement's or the ask's id.
    pub id: String,
    /// Whether a programme wants it; otherwise the guide asks it.
    pub required: bool,
    /// Which of several.
    pub path: Vec<(String, u32)>,
    /// The stage whose course its brick lies in.
    pub stage: String,
    /// Who brings it.
    pub who: String,
    /// How it stands.
    pub state: State,
    /// Why, where there is something to say.
    pub why: Option<Why>,
    /// The last day on which it still counts.
    pub due: Option<Date>,
    /// The facts that it stands on.
    pub evidence: Vec<FactId>,
    /// On what the order in time rests, the strongest first; empty where none was wanted.
    pub rests_on: Vec<Basis>,
    /// Photographs that are there and do not count, each with the reason.
    pub passed_over: Vec<(FactId, Why)>,
    /// What a lapse is, where a licence, an insurance or a calibration has lapsed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lapse: Option<Lapse>,
    /// What the programme's file calls it, by language, where it says so itself.
    #[serde(skip)]
    pub words: Option<Labels>,
    /// The ask that it is about first.
    #[serde(skip)]
    pub about: Option<String>,
}

/// What is known beyond the job's own facts: what other jobs of the business hold, for what there may be
/// only one of; what the tags in its photographs are; when the office had what.
#[derive(Debug, Clone, Default)]
pub struct Elsewhere {
    /// Photographs by their digest, with the job they are in.
    pub photos: BTreeMap<Digest, JobId>,
    /// Other jobs of the same house that claim under the same programme.
    pub same_house: Vec<JobId>,
    /// What each text read in the job's photographs is. A text that is not here is no tag.
    pub tags: BTreeMap<String, TagRead>,
    /// When facts arrived at the office, by its clock, as far as its arrival records are here. Nothing,
    /// where there is no office: the order then rests on the chains and the phones' time.
    pub arrivals: OfficeArrivals,
}

/// Where a job stands.
#[derive(Debug, Clone)]
pub struct Readiness<'a> {
    /// Everything that a programme wants or the guide asks, in the order of the stages.
    pub rows: Vec<Row>,
    /// The stops that stand.
    pub stops: Vec<OpenStop<'a>>,
    /// The deadlines with their dates, once their event has happened, and whether they were kept.
    pub deadlines: Vec<Due>,
    /// A newer program is needed to sign off.
    pub needs_newer_program: bool,
}

/// A deadline of this job.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Due {
    /// Its id.
    pub id: String,
    /// The last day that counts; none while the event has not happened.
    pub on: Option<Date>,
    /// The day on which it was met.
    pub met: Option<Date>,
    /// What the programme's file calls it, by language, where it says so itself.
    #[serde(skip)]
    pub words: Option<Labels>,
}

impl Readiness<'_> {
    /// Whether the claim can be sent: everything the programme wants is there and counts, and no stop
    /// closes the sign-off.
    #[must_use]
    pub fn claim_is_whole(&self) -> bool {
        let counts = |row: &Row| matches!(row.state, State::Met | State::Doubtful | State::NotNeeded);
        self.rows.iter().filter(|row| row.required).all(counts) && self.sign_off_is_open()
    }

    /// Whether the owner can sign off.
    #[must_use]
    pub fn sign_off_is_open(&self) -> bool {
        let lapsed = self.lapses().any(|row| row.lapse == Some(Lapse::Stop));
        !self.needs_newer_program && !lapsed && !self.stops.iter().any(|open| open.stop.blocks_sign_off())
    }

    /// What has lapsed on the day of the work: cautions, and stops of the sign-off.
    pub fn lapses(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().filter(|row| row.lapse.is_some())
    }

    /// The stops that keep a stage from going on.
    pub fn stops_of_stage<'r>(&'r self, stage: &'r str) -> impl Iterator<Item = &'r OpenStop<'r>> {
        self.stops
            .iter()
            .filter(move |open| open.stop.blocks_stage(stage))
    }

    /// The required rows that still stand between the job and its payment, what presses first first:
    /// by the day it is due, then by the order of the stages.
    #[must_use]
    pub fn missing(&self) -> Vec<&Row> {
        let open = |row: &&Row| !matches!(row.state, State::Met | State::Doubtful | State::NotNeeded);
        let mut rows: Vec<&Row> = self.rows.iter().filter(|row| row.required).filter(open).collect();
        rows.sort_by_key(|row| (row.due.is_none(), row.due));
        rows
    }
}

/// Holds what is known against the programme and the guide, on a given day at the site.
#[must_use]
pub fn readiness<'a>(
    known: &Known<'a>,
    programme: &Programme,
    figures: &[Figures],
    elsewhere: &Elsewhere,
    today: Date,
) -> Readiness<'a> {
    let mut rows = Vec::new();
    let mut covered = BTreeSet::new();
    for requirement in &programme.requirements {
        for path in paths(known, requirement.each.as_deref()) {
            covered.extend(asks_of(&requirement.evidence).map(|ask| (ask.to_owned(), path.clone())));
            let judge = rules::Judge {
                known,
                programme,
                figures,
                elsewhere,
                today,
                path: &path,
            };
            rows.push(judge.row(requirement));
        }
    }
    rows.extend(ask_rows(known, &covered));
    rows.sort_by_key(|row| known.guide.stage_place(&row.stage));
    let due = |deadline: &crate::programme::Deadline| Due {
        id: deadline.id.clone(),
        on: times::due_date(known, deadline),
        met: times::event(known, &deadline.to, &[]).and_then(|event| event.date),
        words: deadline.words.clone(),
    };
    Readiness {
        rows,
        stops: open_stops(&known.clone().on(today)),
        deadlines: programme.deadlines.iter().map(due).collect(),
        needs_newer_program: known.job.needs_newer_program(),
    }
}

fn paths(known: &Known<'_>, each: Option<&str>) -> Vec<Vec<Place>> {
    match each {
        None => vec![Vec::new()],
        Some(group) => {
            let numbers = known.instances(group).into_iter();
            numbers
                .map(|number| {
                    vec![Place {
                        of: group.to_owned(),
                        number,
                    }]
                })
                .collect()
        }
    }
}

fn asks_of(evidence: &Evidence) -> impl Iterator<Item = &str> {
    let asks: Vec<&str> = match evidence {
        Evidence::Photo { ask, .. } | Evidence::Signature { ask } | Evidence::Answer { ask, .. } => vec![ask],
        Evidence::Paper { ask, fields } => std::iter::once(ask.as_str())
            .chain(fields.iter().map(String::as_str))
            .collect(),
        _ => Vec::new(),
    };
    asks.into_iter()
}

/// A row for each ask that applies and that no requirement speaks of already.
fn ask_rows(known: &Known<'_>, covered: &BTreeSet<(String, Vec<Place>)>) -> Vec<Row> {
    let mut rows = Vec::new();
    for ask in known.guide.asks.iter().filter(|ask| !ask.optional) {
        for address in known.addresses(ask, &[]) {
            if covered.contains(&(ask.id.clone(), address.path.clone())) {
                continue;
            }
            let evidence = known.evidence(ask, &address);
            let state = if !known.applies(ask, &address.path) {
                State::NotNeeded
            } else if matches!(ask.kind, AskKind::Photo | AskKind::Paper | AskKind::Signature(_)) {
                if evidence.is_empty() {
                    State::Missing
                } else {
                    State::Met
                }
            } else {
                match known.standing(&address) {
                    Standing::Empty => State::Missing,
                    Standing::Disagrees(_) => State::Disagreeing,
                    Standing::Holds(entry) => {
                        let doubtful = known.is_doubtful(ask, &address.path, &entry.body.value);
                        if doubtful { State::Doubtful } else { State::Met }
                    }
                }
            };
            rows.push(Row {
                id: ask.id.clone(),
                required: false,
                path: address
                    .path
                    .iter()
                    .map(|place| (place.of.clone(), place.number))
                    .collect(),
                stage: ask.stage.clone(),
                who: ask.roles.first().cloned().unwrap_or_else(|| "lead".to_owned()),
                state,
                why: None,
                due: None,
                evidence,
                rests_on: Vec::new(),
                passed_over: Vec::new(),
                lapse: None,
                words: None,
                about: None,
            });
        }
    }
    rows
}

impl Requirement {
    pub(crate) fn row(&self, path: &[Place], state: State) -> Row {
        Row {
            id: self.id.clone(),
            required: true,
            path: path
                .iter()
                .map(|place| (place.of.clone(), place.number))
                .collect(),
            stage: self.stage.clone(),
            who: self.who.clone(),
            state,
            why: None,
            due: None,
            evidence: Vec::new(),
            rests_on: Vec::new(),
            passed_over: Vec::new(),
            lapse: None,
            words: self.words.clone(),
            about: self.about.clone(),
        }
    }
}
