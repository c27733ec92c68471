//! The job tag: a QR code (ISO/IEC 18004) that stands in the frame with the old stove.

use qrcode::{Color, EcLevel, QrCode, Version};
use rqrr::PreparedImage;
use serde::{Deserialize, Serialize};

use crate::{Grey, Picture};

/// Longest sides of further looks at a code that was seen and not read, pixels.
const NEAR_SIDES: [usize; 2] = [960, 1600];

/// Longest sides of further looks for a tag that is small in the frame, or whose modules fall badly on the
/// pixels of the others, pixels.
const LARGE_SIDES: [usize; 5] = [2560, 2000, 1600, 1120, 960];

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
    /// The modules for `payload`, with medium error correction (15 % of the code may be dirty) and at
    /// least 25 to a side: smaller codes lack the fourth corner's mark, and are read less surely when
    /// they stand askew. `None` if it is longer than a code can hold, 2,331 bytes.
    #[must_use]
    pub fn of(payload: &[u8]) -> Option<Self> {
        let marked = QrCode::with_version(payload, Version::Normal(2), EcLevel::M);
        let code = marked
            .or_else(|_| QrCode::with_error_correction_level(payload, EcLevel::M))
            .ok()?;
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

/// What was seen in one look at a picture.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seen {
    /// The texts of the codes that were read: each once, in order of finding, at most [`MOST_TAGS`].
    pub texts: Vec<String>,
    /// Whether a code was seen that could not be read.
    pub unread: bool,
}

/// Looks a picture over for QR codes, once and at its size.
#[must_use]
pub fn scan(picture: &Grey) -> Seen {
    let (width, values) = (picture.width(), picture.values());
    let mut prepared = PreparedImage::prepare_from_greyscale(width, picture.height(), |x, y| {
        values.get(y * width + x).copied().unwrap_or(255)
    });
    let mut seen = Seen::default();
    for grid in prepared.detect_grids().into_iter().take(MOST_TAGS) {
        match grid.decode() {
            Ok((_, text)) if !seen.texts.contains(&text) => seen.texts.push(text),
            Ok(_) => {}
            Err(_) => seen.unread = true,
        }
    }
    seen
}

/// The texts of the codes in a picture of which a reduced copy is at hand. A code that is seen and
/// not read is looked at again at other sizes: where its modules fall on other pixels it often reads.
#[must_use]
pub fn read(reduced: &Grey, full: &Picture, larger_too: bool) -> Vec<String> {
    let first = scan(reduced);
    if !first.texts.is_empty() {
        return first.texts;
    }
    let longest = full.width().max(full.height());
    let near: &[usize] = if first.unread { &NEAR_SIDES } else { &[] };
    let large: &[usize] = if larger_too { &LARGE_SIDES } else { &[] };
    // A picture smaller than the larger looks is looked at as it is, once.
    let looked_at = reduced.width().max(reduced.height());
    let mut sides: Vec<usize> = Vec::new();
    for side in near.iter().chain(large).map(|side| *side.min(&longest)) {
        if side != looked_at && !sides.contains(&side) {
            sides.push(side);
        }
    }
    sides
        .into_iter()
        .map(|side| scan(&full.reduced_to(side).grey()).texts)
        .find(|texts| !texts.is_empty())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

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

    fn texts(picture: &Grey) -> Vec<String> {
        scan(picture).texts
    }

    #[test]
    fn what_is_drawn_is_read() {
        for text in [
            "W",
            "WYTHE:JOB:0001:5f2c9a71e0",
            "wythe://job/0001?k=Zm9vYmFyYmF6cXV4Zm9vYmFyYmF6cXV4",
        ] {
            assert_eq!(texts(&sheet(&[(text.as_bytes(), 5, (100, 80))])), [text]);
        }
    }

    #[test]
    fn two_tags_are_both_read_and_one_seen_twice_is_told_once() {
        let sheet = sheet(&[
            (b"one", 5, (60, 60)),
            (b"two", 5, (500, 60)),
            (b"one", 5, (60, 400)),
        ]);
        let mut found = texts(&sheet);
        found.sort();
        assert_eq!(found, ["one", "two"]);
    }

    #[test]
    fn no_tag_is_no_text() {
        assert!(texts(&sheet(&[])).is_empty());
        assert!(texts(&Picture::new(1, 1, vec![0; 3]).unwrap().grey()).is_empty());
    }

    #[test]
    fn what_is_too_long_for_a_code_is_refused() {
        assert!(TagModules::of(&[b'a'; 2331]).is_some());
        assert!(TagModules::of(&[b'a'; 2332]).is_none());
        assert_eq!(
            TagModules::of(b"W").map(|m| (m.side, m.dark.len())),
            Some((25, 625))
        );
    }
}
