//! What is recorded: answers, photos, papers, signatures, visits, timers.

use std::path::Path;

use wythe_app::guide::Doubt;
use wythe_app::guide::screen::{grade_in_words, way_out};
use wythe_app::job::{Address, FactId};
use wythe_app::media::grade::HowAdded;
use wythe_app::{AppError, PhotoOptions, Recording, Signing, VisitMoment, stroke_of};

use crate::field::{Field, digest, fact};
use crate::platform::position;
use crate::trouble::Trouble;

/// What was understood of a typed entry, without recording it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Understood {
    /// "11 3/8 in · 289 mm".
    pub read_back: String,
    /// The least and the most that are usual, where the entry is outside of them.
    pub unusual: Option<String>,
}

/// What was recorded.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Recorded {
    /// The fact.
    pub fact: String,
    /// What was understood.
    pub read_back: String,
    /// The least and the most that are usual, where the entry is outside of them.
    pub unusual: Option<String>,
}

/// How an answer came about, beyond what was typed.
#[derive(Debug, Clone, Default, PartialEq, Eq, uniffi::Record)]
pub struct How {
    /// With what it was measured.
    pub instrument: Option<String>,
    /// Why an act is recorded although a stop holds it.
    pub anyway: Option<String>,
}

/// A photograph taken in, with the verdict on it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PhotoTaken {
    /// The fact.
    pub fact: String,
    /// The original's digest.
    pub original: String,
    /// `good`, `usable`, `weak` or `poor`.
    pub grade: String,
    /// The same in words, with the reasons.
    pub verdict: String,
    /// What to do about it, where something is to be done.
    pub way_out: Option<String>,
    /// Whether these bytes were here before.
    pub seen_before: bool,
}

/// A paper taken in.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PaperTaken {
    /// The fact.
    pub fact: String,
    /// The original's digest.
    pub original: String,
    /// How many pages, where that could be told.
    pub pages: Option<u32>,
}

/// What a signer is shown.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ToSign {
    /// The words above the signature.
    pub words: String,
    /// What it covers, a line each.
    pub covers: Vec<String>,
    /// The digest of both: what the act of signing names.
    pub shown: String,
}

/// A point of a stroke.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct StrokePoint {
    /// Across, in thousandths of the pad's width.
    pub x: i32,
    /// Down, in thousandths of the pad's width.
    pub y: i32,
    /// Milliseconds since the first touch.
    pub ms: u32,
}

/// What is done to a timer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum TimerDeed {
    /// It starts.
    Start,
    /// One more turn, or whatever its ask is tapped at.
    Tap,
    /// It stops, and the span is recorded.
    Stop,
    /// It is given up; nothing is recorded.
    Drop,
}

/// A moment of a visit.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Move {
    /// The visit's sort: `survey`, `day_1` ...
    pub visit: String,
    /// `arrived`, `paused`, `resumed` or `left`.
    pub moment: String,
    /// Who came besides, by name: known to the library or to the job.
    pub with: Vec<String>,
    /// The weather in words.
    pub weather: Option<String>,
    /// What was done to leave the house safe, by the ids of the screen's list without `left-safe-`.
    pub left_safe: Vec<String>,
}

/// A moment of a visit that was recorded.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Moved {
    /// The visit's id.
    pub visit: String,
    /// When it pauses or ends: what it still needs, in words.
    pub still_needs: Option<String>,
    /// When it pauses or ends with the house open: what nobody said was done, by id.
    pub not_left_safe: Vec<String>,
}

#[uniffi::export]
impl Field {
    /// Reads a typed entry without recording it: for the line above the pad.
    ///
    /// # Errors
    /// `out_of_range`, `unreadable`, `unknown_choice`, `no_ask` ...
    pub fn understand(&self, address: &str, typed: &str) -> Result<Understood, Trouble> {
        self.with(Some(address), |phone| {
            let at: Address = address.parse()?;
            let entry = phone.understand(&at, typed)?;
            Ok(Understood {
                read_back: entry.read_back,
                unusual: entry.doubt.as_ref().map(usual),
            })
        })
    }

    /// Keeps what was typed and is not yet recorded; nothing forgets it. It is in the ask's `draft`.
    ///
    /// # Errors
    /// `no_job`, `address`, `no_space`, `disk`.
    pub fn keep_draft(&self, job: &str, address: &str, typed: &str) -> Result<(), Trouble> {
        self.with(Some(address), |phone| {
            let at: Address = address.parse()?;
            let job = phone.find_job(job)?;
            phone.draft(job, &at, typed)
        })
    }

    /// Records a typed answer. What was typed stays as a draft when it is refused.
    ///
    /// # Errors
    /// `out_of_range`, `unreadable`, `unknown_choice`, `held` by a stop, `no_space` ...
    pub fn record_answer(
        &self,
        job: &str,
        address: &str,
        typed: &str,
        how: How,
    ) -> Result<Recorded, Trouble> {
        let how = Recording {
            instrument: how.instrument,
            anyway: how.anyway,
            ..Recording::default()
        };
        self.change_ask(job, address, |phone, job, at| {
            phone.answer(job, at, typed, &how).map(Into::into)
        })
    }

    /// Records what people who disagreed agreed on, and why.
    ///
    /// # Errors
    /// `no_reason`, and as an answer.
    pub fn record_agreement(
        &self,
        job: &str,
        address: &str,
        typed: &str,
        reason: &str,
    ) -> Result<Recorded, Trouble> {
        self.change_ask(job, address, |phone, job, at| {
            phone.agree(job, at, typed, reason).map(Into::into)
        })
    }

    /// Records that there is one more of something, by its number, or one less.
    ///
    /// # Errors
    /// `not_one_of` for something of which there is one.
    pub fn record_instance(
        &self,
        job: &str,
        group: &str,
        number: u32,
        there: bool,
        name: Option<String>,
    ) -> Result<String, Trouble> {
        self.change_job(job, None, |phone, job| {
            phone.instance(job, group, number, there, name).map(fact)
        })
    }

    /// Takes a photograph in by its path, which is only read, and gives the verdict on it. `just_taken` says
    /// that the camera took it now; `best` why it is the best that could be had.
    ///
    /// # Errors
    /// `file`, `media_empty`, `media_not_a_photo`, `not_one_of` where no photograph is asked, `no_space` ...
    pub fn record_photo(
        &self,
        job: &str,
        address: &str,
        path: &str,
        just_taken: bool,
        best: Option<String>,
    ) -> Result<PhotoTaken, Trouble> {
        let here = self.locator().here();
        let options = PhotoOptions {
            added: if just_taken {
                HowAdded::JustTaken
            } else {
                HowAdded::FromFiles
            },
            preview: None,
            phone_position: here.and_then(position),
            best_i_can: best,
        };
        self.change_ask(job, address, |phone, job, at| {
            let added = phone.add_photo(job, at, Path::new(path), &options)?;
            let words = phone.words();
            Ok(PhotoTaken {
                fact: fact(added.fact),
                original: added.original.to_string(),
                verdict: grade_in_words(&added.grade, words),
                way_out: way_out(&added.grade, words),
                grade: added.grade.code,
                seen_before: added.seen_before,
            })
        })
    }

    /// Takes a paper in by its path, which is only read: a PDF or a picture of it.
    ///
    /// # Errors
    /// `file`, `media_empty`, `media_not_a_paper`, `not_one_of` where no paper is asked, `no_space` ...
    pub fn record_paper(&self, job: &str, address: &str, path: &str) -> Result<PaperTaken, Trouble> {
        self.change_ask(job, address, |phone, job, at| {
            let added = phone.add_paper(job, at, Path::new(path))?;
            Ok(taken(&added))
        })
    }

    /// Takes in a page that was signed by hand, before its signature is recorded as one on paper.
    ///
    /// # Errors
    /// `file`, `media_empty`, `media_not_a_paper`, `not_one_of` where no signature is asked ...
    pub fn record_signed_page(&self, job: &str, address: &str, path: &str) -> Result<PaperTaken, Trouble> {
        self.change_ask(job, address, |phone, job, at| {
            let added = phone.add_signed_page(job, at, Path::new(path))?;
            Ok(taken(&added))
        })
    }

    /// What a signer is shown before signing.
    ///
    /// # Errors
    /// `not_one_of` where no signature is asked.
    pub fn to_sign(&self, job: &str, address: &str) -> Result<ToSign, Trouble> {
        self.with(Some(address), |phone| {
            let at: Address = address.parse()?;
            let look = phone.look(phone.find_job(job)?, None)?;
            let to_sign = phone.to_sign(&look, &at)?;
            Ok(ToSign {
                words: to_sign.words,
                covers: to_sign.summary.lines().map(str::to_owned).collect(),
                shown: to_sign.shown.to_string(),
            })
        })
    }

    /// Records the act of signing: `signed` with its strokes, `declined`, or `on_paper`, whose page was
    /// added before. It names what was shown before it.
    ///
    /// # Errors
    /// `shown_changed` when what was shown is no longer so, `sign_off_closed` while a stop closes it,
    /// `no_reason` without name or strokes, `no_signed_page`, `not_one_of`.
    pub fn record_signature(
        &self,
        job: &str,
        address: &str,
        act: &str,
        shown: &str,
        name: &str,
        strokes: Vec<Vec<StrokePoint>>,
    ) -> Result<String, Trouble> {
        let points = |stroke: &Vec<StrokePoint>| {
            let points: Vec<_> = stroke.iter().map(|point| (point.x, point.y, point.ms)).collect();
            stroke_of(&points)
        };
        let strokes = strokes.iter().map(points).collect();
        self.change_ask(job, address, |phone, job, at| {
            let signing = Signing {
                shown: digest(shown)?,
                act: act.to_owned(),
                name: name.to_owned(),
                strokes,
                position: None,
                copy_given: None,
            };
            phone.sign_off(job, at, signing).map(fact)
        })
    }

    /// Records a moment of a visit. On arrival, what is known of who came is answered with it.
    ///
    /// # Errors
    /// `not_one_of` for an unknown sort, moment or person, or when no such visit is open.
    pub fn record_visit(&self, job: &str, moment: Move) -> Result<Moved, Trouble> {
        let moment = VisitMoment {
            sort: moment.visit,
            moment: moment.moment,
            with: moment.with,
            weather: moment.weather,
            left_safe: moment.left_safe,
            ..VisitMoment::default()
        };
        self.change_job(job, None, |phone, job| {
            let recorded = phone.visit(job, &moment)?;
            Ok(Moved {
                visit: recorded.visit.to_string(),
                still_needs: recorded.still_needs,
                not_left_safe: recorded.not_left_safe,
            })
        })
    }

    /// Starts, taps, stops or gives up the timer of a span, now. Stopping records the span.
    ///
    /// # Errors
    /// `timer` for a deed that does not fit how it stands, `not_one_of` for an ask that is not timed.
    pub fn record_timer(
        &self,
        job: &str,
        address: &str,
        deed: TimerDeed,
    ) -> Result<Option<Recorded>, Trouble> {
        self.change_ask(job, address, |phone, job, at| {
            let recorded = phone.timer(job, at, deed.into(), None)?;
            Ok(recorded.map(Into::into))
        })
    }

    /// Begins a measurement anew whose figures do not hold; they stay visible.
    ///
    /// # Errors
    /// `not_one_of` for figures that hold or are not measured again.
    pub fn record_again(&self, job: &str, figures: &str) -> Result<String, Trouble> {
        self.change_job(job, None, |phone, job| {
            phone.measure_again(job, figures).map(fact)
        })
    }

    /// Keeps figures as they stand. Gives the facts.
    ///
    /// # Errors
    /// `figures_open` while something is missing, `not_one_of` for figures that there are not.
    pub fn record_figures(&self, job: &str, figures: &str) -> Result<Vec<String>, Trouble> {
        self.change_job(job, None, |phone, job| {
            let facts = phone.keep_figures(job, figures)?;
            Ok(facts.into_iter().map(fact).collect())
        })
    }

    /// Words for the next reader.
    ///
    /// # Errors
    /// `no_reason` for no words.
    pub fn record_note(&self, job: &str, text: &str) -> Result<String, Trouble> {
        self.change_job(job, None, |phone, job| phone.note(job, text).map(fact))
    }

    /// Takes mistaken entries back, with a reason.
    ///
    /// # Errors
    /// `no_reason`, `no_fact`.
    pub fn record_strike(&self, job: &str, facts: Vec<String>, reason: &str) -> Result<String, Trouble> {
        self.change_job(job, None, |phone, job| {
            let found = facts.iter().map(|digits| phone.find_fact(job, digits));
            let found: Vec<FactId> = found.collect::<Result<_, AppError>>()?;
            phone.strike(job, found, reason).map(fact)
        })
    }

    /// Pauses, resumes, hands over or cancels a job.
    ///
    /// # Errors
    /// `not_one_of`, `no_reason`.
    pub fn record_move(
        &self,
        job: &str,
        to: &str,
        reason: &str,
        left_safe: Vec<String>,
    ) -> Result<String, Trouble> {
        self.change_job(job, None, |phone, job| {
            phone.move_job(job, to, reason, left_safe).map(fact)
        })
    }

    /// Lifts a stop that somebody can lift, on evidence.
    ///
    /// # Errors
    /// `not_one_of` for a stop that only a newer measurement ends, `no_reason`, `no_fact`.
    pub fn record_lift(
        &self,
        job: &str,
        stop: &str,
        by: &str,
        evidence: Vec<String>,
        reason: &str,
    ) -> Result<String, Trouble> {
        self.change_job(job, None, |phone, job| {
            let found = evidence.iter().map(|digits| phone.find_fact(job, digits));
            let found: Vec<FactId> = found.collect::<Result<_, AppError>>()?;
            phone.lift_stop(job, stop, by, found, reason).map(fact)
        })
    }
}

fn taken(added: &wythe_app::AddedPaper) -> PaperTaken {
    PaperTaken {
        fact: fact(added.fact),
        original: added.original.to_string(),
        pages: added.pages,
    }
}

fn usual(doubt: &Doubt) -> String {
    let bound = |bound: &Option<String>| bound.clone().unwrap_or_else(|| "…".to_owned());
    format!("{} – {}", bound(&doubt.least), bound(&doubt.most))
}

impl From<wythe_app::Recorded> for Recorded {
    fn from(recorded: wythe_app::Recorded) -> Self {
        Self {
            fact: fact(recorded.fact),
            read_back: recorded.read_back,
            unusual: recorded.doubt.as_ref().map(usual),
        }
    }
}

impl From<TimerDeed> for wythe_app::TimerDeed {
    fn from(deed: TimerDeed) -> Self {
        match deed {
            TimerDeed::Start => Self::Start,
            TimerDeed::Tap => Self::Tap,
            TimerDeed::Stop => Self::Stop,
            TimerDeed::Drop => Self::Drop,
        }
    }
}
