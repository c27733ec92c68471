//! Grading a photo by everything that is known around it here.

use serde_json::Value as Json;
use wythe_guide::Ask;
use wythe_job::{Digest, Grade, JobId, Position, fold};
use wythe_media::grade::{Circumstances, Known, TagInFrame, grade};
use wythe_media::{Fingerprint, PhotoIntake, PositionFix};
use wythe_store::{Log, Page};

use crate::app::App;
use crate::error::AppError;
use crate::pictures::PhotoOptions;
use crate::tags::tag_in_frame;

/// Hexadecimal digits of one fingerprint in a job's summary.
const PRINT_DIGITS: usize = 16;

impl<L: Log> App<L> {
    /// Grades a photo by what is known around it: the phone's clock and place, the house, the job's tag,
    /// the photos recorded before in this job and in others.
    pub(crate) fn grade(
        &self,
        job: JobId,
        ask: &Ask,
        intake: &PhotoIntake,
        options: &PhotoOptions,
    ) -> Result<Grade, AppError> {
        let folded = fold(&*self.log.facts(job.into())?);
        let now = self.services.time.now();
        let opened = folded.opened.first();
        let tag = if ask.tag {
            tag_in_frame(&intake.tags, job, &self.trust()?)
        } else {
            TagInFrame::NotWanted
        };
        let mut known: Vec<Known> = folded
            .photos
            .iter()
            .filter(|photo| photo.holds())
            .map(|photo| Known {
                sha256: photo.body.original.digest.0,
                fingerprint: photo.body.fingerprint.map(Fingerprint::from_bits),
                other_job: false,
            })
            .collect();
        known.extend(self.known_in_other_jobs(job, Digest(intake.original.sha256))?);
        let circumstances = Circumstances {
            added: options.added,
            device_time: chrono::DateTime::from_timestamp_millis(now.utc_ms),
            device_offset_minutes: Some(i32::from(now.offset_min)),
            office_time: None,
            site: opened.and_then(|opened| opened.body.position).map(place),
            near_m: None,
            phone: options.phone_position.map(|position| PositionFix {
                position: place(position),
                altitude_m: None,
                error_m: position.error_m.map(|error| error.0),
                at: None,
            }),
            tag,
            known,
        };
        let graded = grade(intake, &circumstances);
        Ok(Grade {
            code: graded.grade.code().to_owned(),
            version: graded.version,
            reasons: graded.reasons.iter().map(ToString::to_string).collect(),
            best_i_can: options.best_i_can.clone(),
        })
    }

    /// Photos of other jobs: the very same file, and what photos there look like.
    fn known_in_other_jobs(&self, job: JobId, digest: Digest) -> Result<Vec<Known>, AppError> {
        let mut known = Vec::new();
        for fact in self.log.named_by(digest)? {
            let stream = self.log.fact(fact)?.map(|fact| fact.envelope().stream);
            if stream.is_some_and(|stream| stream.0 != job.0) {
                known.push(Known {
                    sha256: digest.0,
                    fingerprint: None,
                    other_job: true,
                });
            }
        }
        let mut page = Page::default();
        loop {
            let rows = self.log.summaries(&page)?;
            let Some(last) = rows.last() else {
                return Ok(known);
            };
            page.after = Some((last.summary.sort_key.clone(), last.stream));
            for row in rows.iter().filter(|row| row.stream.0 != job.0) {
                let about: Json = serde_json::from_str(&row.summary.json).unwrap_or_default();
                let prints = about.get("fingerprints").and_then(Json::as_str);
                known.extend(fingerprints(prints.unwrap_or_default()).map(|print| Known {
                    sha256: [0; 32],
                    fingerprint: Some(Fingerprint::from_bits(print)),
                    other_job: true,
                }));
            }
        }
    }
}

/// The fingerprints of a job's photos as its summary holds them, one after the other.
fn fingerprints(digits: &str) -> impl Iterator<Item = u64> + '_ {
    let prints = digits.as_bytes().chunks_exact(PRINT_DIGITS);
    prints.filter_map(|print| u64::from_str_radix(std::str::from_utf8(print).ok()?, 16).ok())
}

fn place(place: Position) -> wythe_media::Position {
    wythe_media::Position {
        latitude: place.latitude.0,
        longitude: place.longitude.0,
    }
}
