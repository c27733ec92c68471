use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::Value as Json;
use wythe_guide::figures::{self, Figures};
use wythe_guide::readiness::{Readiness, readiness};
use wythe_guide::screen::{Block, Level, Make, Screen};
use wythe_guide::{Date, Elsewhere, Guide, Known, Programme, Words, local_date};
use wythe_job::{Address, Causality, Facts, Job, JobId, PersonId, RulesPinned, digest_of, fold};
use wythe_store::{Log, Page, Storage, Waiting};

use crate::app::{App, library_of, programmes_in};
use crate::error::AppError;
use crate::projector::house;

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
    /// What this device holds that is not yet safe at the office.
    pub waiting: Waiting,
    /// How much room there is on this device.
    pub storage: Storage,
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
        let business = self.business_stream()?.1;
        let pinned = folded.rules.last().ok_or(AppError::NoRules)?;
        let programme = self.programme(&business, &pinned.body)?;
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
        let library = library_of(&business);
        let figures = figures::run(&Known::new(&self.guide, &folded, &causality), &library);
        Ok(Look {
            id: job,
            guide: Arc::clone(&self.guide),
            elsewhere: self.elsewhere(job, &facts, &folded)?,
            facts,
            job: folded,
            causality,
            programme,
            figures,
            today,
            waiting: self.not_yet_safe()?,
            storage: self.log.storage()?,
            drafts: self.log.drafts(job.into())?.into_iter().collect(),
            names,
        })
    }

    /// The programme that a job pins, from the business's library.
    fn programme(&self, business: &Job, pinned: &RulesPinned) -> Result<Programme, AppError> {
        let unknown = || AppError::NoProgramme(pinned.programme.clone());
        let (id, text) = programmes_in(business)
            .find(|(_, text)| digest_of(text.as_bytes()) == pinned.programme_digest)
            .ok_or_else(unknown)?;
        Programme::load(id, text, &self.guide).map_err(|fault| {
            tracing::warn!(%fault, "a programme of the library cannot be read by this guide");
            unknown()
        })
    }

    /// What the business's other jobs hold that this one must not use again.
    fn elsewhere(&self, job: JobId, facts: &Facts, folded: &Job) -> Result<Elsewhere, AppError> {
        let mut elsewhere = Elsewhere::default();
        for photo in folded.photos.iter().filter(|photo| photo.holds()) {
            let digest = photo.body.original.digest;
            let named = self.log.named_by(digest)?;
            for other in named.into_iter().filter(|fact| facts.get(*fact).is_none()) {
                if let Some(other) = self.log.fact(other)? {
                    elsewhere.photos.insert(digest, JobId(other.envelope().stream.0));
                }
            }
        }
        elsewhere.tags = self.tags_of(job, folded)?;
        elsewhere.arrivals = self.arrivals_where(|fact| facts.get(fact).is_some())?;
        elsewhere.same_house = self.same_house(job, folded)?;
        Ok(elsewhere)
    }

    /// Other open jobs of the same house, by the address as a clerk compares it.
    fn same_house(&self, job: JobId, folded: &Job) -> Result<Vec<JobId>, AppError> {
        let Some(here) = folded.opened.first().map(|opened| house(&opened.body.address)) else {
            return Ok(Vec::new());
        };
        let mut same = Vec::new();
        let mut page = Page {
            search: Some(here.clone()),
            ..Page::default()
        };
        loop {
            let rows = self.log.summaries(&page)?;
            let Some(last) = rows.last() else { break };
            page.after = Some((last.summary.sort_key.clone(), last.stream));
            for row in rows.iter().filter(|row| row.stream.0 != job.0) {
                let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
                let is_open = about.get("kind") == Some(&Json::from("job"))
                    && about.get("state") != Some(&Json::from("cancelled"));
                // The search finds addresses too that only begin alike.
                if is_open && row.summary.search.lines().any(|line| line == here) {
                    same.push(JobId(row.stream.0));
                }
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
            known.note_findings(figures);
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

    /// What is not yet safe at the office, and that this device is nearly full.
    fn safekeeping(&self, words: &Words) -> Vec<Block> {
        let note = |id: &str, level, word: &str, text| Block::Note {
            id: id.to_owned(),
            level,
            word: words.get(word),
            text,
            lifted_by: None,
        };
        let mut notes = Vec::new();
        if !self.waiting.is_none() {
            let (facts, originals) = (self.waiting.facts.to_string(), self.waiting.originals.to_string());
            let text = words.with(
                "screen-not-yet-safe",
                &[("entries", &facts), ("originals", &originals)],
            );
            notes.push(note("not-yet-safe", Level::Note, "word-note", text));
        }
        if self.storage.is_low() {
            let text = words.get("screen-storage-low");
            notes.push(note("storage-low", Level::Caution, "word-caution", text));
        }
        notes
    }

    /// A screen of the job: `job`, `missing`, `visit/NAME`, or `stage/NAME`.
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
        let not_one_of = |value: &str, what: &str, known: Vec<&str>| AppError::NotOneOf {
            value: value.to_owned(),
            what: format!("{what}: {}", known.join(", ")),
        };
        if let Some(visit) = id.strip_prefix("visit/") {
            let visits: Vec<&str> = self.guide.visits.iter().map(|visit| visit.id.as_str()).collect();
            if visits.contains(&visit) {
                return Ok(make.visit(visit));
            }
            return Err(not_one_of(visit, "a visit; write one of", visits));
        }
        let stage = id.strip_prefix("stage/").unwrap_or(id);
        let stages: Vec<&str> = self.guide.stages.iter().map(|stage| stage.id.as_str()).collect();
        match id {
            "job" => {
                let mut screen = make.job();
                screen.blocks.extend(self.safekeeping(words));
                Ok(screen)
            }
            "missing" => Ok(make.missing()),
            _ if stages.contains(&stage) => Ok(make.stage(stage)),
            _ => Err(not_one_of(
                id,
                "a screen; write job, missing, visit/ and a visit, or a stage",
                stages,
            )),
        }
    }
}
