use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, PoisonError};

use serde_json::Value as Json;
use wythe_guide::figures::{self, Figures, Pending, Worked};
use wythe_guide::readiness::{Readiness, readiness};
use wythe_guide::screen::{Block, InCommon, Level, Make, SameHouse, Screen};
use wythe_guide::{Date, Elsewhere, Guide, Known, Programme, Words, local_date};
use wythe_job::{Address, Causality, Facts, Job, JobId, PersonId, RulesPinned, digest_of, fold};
use wythe_store::{Log, Page, Row, Storage, Waiting};
use wythe_trade::form::Refusal;

use crate::app::{App, library_of, programmes_in};
use crate::error::AppError;
use crate::projector::{house, links_of, serial_line, serials_of};

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
        let same_house = self.same_house(job, &folded)?;
        let known = Known::new(&self.guide, &folded, &causality);
        let figures = figures::run_with(&known, &library, worked);
        Ok(Look {
            id: job,
            guide: Arc::clone(&self.guide),
            elsewhere: self.elsewhere(job, &facts, &folded, &same_house)?,
            same_house,
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

    /// What a job's figures still wait for: pure sums, to be done wherever there is time for them
    /// ([`Pending::work`]) and handed back ([`App::worked_out`]).
    ///
    /// # Errors
    /// As [`App::look`].
    pub fn pending(&self, job: JobId) -> Result<Vec<Pending>, AppError> {
        let figures = self.look(job, None)?.figures.into_iter();
        Ok(figures.filter_map(|figures| figures.pending).collect())
    }

    /// Takes the result of what was waited for: the next look has it.
    pub fn worked_out(&self, of: &Pending, result: Result<Json, Refusal>) {
        let mut worked = self.worked.lock().unwrap_or_else(PoisonError::into_inner);
        worked.keep(of, result);
    }

    /// Works out everything that a job's figures wait for, here and now; gives how many there were.
    ///
    /// # Errors
    /// As [`App::look`].
    pub fn work_out(&self, job: JobId) -> Result<usize, AppError> {
        let pending = self.pending(job)?;
        for one in &pending {
            self.worked_out(one, one.work());
        }
        Ok(pending.len())
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
    fn elsewhere(
        &self,
        job: JobId,
        facts: &Facts,
        folded: &Job,
        others: &[SameHouse],
    ) -> Result<Elsewhere, AppError> {
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
        let by_address = others.iter().filter(|other| other.in_common == InCommon::Address);
        elsewhere.same_house = by_address.map(|other| other.job).collect();
        elsewhere.tags = self.tags_of(job, folded)?;
        elsewhere.arrivals = self.arrivals_where(|fact| facts.get(fact).is_some())?;
        Ok(elsewhere)
    }

    /// Other jobs, not cancelled, that look like ones of the same house: by the address as a clerk compares
    /// it, or by a stove's serial number.
    fn same_house(&self, job: JobId, folded: &Job) -> Result<Vec<SameHouse>, AppError> {
        let opened = folded.opened.first();
        let address = opened.map(|opened| (house(&opened.body.address), InCommon::Address));
        let serials = serials_of(folded).into_iter();
        let serials = serials.map(|serial| (serial_line(&serial), InCommon::Serial(serial)));
        let links: BTreeSet<String> = links_of(folded).iter().map(ToString::to_string).collect();
        let mut same: Vec<SameHouse> = Vec::new();
        for (wanted, in_common) in address.into_iter().chain(serials) {
            for row in self.open_jobs_with(&wanted)? {
                let id = JobId(row.stream.0);
                if id == job || same.iter().any(|known| known.job == id) {
                    continue;
                }
                let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
                let theirs = about.get("links").and_then(Json::as_array).into_iter().flatten();
                let mut theirs = theirs.filter_map(Json::as_str);
                let linked = links.contains(&id.to_string()) || theirs.any(|link| link == job.to_string());
                same.push(SameHouse {
                    job: id,
                    label: row.summary.label,
                    in_common: in_common.clone(),
                    linked,
                });
            }
        }
        Ok(same)
    }

    /// The jobs, not cancelled, with exactly this line among what they are searched by.
    fn open_jobs_with(&self, line: &str) -> Result<Vec<Row>, AppError> {
        let mut found = Vec::new();
        let mut page = Page {
            search: Some(line.to_owned()),
            ..Page::default()
        };
        loop {
            let rows = self.log.summaries(&page)?;
            let Some(last) = rows.last() else { break };
            page.after = Some((last.summary.sort_key.clone(), last.stream));
            found.extend(rows.into_iter().filter(|row| {
                let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
                let is_open = about.get("kind") == Some(&Json::from("job"))
                    && about.get("state") != Some(&Json::from("cancelled"));
                // The search finds lines too that only begin alike.
                is_open && row.summary.search.lines().any(|known| known == line)
            }));
        }
        Ok(found)
    }
}

/// Keeps what takes longest, so that the next look need not do it again.
fn remember(worked: &mut Worked, figures: &[Figures]) {
    for figures in figures
        .iter()
        .filter(|figures| figures.reckoning.starts_with("flue"))
    {
        let done = Pending {
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

    /// A screen of the job: `job`, `missing`, `visits`, `visit/NAME`, `claim_life`, or `stage/NAME`.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for a screen that there is not.
    pub fn screen(&self, id: &str, words: &Words) -> Result<Screen, AppError> {
        let not_one_of = |value: &str, what: &str, known: Vec<&str>| AppError::NotOneOf {
            value: value.to_owned(),
            what: format!("{what}: {}", known.join(", ")),
        };
        if let Some(visit) = id.strip_prefix("visit/") {
            let visits: Vec<&str> = self.guide.visits.iter().map(|visit| visit.id.as_str()).collect();
            if visits.contains(&visit) {
                return Ok(self.make(words, &|make| make.visit(visit)));
            }
            return Err(not_one_of(visit, "a visit; write one of", visits));
        }
        let stage = id.strip_prefix("stage/").unwrap_or(id);
        let stages: Vec<&str> = self.guide.stages.iter().map(|stage| stage.id.as_str()).collect();
        match id {
            "job" => {
                let mut screen = self.make(words, &|make| make.job(&self.same_house));
                screen.blocks.extend(self.safekeeping(words));
                Ok(screen)
            }
            "missing" => Ok(self.make(words, &|make| make.missing())),
            "visits" => Ok(self.make(words, &|make| make.visits())),
            "claim_life" => Ok(self.make(words, &|make| make.claim_life(&self.programme))),
            _ if stages.contains(&stage) => Ok(self.make(words, &|make| make.stage(stage))),
            _ => Err(not_one_of(
                id,
                "a screen; write job, missing, visits, claim_life, visit/ and a visit, or a stage",
                stages,
            )),
        }
    }
}
