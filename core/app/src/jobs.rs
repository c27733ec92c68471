use wythe_guide::figures::library_keys;
use wythe_guide::{Programme, RuleChange, rule_changes};
use wythe_job::{
    Assigned, Body, Digest, Erased, FactId, JobId, JobLinked, JobMoved, JobOpened, LibraryKept, Noted,
    PersonId, Position, RulesPinned, Stream, StruckOut, fold,
};
use wythe_store::Log;

use crate::app::{App, PROGRAMME, programmes_in};
use crate::error::AppError;

/// What a new job begins with.
#[derive(Debug, Clone, Default)]
pub struct NewJob {
    /// What people call it.
    pub label: String,
    /// The house's address, a line each.
    pub address: Vec<String>,
    /// The site's time zone, as in the IANA database.
    pub zone: String,
    /// Where the house stands.
    pub position: Option<Position>,
    /// The programme's id.
    pub programme: String,
}

impl<L: Log> App<L> {
    /// Adds a programme's file to the business's library, checked against the guide.
    ///
    /// # Errors
    /// [`AppError::Load`] with file, line and what to write instead.
    pub fn add_programme(&mut self, name: &str, text: &str) -> Result<Digest, AppError> {
        let programme = Programme::load(name, text, &self.guide)?;
        self.keep_in_library(PROGRAMME, &programme.id, text)?;
        Ok(programme.digest)
    }

    /// Keeps something in the business's library: a model, a stock list, an instrument ...
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] when the content is no JSON object or has a key that no figures read,
    /// [`AppError::Store`].
    pub fn keep_in_library(&mut self, sort: &str, id: &str, content: &str) -> Result<FactId, AppError> {
        if sort != PROGRAMME {
            self.check_entry(sort, content)?;
        }
        let business = self.whose()?.business;
        let body = LibraryKept {
            sort: sort.to_owned(),
            id: id.to_owned(),
            content: content.to_owned(),
            gone: false,
        };
        Ok(self.record_one(business.into(), body, Vec::new())?.id())
    }

    /// A slip in a key would leave a figure without its value, and nobody would see why.
    fn check_entry(&self, sort: &str, content: &str) -> Result<(), AppError> {
        let Ok(serde_json::Value::Object(entry)) = serde_json::from_str(content) else {
            return Err(AppError::NotOneOf {
                value: content.chars().take(40).collect(),
                what: "a JSON object".to_owned(),
            });
        };
        let keys = library_keys(&self.guide, sort);
        let unknown = entry.keys().find(|key| !keys.contains(key.as_str()));
        match unknown.filter(|_| !keys.is_empty()) {
            None => Ok(()),
            Some(unknown) => {
                let keys: Vec<&str> = keys.into_iter().collect();
                Err(AppError::NotOneOf {
                    value: unknown.clone(),
                    what: format!(
                        "something that figures read of a {sort}; write one of {}",
                        keys.join(", ")
                    ),
                })
            }
        }
    }

    /// Opens a job under a programme of the library.
    ///
    /// # Errors
    /// [`AppError::NoProgramme`], [`AppError::NotOneOf`] for an unknown time zone, [`AppError::Store`].
    pub fn open_job(&mut self, new: &NewJob) -> Result<JobId, AppError> {
        let digest = self.newest_programme(&new.programme)?.digest;
        if new.zone.parse::<chrono_tz::Tz>().is_err() {
            let what = "a time zone; write one like America/Denver".to_owned();
            return Err(AppError::NotOneOf {
                value: new.zone.clone(),
                what,
            });
        }
        let job = JobId(self.chance());
        let opened = JobOpened {
            label: new.label.clone(),
            address: new.address.clone(),
            zone: new.zone.clone(),
            position: new.position,
        };
        let rules = RulesPinned {
            programme: new.programme.clone(),
            programme_digest: digest,
            guide_digest: self.guide.digest,
            reason: None,
        };
        let assigned = self.assignment()?;
        let bodies: Vec<(Body, Vec<FactId>)> = vec![
            (opened.into(), vec![]),
            (rules.into(), vec![]),
            (assigned.into(), vec![]),
        ];
        self.append(job.into(), bodies, Vec::new())?;
        Ok(job)
    }

    /// Moves a job to the newest edition of a programme in the library, with a reason. Gives what that
    /// changes in its rules; nothing is recorded where it would change nothing.
    ///
    /// # Errors
    /// [`AppError::NoReason`], [`AppError::NoProgramme`], [`AppError::Load`], [`AppError::Store`].
    pub fn move_rules(
        &mut self,
        job: JobId,
        programme: &str,
        reason: &str,
    ) -> Result<Vec<RuleChange>, AppError> {
        let reason = said(reason)?;
        let look = self.look(job, None)?;
        let newest = self.newest_programme(programme)?;
        let pinned = look.job.rules.iter().map(|rules| rules.body.programme_digest);
        if pinned.eq([newest.digest])
            && look
                .job
                .rules
                .iter()
                .all(|r| r.body.guide_digest == self.guide.digest)
        {
            return Ok(Vec::new());
        }
        let rules = RulesPinned {
            programme: newest.id.clone(),
            programme_digest: newest.digest,
            guide_digest: self.guide.digest,
            reason: Some(reason),
        };
        let replaces = look.job.rules.iter().map(|rules| rules.fact).collect();
        self.record(job, rules, replaces)?;
        Ok(rule_changes(&look.programme, &newest))
    }

    pub(crate) fn newest_programme(&self, id: &str) -> Result<Programme, AppError> {
        let business = self.business_stream()?.1;
        let (_, text) = programmes_in(&business)
            .rfind(|(known, _)| *known == id)
            .ok_or_else(|| AppError::NoProgramme(id.to_owned()))?;
        Ok(Programme::load(id, text, &self.guide)?)
    }

    /// How this device's person stands in a job.
    pub(crate) fn assignment(&self) -> Result<Assigned, AppError> {
        let (person, name) = self.person()?;
        let library = self.library()?;
        let entry = library.get(&("person".to_owned(), person.to_string()));
        let text = |key: &str| {
            entry
                .and_then(|entry| entry.get(key))
                .and_then(serde_json::Value::as_str)
                .map(str::to_owned)
        };
        Ok(Assigned {
            person,
            name,
            role: text("role").unwrap_or_else(|| "lead".to_owned()),
            licence: text("licence"),
            licence_until: text("licence_until"),
        })
    }

    /// Bodies to go before the first thing that this person records in a job.
    pub(crate) fn introduction(&self, job: JobId) -> Result<Vec<(Body, Vec<FactId>)>, AppError> {
        let person = self.whose()?.person;
        let facts = self.log.facts(job.into())?;
        let known = fold(&facts)
            .people
            .iter()
            .any(|entry| entry.body.person == person);
        Ok(if known {
            Vec::new()
        } else {
            vec![(self.assignment()?.into(), Vec::new())]
        })
    }

    /// Records a body of a job, after the person's introduction where it is the first.
    pub(crate) fn record(
        &mut self,
        job: JobId,
        body: impl Into<Body>,
        replaces: Vec<FactId>,
    ) -> Result<FactId, AppError> {
        let mut bodies = self.introduction(job)?;
        bodies.push((body.into(), replaces));
        let facts = self.append(job.into(), bodies, Vec::new())?;
        facts
            .last()
            .map(wythe_job::Fact::id)
            .ok_or_else(|| AppError::NoFact(String::new()))
    }

    /// Records a person who takes part without a device of his own.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn assign(&mut self, job: JobId, mut assigned: Assigned) -> Result<PersonId, AppError> {
        if assigned.person == PersonId([0; 16]) {
            assigned.person = PersonId(self.chance());
        }
        let person = assigned.person;
        self.record(job, assigned, Vec::new())?;
        Ok(person)
    }

    /// Takes mistaken entries back, with a reason.
    ///
    /// # Errors
    /// [`AppError::NoReason`], [`AppError::NoFact`], [`AppError::Store`].
    pub fn strike(&mut self, job: JobId, facts: Vec<FactId>, reason: &str) -> Result<FactId, AppError> {
        let reason = said(reason)?;
        let held = self.log.facts(job.into())?;
        if let Some(unknown) = facts.iter().find(|fact| held.get(**fact).is_none()) {
            return Err(AppError::NoFact(unknown.short()));
        }
        self.record(job, StruckOut { facts, reason }, Vec::new())
    }

    /// The entry of a job whose number begins with these digits.
    ///
    /// # Errors
    /// [`AppError::NoFact`].
    pub fn find_fact(&self, job: JobId, digits: &str) -> Result<FactId, AppError> {
        let facts = self.log.facts(job.into())?;
        let wanted = digits.trim().to_lowercase();
        let mut found = facts
            .iter()
            .map(wythe_job::Fact::id)
            .filter(|id| id.to_string().starts_with(&wanted));
        match (found.next(), found.next()) {
            (Some(id), None) if !wanted.is_empty() => Ok(id),
            _ => Err(AppError::NoFact(digits.to_owned())),
        }
    }

    /// Words for the next reader.
    ///
    /// # Errors
    /// [`AppError::NoReason`] for no words, [`AppError::Store`].
    pub fn note(&mut self, job: JobId, text: &str) -> Result<FactId, AppError> {
        let text = said(text)?;
        self.record(job, Noted { about: None, text }, Vec::new())
    }

    /// Pauses, resumes, hands over or cancels a job.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`], [`AppError::NoReason`], [`AppError::Store`].
    pub fn move_job(
        &mut self,
        job: JobId,
        to: &str,
        reason: &str,
        left_safe: Vec<String>,
    ) -> Result<FactId, AppError> {
        if !["paused", "resumed", "handed_over", "cancelled"].contains(&to) {
            let what = "a move of a job; write paused, resumed, handed_over or cancelled".to_owned();
            return Err(AppError::NotOneOf {
                value: to.to_owned(),
                what,
            });
        }
        let reason = said(reason)?;
        self.check_left_safe(&left_safe)?;
        self.record(
            job,
            JobMoved {
                to: to.to_owned(),
                reason,
                left_safe,
            },
            Vec::new(),
        )
    }

    /// Notes that another job is of the same house.
    ///
    /// # Errors
    /// [`AppError::NoReason`], [`AppError::Store`].
    pub fn link_job(&mut self, job: JobId, other: JobId, reason: &str) -> Result<FactId, AppError> {
        let reason = said(reason)?;
        self.record(job, JobLinked { other, reason }, Vec::new())
    }

    /// Lifts a stop, on what the evidence says.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for a stop that nobody can lift this way, [`AppError::NoReason`].
    pub fn lift_stop(
        &mut self,
        job: JobId,
        stop: &str,
        by: &str,
        evidence: Vec<FactId>,
        reason: &str,
    ) -> Result<FactId, AppError> {
        use wythe_guide::LiftedBy;
        let row = self.guide.stops.iter().find(|row| row.code == stop);
        let liftable = row.is_some_and(|row| !matches!(row.lifted_by, LiftedBy::Nobody | LiftedBy::PutRight));
        if !liftable {
            let what = "a stop that anybody can lift; only a newer measurement ends it".to_owned();
            return Err(AppError::NotOneOf {
                value: stop.to_owned(),
                what,
            });
        }
        let reason = said(reason)?;
        let body = wythe_job::StopLifted {
            stop: stop.to_owned(),
            by: by.to_owned(),
            evidence,
            reason,
            address: None,
        };
        self.record(job, body, Vec::new())
    }

    /// Drops the payload of one entry, with a reason: the chain stays whole and says so.
    ///
    /// # Errors
    /// [`AppError::NoReason`], [`AppError::NoFact`], [`AppError::Store`].
    pub fn erase(&mut self, stream: Stream, fact: FactId, reason: &str) -> Result<FactId, AppError> {
        let reason = said(reason)?;
        let held = self
            .log
            .fact(fact)?
            .ok_or_else(|| AppError::NoFact(fact.short()))?;
        let original = held
            .body()
            .and_then(|body| body.originals().first().map(|original| original.digest));
        // A file that another entry shows stays, and is not said to be erased.
        let original = match original {
            Some(digest) if self.log.named_by(digest)?.iter().any(|other| *other != fact) => None,
            other => other,
        };
        let erased = self.sign_only(
            stream,
            Erased {
                fact,
                reason,
                original,
            },
        )?;
        self.log.erase(&erased)?;
        Ok(erased.id())
    }
}

/// A reason or note that says something.
pub(crate) fn said(text: &str) -> Result<String, AppError> {
    let text = text.trim();
    if text.is_empty() {
        Err(AppError::NoReason)
    } else {
        Ok(text.to_owned())
    }
}
