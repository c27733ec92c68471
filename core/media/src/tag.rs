//! The job tag: a QR code (ISO/IEC 18004) that stands in the frame with the old stove.

use qrcode::{Color, EcLevel, QrCode};
use rqrr::PreparedImage;
use serde::{Deserialize, Serialize};

use crate::Grey;

/// Longest side of the second look, for a tag that is small in the frame, pixels. The first is at the
/// preview's size.
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

/// The texts of the QR codes in a picture: each text once, in order of finding, at most
/// [`MOST_TAGS`]. A code that is there but cannot be read gives nothing.
#[must_use]
pub fn scan(picture: &Grey) -> Vec<String> {
    let (width, values) = (picture.width(), picture.values());
    let mut prepared = PreparedImage::prepare_from_greyscale(width, picture.height(), |x, y| {
        values.get(y * width + x).copied().unwrap_or(255)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Picture;

    /// The code of `payload` in black on white, `scale` pixels a module, at (`left`, `top`).
    fn put(rgb: &mut [u8], width: usize, payload: &[u8], scale: usize, (left, top): (usize, usize)) {
        let modules = TagModules::of(payload).unwrap();
        for (y, row) in modules.rows().enumerate() {
            for (x, _) in row.iter().enumerate().filter(|(_, dark)| **dark) {
                for n in 0..scale * scale {
                    let at = (top + y * scale + n / scale) * width + left + x * scale + n % scale;
                    rgb[at * 3..at * 3 + 3].fill(20);
                }
            }
        }
    }

    fn sheet(codes: &[(&[u8], usize, (usize, usize))]) -> Grey {
        let mut rgb = vec![235; 900 * 700 * 3];
        for (payload, scale, place) in codes {
            put(&mut rgb, 900, payload, *scale, *place);
        }
        Picture::new(900, 700, rgb).unwrap().grey()
    }

    #[test]
    fn what_is_drawn_is_read() {
        for text in [
            "W",
            "WYTHE:JOB:0001:5f2c9a71e0",
            "wythe://job/0001?k=Zm9vYmFyYmF6cXV4Zm9vYmFyYmF6cXV4",
        ] {
            assert_eq!(scan(&sheet(&[(text.as_bytes(), 5, (100, 80))])), [text]);
        }
    }

    #[test]
    fn two_tags_are_both_read_and_one_seen_twice_is_told_once() {
        let sheet = sheet(&[
            (b"one", 5, (60, 60)),
            (b"two", 5, (500, 60)),
            (b"one", 5, (60, 400)),
        ]);
        let mut found = scan(&sheet);
        found.sort();
        assert_eq!(found, ["one", "two"]);
    }

    #[test]
    fn no_tag_is_no_text() {
        assert!(scan(&sheet(&[])).is_empty());
        assert!(scan(&Picture::new(1, 1, vec![0; 3]).unwrap().grey()).is_empty());
    }

    #[test]
    fn what_is_too_long_for_a_code_is_refused() {
        assert!(TagModules::of(&[b'a'; 2331]).is_some());
        assert!(TagModules::of(&[b'a'; 2332]).is_none());
        assert_eq!(
            TagModules::of(b"W").map(|m| (m.side, m.dark.len())),
            Some((21, 441))
        );
    }
}
