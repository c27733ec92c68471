use std::collections::HashMap;
use std::io::Read;

use wythe_drawing::{Drawing, DrawingError, Estimate, Fit, Laid, Lay, lay};
use wythe_guide::{Language, Words};
use wythe_job::{Address, Digest, JobId, StrokePoint};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::look::Look;

/// The words that the phone's shells write around the screens, by their ids.
pub const PHONE_WORDS: &[&str] = &[
    "phone-jobs",
    "phone-no-jobs",
    "phone-search",
    "phone-more",
    "phone-new-job",
    "phone-settings",
    "phone-smell",
    "phone-missing",
    "phone-visits",
    "phone-keep",
    "phone-record",
    "phone-recorded",
    "phone-photo",
    "phone-photo-again",
    "phone-photo-more",
    "phone-photo-best",
    "phone-photo-keep",
    "phone-photo-seen",
    "phone-no-camera",
    "phone-no-permission",
    "phone-file",
    "phone-paper",
    "phone-sign",
    "phone-sign-here",
    "phone-sign-now",
    "phone-sign-covers",
    "phone-sign-clear",
    "phone-sign-decline",
    "phone-name",
    "phone-back",
    "phone-next",
    "phone-close",
    "phone-roof",
    "phone-anyway",
    "phone-reason",
    "phone-agree",
    "phone-agree-value",
    "phone-one-more",
    "phone-pad-step-back",
    "phone-pad-clear",
    "phone-pad-feet",
    "phone-pad-inches",
    "phone-pad-sixteenths",
    "phone-pad-eighths",
    "phone-pad-to-millimetres",
    "phone-pad-to-inches",
    "phone-language",
    "phone-units",
    "phone-millimetres",
    "phone-sunlight",
    "phone-role",
    "phone-licence",
    "phone-licence-until",
    "phone-carry-out",
    "phone-carry-in",
    "phone-pack",
    "phone-opening",
    "phone-begin",
    "phone-begin-business",
    "phone-begin-words",
    "phone-earlier",
    "phone-not-needed",
    "phone-optional",
    "phone-drawing-larger",
    "phone-time-is-over",
    "phone-core-lost",
    "phone-smell-outside",
    "phone-smell-words",
];

/// Those of them that take values: each with the names of its values, in the order in which they are given.
pub const PHONE_SENTENCES: &[(&str, &[(&str, usize)])] = &[
    ("phone-photo-verdict", &[("grade", 0)]),
    ("phone-of", &[("number", 0), ("all", 1)]),
    ("phone-carried-out", &[("count", 0)]),
    (
        "phone-carried-in",
        &[("entries", 0), ("originals", 1), ("aside", 2)],
    ),
    ("phone-packed", &[("pages", 0)]),
    ("phone-printed", &[("pages", 0)]),
    ("phone-working", &[("what", 0)]),
    ("phone-waits-for", &[("what", 0)]),
    ("phone-due", &[("date", 0)]),
    ("phone-taps", &[("count", 0)]),
];

/// A sentence of [`PHONE_SENTENCES`] with its values; empty for an unknown one.
#[must_use]
pub fn phone_sentence(language: Language, id: &str, values: &[String]) -> String {
    let Some((id, names)) = PHONE_SENTENCES.iter().find(|(known, _)| *known == id) else {
        return String::new();
    };
    let value = |at: usize| values.get(at).map_or("", String::as_str);
    let arguments: Vec<(&str, &str)> = names.iter().map(|(name, at)| (*name, value(*at))).collect();
    Words::of(language).with(id, &arguments)
}

/// Points of a stroke as a pad gives them: across and down in thousandths of the pad's width, and
/// milliseconds since the first touch.
#[must_use]
pub fn stroke_of(points: &[(i32, i32, u32)]) -> Vec<StrokePoint> {
    let point = |&(x, y, ms): &(i32, i32, u32)| StrokePoint {
        x,
        y,
        ms,
        pressure: None,
    };
    points.iter().map(point).collect()
}

/// The words of [`PHONE_WORDS`] in a language.
#[must_use]
pub fn phone_words(language: Language) -> HashMap<String, String> {
    let words = Words::of(language);
    let said = |id: &&str| ((*id).to_owned(), words.get(id));
    PHONE_WORDS.iter().map(said).collect()
}

/// A drawing settled for a screen: as wide as it is, or as its words need where that is more.
///
/// # Errors
/// [`AppError::Drawing`] for a drawing of nothing, and for a width that is no number.
pub fn picture(drawing: &Drawing, width: f64, paper: f64, words: bool) -> Result<Laid, AppError> {
    let how = |width| Lay {
        fit: Fit::Width(width),
        paper,
        words,
    };
    match lay(drawing, &how(width), &Estimate) {
        Err(DrawingError::NoRoom { needed }) => Ok(lay(drawing, &how(needed * 1.6), &Estimate)?),
        laid => Ok(laid?),
    }
}

impl Look {
    /// Which screen shows what an id names, and the ask to begin at: the id of a brick, of a missing
    /// thing, of an ask, or of a screen.
    #[must_use]
    pub fn place_of(&self, id: &str) -> Option<(String, Option<String>)> {
        let guide = &self.guide;
        let is_stage = |stage: &str| guide.stages.iter().any(|known| known.id == stage);
        let is_visit = |visit: &str| guide.visits.iter().any(|known| known.id == visit);
        let screen = match id.split_once('/') {
            None => ["job", "missing", "visits", "claim_life"].contains(&id),
            Some(("stage", stage)) => is_stage(stage),
            Some(("visit", visit)) => is_visit(visit),
            Some(_) => false,
        };
        if screen {
            return Some((id.to_owned(), None));
        }
        let address: Option<Address> = id.parse().ok();
        if let Some(address) = &address
            && let Some(ask) = guide.ask(&address.ask)
        {
            return Some((format!("stage/{}", ask.stage), Some(address.to_string())));
        }
        let known = self.known();
        let readiness = self.readiness(&known);
        let (name, path) = address.map_or((id.to_owned(), Vec::new()), |at| (at.ask, at.path));
        let is_here =
            |(of, number): &(String, u32)| path.iter().any(|at| at.of == *of && at.number == *number);
        let mut rows = readiness.rows.iter().filter(|row| row.id == name);
        let row = rows.find(|row| path.is_empty() || row.path.iter().all(is_here))?;
        let ask = row.about.as_ref().and_then(|about| guide.ask(about));
        let Some(ask) = ask else {
            return Some((format!("stage/{}", row.stage), None));
        };
        let of = ask
            .each
            .as_ref()
            .and_then(|each| row.path.iter().find(|(of, _)| of == each));
        let address = match (&ask.each, of) {
            (Some(_), Some((of, number))) => Address::of(&ask.id).at(of, *number),
            (Some(each), None) => Address::of(&ask.id).at(each, 1),
            (None, _) => Address::of(&ask.id),
        };
        Some((format!("stage/{}", ask.stage), Some(address.to_string())))
    }
}

impl<L: Log> App<L> {
    /// A small picture of a photograph or paper of a job, as JPEG; none where there is none of it.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn preview(&self, job: JobId, original: Digest) -> Result<Option<Vec<u8>>, AppError> {
        let folded = wythe_job::fold(&*self.log.facts(job.into())?);
        let photos = folded
            .photos
            .iter()
            .map(|photo| (&photo.body.original, &photo.body.preview));
        let papers = folded
            .papers
            .iter()
            .map(|paper| (&paper.body.original, &paper.body.preview));
        let mut both = photos.chain(papers);
        let Some(Some(preview)) = both
            .find(|(of, _)| of.digest == original)
            .map(|(_, preview)| preview)
        else {
            return Ok(None);
        };
        let mut bytes = Vec::new();
        let mut opened = self.log.originals().read(preview.digest)?;
        opened
            .read_to_end(&mut bytes)
            .map_err(|why| crate::pictures::file_error("preview.jpg", &why))?;
        Ok(Some(bytes))
    }
}
