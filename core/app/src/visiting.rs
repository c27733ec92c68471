//! Visits: who came, with what; what is told once a visit, and what the visit still needs.

use wythe_guide::{Ask, VisitState, visit_needs, visit_not_left};
use wythe_job::{
    Address, Answered, Assigned, Body, Instrument, Job, JobId, Moment, PersonId, Visit, VisitId, fold,
};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;

/// A moment of a visit.
#[derive(Debug, Clone, Default)]
pub struct VisitMoment {
    /// What the visit is for.
    pub sort: String,
    /// `arrived`, `paused`, `resumed` or `left`.
    pub moment: String,
    /// Who came besides the person of this device, by name: known to the library or to the job.
    pub with: Vec<String>,
    /// The weather in words.
    pub weather: Option<String>,
    /// Instruments, with the date of their calibration where the library does not tell it.
    pub instruments: Vec<(String, Option<String>)>,
    /// What was done to leave the house safe, by the guide's ids.
    pub left_safe: Vec<String>,
    /// When, if not now.
    pub at: Option<Moment>,
}

/// A moment of a visit that was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitRecorded {
    /// Which visit.
    pub visit: VisitId,
    /// What was answered with it, from what is known of who came.
    pub filled: Vec<Address>,
    /// When it pauses or ends: what the visit still needs, in words.
    pub still_needs: Option<String>,
    /// When it pauses or ends with the house open: what nobody said was done, by the guide's ids.
    pub not_left_safe: Vec<String>,
}

const MOMENTS: [&str; 4] = ["arrived", "paused", "resumed", "left"];

impl<L: Log> App<L> {
    /// Records a moment of a visit. To arrive where a visit of this sort is open adds who came to it.
    /// On arrival, what is known of the people and of the business is answered, so that nobody types a
    /// licence twice.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for an unknown sort, moment, person or way to leave a house safe, or when
    /// no visit is open.
    pub fn visit(&mut self, job: JobId, moment: &VisitMoment) -> Result<VisitRecorded, AppError> {
        self.check_moment(moment)?;
        let folded = fold(&*self.log.facts(job.into())?);
        let open = visit_not_left(&folded, Some(&moment.sort)).map(|visit| visit.id);
        let visit = match open {
            Some(visit) => visit,
            None if moment.moment == "arrived" => VisitId(self.chance()),
            None => {
                return Err(AppError::NotOneOf {
                    value: moment.sort.clone(),
                    what: "a visit that is open; record the arrival first".to_owned(),
                });
            }
        };
        let mut bodies = self.introduction(job)?;
        let mut here = vec![self.assignment()?];
        for name in &moment.with {
            let (assigned, is_new) = self.known_person(&folded, name)?;
            if is_new {
                bodies.push((assigned.clone().into(), Vec::new()));
            }
            here.push(assigned);
        }
        let body = Visit {
            visit,
            sort: moment.sort.clone(),
            moment: moment.moment.clone(),
            people: here.iter().map(|assigned| assigned.person).collect(),
            weather: moment.weather.clone(),
            instruments: self.calibrated(&moment.instruments)?,
            left_safe: moment.left_safe.clone(),
            at: moment.at,
        };
        bodies.push((body.into(), Vec::new()));
        let mut filled = Vec::new();
        if moment.moment == "arrived" {
            for (address, body) in self.filled(&folded, &here, &moment.sort, visit)? {
                filled.push(address);
                bodies.push((body, Vec::new()));
            }
        }
        self.append(job.into(), bodies, Vec::new())?;
        let mut recorded = VisitRecorded {
            visit,
            filled,
            still_needs: None,
            not_left_safe: Vec::new(),
        };
        if ["paused", "left"].contains(&moment.moment.as_str()) {
            self.tell_what_is_open(job, &moment.sort, visit, &mut recorded)?;
        }
        Ok(recorded)
    }

    fn check_moment(&self, moment: &VisitMoment) -> Result<(), AppError> {
        let sorts: Vec<&str> = self.guide.visits.iter().map(|sort| sort.id.as_str()).collect();
        one_of(&moment.sort, "a sort of visit", &sorts)?;
        one_of(&moment.moment, "a moment of a visit", &MOMENTS)?;
        self.check_left_safe(&moment.left_safe)
    }

    /// That what was done to leave a house safe is what the guide knows.
    pub(crate) fn check_left_safe(&self, left_safe: &[String]) -> Result<(), AppError> {
        let known: Vec<&str> = self.guide.left_safe.iter().map(String::as_str).collect();
        let mut each = left_safe.iter();
        each.try_for_each(|id| one_of(id, "a way to leave a house safe", &known))
    }

    /// A person by name: of the job, or of the library. Whether the job does not know the person yet.
    fn known_person(&self, folded: &Job, name: &str) -> Result<(Assigned, bool), AppError> {
        let of_job = folded.people.iter().rfind(|entry| entry.body.name == name);
        if let Some(entry) = of_job {
            return Ok((entry.body.clone(), false));
        }
        let library = self.library()?;
        let people = library.iter().filter(|((sort, _), _)| sort == "person");
        let text = |entry: &serde_json::Value, key: &str| {
            let text = entry.get(key).and_then(serde_json::Value::as_str);
            text.map(str::to_owned)
        };
        for ((_, id), entry) in people {
            if text(entry, "name").as_deref() == Some(name) {
                let assigned = Assigned {
                    person: person_id(id).unwrap_or_else(|| PersonId(self.chance())),
                    name: name.to_owned(),
                    role: text(entry, "role").unwrap_or_else(|| "installer".to_owned()),
                    licence: text(entry, "licence"),
                    licence_until: text(entry, "licence_until"),
                };
                return Ok((assigned, true));
            }
        }
        Err(AppError::NotOneOf {
            value: name.to_owned(),
            what: "a person that the library or this job knows; add the person first".to_owned(),
        })
    }

    /// Instruments with the date of their calibration, which the library tells where nobody else does.
    fn calibrated(&self, named: &[(String, Option<String>)]) -> Result<Vec<Instrument>, AppError> {
        let library = self.library()?;
        let calibrated = |name: &String| {
            let entry = library.get(&("instrument".to_owned(), name.clone()))?;
            entry.get("calibrated")?.as_str().map(str::to_owned)
        };
        let instruments = named.iter().map(|(name, date)| Instrument {
            name: name.clone(),
            calibrated: date.clone().or_else(|| calibrated(name)),
        });
        Ok(instruments.collect())
    }

    /// Answers to asks that are told once: by who came, and by the business's own papers on a day of work.
    fn filled(
        &self,
        folded: &Job,
        here: &[Assigned],
        sort: &str,
        visit: VisitId,
    ) -> Result<Vec<(Address, Body)>, AppError> {
        let library = self.library()?;
        let is_work = self
            .guide
            .visits
            .iter()
            .any(|known| known.id == sort && known.leaves_house_open);
        let of_business = |what: &str| {
            let entry = library.get(&("business".to_owned(), "papers".to_owned()))?;
            entry.get(what)?.as_str().map(str::to_owned)
        };
        let of_person = |who: &str, what: &str| {
            let person = here.iter().find(|assigned| assigned.role == who)?;
            match what {
                "name" => Some(person.name.clone()),
                "licence" => person.licence.clone(),
                _ => person.licence_until.clone(),
            }
        };
        let mut filled = Vec::new();
        for ask in &self.guide.asks {
            let Some((who, what)) = &ask.filled_from else {
                continue;
            };
            let address = Address::of(ask.id.as_str());
            if ask.visit != sort && ask.visit != "desk" {
                continue;
            }
            if folded.record.contains_key(&address) {
                continue;
            }
            let typed = match who.as_str() {
                "business" if is_work => of_business(what),
                "business" => None,
                who => of_person(who, what),
            };
            if let Some(typed) = typed
                && let Ok(entry) = self.understand(&address, &typed)
            {
                let answered = Answered {
                    address: address.clone(),
                    value: entry.value,
                    measured: entry.measured,
                    visit: Some(visit),
                };
                filled.push((address, answered.into()));
            }
        }
        Ok(filled)
    }

    fn tell_what_is_open(
        &self,
        job: JobId,
        sort: &str,
        visit: VisitId,
        recorded: &mut VisitRecorded,
    ) -> Result<(), AppError> {
        let look = self.look(job, None)?;
        let known = look.known();
        let readiness = look.readiness(&known);
        let needs = visit_needs(&known, &readiness, sort);
        if !needs.is_empty() {
            let told = look.make(self.words(), &|make| make.needs_in_words(&needs));
            recorded.still_needs = Some(told);
        }
        let is_open_house = self
            .guide
            .visits
            .iter()
            .any(|known| known.id == sort && known.leaves_house_open);
        let stand = wythe_guide::visits(&look.job)
            .into_iter()
            .find(|stand| stand.id == visit);
        let stays_open = stand
            .as_ref()
            .is_some_and(|stand| stand.state == VisitState::Paused)
            || !look.job.heads.contains_key(&Address::of("start_up.installed_on"));
        if let Some(stand) = stand.filter(|_| is_open_house && stays_open) {
            let undone = self.guide.left_safe.iter();
            let undone = undone.filter(|id| !stand.left_safe.contains(id.as_str()));
            recorded.not_left_safe = undone.cloned().collect();
        }
        Ok(())
    }

    /// The latest visit that was not left.
    pub(crate) fn open_visit(&self, job: JobId) -> Result<Option<VisitId>, AppError> {
        let folded = fold(&*self.log.facts(job.into())?);
        Ok(visit_not_left(&folded, None).map(|visit| visit.id))
    }

    /// The instrument of the open visit that measures what an ask asks for, as the library knows it.
    pub(crate) fn instrument_for(&self, job: JobId, ask: &Ask) -> Result<Option<String>, AppError> {
        let folded = fold(&*self.log.facts(job.into())?);
        let Some(visit) = visit_not_left(&folded, None) else {
            return Ok(None);
        };
        let library = self.library()?;
        let measures = |name: &str| {
            let entry = library.get(&("instrument".to_owned(), name.to_owned()));
            let kinds = entry.and_then(|entry| entry.get("measures")?.as_array());
            kinds
                .into_iter()
                .flatten()
                .any(|kind| kind.as_str() == Some(ask.kind.name()))
        };
        let found = visit.instruments.iter().find(|one| measures(&one.name));
        Ok(found.map(|instrument| instrument.name.clone()))
    }
}

fn one_of(value: &str, what: &str, known: &[&str]) -> Result<(), AppError> {
    if known.contains(&value) {
        return Ok(());
    }
    Err(AppError::NotOneOf {
        value: value.to_owned(),
        what: format!("{what}; write one of {}", known.join(", ")),
    })
}

/// A person's number as the library writes it; nothing for a name that the office chose.
fn person_id(id: &str) -> Option<PersonId> {
    let bytes = hex::decode(id).ok()?;
    Some(PersonId(bytes.try_into().ok()?))
}
