use std::fs::File;
use std::io::{Cursor, Seek, SeekFrom};
use std::path::Path;

use wythe_guide::AskKind;
use wythe_job::{
    Address, Digest, FactId, Grade, JobId, Original, PaperAdded, PhotoTaken, PhotoTime, Position,
};
use wythe_media::grade::{Circumstances, Known};
use wythe_media::{Fingerprint, MemorySink, PhotoIntake, PositionFix, Preview, TagLook};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;

/// What goes with a photograph beyond its file.
#[derive(Debug, Clone, Default)]
pub struct PhotoOptions {
    /// Where the phone says it is.
    pub phone_position: Option<Position>,
    /// Why it is the best that could be had.
    pub best_i_can: Option<String>,
}

/// A photograph taken in.
#[derive(Debug, Clone, PartialEq)]
pub struct AddedPhoto {
    /// The fact.
    pub fact: FactId,
    /// The original.
    pub original: Digest,
    /// Width and height, upright.
    pub size: (u32, u32),
    /// The camera's own time.
    pub taken: Option<String>,
    /// Whether these bytes were here before.
    pub seen_before: bool,
    /// How good it is as evidence, and why.
    pub grade: Grade,
}

/// A paper taken in.
#[derive(Debug, Clone, PartialEq)]
pub struct AddedPaper {
    /// The fact.
    pub fact: FactId,
    /// The original.
    pub original: Digest,
    /// How many pages, where that could be told.
    pub pages: Option<u32>,
}

impl<L: Log> App<L> {
    /// A grade and its reasons in the person's language.
    pub fn grade_in_words(&self, grade: &Grade) -> (String, Vec<String>) {
        let words = self.words();
        // A reason is kept as its code, perhaps with figures behind it.
        let reason = |reason: &String| {
            let code: String = reason
                .chars()
                .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
                .collect();
            words.find(&format!("photo-reason-{code}"), &[]).unwrap_or(code)
        };
        let reasons = grade.reasons.iter().map(reason).collect();
        (words.get(&format!("grade-{}", grade.code)), reasons)
    }

    /// The text of the job's tag, which is fastened where the old stove is in the frame.
    ///
    /// # Errors
    /// [`AppError::NoJob`], [`AppError::Store`].
    pub fn tag_text(&self, job: JobId) -> Result<String, AppError> {
        let folded = wythe_job::fold(&*self.log.facts(job.into())?);
        let opened = folded
            .opened
            .first()
            .ok_or_else(|| AppError::NoJob(job.short()))?;
        Ok(format!("WYTHE {}", opened.fact.short()))
    }

    /// Takes a photograph in by its path. The file itself is only read.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] when the ask takes none, [`AppError::Media`], [`AppError::Store`].
    pub fn add_photo(
        &mut self,
        job: JobId,
        address: &Address,
        path: &Path,
        options: &PhotoOptions,
    ) -> Result<AddedPhoto, AppError> {
        self.ask_of_kind(address, &AskKind::Photo)?;
        let name = file_name(path);
        let mut file = open(path)?;
        // What the photograph says is read first; the original is then copied in by the store, which
        // takes its own digest: both must agree before a fact names it.
        let mut sink = MemorySink::default();
        let intake = wythe_media::intake_photo_looking(&mut file, &mut sink, TagLook::Twice)?;
        let original = self.keep_original(&mut file, &name, &intake.original)?;
        let preview = intake
            .preview
            .as_ref()
            .map(|preview| self.keep_preview(preview))
            .transpose()?;
        let size = intake.size.map_or((0, 0), |size| (size.width, size.height));
        let taken = intake.metadata.taken.as_ref();
        let position = intake
            .metadata
            .fix
            .as_ref()
            .and_then(|fix| Position::new(fix.position.latitude, fix.position.longitude, fix.error_m));
        let grade = self.grade(job, &intake, options)?;
        let body = PhotoTaken {
            address: address.clone(),
            original: original.clone(),
            preview,
            width: size.0,
            height: size.1,
            taken: taken.map(|taken| PhotoTime {
                local: taken.local.format("%Y-%m-%dT%H:%M:%S").to_string(),
                offset_min: taken
                    .offset_minutes
                    .and_then(|minutes| i16::try_from(minutes).ok()),
            }),
            position,
            phone_position: options.phone_position,
            orientation: u8::try_from(intake.metadata.orientation.exif()).unwrap_or(1),
            fingerprint: intake.fingerprint.map(Fingerprint::bits),
            tags: intake.tags.clone(),
            grade: Some(grade.clone()),
            visit: self.open_visit(job, None)?,
        };
        let fact = self.record(job, body, Vec::new())?;
        Ok(AddedPhoto {
            fact,
            original: original.digest,
            size,
            taken: taken.map(|taken| taken.local.format("%Y-%m-%d %H:%M").to_string()),
            seen_before: self.log.named_by(original.digest)?.len() > 1,
            grade,
        })
    }

    /// Grades a photograph by what is known around it: the phone's clock and place, the house, the
    /// photographs recorded before.
    fn grade(&self, job: JobId, intake: &PhotoIntake, options: &PhotoOptions) -> Result<Grade, AppError> {
        let folded = wythe_job::fold(&*self.log.facts(job.into())?);
        let now = self.services.time.now();
        let place = |place: Position| wythe_media::Position {
            latitude: place.latitude.0,
            longitude: place.longitude.0,
        };
        let mut known: Vec<Known> = Vec::new();
        for photo in folded.photos.iter().filter(|photo| photo.holds()) {
            known.push(Known {
                sha256: photo.body.original.digest.0,
                fingerprint: photo.body.fingerprint.map(Fingerprint::from_bits),
                other_job: false,
            });
        }
        let named = self.log.named_by(Digest(intake.original.sha256))?;
        for fact in named {
            let stream = self.log.fact(fact)?.map(|fact| fact.envelope().stream);
            if stream.is_some_and(|stream| stream.0 != job.0) {
                known.push(Known {
                    sha256: intake.original.sha256,
                    fingerprint: None,
                    other_job: true,
                });
            }
        }
        let circumstances = Circumstances {
            device_time: chrono::DateTime::from_timestamp_millis(now.utc_ms),
            device_offset_minutes: Some(i32::from(now.offset_min)),
            site: folded
                .opened
                .first()
                .and_then(|opened| opened.body.position)
                .map(place),
            phone: options.phone_position.map(|position| PositionFix {
                position: place(position),
                altitude_m: None,
                error_m: position.error_m.map(|error| error.0),
                at: None,
            }),
            known,
            ..Circumstances::default()
        };
        let graded = wythe_media::grade::grade(intake, &circumstances);
        Ok(Grade {
            code: graded.grade.code().to_owned(),
            version: graded.version,
            reasons: graded.reasons.iter().map(ToString::to_string).collect(),
            best_i_can: options.best_i_can.clone(),
        })
    }

    /// Takes a paper in by its path: a PDF or a picture of it.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] when the ask takes none, [`AppError::Media`], [`AppError::Store`].
    pub fn add_paper(&mut self, job: JobId, address: &Address, path: &Path) -> Result<AddedPaper, AppError> {
        self.ask_of_kind(address, &AskKind::Paper)?;
        let name = file_name(path);
        let mut file = open(path)?;
        let mut sink = MemorySink::default();
        let intake = wythe_media::intake_paper(&mut file, &mut sink)?;
        let original = self.keep_original(&mut file, &name, &intake.original)?;
        let preview = intake
            .preview
            .as_ref()
            .map(|preview| self.keep_preview(preview))
            .transpose()?;
        let body = PaperAdded {
            address: address.clone(),
            original: original.clone(),
            pages: intake.pages,
            preview,
            visit: self.open_visit(job, None)?,
        };
        let fact = self.record(job, body, Vec::new())?;
        Ok(AddedPaper {
            fact,
            original: original.digest,
            pages: intake.pages,
        })
    }

    /// Copies a file that was looked at into the originals, and makes sure that it is still the same.
    fn keep_original(
        &self,
        file: &mut File,
        name: &str,
        seen: &wythe_media::Original,
    ) -> Result<Original, AppError> {
        file.seek(SeekFrom::Start(0))
            .map_err(|why| file_error(name, &why))?;
        let original = self.log.originals().put(file, name, seen.format.media_type())?;
        if original.digest.0 == seen.sha256 {
            return Ok(original);
        }
        Err(AppError::File {
            what: name.to_owned(),
            why: "it changed while it was read".to_owned(),
        })
    }

    fn keep_preview(&self, preview: &Preview) -> Result<Original, AppError> {
        let mut bytes = Cursor::new(&preview.jpeg);
        Ok(self
            .log
            .originals()
            .put(&mut bytes, "preview.jpg", "image/jpeg")?)
    }
}

/// A file's name without its folder: folders can name people.
pub(crate) fn file_name(path: &Path) -> String {
    path.file_name()
        .map_or_else(|| "file".to_owned(), |name| name.to_string_lossy().into_owned())
}

pub(crate) fn file_error(what: &str, why: &std::io::Error) -> AppError {
    AppError::File {
        what: what.to_owned(),
        why: why.to_string(),
    }
}

fn open(path: &Path) -> Result<File, AppError> {
    File::open(path).map_err(|why| file_error(&file_name(path), &why))
}
