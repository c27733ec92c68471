//! Jobs: their list, their screens, how they stand.

use wythe_app::guide::readiness;
use wythe_app::store::Log as _;

use crate::field::{Field, digest, fact};
use crate::picture::{Canvas, Picture};
use crate::platform::{Fix, position};
use crate::screen::Screen;
use crate::trouble::Trouble;

/// What is said when a job is opened.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NewJob {
    /// What people call it.
    pub label: String,
    /// The house's address, a line each.
    pub address: Vec<String>,
    /// The site's time zone, as in the IANA database.
    pub zone: String,
    /// Where the house stands.
    pub place: Option<Fix>,
    /// The programme's id.
    pub programme: String,
}

/// A job in the list.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct JobRow {
    /// Its id.
    pub job: String,
    /// What people call it.
    pub label: String,
    /// The house's address, a line each.
    pub address: Vec<String>,
    /// `open`, `paused`, `handed_over` or `cancelled`.
    pub state: String,
    /// The last move of its claim.
    pub claim: Option<String>,
}

/// A page of the list of jobs, what presses first first.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct JobPage {
    /// The jobs.
    pub rows: Vec<JobRow>,
    /// What to give for the next page; none on the last.
    pub next: Option<String>,
}

/// How a job stands, for its row in the list.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct JobStanding {
    /// The job.
    pub job: String,
    /// Its wall without words.
    pub wall: Picture,
    /// The same in words.
    pub words: String,
    /// The stop that speaks now.
    pub stop: Option<String>,
    /// The next day on which something missing is due, as the language writes it.
    pub due: Option<String>,
}

/// Where something leads.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Opening {
    /// The screen.
    pub screen: String,
    /// The ask to begin at.
    pub ask: Option<String>,
}

/// A deadline of a job.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Due {
    /// Its id.
    pub id: String,
    /// The last day that counts, `YYYY-MM-DD`; none while its event has not happened.
    pub on: Option<String>,
    /// The day on which it was met.
    pub met: Option<String>,
}

/// Where a job stands against its programme. The screen `missing` says it in words.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Readiness {
    /// Whether the claim can be sent.
    pub claim_is_whole: bool,
    /// Whether the owner can sign off.
    pub sign_off_is_open: bool,
    /// The codes of the stops that stand.
    pub stops: Vec<String>,
    /// The required things that are missing, what presses first first, by id.
    pub missing: Vec<String>,
    /// The deadlines.
    pub deadlines: Vec<Due>,
}

#[uniffi::export]
impl Field {
    /// Adds a programme's file to the business's library, after checking it. Gives its digest.
    ///
    /// # Errors
    /// `data_file` with file, line and what to write instead.
    pub fn record_programme(&self, name: &str, text: &str) -> Result<String, Trouble> {
        self.change(None, None, |phone| {
            Ok(phone.add_programme(name, text)?.to_string())
        })
    }

    /// Keeps something in the business's library: a model, a stock list, an instrument ... as a JSON object.
    ///
    /// # Errors
    /// `not_one_of` for what is no JSON object.
    pub fn record_in_library(&self, sort: &str, id: &str, content: &str) -> Result<String, Trouble> {
        self.change(None, None, |phone| {
            phone.keep_in_library(sort, id, content).map(fact)
        })
    }

    /// Opens a job. Gives its id.
    ///
    /// # Errors
    /// `no_programme`, `not_one_of` for an unknown time zone.
    pub fn record_job(&self, new: NewJob) -> Result<String, Trouble> {
        let new = wythe_app::NewJob {
            label: new.label,
            address: new.address,
            zone: new.zone,
            position: new.place.and_then(position),
            programme: new.programme,
        };
        self.change(None, None, |phone| Ok(phone.open_job(&new)?.to_string()))
    }

    /// A page of the jobs: what presses first first, or those that hold what is searched for. At most 200.
    ///
    /// # Errors
    /// `closed`, `store_paused`, `disk`.
    pub fn jobs(
        &self,
        after: Option<String>,
        search: Option<String>,
        limit: u32,
    ) -> Result<JobPage, Trouble> {
        self.with(None, |phone| {
            let page = phone.jobs(after.as_deref(), search.as_deref(), limit)?;
            Ok(JobPage {
                rows: page.rows.into_iter().map(Into::into).collect(),
                next: page.next,
            })
        })
    }

    /// Works out how jobs press that changed since, at most so many; gives how many are left. For the
    /// background, until it gives 0.
    ///
    /// # Errors
    /// `closed`, `store_paused`, `disk`.
    pub fn weigh(&self, limit: u32) -> Result<u32, Trouble> {
        self.with(None, |phone| {
            let left = phone.weigh(usize::try_from(limit).unwrap_or(usize::MAX))?;
            Ok(u32::try_from(left).unwrap_or(u32::MAX))
        })
    }

    /// How jobs stand, for their rows in the list. One that cannot be looked at is left out.
    ///
    /// # Errors
    /// `closed`, `store_paused`, `disk`.
    pub fn standing(&self, jobs: Vec<String>, canvas: Canvas) -> Result<Vec<JobStanding>, Trouble> {
        self.with(None, |phone| {
            // So that a store that rests says so, and is not taken for one without jobs.
            phone.log().last_arrival()?;
            let mut standing = Vec::new();
            for id in jobs {
                let Ok(look) = phone.find_job(&id).and_then(|job| phone.look(job, None)) else {
                    continue;
                };
                let stands = look.standing(phone.words());
                standing.push(JobStanding {
                    job: id,
                    wall: Picture::of(&stands.wall, canvas, false)?,
                    words: stands.words,
                    stop: stands.stop,
                    due: stands.due.map(|due| phone.words().date(due)),
                });
            }
            Ok(standing)
        })
    }

    /// A screen of a job, whole: `job`, `missing`, `visits`, `claim_life`, `visit/ID`, `stage/ID`.
    ///
    /// # Errors
    /// `no_job`, `no_rules`, `no_programme`, `not_one_of` for a screen that there is not.
    pub fn screen(&self, job: &str, screen: &str, canvas: Canvas) -> Result<Screen, Trouble> {
        self.with(None, |phone| {
            let look = phone.look(phone.find_job(job)?, None)?;
            Screen::of(look.screen(screen, phone.words())?, canvas)
        })
    }

    /// Where a brick, a missing thing, an ask or an item leads; nothing for what leads nowhere.
    ///
    /// # Errors
    /// `no_job`, `no_rules`, `no_programme`.
    pub fn opening(&self, job: &str, id: &str) -> Result<Option<Opening>, Trouble> {
        self.with(None, |phone| {
            let look = phone.look(phone.find_job(job)?, None)?;
            let place = look.place_of(id);
            Ok(place.map(|(screen, ask)| Opening { screen, ask }))
        })
    }

    /// Where a job stands against its programme.
    ///
    /// # Errors
    /// `no_job`, `no_rules`, `no_programme`.
    pub fn readiness(&self, job: &str) -> Result<Readiness, Trouble> {
        self.with(None, |phone| {
            let look = phone.look(phone.find_job(job)?, None)?;
            let known = look.known();
            let stands = look.readiness(&known);
            let stops = stands.stops.iter();
            let missing = stands.missing().into_iter();
            Ok(Readiness {
                claim_is_whole: stands.claim_is_whole(),
                sign_off_is_open: stands.sign_off_is_open(),
                stops: stops.map(|open| open.stop.code.clone()).collect(),
                missing: missing.map(|row| row.id.clone()).collect(),
                deadlines: stands.deadlines.into_iter().map(Into::into).collect(),
            })
        })
    }

    /// The text of the tag that is fastened where the old stove is in the frame.
    ///
    /// # Errors
    /// `no_job`.
    pub fn tag_text(&self, job: &str) -> Result<String, Trouble> {
        self.with(None, |phone| phone.tag_text(phone.find_job(job)?))
    }

    /// A small picture of a photograph or paper, as JPEG; nothing where there is none of it.
    ///
    /// # Errors
    /// `no_job`, `not_one_of` for what is no digest, `no_original`.
    pub fn preview(&self, job: &str, original: &str) -> Result<Option<Vec<u8>>, Trouble> {
        self.with(None, |phone| {
            phone.preview(phone.find_job(job)?, digest(original)?)
        })
    }
}

impl From<wythe_app::JobRow> for JobRow {
    fn from(row: wythe_app::JobRow) -> Self {
        Self {
            job: row.job.to_string(),
            label: row.label,
            address: row.address,
            state: row.state,
            claim: row.claim,
        }
    }
}

impl From<readiness::Due> for Due {
    fn from(due: readiness::Due) -> Self {
        Self {
            id: due.id,
            on: due.on.map(|on| on.to_string()),
            met: due.met.map(|met| met.to_string()),
        }
    }
}
