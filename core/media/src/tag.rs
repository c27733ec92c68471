//! The job tag: a QR code (ISO/IEC 18004) that stands in the frame with the old stove.

use qrcode::{Color, EcLevel, QrCode};
use rqrr::PreparedImage;
use serde::{Deserialize, Serialize};

use crate::Picture;

/// Longest side at which a picture is first looked over for tags, pixels.
pub const FIRST_SIDE: usize = 1280;

/// Longest side of the second look, for a tag that is small in the frame, pixels.
pub const SECOND_SIDE: usize = 2560;

/// Codes of one picture that are read; a wall of codes is no tag.
pub const MOST_TAGS: usize = 8;

/// The dark and light modules of one QR code, to be drawn in ink with four modules of quiet around.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TagModules {
    /// Modules along one side, quiet zone not counted: 21 to 177.
    pub side: usize,
    /// Row by row from the top left; `true` is dark.
    pub dark: Vec<bool>,
}

impl TagModules {
    /// The modules for `payload`, with medium error correction (15 % of the code may be dirty).
    /// `None` if it is longer than a code can hold, 2,331 bytes.
    #[must_use]
    pub fn of(payload: &[u8]) -> Option<Self> {
        let code = QrCode::with_error_correction_level(payload, EcLevel::M).ok()?;
        let dark = code
            .to_colors()
            .into_iter()
            .map(|colour| colour == Color::Dark)
            .collect();
        Some(Self {
            side: code.width(),
            dark,
        })
    }

    /// The rows, from the top.
    pub fn rows(&self) -> impl Iterator<Item = &[bool]> {
        self.dark.chunks_exact(self.side.max(1))
    }
}

/// The texts of the QR codes in a picture of any size, looked at with its longest side at most
/// `side`. Each text once, in order of finding, at most [`MOST_TAGS`]. A code that is there but
/// cannot be read gives nothing.
#[must_use]
pub fn scan(picture: &Picture, side: usize) -> Vec<String> {
    let reduced = picture.reduced_to(side);
    let (width, luma) = (reduced.width(), reduced.luma());
    let mut prepared = PreparedImage::prepare_from_greyscale(width, reduced.height(), |x, y| {
        luma.get(y * width + x).copied().unwrap_or(255)
    });
    let mut found: Vec<String> = Vec::new();
    for grid in prepared.detect_grids().into_iter().take(MOST_TAGS) {
        if let Ok((_, text)) = grid.decode()
            && !found.contains(&text)
        {
            found.push(text);
        }
    }
    found
}
