use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use ed25519_dalek::SigningKey;
use serde_json::Value as Json;
use wythe_guide::figures::{Library, Worked};
use wythe_guide::{Guide, Language, Programme, Words};
use wythe_job::{
    Body, BusinessId, Certificate, Chain, Clock, Digest, Draft, Fact, FactId, Facts, Fingerprint, Job, JobId,
    Keeper, PersonId, Stamp, Stream, Trust, fold,
};
use wythe_store::{Change, Kept, Log, Waiting};

use crate::error::AppError;
use crate::services::Services;

/// The use cases over a log.
pub struct App<L: Log> {
    pub(crate) log: L,
    pub(crate) services: Services,
    pub(crate) guide: Arc<Guide>,
    pub(crate) clock: Clock,
    language: Language,
    words: Arc<Words>,
    pub(crate) worked: Mutex<Worked>,
}

/// Who this store belongs to, as kept in its settings.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub(crate) struct Whose {
    pub business: BusinessId,
    pub business_name: String,
    pub fingerprint: String,
    pub person: PersonId,
    pub person_name: String,
    pub device_name: String,
    pub certificate: String,
}

impl Whose {
    /// The setting in which it is kept.
    pub(crate) fn kept(&self) -> Kept {
        Kept::setting(WHOSE, Some(serde_json::to_vec(self).unwrap_or_default()))
    }
}

const WHOSE: &str = "whose";
const BUSINESS_KEY: &str = "business_key";
const LANGUAGE: &str = "language";
const STAMP: &str = "stamp";
/// The sort under which the library keeps programmes.
pub(crate) const PROGRAMME: &str = "programme";

impl<L: Log> App<L> {
    /// Opens the use cases over a log.
    ///
    /// # Errors
    /// [`AppError::Load`] for a damaged guide, [`AppError::Store`].
    pub fn open(log: L, services: Services) -> Result<Self, AppError> {
        let guide = Arc::new(Guide::embedded()?);
        let language = log
            .setting(LANGUAGE)?
            .and_then(|tag| String::from_utf8(tag).ok())
            .and_then(|tag| Language::from_tag(&tag))
            .unwrap_or_default();
        let stamp = log
            .setting(STAMP)?
            .and_then(|text| read_stamp(&text))
            .unwrap_or_default();
        let clock = Clock::from(stamp);
        Ok(Self {
            log,
            services,
            guide,
            clock,
            language,
            words: Arc::new(Words::of(language)),
            worked: Mutex::default(),
        })
    }

    /// The log.
    pub fn log(&self) -> &L {
        &self.log
    }

    /// The log, to pause and resume it.
    pub fn log_mut(&mut self) -> &mut L {
        &mut self.log
    }

    /// What is asked.
    pub fn guide(&self) -> &Arc<Guide> {
        &self.guide
    }

    /// The person's language.
    pub fn language(&self) -> Language {
        self.language
    }

    /// The messages in the person's language.
    pub fn words(&self) -> &Arc<Words> {
        &self.words
    }

    /// Sets the person's language.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn set_language(&mut self, language: Language) -> Result<(), AppError> {
        self.log.set_setting(LANGUAGE, Some(language.tag().as_bytes()))?;
        self.language = language;
        self.words = Arc::new(Words::of(language));
        Ok(())
    }

    pub(crate) fn whose(&self) -> Result<Whose, AppError> {
        let held = self.log.setting(WHOSE)?.ok_or(AppError::NotBegun)?;
        serde_json::from_slice(&held).map_err(|_| AppError::NotBegun)
    }

    pub(crate) fn set_whose(&mut self, whose: &Whose) -> Result<(), AppError> {
        Ok(self.log.keep(whose.kept())?)
    }

    pub(crate) fn business_key(&self) -> Result<SigningKey, AppError> {
        let wrapped = self.log.setting(BUSINESS_KEY)?.ok_or(AppError::NotTheOffice)?;
        let key = self.services.keys.open(&wrapped).ok_or(AppError::KeyClosed)?;
        Ok(SigningKey::from_bytes(&key))
    }

    pub(crate) fn set_business_key(&mut self, key: &SigningKey) -> Result<(), AppError> {
        let wrapped = self.services.keys.wrap(&key.to_bytes());
        Ok(self.log.set_setting(BUSINESS_KEY, Some(&wrapped))?)
    }

    /// The business, its name and its key's fingerprint: what a programme is told once.
    ///
    /// # Errors
    /// [`AppError::NotBegun`].
    pub fn business(&self) -> Result<(BusinessId, String, Fingerprint), AppError> {
        let whose = self.whose()?;
        let fingerprint = Fingerprint::read(&whose.fingerprint).ok_or(AppError::NotBegun)?;
        Ok((whose.business, whose.business_name, fingerprint))
    }

    /// The person who uses this device, with the name.
    ///
    /// # Errors
    /// [`AppError::NotBegun`].
    pub fn person(&self) -> Result<(PersonId, String), AppError> {
        let whose = self.whose()?;
        Ok((whose.person, whose.person_name))
    }

    /// What this device holds that the office has not acknowledged; nothing in the office itself.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn not_yet_safe(&self) -> Result<Waiting, AppError> {
        if self.log.setting(BUSINESS_KEY)?.is_some() {
            return Ok(Waiting::default());
        }
        Ok(self.log.waiting()?)
    }

    pub(crate) fn keeper(&self) -> Result<Keeper, AppError> {
        if let Some(stale) = self.log.stale()? {
            return Err(AppError::Stale(stale));
        }
        let identity = self.log.identity()?.ok_or(AppError::NotBegun)?;
        let key = self
            .services
            .keys
            .open(&identity.wrapped_key)
            .ok_or(AppError::KeyClosed)?;
        Ok(Keeper {
            business: self.whose()?.business,
            chain: Chain {
                device: identity.device,
                epoch: identity.epoch,
            },
            key: SigningKey::from_bytes(&key),
        })
    }

    /// The certificates that this store knows.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::Store`].
    pub fn trust(&self) -> Result<Trust, AppError> {
        let (business, _, fingerprint) = self.business()?;
        let mut trust = Trust::in_business(business, fingerprint);
        let own = hex::decode(self.whose()?.certificate).ok();
        if let Some(own) = own.and_then(|bytes| Certificate::decode(&bytes).ok()) {
            trust.add(own)?;
        }
        for fact in self.log.facts(business.into())?.iter() {
            if let Some(Body::DeviceCertified(body)) = fact.body()
                && let Ok(certificate) = Certificate::decode(&body.certificate)
            {
                // One that another key signed is passed over: it certifies nothing here.
                let _passed_over = trust.add(certificate);
            }
        }
        Ok(trust)
    }

    pub(crate) fn chance<const N: usize>(&self) -> [u8; N] {
        let mut bytes = [0; N];
        self.services.chance.fill(&mut bytes);
        bytes
    }

    /// Signs and appends bodies to a stream, in one transaction. `replaces` belongs to the body at
    /// the same place.
    pub(crate) fn append(
        &mut self,
        stream: Stream,
        bodies: Vec<(Body, Vec<FactId>)>,
        kept: Vec<Kept>,
    ) -> Result<Vec<Fact>, AppError> {
        let (facts, clock) = self.sign(stream, bodies)?;
        let mut kept = kept;
        kept.push(Kept::setting(
            STAMP,
            facts.last().map(|fact| write_stamp(fact.envelope().stamp)),
        ));
        self.log.commit(&Change {
            facts: &facts,
            kept,
            ..Change::default()
        })?;
        self.clock = clock;
        tracing::info!(stream = %stream.short(), facts = facts.len(), "recorded");
        Ok(facts)
    }

    /// Signs one body without appending it.
    pub(crate) fn sign_only(&mut self, stream: Stream, body: impl Into<Body>) -> Result<Fact, AppError> {
        let (facts, clock) = self.sign(stream, vec![(body.into(), Vec::new())])?;
        self.clock = clock;
        facts
            .into_iter()
            .next()
            .ok_or_else(|| AppError::NoFact(String::new()))
    }

    fn sign(&self, stream: Stream, bodies: Vec<(Body, Vec<FactId>)>) -> Result<(Vec<Fact>, Clock), AppError> {
        let keeper = self.keeper()?;
        let person = self.whose()?.person;
        let held = self.log.facts(stream)?;
        let seen = held.seen_by(keeper.chain);
        let mut last = held.last(keeper.chain);
        let at = self.services.time.now();
        let mut clock = self.clock;
        // One after the other: a clock that is years ahead is passed over, and hides no other.
        for fact in held.iter() {
            clock.see(fact.envelope().stamp, at.utc_ms);
        }
        let mut facts = Vec::new();
        for (body, replaces) in bodies {
            let draft = Draft {
                stream,
                person,
                at,
                stamp: clock.tick(at.utc_ms),
                replaces,
                body,
                salt: self.chance(),
            };
            let fact = keeper.sign(draft, last, seen.clone())?;
            last = Some((fact.envelope().number, fact.id()));
            facts.push(fact);
        }
        Ok((facts, clock))
    }

    pub(crate) fn record_one(
        &mut self,
        stream: Stream,
        body: impl Into<Body>,
        replaces: Vec<FactId>,
    ) -> Result<Fact, AppError> {
        let facts = self.append(stream, vec![(body.into(), replaces)], Vec::new())?;
        facts
            .into_iter()
            .next()
            .ok_or_else(|| AppError::NoFact(String::new()))
    }

    /// The business's own stream, folded.
    pub(crate) fn business_stream(&self) -> Result<(Arc<Facts>, Job), AppError> {
        let facts = self.log.facts(self.whose()?.business.into())?;
        let job = fold(&facts);
        Ok((facts, job))
    }

    /// The business's library, by sort and id.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::Store`].
    pub fn library(&self) -> Result<Library, AppError> {
        Ok(library_of(&self.business_stream()?.1))
    }

    /// The programmes of the library, every edition ever added, by their digest.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::Store`].
    pub fn programmes(&self) -> Result<BTreeMap<Digest, Programme>, AppError> {
        let mut programmes = BTreeMap::new();
        for (id, content) in programmes_in(&self.business_stream()?.1) {
            match Programme::load(id, content, &self.guide) {
                Ok(programme) => {
                    programmes.insert(programme.digest, programme);
                }
                Err(fault) => {
                    tracing::warn!(%fault, "a programme of the library cannot be read by this guide")
                }
            }
        }
        Ok(programmes)
    }

    /// The job whose number begins with these digits.
    ///
    /// # Errors
    /// [`AppError::NoJob`], [`AppError::ManyJobs`].
    pub fn find_job(&self, digits: &str) -> Result<JobId, AppError> {
        let business: Stream = self.whose()?.business.into();
        let wanted = digits.trim().to_lowercase();
        let mut found = self
            .log
            .streams()?
            .into_iter()
            .filter(|stream| *stream != business && stream.to_string().starts_with(&wanted));
        let first = found.next().filter(|_| !wanted.is_empty());
        match (first, found.next()) {
            (Some(stream), None) => Ok(JobId(stream.0)),
            (Some(_), Some(_)) => Err(AppError::ManyJobs(digits.to_owned())),
            (None, _) => Err(AppError::NoJob(digits.to_owned())),
        }
    }
}

/// The library in a folded business stream.
pub(crate) fn library_of(business: &Job) -> Library {
    let mut library = Library::new();
    for entry in business.library.iter().filter(|entry| entry.holds()) {
        let key = (entry.body.sort.clone(), entry.body.id.clone());
        if entry.body.gone {
            library.remove(&key);
        } else if entry.body.sort != PROGRAMME
            && let Ok(content) = serde_json::from_str::<Json>(&entry.body.content)
        {
            library.insert(key, content);
        }
    }
    library
}

/// Id and text of each programme in a folded business stream.
pub(crate) fn programmes_in(business: &Job) -> impl DoubleEndedIterator<Item = (&str, &str)> {
    let entries = business.library.iter().filter(|entry| entry.holds());
    entries
        .filter(|entry| entry.body.sort == PROGRAMME)
        .map(|entry| (entry.body.id.as_str(), entry.body.content.as_str()))
}

fn write_stamp(stamp: Stamp) -> Vec<u8> {
    format!("{} {}", stamp.ms, stamp.counter).into_bytes()
}

fn read_stamp(bytes: &[u8]) -> Option<Stamp> {
    let (ms, counter) = std::str::from_utf8(bytes).ok()?.split_once(' ')?;
    Some(Stamp {
        ms: ms.parse().ok()?,
        counter: counter.parse().ok()?,
    })
}
