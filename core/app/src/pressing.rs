use serde_json::Value as Json;
use wythe_drawing::{Drawing, WallSize};
use wythe_guide::{Date, Words, in_words, wall_of};
use wythe_job::{JobId, Stream};
use wythe_store::{Area, Change, Kept, Log, Page, Summary};

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;

/// What is kept of how a job presses, so that a list is in order without folding every job.
const PRESS: &str = "press/";
/// Comes after every job of which it is known how it presses.
const NOT_KNOWN: &str = "7";

/// A job in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobRow {
    /// The job.
    pub job: JobId,
    /// What people call it.
    pub label: String,
    /// The house's address, a line each.
    pub address: Vec<String>,
    /// `open`, `paused`, `handed_over` or `cancelled`.
    pub state: String,
    /// The last move of its claim.
    pub claim: Option<String>,
}

/// A page of the list of jobs.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct JobPage {
    /// The jobs, what presses first first.
    pub rows: Vec<JobRow>,
    /// What to give for the next page; none on the last.
    pub next: Option<String>,
}

/// How a job stands, for its row in a list.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Its wall without words.
    pub wall: Drawing,
    /// The same in words.
    pub words: String,
    /// The stop that speaks now.
    pub stop: Option<String>,
    /// The next day on which something missing is due.
    pub due: Option<Date>,
}

impl Look {
    /// How the job stands, for its row in a list.
    #[must_use]
    pub fn standing(&self, words: &Words) -> Standing {
        let known = self.known();
        let readiness = self.readiness(&known);
        let stop = readiness.stops.iter().find(|open| !open.not_yet);
        Standing {
            wall: wall_of(&self.guide, &readiness, words, WallSize::Thumbnail),
            words: in_words(&readiness, words),
            stop: stop.map(|open| words.get(&format!("stop-{}", open.stop.code))),
            due: readiness.missing().first().and_then(|row| row.due),
        }
    }
}

impl<L: Log> App<L> {
    /// A page of the jobs: what presses first first, or by name those that hold what is searched for.
    /// How a job presses is as [`App::weigh`] found it last.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn jobs(&self, after: Option<&str>, search: Option<&str>, limit: u32) -> Result<JobPage, AppError> {
        match search.map(str::trim).filter(|search| !search.is_empty()) {
            Some(search) => self.found_jobs(after, &search.to_lowercase(), limit),
            None => self.pressing_jobs(after, limit),
        }
    }

    fn pressing_jobs(&self, after: Option<&str>, limit: u32) -> Result<JobPage, AppError> {
        let mut order: Vec<String> = Vec::new();
        let weighed = self.log.kept_under(Area::Setting, PRESS)?;
        let weighed: std::collections::BTreeMap<String, Vec<u8>> = weighed.into_iter().collect();
        for stream in self.log.streams()? {
            let held = weighed.get(&format!("{PRESS}{stream}"));
            let weight = held.and_then(|held| std::str::from_utf8(held).ok()?.split_once('\n'));
            let weight = weight.map_or(NOT_KNOWN, |(_, weight)| weight);
            order.push(format!("{weight}\n{stream}"));
        }
        order.sort_unstable();
        let mut page = JobPage::default();
        let wanted = usize::try_from(limit.clamp(1, 200)).unwrap_or(1);
        let rest = order
            .into_iter()
            .filter(|key| after.is_none_or(|after| key.as_str() > after));
        let mut last = None;
        for key in rest {
            if page.rows.len() == wanted {
                page.next = last;
                break;
            }
            if let Some(stream) = stream_after(&key).map(|(_, stream)| stream)
                && let Some(summary) = self.log.summary(stream)?
            {
                page.rows.extend(row(stream, &summary));
            }
            last = Some(key);
        }
        Ok(page)
    }

    fn found_jobs(&self, after: Option<&str>, search: &str, limit: u32) -> Result<JobPage, AppError> {
        let after = after.and_then(stream_after);
        let limit = limit.clamp(1, 200);
        let wanted = Page {
            after,
            limit,
            search: Some(search.to_owned()),
        };
        let rows = self.log.summaries(&wanted)?;
        let full = u32::try_from(rows.len()).is_ok_and(|count| count == limit);
        let last = rows.last().filter(|_| full);
        Ok(JobPage {
            next: last.map(|last| format!("{}\n{}", last.summary.sort_key, last.stream)),
            rows: rows
                .iter()
                .filter_map(|found| row(found.stream, &found.summary))
                .collect(),
        })
    }

    /// Works out how jobs press whose facts or day changed since, at most so many; returns how many are
    /// left to do.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn weigh(&mut self, limit: usize) -> Result<usize, AppError> {
        let (mut kept, mut left) = (Vec::new(), 0);
        let hour = self.services.time.now().utc_ms.div_euclid(6 * 3_600_000);
        for stream in self.log.streams()? {
            let key = format!("{PRESS}{stream}");
            let facts = self.log.summary(stream)?.map_or(0, |summary| facts_of(&summary));
            let as_of = format!("{facts} {hour}");
            let held = self.log.setting(&key)?;
            if held.is_some_and(|held| held.starts_with(format!("{as_of}\n").as_bytes())) {
                continue;
            }
            if kept.len() == limit {
                left += 1;
                continue;
            }
            let weight = self.weight(stream)?;
            kept.push(Kept::setting(
                &key,
                Some(format!("{as_of}\n{weight}").into_bytes()),
            ));
        }
        if !kept.is_empty() {
            let change = Change {
                kept,
                ..Change::default()
            };
            self.log.commit(&change)?;
        }
        Ok(left)
    }

    /// Sorts as text: stopped or due, then open, then what rests or is over; the earlier day first.
    fn weight(&self, stream: Stream) -> Result<String, AppError> {
        let Some(summary) = self.log.summary(stream)? else {
            return Ok("9".to_owned());
        };
        let Some(about) = row(stream, &summary) else {
            return Ok("9".to_owned());
        };
        let label = summary.sort_key.replace('\n', " ");
        if about.state == "cancelled" || about.claim.as_deref() == Some("paid") {
            return Ok(format!("8 {label}"));
        }
        // A job whose rules are not here yet is listed all the same.
        let Ok(look) = self.look(about.job, None) else {
            return Ok(format!("{NOT_KNOWN} {label}"));
        };
        let standing = look.standing(self.words());
        let rank = match (about.state.as_str(), standing.due) {
            ("open", Some(_)) => 1,
            ("open", None) => 3,
            _ => 5,
        };
        let due = standing.due.map_or_else(|| "-".to_owned(), |due| due.to_string());
        Ok(format!("{rank} {due} {label}"))
    }
}

/// The sort key and the stream of a line that ends with its stream.
fn stream_after(line: &str) -> Option<(String, Stream)> {
    let (key, stream) = line.rsplit_once('\n')?;
    Some((key.to_owned(), Stream::from_hex(stream)?))
}

fn about(summary: &Summary) -> Json {
    serde_json::from_str(&summary.json).unwrap_or_default()
}

fn facts_of(summary: &Summary) -> u64 {
    let facts = about(summary).get("facts").and_then(Json::as_u64);
    facts.unwrap_or_default()
}

/// A summary as a row; nothing for a stream that is no job.
fn row(stream: Stream, summary: &Summary) -> Option<JobRow> {
    let about = about(summary);
    let text = |key: &str| about.get(key).and_then(Json::as_str).map(str::to_owned);
    let lines = about.get("address").and_then(Json::as_array);
    let lines = lines.into_iter().flatten().filter_map(Json::as_str);
    (text("kind").as_deref() == Some("job")).then(|| JobRow {
        job: JobId(stream.0),
        label: summary.label.clone(),
        address: lines.map(str::to_owned).collect(),
        state: text("state").unwrap_or_default(),
        claim: text("claim"),
    })
}
