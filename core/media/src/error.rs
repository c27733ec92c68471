use std::io;

/// Why a file was not taken in. Nothing of it is kept; the file it came from is untouched.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum MediaError {
    /// The source could not be read.
    #[error("the file could not be read ({0}); check that it is still there, then add it again")]
    Read(#[source] io::Error),
    /// The copy could not be written.
    #[error("the copy could not be written ({0}); make room on this device, then add it again")]
    Write(#[source] io::Error),
    /// The file has no bytes.
    #[error("the file is empty; take the photo again")]
    Empty,
    /// The file is larger than the limit.
    #[error("the file is larger than {limit} bytes; take it at a normal size setting")]
    TooLarge {
        /// The limit, bytes.
        limit: u64,
    },
    /// The first bytes are none of the formats that are read.
    #[error("this is not a JPEG, PNG or HEIC photo; take it with the camera and add that file")]
    NotAPhoto,
    /// The first bytes are neither PDF nor a photo.
    #[error("this is not a PDF, JPEG, PNG or HEIC; scan or photograph the paper")]
    NotAPaper,
    /// The picture claims more pixels than are decoded.
    #[error("the picture is {width} x {height} pixels, more than {limit}; take it at a normal size setting")]
    TooManyPixels {
        /// Claimed width, pixels.
        width: u64,
        /// Claimed height, pixels.
        height: u64,
        /// The limit in pixels.
        limit: u64,
    },
    /// Decoding would go beyond the limit on memory or passes.
    #[error(
        "the file asks for more work than a photo or paper does ({detail}); photograph it with the camera instead"
    )]
    TooMuchWork {
        /// What went beyond.
        detail: String,
    },
    /// The bytes begin like a PDF and hold no page that can be found.
    #[error("no page was found in this PDF ({detail}); print or scan it anew, or photograph the paper")]
    NoPages {
        /// What was looked for.
        detail: String,
    },
    /// The bytes could not be decoded as the picture they claim to be.
    #[error("the picture could not be decoded ({detail}); take it again")]
    Undecodable {
        /// What the decoder said.
        detail: String,
    },
    /// The preview could not be made.
    #[error("the preview could not be made ({detail}); add the photo again")]
    Preview {
        /// What the encoder said.
        detail: String,
    },
}

impl MediaError {
    /// The stable code, for messages and for other programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Read(_) => "media_read",
            Self::Write(_) => "media_write",
            Self::Empty => "media_empty",
            Self::TooLarge { .. } => "media_too_large",
            Self::NotAPhoto => "media_not_a_photo",
            Self::NotAPaper => "media_not_a_paper",
            Self::TooManyPixels { .. } => "media_too_many_pixels",
            Self::TooMuchWork { .. } => "media_too_much_work",
            Self::NoPages { .. } => "media_no_pages",
            Self::Undecodable { .. } => "media_undecodable",
            Self::Preview { .. } => "media_preview",
        }
    }
}
