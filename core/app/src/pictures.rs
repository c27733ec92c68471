use std::fs::File;
use std::io::{Cursor, Seek, SeekFrom};
use std::path::Path;

use wythe_guide::AskKind;
use wythe_job::{
    Address, Digest, FactId, Grade, JobId, Original, PaperAdded, PhotoTaken, PhotoTime, Position,
};
use wythe_media::grade::HowAdded;
use wythe_media::{Fingerprint, MemorySink, Preview, TagLook};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;

/// The size of a photograph of which nothing can be told: it is kept all the same.
const UNKNOWN_SIZE: (u32, u32) = (1, 1);

/// What goes with a photograph beyond its file.
#[derive(Debug, Clone, Default)]
pub struct PhotoOptions {
    /// Whether the camera took it just now, or it lay among the phone's files.
    pub added: HowAdded,
    /// An upright JPEG of it that the platform decoded, for a file that cannot be looked into here
    /// (HEIC).
    pub preview: Option<Vec<u8>>,
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
        let ask = self.ask_at(address)?.clone();
        let name = file_name(path);
        let mut file = open(path)?;
        // What the photograph says is read first; the original is then copied in by the store, which
        // takes its own digest: both must agree before a fact names it.
        let mut sink = MemorySink::default();
        let look = if ask.tag { TagLook::Twice } else { TagLook::Once };
        let mut intake = wythe_media::intake_photo_looking(&mut file, &mut sink, look)?;
        if let Some(preview) = options.preview.as_ref().filter(|_| intake.preview.is_none()) {
            intake.supply_preview(preview)?;
        }
        let original = self.keep_original(&mut file, &name, &intake.original)?;
        let preview = intake
            .preview
            .as_ref()
            .map(|preview| self.keep_preview(preview))
            .transpose()?;
        // A file that does not say its size and cannot be looked into has the size of what is seen of it.
        let seen = intake.preview.as_ref();
        let size = match intake.size {
            Some(size) => (size.width, size.height),
            None => seen.map_or(UNKNOWN_SIZE, |preview| (preview.width, preview.height)),
        };
        let taken = intake.metadata.taken.as_ref();
        let position = intake
            .metadata
            .fix
            .as_ref()
            .and_then(|fix| Position::new(fix.position.latitude, fix.position.longitude, fix.error_m));
        let grade = self.grade(job, &ask, &intake, options)?;
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
            visit: self.open_visit(job)?,
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

    /// Takes a paper in by its path: a PDF or a picture of it.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] when the ask takes none, [`AppError::Media`], [`AppError::Store`].
    pub fn add_paper(&mut self, job: JobId, address: &Address, path: &Path) -> Result<AddedPaper, AppError> {
        self.ask_of_kind(address, &AskKind::Paper)?;
        self.take_paper(job, address, path)
    }

    /// Takes in a page that was signed by hand, for an ask of a signature: a PDF or a picture of it. The
    /// signature itself is recorded with [`App::sign_off`] as one on paper, and covers the page.
    ///
    /// # Errors
    /// As [`App::add_paper`].
    pub fn add_signed_page(
        &mut self,
        job: JobId,
        address: &Address,
        path: &Path,
    ) -> Result<AddedPaper, AppError> {
        self.signing_role(address)?;
        self.take_paper(job, address, path)
    }

    fn take_paper(&mut self, job: JobId, address: &Address, path: &Path) -> Result<AddedPaper, AppError> {
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
            visit: self.open_visit(job)?,
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
