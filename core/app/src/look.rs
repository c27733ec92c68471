use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde_json::Value as Json;
use wythe_guide::figures::{self, Figures, Library};
use wythe_guide::readiness::{Readiness, alike, readiness};
use wythe_guide::screen::{InCommon, Make, SameHouse, Screen};
use wythe_guide::{Date, Elsewhere, Guide, Known, Programme, Words, local_date};
use wythe_job::{Address, Causality, Facts, Job, JobId, PersonId, fold};
use wythe_store::{Log, Page};

use crate::app::App;
use crate::error::AppError;
use crate::projector::{links_of, serials_of};

/// A look at one job: folded, with its rules and figures. It is as of the moment it was taken.
#[derive(Debug)]
pub struct Look {
    /// The job.
    pub id: JobId,
    /// What it asks.
    pub guide: Arc<Guide>,
    /// The job's facts.
    pub facts: Arc<Facts>,
    /// The facts, folded.
    pub job: Job,
    /// What came before what.
    pub causality: Causality,
    /// The rules that the job pins.
    pub programme: Programme,
    /// The figures.
    pub figures: Vec<Figures>,
    /// What other jobs hold.
    pub elsewhere: Elsewhere,
    /// Other jobs that look like ones of the same house.
    pub same_house: Vec<SameHouse>,
    /// The day at the site for which it was taken.
    pub today: Date,
    drafts: BTreeMap<String, String>,
    names: BTreeMap<PersonId, String>,
}

impl<L: Log> App<L> {
    /// Takes a look at a job, as of a day at the site (today, if none is given).
    ///
    /// # Errors
    /// [`AppError::NoJob`], [`AppError::NoRules`], [`AppError::Store`].
    pub fn look(&self, job: JobId, today: Option<Date>) -> Result<Look, AppError> {
        let facts = self.log.facts(job.into())?;
        if facts.is_empty() {
            return Err(AppError::NoJob(job.short()));
        }
        let folded = fold(&facts);
        let causality = Causality::of(&facts);
        let programmes = self.programmes()?;
        let pinned = folded.rules.last().ok_or(AppError::NoRules)?;
        let programme = programmes
            .get(&pinned.body.programme_digest)
            .cloned()
            .ok_or_else(|| AppError::NoProgramme(pinned.body.programme.clone()))?;
        let names = folded
            .people
            .iter()
            .map(|entry| (entry.body.person, entry.body.name.clone()))
            .collect();
        let zone = folded
            .opened
            .first()
            .map_or("UTC", |opened| opened.body.zone.as_str());
        let today = today
            .or_else(|| local_date(self.services.time.now(), zone))
            .ok_or_else(|| AppError::NotOneOf {
                value: zone.to_owned(),
                what: "a day".to_owned(),
            })?;
        let library: Library = self.library()?;
        let same_house = self.same_house(job, &folded)?;
        let figures = figures::run(&Known::new(&self.guide, &folded, &causality), &library);
        Ok(Look {
            id: job,
            guide: Arc::clone(&self.guide),
            elsewhere: self.elsewhere(job, &folded, &same_house)?,
            same_house,
            facts,
            job: folded,
            causality,
            programme,
            figures,
            today,
            drafts: self.log.drafts(job.into())?.into_iter().collect(),
            names,
        })
    }

    /// What the business's other jobs hold that this one must not use again.
    fn elsewhere(&self, job: JobId, folded: &Job, others: &[SameHouse]) -> Result<Elsewhere, AppError> {
        let mut elsewhere = Elsewhere::default();
        for photo in folded.photos.iter().filter(|photo| photo.holds()) {
            let digest = photo.body.original.digest;
            for fact in self.log.named_by(digest)? {
                let stream = self.log.fact(fact)?.map(|fact| fact.envelope().stream);
                if let Some(stream) = stream
                    && stream.0 != job.0
                {
                    elsewhere.photos.insert(digest, JobId(stream.0));
                }
            }
        }
        let address = others.iter().filter(|other| other.in_common == InCommon::Address);
        elsewhere.same_house = address.map(|other| other.job).collect();
        Ok(elsewhere)
    }

    /// Other jobs, not cancelled, that look like ones of the same house: by the address as a clerk compares
    /// it, or by a stove's serial number.
    fn same_house(&self, job: JobId, folded: &Job) -> Result<Vec<SameHouse>, AppError> {
        let opened = folded.opened.first();
        let address = opened.map(|opened| opened.body.address.join(", "));
        let serials = serials_of(folded);
        let links: BTreeSet<String> = links_of(folded).iter().map(ToString::to_string).collect();
        let mut same = Vec::new();
        let mut page = Page::default();
        loop {
            let rows = self.log.summaries(&page)?;
            let Some(last) = rows.last() else { break };
            page.after = Some((last.summary.sort_key.clone(), last.stream));
            for row in rows.iter().filter(|row| row.stream.0 != job.0) {
                let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
                let text = |key: &str| about.get(key).and_then(Json::as_str);
                if text("kind") != Some("job") || text("state") == Some("cancelled") {
                    continue;
                }
                let list = |key: &str| {
                    let items = about.get(key).and_then(Json::as_array).into_iter().flatten();
                    items.filter_map(Json::as_str).collect::<Vec<&str>>()
                };
                let lines = list("address");
                let alike_here = |here: &String| !lines.is_empty() && alike(&lines.join(", "), here);
                let theirs = list("serials");
                let shared = serials.iter().find(|serial| theirs.contains(&serial.as_str()));
                let in_common = if address.as_ref().is_some_and(alike_here) {
                    InCommon::Address
                } else if let Some(serial) = shared {
                    InCommon::Serial(serial.clone())
                } else {
                    continue;
                };
                let linked = links.contains(&row.stream.to_string())
                    || list("links").contains(&job.to_string().as_str());
                same.push(SameHouse {
                    job: JobId(row.stream.0),
                    label: row.summary.label.clone(),
                    in_common,
                    linked,
                });
            }
        }
        Ok(same)
    }
}

impl Look {
    /// What the job knows, with the findings of its figures.
    #[must_use]
    pub fn known(&self) -> Known<'_> {
        self.known_of(&self.job)
    }

    /// What a job of fewer payloads knows, with the findings of these figures.
    pub(crate) fn known_of<'l>(&'l self, job: &'l Job) -> Known<'l> {
        let mut known = Known::new(&self.guide, job, &self.causality).on(self.today);
        for figures in &self.figures {
            known.note_findings(&figures.id, figures.findings());
        }
        known
    }

    /// Where the job stands.
    #[must_use]
    pub fn readiness<'l>(&self, known: &Known<'l>) -> Readiness<'l> {
        readiness(known, &self.programme, &self.figures, &self.elsewhere, self.today)
    }

    /// The name of a person in this job.
    #[must_use]
    pub fn name(&self, person: PersonId) -> String {
        self.names.get(&person).cloned().unwrap_or_else(|| person.short())
    }

    /// Makes something of what a screen is made from.
    pub(crate) fn make<T>(&self, words: &Words, of: &dyn Fn(&Make<'_, '_>) -> T) -> T {
        let known = self.known();
        let readiness = self.readiness(&known);
        let drafts = |address: &Address| self.drafts.get(&address.to_string()).cloned();
        let name = |person: PersonId| self.name(person);
        of(&Make {
            known: &known,
            words,
            readiness: &readiness,
            figures: &self.figures,
            drafts: &drafts,
            name: &name,
        })
    }

    /// A screen of the job: `job`, `missing`, `visits`, `visit/SORT`, `claim_life`, or `stage/NAME`.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for a screen that there is not.
    pub fn screen(&self, id: &str, words: &Words) -> Result<Screen, AppError> {
        let is_stage = |id: &str| self.guide.stages.iter().any(|known| known.id == id);
        let is_visit = |id: &str| self.guide.visits.iter().any(|known| known.id == id);
        match id.split_once('/') {
            None if id == "job" => return Ok(self.make(words, &|make| make.job(&self.same_house))),
            None if id == "missing" => return Ok(self.make(words, &|make| make.missing())),
            None if id == "visits" => return Ok(self.make(words, &|make| make.visits())),
            None if id == "claim_life" => {
                return Ok(self.make(words, &|make| make.claim_life(&self.programme)));
            }
            Some(("visit", visit)) if is_visit(visit) => {
                return Ok(self.make(words, &|make| make.visit(visit)));
            }
            Some(("stage", stage)) if is_stage(stage) => {
                return Ok(self.make(words, &|make| make.stage(stage)));
            }
            None if is_stage(id) => return Ok(self.make(words, &|make| make.stage(id))),
            _ => {}
        }
        let stages: Vec<&str> = self.guide.stages.iter().map(|stage| stage.id.as_str()).collect();
        let visits: Vec<&str> = self.guide.visits.iter().map(|visit| visit.id.as_str()).collect();
        let what = format!(
            "a screen; write job, missing, visits, claim_life, a stage ({}), or visit/ and one of {}",
            stages.join(", "),
            visits.join(", ")
        );
        Err(AppError::NotOneOf {
            value: id.to_owned(),
            what,
        })
    }
}
