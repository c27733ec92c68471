//! The document as data. All words come from the caller, in the reader's language.

use std::sync::Arc;

use wythe_drawing::Drawing;

/// A document to print.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Its title, shown by readers in place of the file name.
    pub title: String,
    /// Its language as a tag: "en", "es", "fr".
    pub language: String,
    /// The day it speaks of; also its date of creation, so that it is the same whenever it is made.
    pub as_of: Day,
    /// Who answers for it.
    pub author: String,
    /// The program that made it, with its version.
    pub creator: String,
    /// What identifies it among others; the same content must have the same id.
    pub id: String,
    /// The paper.
    pub size: PageSize,
    /// What every page says at its foot.
    pub foot: Foot,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// A calendar day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// The year.
    pub year: u16,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
}

impl From<chrono::NaiveDate> for Day {
    fn from(date: chrono::NaiveDate) -> Self {
        use chrono::Datelike;
        let small = |number: u32| u8::try_from(number).unwrap_or(1);
        Self {
            year: u16::try_from(date.year()).unwrap_or(1970),
            month: small(date.month()),
            day: small(date.day()),
        }
    }
}

/// Paper sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageSize {
    /// 8 1/2 in by 11 in.
    Letter,
    /// 210 mm by 297 mm.
    A4,
}

/// The foot of every page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Foot {
    /// On the left: the job.
    pub left: String,
    /// In the middle, with `{page}` and `{pages}` for the numbers: "Page {page} of {pages}".
    pub pages: String,
    /// On the right: the pack id in short form.
    pub right: String,
}

/// Text with parts in bold. A line feed begins a new line.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Rich(pub Vec<Span>);

/// A stretch of text of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// What it says.
    pub text: String,
    /// Whether it is bold.
    pub bold: bool,
}

impl Rich {
    /// No text yet.
    #[must_use]
    pub const fn new() -> Self {
        Self(Vec::new())
    }

    /// The same with more plain text.
    #[must_use]
    pub fn plain(mut self, text: impl Into<String>) -> Self {
        self.0.push(Span {
            text: text.into(),
            bold: false,
        });
        self
    }

    /// The same with more bold text.
    #[must_use]
    pub fn bold(mut self, text: impl Into<String>) -> Self {
        self.0.push(Span {
            text: text.into(),
            bold: true,
        });
        self
    }
}

impl From<&str> for Rich {
    fn from(text: &str) -> Self {
        Self::new().plain(text)
    }
}

impl From<String> for Rich {
    fn from(text: String) -> Self {
        Self::new().plain(text)
    }
}

/// Rank of a heading. A document begins with `One`, and no rank is skipped on the way down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// A part of the document.
    One,
    /// A section.
    Two,
    /// A paragraph with a name.
    Three,
}

/// One thing a document is made of.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; it stays with what follows and enters the outline.
    Heading(Level, String),
    /// A paragraph.
    Paragraph(Rich),
    /// A list with bullets.
    List(Vec<Rich>),
    /// Names and values in two columns.
    Pairs(Vec<(String, Rich)>),
    /// A table; it breaks between rows and repeats its head.
    Table(Table),
    /// A drawing.
    Figure(Figure),
    /// Photos in a grid.
    Photos(Photos),
    /// A signature.
    Signature(Signature),
    /// A note, a caution or a stop.
    Notice(Notice),
    /// The rest begins on a new page.
    PageBreak,
    /// Blocks that stay on one page if they fit one.
    Together(Vec<Self>),
    /// A drawing in metres at full size, on as many pages of its own as it takes.
    FullSize(FullSize),
}

/// Where the text of a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    /// Words.
    #[default]
    Start,
    /// Figures.
    End,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// Its share of the width, above zero; shares need not add up to one.
    pub share: f64,
    /// Where its text stands.
    pub align: Align,
}

/// A table. Every row has one cell for each column.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What it shows, in a sentence, for who hears it.
    pub summary: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Vec<Rich>>,
}

/// A drawing in the text.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The drawing, with its alternative text.
    pub drawing: Drawing,
    /// How large it is.
    pub size: FigureSize,
    /// What stands under it; may be empty.
    pub caption: Rich,
}

/// How large a drawing is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FigureSize {
    /// As large as fits: at most this share (0 to 1] of the width between the margins, and at most so
    /// many millimetres high.
    Fit {
        /// Share of the width.
        share: f64,
        /// Millimetres.
        height: f64,
    },
    /// To scale 1:n. A drawing that does not fit is refused.
    Scale(f64),
}

/// Photos in a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Photos {
    /// How many side by side, 1 to 4.
    pub columns: u8,
    /// The photos.
    pub photos: Vec<Photo>,
}

/// A photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Photo {
    /// A JPEG in grey or RGB, the right way up. It goes into the PDF as it is, with whatever its file
    /// says of time and place: hand over a preview.
    pub jpeg: Arc<Vec<u8>>,
    /// What it shows, in words.
    pub alt: String,
    /// Lines under it.
    pub caption: Vec<Rich>,
}

/// A signature: strokes, and what is known of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Signature {
    /// Strokes of points, x to the right and y downwards, in any one unit.
    pub strokes: Vec<Vec<(f64, f64)>>,
    /// "Signature of ...".
    pub alt: String,
    /// Lines under the rule: name and role, date and place.
    pub lines: Vec<Rich>,
}

/// What kind of notice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoticeKind {
    /// Good to know.
    Note,
    /// Somebody can be hurt: a word and a thin bar.
    Caution,
    /// It must not go on: a word and a thick bar.
    Stop,
}

/// A note, a caution or a stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Which.
    pub kind: NoticeKind,
    /// The word for it: "Caution".
    pub word: String,
    /// What is so, and what to do.
    pub text: Vec<Rich>,
}

/// A drawing printed at full size over pages that are joined.
#[derive(Debug, Clone, PartialEq)]
pub struct FullSize {
    /// The drawing, in metres.
    pub drawing: Drawing,
    /// The head of each page, with `{tile}`, `{across}` and `{down}` for the name of the page in the
    /// joined sheet and for how many there are: "Cap trim, full size: {tile} of {across} by {down}".
    pub head: String,
    /// What stands at a line where a page joins, with `{tile}` for the other page: "joins {tile} here".
    pub join: String,
    /// What stands beside the check bars: "Measure both bars. Print at 100 %, not fitted to the page."
    pub check: String,
    /// What the bars are: "100 mm" and "4 in" in the reader's language.
    pub bars: (String, String),
}
