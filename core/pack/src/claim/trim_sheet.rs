use wythe_drawing::Drawing;
use wythe_guide::Words;

use crate::paper::{Block, Day, Document, Foot, FullSize, PageSize};

/// Of which job and day a sheet is.
#[derive(Debug, Clone, Copy)]
pub struct SheetOf<'s> {
    /// The job, as its pages' foot says it.
    pub job: &'s str,
    /// The business.
    pub business: &'s str,
    /// Name and version of the program.
    pub software: &'s str,
    /// The day it speaks of.
    pub day: Day,
}

/// A cap's trim at full size, to be printed, joined and laid on the plate: as many pages as it takes,
/// each with bars of 100 mm and 4 in to be measured before anything is cut.
///
/// `drawing` is one in metres, as [`wythe_guide::pictures`] draws it for the cap; printing refuses any other.
#[must_use]
pub fn trim_sheet(drawing: Drawing, words: &Words, size: PageSize, of: SheetOf<'_>) -> Document {
    Document {
        title: words.get("trim-sheet-title"),
        language: words.language().tag().to_owned(),
        as_of: of.day,
        author: of.business.to_owned(),
        creator: of.software.to_owned(),
        id: format!("{} {}", of.job, words.get("trim-sheet-title")),
        size,
        foot: Foot {
            left: of.job.to_owned(),
            pages: words.get("claim-pages"),
            right: words.get("trim-sheet-title"),
        },
        blocks: vec![Block::FullSize(FullSize {
            drawing,
            head: words.get("trim-sheet-head"),
            join: words.get("trim-sheet-join"),
            check: words.get("trim-sheet-check"),
            bars: (words.get("trim-sheet-bar-mm"), words.get("trim-sheet-bar-in")),
        })],
    }
}
