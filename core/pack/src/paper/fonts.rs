//! The embedded font: which characters it has and how wide they are.

use std::cell::RefCell;
use std::collections::BTreeSet;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::MetadataProvider as _;
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use wythe_drawing::Measure;

use super::error::PaperError;

static REGULAR: &[u8] = include_bytes!("../../fonts/SourceSansPro-Regular.otf");
static BOLD: &[u8] = include_bytes!("../../fonts/SourceSansPro-Bold.otf");

/// The two faces. Text is set glyph by glyph without kerning or ligatures, so that a line is exactly as
/// wide as the advances its layout was reckoned with.
pub(super) struct Fonts {
    regular: Face,
    bold: Face,
    unprintable: RefCell<BTreeSet<char>>,
}

struct Face {
    font: Font,
    charmap: Charmap<'static>,
    metrics: GlyphMetrics<'static>,
    units_per_em: f64,
}

impl Fonts {
    pub fn load() -> Result<Self, PaperError> {
        Ok(Self {
            regular: Face::load(REGULAR)?,
            bold: Face::load(BOLD)?,
            unprintable: RefCell::new(BTreeSet::new()),
        })
    }

    pub fn unprintable(&self) -> Vec<char> {
        self.unprintable.borrow().iter().copied().collect()
    }

    pub fn font(&self, bold: bool) -> Font {
        self.face(bold).font.clone()
    }

    /// Advance of a character as a share of the size; zero if the font does not have it.
    pub fn advance(&self, character: char, bold: bool) -> f64 {
        self.face(bold)
            .glyph(character)
            .map_or(0.0, |(_, advance)| advance)
    }

    /// The glyphs of a text.
    pub fn glyphs(&self, text: &str, bold: bool) -> Vec<KrillaGlyph> {
        let face = self.face(bold);
        text.char_indices()
            .filter_map(|(start, character)| {
                let (id, advance) = face.glyph(character)?;
                let range = start..start + character.len_utf8();
                Some(KrillaGlyph::new(
                    GlyphId::new(id),
                    single(advance),
                    0.0,
                    0.0,
                    0.0,
                    range,
                    None,
                ))
            })
            .collect()
    }

    /// The text with what the font does not have replaced, and remembered.
    pub fn printable(&self, text: &str) -> String {
        text.chars()
            .filter_map(|character| self.printable_character(character))
            .collect()
    }

    fn printable_character(&self, character: char) -> Option<char> {
        let like = match character {
            '\n' => return Some('\n'),
            '\t' | '\u{2007}' | '\u{2009}' | '\u{200a}' => ' ',
            '\u{202f}' => '\u{a0}',
            '\u{2010}' | '\u{2011}' => '-',
            '\u{200b}'..='\u{200f}' | '\u{feff}' | '\u{ad}' => return None,
            other if other.is_control() => return None,
            other => other,
        };
        if self.regular.glyph(like).is_some() && self.bold.glyph(like).is_some() {
            return Some(like);
        }
        self.unprintable.borrow_mut().insert(character);
        Some('?')
    }

    const fn face(&self, bold: bool) -> &Face {
        if bold { &self.bold } else { &self.regular }
    }
}

impl Measure for Fonts {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        text.chars()
            .map(|character| self.advance(character, bold))
            .sum::<f64>()
            * size
    }
}

impl Face {
    fn load(bytes: &'static [u8]) -> Result<Self, PaperError> {
        let font = Font::new(bytes.into(), 0).ok_or(PaperError::Font)?;
        let reference = skrifa::FontRef::new(bytes).map_err(|_| PaperError::Font)?;
        Ok(Self {
            units_per_em: f64::from(font.units_per_em()),
            charmap: reference.charmap(),
            metrics: reference.glyph_metrics(Size::unscaled(), LocationRef::default()),
            font,
        })
    }

    fn glyph(&self, character: char) -> Option<(u32, f64)> {
        let id = self.charmap.map(character)?;
        let advance = self.metrics.advance_width(id)?;
        (id.to_u32() != 0).then(|| (id.to_u32(), f64::from(advance) / self.units_per_em))
    }
}

/// A coordinate as the PDF writer takes it.
#[expect(
    clippy::cast_possible_truncation,
    reason = "points on a page: a millionth is far below a dot"
)]
pub(super) const fn single(value: f64) -> f32 {
    value as f32
}
