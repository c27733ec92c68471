use std::{fs::File, io::Read, path::Path, thread};

use serde::{Deserialize, Serialize};

use crate::{
    Fingerprint, Format, Grey, Kept, Look, MediaError, Metadata, Orientation, Original, OriginalSink,
    Picture, Preview, copy_and_hash, limits, read_metadata, tag,
};

/// Width and height of a photo as it is seen upright, pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct PixelSize {
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
}

/// How hard to look for the job's tag.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TagLook {
    /// Not at all: for an ask that wants none, where every moment counts.
    Not,
    /// At the preview's size: a tag a tenth of the picture wide is found. A code that is seen and not
    /// read is looked at again.
    #[default]
    Once,
    /// If that finds none, at about twice the size: for an ask that wants the tag in the frame.
    Twice,
}

/// A photo taken in: what is known of it without asking anybody.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PhotoIntake {
    /// The original, which is now kept.
    pub original: Original,
    /// Whether the same bytes had been kept before.
    pub seen_before: bool,
    /// Its size as seen upright; for a HEIC what its metadata claims, if anything.
    pub size: Option<PixelSize>,
    /// Whether the file goes on to its end; `false` if a JPEG breaks off.
    pub complete: bool,
    /// What the file says about itself.
    pub metadata: Metadata,
    /// A small upright copy; `None` for a HEIC until [`PhotoIntake::supply_preview`].
    pub preview: Option<Preview>,
    /// What was measured in it; `None` as the preview.
    pub look: Option<Look>,
    /// What it looks like in 64 bits; `None` as the preview, or if it is tiny.
    pub fingerprint: Option<Fingerprint>,
    /// What the QR codes in it say, each once.
    pub tags: Vec<String>,
}

/// Takes in the photo at `path`. See [`intake_photo`].
///
/// # Errors
/// [`MediaError::Read`] if it cannot be opened, and those of [`intake_photo`].
pub fn intake_photo_file(path: &Path, sink: &mut dyn OriginalSink) -> Result<PhotoIntake, MediaError> {
    intake_photo(File::open(path).map_err(MediaError::Read)?, sink)
}

/// Takes in a photo: copies it to `sink` while its SHA-256 is taken, tells its format from its first
/// bytes, reads its metadata, decodes it within [`limits`], makes and measures the upright preview,
/// reads tags, and last of all has the sink make the original durable. The source is only read.
///
/// # Errors
/// Any [`MediaError`]; the sink has then been abandoned and nothing is kept.
pub fn intake_photo(source: impl Read, sink: &mut dyn OriginalSink) -> Result<PhotoIntake, MediaError> {
    intake_photo_looking(source, sink, TagLook::Once)
}

/// [`intake_photo`], saying how hard to look for tags.
///
/// # Errors
/// As [`intake_photo`].
pub fn intake_photo_looking(
    source: impl Read,
    sink: &mut dyn OriginalSink,
    look: TagLook,
) -> Result<PhotoIntake, MediaError> {
    let (bytes, sha256) = copy_and_hash(source, limits::PHOTO_BYTES, sink)?;
    let mut photo = match look_at(&bytes, sha256, look) {
        Ok(photo) => photo,
        Err(refused) => {
            sink.abandon();
            return Err(refused);
        }
    };
    photo.seen_before = sink.keep(&photo.original).map_err(MediaError::Write)? == Kept::AlreadyThere;
    Ok(photo)
}

impl PhotoIntake {
    /// Takes over the preview that a phone made of a HEIC, as an upright JPEG of at least the
    /// preview's size: it is decoded, reduced, encoded anew without metadata, measured and looked
    /// over for tags. What the file itself said is left as it was.
    ///
    /// # Errors
    /// As [`intake_photo`], about the preview.
    pub fn supply_preview(&mut self, jpeg: &[u8]) -> Result<(), MediaError> {
        let picture = Picture::decode(jpeg, Format::Jpeg)?;
        self.see(&picture, Orientation::Upright, TagLook::Twice)
    }

    /// Fills in all that comes from pixels. The preview is encoded while it is measured, and while it is
    /// looked over for tags, each on a thread of its own.
    fn see(&mut self, full: &Picture, turn: Orientation, look: TagLook) -> Result<(), MediaError> {
        let side = usize::try_from(limits::PREVIEW_SIDE).unwrap_or(usize::MAX);
        let reduced = full.reduced_to(side).turned(turn);
        let grey = reduced.grey();
        let (preview, measured, read) = thread::scope(|scope| {
            let measured = scope.spawn(|| (Look::of(&grey), Fingerprint::of(&grey)));
            let read = scope.spawn(|| tags(&grey, full, look));
            (Preview::of(&reduced), measured.join(), read.join())
        });
        self.preview = Some(preview?);
        if let Ok((look, fingerprint)) = measured {
            self.look = Some(look);
            self.fingerprint = fingerprint;
        }
        // A reader of codes that gives up must not cost the photo.
        self.tags = read.unwrap_or_default();
        Ok(())
    }
}

fn tags(reduced: &Grey, full: &Picture, look: TagLook) -> Vec<String> {
    if look == TagLook::Not {
        return Vec::new();
    }
    tag::read(reduced, full, look == TagLook::Twice)
}

fn look_at(bytes: &[u8], sha256: [u8; 32], look: TagLook) -> Result<PhotoIntake, MediaError> {
    let format = match Format::sniff(bytes) {
        Some(format @ (Format::Jpeg | Format::Png | Format::Heic)) => format,
        Some(Format::Pdf) | None => return Err(MediaError::NotAPhoto),
    };
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    let metadata = read_metadata(bytes);
    let turn = metadata.orientation;
    let mut photo = PhotoIntake {
        original: Original {
            sha256,
            length,
            format,
        },
        seen_before: false,
        size: metadata
            .claimed_size
            .and_then(|(width, height)| upright(width, height, turn)),
        complete: format != Format::Jpeg || has_end_mark(bytes),
        metadata,
        preview: None,
        look: None,
        fingerprint: None,
        tags: Vec::new(),
    };
    if format == Format::Heic {
        return Ok(photo);
    }
    let full = Picture::decode(bytes, format)?;
    let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    photo.size = upright(side(full.width()), side(full.height()), turn);
    photo.see(&full, turn, look)?;
    Ok(photo)
}

fn upright(width: u32, height: u32, turn: Orientation) -> Option<PixelSize> {
    let (width, height) = if turn.swaps_sides() {
        (height, width)
    } else {
        (width, height)
    };
    (width > 0 && height > 0).then_some(PixelSize { width, height })
}

/// Whether a JPEG has its end mark. Some cameras add a film or a second picture after it.
fn has_end_mark(jpeg: &[u8]) -> bool {
    jpeg.array_windows::<2>().rev().any(|pair| *pair == [0xFF, 0xD9])
}
