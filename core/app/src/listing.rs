//! The list of jobs: each with its wall and the same in words.

use serde_json::Value as Json;
use wythe_drawing::{Drawing, WallSize};
use wythe_guide::{Date, in_words, wall_of};
use wythe_job::{JobId, Stream};
use wythe_store::{Log, Page};

use crate::app::App;
use crate::error::AppError;

/// A job in the list.
#[derive(Debug)]
pub struct JobLine {
    /// Which.
    pub job: JobId,
    /// What people call it.
    pub label: String,
    /// What its summary says: the address, the programme, whether it is open, where its claim is.
    pub about: Json,
    /// Its wall, small; none for a job whose rules are not here.
    pub wall: Option<Drawing>,
    /// The same in words, or why there is no wall.
    pub words: String,
}

/// A page of the list of jobs.
#[derive(Debug)]
pub struct JobLines {
    /// The jobs.
    pub lines: Vec<JobLine>,
    /// Where the next page begins; none at the end.
    pub next: Option<(String, Stream)>,
}

impl<L: Log> App<L> {
    /// A page of the list of jobs, each as of a day (today at its site, if none is given).
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn job_lines(&self, page: &Page, today: Option<Date>) -> Result<JobLines, AppError> {
        let rows = self.log.summaries(page)?;
        let next = rows
            .last()
            .map(|last| (last.summary.sort_key.clone(), last.stream));
        let mut lines = Vec::new();
        for row in rows {
            let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
            if about.get("kind").and_then(Json::as_str) != Some("job") {
                continue;
            }
            let job = JobId(row.stream.0);
            let (wall, words) = match self.look(job, today) {
                Ok(look) => {
                    let known = look.known();
                    let readiness = look.readiness(&known);
                    let wall = wall_of(&look.guide, &readiness, self.words(), WallSize::Thumbnail);
                    (Some(wall), in_words(&readiness, self.words()))
                }
                Err(wrong @ AppError::Store(_)) => return Err(wrong),
                Err(wrong) => (None, wrong.told(None, self.words()).message),
            };
            lines.push(JobLine {
                job,
                label: row.summary.label,
                about,
                wall,
                words,
            });
        }
        Ok(JobLines { lines, next })
    }
}
