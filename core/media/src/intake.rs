use std::{fs::File, io::Read, path::Path};

use serde::{Deserialize, Serialize};

use crate::{
    Format, Kept, MediaError, Metadata, Original, OriginalSink, Picture, Preview, copy_and_hash, limits,
    read_metadata,
};

/// Width and height of a photo as it is seen upright, pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct PixelSize {
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
}

/// A photo taken in: what is known of it without asking anybody.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PhotoIntake {
    /// The original, which is now kept.
    pub original: Original,
    /// Whether the same bytes had been kept before.
    pub seen_before: bool,
    /// Its size as seen upright; `None` for a HEIC, which is not decoded here.
    pub size: Option<PixelSize>,
    /// Whether the file goes on to its end; `false` if a JPEG breaks off.
    pub complete: bool,
    /// What the file says about itself.
    pub metadata: Metadata,
    /// A small upright copy; `None` for a HEIC, of which the phone itself makes one.
    pub preview: Option<Preview>,
}

/// Takes in the photo at `path`. See [`intake_photo`].
///
/// # Errors
/// [`MediaError::Read`] if it cannot be opened, and those of [`intake_photo`].
pub fn intake_photo_file(path: &Path, sink: &mut dyn OriginalSink) -> Result<PhotoIntake, MediaError> {
    intake_photo(File::open(path).map_err(MediaError::Read)?, sink)
}

/// Takes in a photo: copies it to `sink` while its SHA-256 is taken, tells its format from its first
/// bytes, reads its metadata, decodes it within [`limits`], makes the upright preview, and last of
/// all has the sink make the original durable. The source is only read.
///
/// # Errors
/// Any [`MediaError`]; the sink has then been abandoned and nothing is kept.
pub fn intake_photo(source: impl Read, sink: &mut dyn OriginalSink) -> Result<PhotoIntake, MediaError> {
    let (bytes, sha256) = copy_and_hash(source, limits::PHOTO_BYTES, sink)?;
    let taken_in = look_at(&bytes, sha256);
    match taken_in {
        Ok(mut photo) => {
            photo.seen_before = sink.keep(&photo.original).map_err(MediaError::Write)? == Kept::AlreadyThere;
            Ok(photo)
        }
        Err(refused) => {
            sink.abandon();
            Err(refused)
        }
    }
}

fn look_at(bytes: &[u8], sha256: [u8; 32]) -> Result<PhotoIntake, MediaError> {
    let format = match Format::sniff(bytes) {
        Some(format @ (Format::Jpeg | Format::Png | Format::Heic)) => format,
        Some(Format::Pdf) | None => return Err(MediaError::NotAPhoto),
    };
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    let metadata = read_metadata(bytes);
    let mut photo = PhotoIntake {
        original: Original {
            sha256,
            length,
            format,
        },
        seen_before: false,
        size: None,
        complete: format != Format::Jpeg || has_end_mark(bytes),
        metadata,
        preview: None,
    };
    if format == Format::Heic {
        return Ok(photo);
    }
    let full = Picture::decode(bytes, format)?;
    let (width, height) = (full.width(), full.height());
    let turn = photo.metadata.orientation;
    let (width, height) = if turn.swaps_sides() {
        (height, width)
    } else {
        (width, height)
    };
    photo.size = u32::try_from(width)
        .ok()
        .zip(u32::try_from(height).ok())
        .map(|(width, height)| PixelSize { width, height });
    let side = usize::try_from(limits::PREVIEW_SIDE).unwrap_or(usize::MAX);
    let reduced = full.reduced_to(side).turned(turn);
    drop(full);
    photo.preview = Some(Preview::of(&reduced)?);
    Ok(photo)
}

/// Whether a JPEG has its end mark. Some cameras add a film or a second picture after it.
fn has_end_mark(jpeg: &[u8]) -> bool {
    jpeg.array_windows::<2>().rev().any(|pair| *pair == [0xFF, 0xD9])
}
