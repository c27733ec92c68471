use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError};

use serde_json::Value as Json;
use wythe_guide::figures::{self, Figures, Library, Waiting, Worked};
use wythe_guide::readiness::{Readiness, alike, readiness};
use wythe_guide::screen::{Make, Screen};
use wythe_guide::{Date, Elsewhere, Guide, Known, Programme, Words, local_date};
use wythe_job::{Address, Causality, Facts, Job, JobId, PersonId, fold};
use wythe_store::{Log, Page};
use wythe_trade::form::Refusal;

use crate::app::App;
use crate::error::AppError;

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
        let mut worked = self.worked.lock().unwrap_or_else(PoisonError::into_inner);
        let look = self.look_with(job, today, &worked)?;
        remember(&mut worked, &look.figures);
        Ok(look)
    }

    /// The same from the facts alone: whatever this device worked out in the background is not in it, so
    /// that it is the same on every device.
    pub(crate) fn look_by_facts(&self, job: JobId, today: Option<Date>) -> Result<Look, AppError> {
        self.look_with(job, today, &Worked::default())
    }

    fn look_with(&self, job: JobId, today: Option<Date>, worked: &Worked) -> Result<Look, AppError> {
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
        let known = Known::new(&self.guide, &folded, &causality);
        let figures = figures::run_with(&known, &library, worked);
        Ok(Look {
            id: job,
            guide: Arc::clone(&self.guide),
            elsewhere: self.elsewhere(job, &folded)?,
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

    /// What a job's figures still wait for: pure sums, to be done wherever there is time for them
    /// ([`Waiting::work`]) and handed back ([`App::worked_out`]).
    ///
    /// # Errors
    /// As [`App::look`].
    pub fn waiting(&self, job: JobId) -> Result<Vec<Waiting>, AppError> {
        let figures = self.look(job, None)?.figures.into_iter();
        Ok(figures.filter_map(|figures| figures.pending).collect())
    }

    /// Takes the result of what was waited for: the next look has it.
    pub fn worked_out(&self, of: &Waiting, result: Result<Json, Refusal>) {
        let mut worked = self.worked.lock().unwrap_or_else(PoisonError::into_inner);
        worked.keep(of, result);
    }

    /// Works out everything that a job's figures wait for, here and now; gives how many there were.
    ///
    /// # Errors
    /// As [`App::look`].
    pub fn work_out(&self, job: JobId) -> Result<usize, AppError> {
        let waiting = self.waiting(job)?;
        for one in &waiting {
            self.worked_out(one, one.work());
        }
        Ok(waiting.len())
    }

    /// What the business's other jobs hold that this one must not use again.
    fn elsewhere(&self, job: JobId, folded: &Job) -> Result<Elsewhere, AppError> {
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
        elsewhere.same_house = self.same_house(job, folded)?;
        Ok(elsewhere)
    }

    /// Other open jobs of the same house, by the address as a clerk compares it.
    fn same_house(&self, job: JobId, folded: &Job) -> Result<Vec<JobId>, AppError> {
        let Some(here) = folded.opened.first().map(|opened| opened.body.address.join(", ")) else {
            return Ok(Vec::new());
        };
        let mut same = Vec::new();
        let mut page = Page::default();
        loop {
            let rows = self.log.summaries(&page)?;
            let Some(last) = rows.last() else { break };
            page.after = Some((last.summary.sort_key.clone(), last.stream));
            for row in rows.iter().filter(|row| row.stream.0 != job.0) {
                let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
                let is_open = about.get("kind") == Some(&Json::from("job"))
                    && about.get("state") != Some(&Json::from("cancelled"));
                let lines = about
                    .get("address")
                    .and_then(Json::as_array)
                    .into_iter()
                    .flatten();
                let there: Vec<&str> = lines.filter_map(Json::as_str).collect();
                if is_open && alike(&there.join(", "), &here) {
                    same.push(JobId(row.stream.0));
                }
            }
        }
        Ok(same)
    }
}

/// Keeps what takes longest, so that the next look need not do it again.
fn remember(worked: &mut Worked, figures: &[Figures]) {
    for figures in figures
        .iter()
        .filter(|figures| figures.reckoning.starts_with("flue"))
    {
        let done = Waiting {
            reckoning: figures.reckoning.clone(),
            input: figures.input.to_string(),
        };
        if let Some(result) = figures.result.clone().filter(|_| !worked.has(&done)) {
            worked.keep(&done, result);
        }
    }
}

impl Look {
    /// What the job knows, with the findings of its figures.
    #[must_use]
    pub fn known(&self) -> Known<'_> {
        let mut known = Known::new(&self.guide, &self.job, &self.causality).on(self.today);
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

    /// A screen of the job: `job`, `missing`, or `stage/NAME`.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for a screen that there is not.
    pub fn screen(&self, id: &str, words: &Words) -> Result<Screen, AppError> {
        let known = self.known();
        let readiness = self.readiness(&known);
        let drafts = |address: &Address| self.drafts.get(&address.to_string()).cloned();
        let name = |person: PersonId| self.name(person);
        let make = Make {
            known: &known,
            words,
            readiness: &readiness,
            figures: &self.figures,
            drafts: &drafts,
            name: &name,
        };
        match id {
            "job" => Ok(make.job()),
            "missing" => Ok(make.missing()),
            _ => {
                let stage = id.strip_prefix("stage/").unwrap_or(id);
                if self.guide.stages.iter().any(|known| known.id == stage) {
                    return Ok(make.stage(stage));
                }
                let stages: Vec<&str> = self.guide.stages.iter().map(|stage| stage.id.as_str()).collect();
                let what = format!("a screen; write job, missing, or a stage: {}", stages.join(", "));
                Err(AppError::NotOneOf {
                    value: id.to_owned(),
                    what,
                })
            }
        }
    }
}
