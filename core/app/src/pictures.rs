use std::fs::File;
use std::io::{Cursor, Read, Seek, SeekFrom};
use std::path::Path;

use wythe_guide::AskKind;
use wythe_job::{
    Address, Digest, FactId, Grade, JobId, Original, PaperAdded, PhotoTaken, PhotoTime, Position,
};
use wythe_media::grade::HowAdded;
use wythe_media::{Fingerprint, Format, MemorySink, TagLook};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;

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
        file.seek(SeekFrom::Start(0))
            .map_err(|why| file_error(&name, &why))?;
        let original = self.keep_original(&mut file, &name, intake.original.format)?;
        if original.digest.0 != intake.original.sha256 {
            return Err(AppError::File {
                what: name,
                why: "it changed while it was read".to_owned(),
            });
        }
        let preview = match &intake.preview {
            Some(preview) => {
                let mut bytes = Cursor::new(&preview.jpeg);
                Some(
                    self.log
                        .originals()
                        .put(&mut bytes, "preview.jpg", "image/jpeg")?,
                )
            }
            None => None,
        };
        let size = intake.size.map_or((0, 0), |size| (size.width, size.height));
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
        file.seek(SeekFrom::Start(0))
            .map_err(|why| file_error(&name, &why))?;
        let original = self.keep_original(&mut file, &name, intake.original.format)?;
        if original.digest.0 != intake.original.sha256 {
            return Err(AppError::File {
                what: name,
                why: "it changed while it was read".to_owned(),
            });
        }
        let preview = match &intake.preview {
            Some(preview) => {
                let mut bytes = Cursor::new(&preview.jpeg);
                Some(
                    self.log
                        .originals()
                        .put(&mut bytes, "preview.jpg", "image/jpeg")?,
                )
            }
            None => None,
        };
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

    fn keep_original(&self, file: &mut dyn Read, name: &str, format: Format) -> Result<Original, AppError> {
        Ok(self.log.originals().put(file, name, format.media_type())?)
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
