//! The one object of a shell: a store that is open.

use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, ThreadId};

use wythe_app::guide::{Language, Words};
use wythe_app::job::{Address, Digest, FactId, JobId};
use wythe_app::store::{Log, Options, SqliteLog, instance_of};
use wythe_app::{App, AppError, JobProjector, NewDevice, Settings, Who};

use crate::platform::{ChangeSignal, KeyBox, Locator, PhoneClock, services};
use crate::trouble::{Trouble, caught};

pub(crate) type Phone = App<SqliteLog>;

/// A phone's store, open. Calls may come from any thread; they wait for each other. After `shut` each
/// gives the code `closed`, while it rests `store_paused`.
#[derive(uniffi::Object)]
pub struct Field {
    phone: Mutex<Option<Phone>>,
    /// The thread that is at work, so that a call from inside a call is refused and not waited for.
    at_work: Mutex<Option<ThreadId>>,
    words: Mutex<Arc<Words>>,
    locator: Arc<dyn Locator>,
    signal: Mutex<Option<Arc<dyn ChangeSignal>>>,
}

/// What a device is told about itself when it begins.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Device {
    /// The person who will use it.
    pub person: String,
    /// The person's role: `lead`, `installer`, `fitter`, `sweep`, `office` ...
    pub role: String,
    /// What the device is called.
    pub name: String,
}

/// Who uses a device, as others read it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Person {
    /// The name.
    pub name: String,
    /// The role.
    pub role: String,
    /// The number of the licence.
    pub licence: Option<String>,
    /// The last day on which it is valid, `YYYY-MM-DD`.
    pub licence_until: Option<String>,
}

/// How a store stands, whole.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct State {
    /// The business it belongs to; none before it has begun.
    pub business: Option<String>,
    /// The fingerprint of the business's key; none before it has begun.
    pub fingerprint: Option<String>,
    /// Who uses it; none before it has begun.
    pub person: Option<Person>,
    /// The person's language: `en`, `es`, `fr`.
    pub language: String,
    /// The roles there are.
    pub roles: Vec<String>,
    /// Whether the tape pad begins in millimetres.
    pub metric: bool,
    /// Whether screens are dark on white, for sunlight.
    pub sunlight: bool,
    /// Entries that are not yet safe at the office.
    pub waiting_entries: u64,
    /// Photos and papers that are not yet safe at the office.
    pub waiting_originals: u64,
    /// Whether room is short.
    pub storage_low: bool,
    /// Why nothing can be recorded before a new epoch begins: `put_back`, `copied`, `salvaged`.
    pub stale: Option<String>,
}

#[uniffi::export]
impl Field {
    /// Opens the store in a folder, or begins an empty one. `instance` is a token of this installation
    /// that the platform leaves out of backups; without one the folder's own.
    ///
    /// # Errors
    /// `store_in_use`, `store_newer`, `store_damaged`, `no_space`, `disk` ...
    #[uniffi::constructor]
    pub fn open(
        folder: &str,
        instance: Option<Vec<u8>>,
        keys: Arc<dyn KeyBox>,
        clock: Arc<dyn PhoneClock>,
        locator: Arc<dyn Locator>,
    ) -> Result<Arc<Self>, Trouble> {
        let opened = caught(|| opened(Path::new(folder), instance, keys, clock));
        let phone = opened.map_err(|why| Trouble::of(&why, None, &Words::of(Language::default())))?;
        Ok(Arc::new(Self {
            words: Mutex::new(Arc::clone(phone.words())),
            phone: Mutex::new(Some(phone)),
            at_work: Mutex::new(None),
            locator,
            signal: Mutex::new(None),
        }))
    }

    /// Says who is told of changes; the one before is told no more.
    pub fn listen(&self, signal: Option<Arc<dyn ChangeSignal>>) {
        *held(&self.signal) = signal;
    }

    /// Lets go of the file, so that the platform may suspend or back up the app.
    ///
    /// # Errors
    /// `closed`, `disk`.
    pub fn pause(&self) -> Result<(), Trouble> {
        self.with(None, |phone| Ok(phone.log_mut().pause()?))
    }

    /// Goes on after `pause`.
    ///
    /// # Errors
    /// `closed`, `store_in_use`, `disk`.
    pub fn resume(&self) -> Result<(), Trouble> {
        self.with(None, |phone| Ok(phone.log_mut().resume()?))
    }

    /// Closes the store. Every later call gives the code `closed`; shutting again does nothing.
    ///
    /// # Errors
    /// `nested` from inside another call.
    pub fn shut(&self) -> Result<(), Trouble> {
        let (mut phone, at_work) = self.begin().map_err(|why| self.told(&why, None))?;
        drop(phone.take());
        drop(at_work);
        Ok(())
    }

    /// How the store stands, whole.
    ///
    /// # Errors
    /// `closed`, `store_paused`, `disk`.
    pub fn state(&self) -> Result<State, Trouble> {
        self.with(None, |phone| {
            let business = match phone.business() {
                Ok(business) => Some(business),
                Err(AppError::NotBegun) => None,
                Err(why) => return Err(why),
            };
            let settings = phone.settings()?;
            let waiting = phone.log().waiting()?;
            Ok(State {
                person: business
                    .as_ref()
                    .map(|_| phone.who())
                    .transpose()?
                    .map(Into::into),
                fingerprint: business.as_ref().map(|(.., fingerprint)| fingerprint.to_string()),
                business: business.map(|(_, name, _)| name),
                language: phone.language().tag().to_owned(),
                roles: phone.guide().roles.clone(),
                metric: settings.metric,
                sunlight: settings.sunlight,
                waiting_entries: waiting.facts,
                waiting_originals: waiting.originals,
                storage_low: phone.log().storage()?.is_low(),
                stale: phone.log().stale()?.map(|stale| stale.code().to_owned()),
            })
        })
    }

    /// Begins a business: this store holds its key. Gives the key's fingerprint.
    ///
    /// # Errors
    /// `already_begun`, `disk`.
    pub fn begin_business(&self, name: &str, device: &Device) -> Result<String, Trouble> {
        let device = NewDevice {
            person_name: device.person.clone(),
            role: device.role.clone(),
            device_name: device.name.clone(),
        };
        self.change(None, None, |phone| {
            Ok(phone.begin_business(name, &device)?.to_string())
        })
    }

    /// Says anew who uses this device.
    ///
    /// # Errors
    /// `no_reason` for no name, `not_one_of` for an unknown role or what is no date.
    pub fn record_person(&self, person: Person) -> Result<(), Trouble> {
        let who = Who {
            name: person.name,
            role: person.role,
            licence: person.licence,
            licence_until: person.licence_until,
        };
        self.change(None, None, |phone| phone.set_who(&who).map(drop))
    }

    /// Sets the person's language by its tag.
    ///
    /// # Errors
    /// `not_one_of` for a language that there is not.
    pub fn set_language(&self, tag: &str) -> Result<(), Trouble> {
        let words = self.with(None, |phone| {
            let language = Language::from_tag(tag).ok_or_else(|| AppError::NotOneOf {
                value: tag.to_owned(),
                what: "a language; write en, es or fr".to_owned(),
            })?;
            phone.set_language(language)?;
            Ok(Arc::clone(phone.words()))
        })?;
        *held(&self.words) = words;
        self.tell(None);
        Ok(())
    }

    /// Sets how the person wants the screens: whether the tape pad begins in millimetres, and whether
    /// they are dark on white.
    ///
    /// # Errors
    /// `closed`, `disk`.
    pub fn set_screens(&self, metric: bool, sunlight: bool) -> Result<(), Trouble> {
        self.change(None, None, |phone| {
            phone.keep_settings(Settings { metric, sunlight })
        })
    }
}

/// The work that a thread has begun; another call of the same thread meanwhile is refused.
struct AtWork<'f> {
    field: &'f Field,
}

impl Drop for AtWork<'_> {
    fn drop(&mut self) {
        *held(&self.field.at_work) = None;
    }
}

impl Field {
    fn begin(&self) -> Result<(MutexGuard<'_, Option<Phone>>, AtWork<'_>), AppError> {
        let me = thread::current().id();
        if *held(&self.at_work) == Some(me) {
            return Err(AppError::Nested);
        }
        let phone = held(&self.phone);
        *held(&self.at_work) = Some(me);
        Ok((phone, AtWork { field: self }))
    }

    fn told(&self, why: &AppError, field: Option<&str>) -> Trouble {
        let words = Arc::clone(&held(&self.words));
        Trouble::of(why, field, &words)
    }

    /// Does something with the store.
    pub(crate) fn with<T>(
        &self,
        field: Option<&str>,
        work: impl FnOnce(&mut Phone) -> Result<T, AppError>,
    ) -> Result<T, Trouble> {
        let done = self.begin().and_then(|(mut phone, at_work)| {
            let done = match phone.as_mut() {
                Some(phone) => caught(|| work(phone)),
                None => Err(AppError::Closed),
            };
            drop(at_work);
            done
        });
        done.map_err(|why| self.told(&why, field))
    }

    /// Does something that changes the store, and tells of it when nothing is held any more.
    pub(crate) fn change<T>(
        &self,
        job: Option<&str>,
        field: Option<&str>,
        work: impl FnOnce(&mut Phone) -> Result<T, AppError>,
    ) -> Result<T, Trouble> {
        let done = self.with(field, work)?;
        self.tell(job);
        Ok(done)
    }

    /// A job's change: its id is read first.
    pub(crate) fn change_job<T>(
        &self,
        job: &str,
        field: Option<&str>,
        work: impl FnOnce(&mut Phone, JobId) -> Result<T, AppError>,
    ) -> Result<T, Trouble> {
        self.change(Some(job), field, |phone| {
            let id = phone.find_job(job)?;
            work(phone, id)
        })
    }

    /// Something that an ask of a job takes.
    pub(crate) fn change_ask<T>(
        &self,
        job: &str,
        address: &str,
        work: impl FnOnce(&mut Phone, JobId, &Address) -> Result<T, AppError>,
    ) -> Result<T, Trouble> {
        self.change_job(job, Some(address), |phone, id| {
            let at: Address = address.parse()?;
            work(phone, id, &at)
        })
    }

    pub(crate) fn locator(&self) -> &Arc<dyn Locator> {
        &self.locator
    }

    fn tell(&self, job: Option<&str>) {
        let signal = held(&self.signal).clone();
        if let Some(signal) = signal {
            // What a listener does wrong is no fault of what was recorded.
            let _recorded_all_the_same = caught(|| {
                signal.changed(job.map(str::to_owned));
                Ok(())
            });
        }
    }
}

fn opened(
    folder: &Path,
    instance: Option<Vec<u8>>,
    keys: Arc<dyn KeyBox>,
    clock: Arc<dyn PhoneClock>,
) -> Result<Phone, AppError> {
    let services = services(keys, clock);
    let named = |why: std::io::Error| AppError::File {
        what: "the store's folder".to_owned(),
        why: why.to_string(),
    };
    let instance = match instance {
        Some(instance) => instance,
        None => instance_of(folder).map_err(named)?,
    };
    let mut chance = [0; 16];
    services.chance.fill(&mut chance);
    let options = Options::new(instance, chance).projecting(Arc::new(JobProjector));
    let (log, _opening) = SqliteLog::open(folder, options)?;
    App::open(log, services)
}

/// What a lock holds; a thread that panicked meanwhile left it whole, since stores change in transactions.
fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

pub(crate) fn fact(id: FactId) -> String {
    id.to_string()
}

pub(crate) fn digest(text: &str) -> Result<Digest, AppError> {
    Digest::from_hex(text).ok_or_else(|| AppError::NotOneOf {
        value: text.chars().take(80).collect(),
        what: "the digest of a photo or paper; it has 64 hexadecimal digits".to_owned(),
    })
}

impl From<Who> for Person {
    fn from(who: Who) -> Self {
        Self {
            name: who.name,
            role: who.role,
            licence: who.licence,
            licence_until: who.licence_until,
        }
    }
}
