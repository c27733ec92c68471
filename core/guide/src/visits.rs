//! Visits as they stand: who is there, with what, since when, and whether the house was left safe.

use std::collections::BTreeSet;

use wythe_job::{Address, Entry, Instrument, Job, PersonId, Visit, VisitId};

use crate::ask::Ask;
use crate::known::{Known, Standing};
use crate::readiness::{Readiness, Row, State};

/// How a visit stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum VisitState {
    /// Somebody is there.
    Open,
    /// Nobody is there, and it goes on later.
    Paused,
    /// It is over.
    Left,
}

/// One coming to the house, the recycler or the desk.
#[derive(Debug, Clone, PartialEq)]
pub struct VisitStand<'a> {
    /// Which.
    pub id: VisitId,
    /// What it is for.
    pub sort: &'a str,
    /// How it stands.
    pub state: VisitState,
    /// The arrival.
    pub arrived: &'a Entry<Visit>,
    /// Its latest moment.
    pub last: &'a Entry<Visit>,
    /// Everybody who came.
    pub people: Vec<PersonId>,
    /// What was brought along to measure with; of the same name, the latest.
    pub instruments: Vec<&'a Instrument>,
    /// The weather as last told.
    pub weather: Option<&'a str>,
    /// What was done to leave the house safe, since somebody was last there.
    pub left_safe: BTreeSet<&'a str>,
}

impl<'a> VisitStand<'a> {
    fn of(id: VisitId, moments: &'a [Entry<Visit>]) -> Option<Self> {
        let mut moments = moments.iter().filter(|moment| moment.holds());
        let arrived = moments.next()?;
        let mut stand = Self {
            id,
            sort: arrived.body.sort.as_str(),
            state: VisitState::Open,
            arrived,
            last: arrived,
            people: Vec::new(),
            instruments: Vec::new(),
            weather: None,
            left_safe: BTreeSet::new(),
        };
        stand.take(arrived);
        for moment in moments {
            stand.take(moment);
        }
        Some(stand)
    }

    fn take(&mut self, moment: &'a Entry<Visit>) {
        let body = &moment.body;
        self.last = moment;
        self.state = match body.moment.as_str() {
            "paused" => VisitState::Paused,
            "left" => VisitState::Left,
            _ => VisitState::Open,
        };
        for person in &body.people {
            if !self.people.contains(person) {
                self.people.push(*person);
            }
        }
        for instrument in &body.instruments {
            self.instruments.retain(|known| known.name != instrument.name);
            self.instruments.push(instrument);
        }
        if let Some(weather) = &body.weather {
            self.weather = Some(weather);
        }
        if self.state == VisitState::Open {
            self.left_safe.clear();
        }
        self.left_safe.extend(body.left_safe.iter().map(String::as_str));
    }
}

/// The visits of a job, in the order in which they began.
#[must_use]
pub fn visits(job: &Job) -> Vec<VisitStand<'_>> {
    let mut visits: Vec<VisitStand<'_>> = job
        .visits
        .iter()
        .filter_map(|(id, moments)| VisitStand::of(*id, moments))
        .collect();
    visits.sort_by_key(|visit| (visit.arrived.stamp, visit.id));
    visits
}

/// The latest visit that was not left, of one sort or of any.
#[must_use]
pub fn visit_not_left<'a>(job: &'a Job, sort: Option<&str>) -> Option<VisitStand<'a>> {
    let mut all = visits(job);
    all.retain(|visit| visit.state != VisitState::Left && sort.is_none_or(|sort| sort == visit.sort));
    all.into_iter().max_by_key(|visit| (visit.last.stamp, visit.id))
}

/// One thing that a visit still needs before the truck leaves.
#[derive(Debug, Clone, PartialEq)]
pub enum VisitNeed<'r> {
    /// Something asked that is not there, or on which people disagree.
    Ask(Address),
    /// Something that is there and does not count, or that the programme wants besides.
    Row(&'r Row),
}

/// What a visit still needs before the truck leaves: its asks that are open, and what the programme wants
/// of them that is there and does not count.
#[must_use]
pub fn visit_needs<'r>(known: &Known<'_>, readiness: &'r Readiness<'_>, visit: &str) -> Vec<VisitNeed<'r>> {
    let mut needs = Vec::new();
    for ask in known.guide.asks_of_visit(visit).filter(|ask| !ask.optional) {
        let addresses = known.addresses(ask, &[]).into_iter();
        needs.extend(
            addresses
                .filter(|address| is_open(known, ask, address))
                .map(VisitNeed::Ask),
        );
    }
    let of_visit = |row: &&Row| {
        let ask = row.about.as_ref().and_then(|ask| known.guide.ask(ask));
        row.required && ask.is_some_and(|ask| ask.visit == visit)
    };
    let bad = readiness.rows.iter().filter(of_visit);
    needs.extend(
        bad.filter(|row| row.state == State::DoesNotCount)
            .map(VisitNeed::Row),
    );
    needs
}

fn is_open(known: &Known<'_>, ask: &Ask, address: &Address) -> bool {
    if !known.applies(ask, &address.path) {
        return false;
    }
    if !ask.kind.is_typed() {
        return known.evidence(ask, address).is_empty();
    }
    !matches!(known.standing(address), Standing::Holds(_))
}
