//! What can keep a document from being printed.

use thiserror::Error;
use wythe_drawing::DrawingError;

/// Why a document cannot be printed.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum PaperError {
    /// A heading skips a rank, so that the outline would have a hole.
    #[error("the heading \"{heading}\" skips a rank: use the next lower one")]
    HeadingSkips {
        /// The heading.
        heading: String,
    },
    /// A row has another number of cells than the table has columns.
    #[error("row {row} of a table has {cells} cells for {columns} columns: give each column one")]
    RowShape {
        /// Counted from 1.
        row: usize,
        /// Its cells.
        cells: usize,
        /// The table's columns.
        columns: usize,
    },
    /// A table without columns, or with a share that is not above zero.
    #[error("a table needs columns with a share of the width above zero")]
    NoColumns,
    /// A photo is no JPEG that can go into the PDF.
    #[error("the photo \"{alt}\" cannot be printed ({reason}): supply a preview in RGB or grey JPEG")]
    Photo {
        /// Its alternative text.
        alt: String,
        /// What the reader said.
        reason: String,
    },
    /// A picture without words for who cannot see it.
    #[error("a picture has no words for who cannot see it: give it alternative text")]
    NoAlt,
    /// A drawing to scale is larger than the page.
    #[error(
        "the drawing at 1:{scale} is {width:.0} x {height:.0} mm and the page has {room_width:.0} x \
         {room_height:.0} mm: choose a smaller scale or print it in full size over several pages"
    )]
    TooLarge {
        /// n of 1:n.
        scale: f64,
        /// Millimetres.
        width: f64,
        /// Millimetres.
        height: f64,
        /// Millimetres.
        room_width: f64,
        /// Millimetres.
        room_height: f64,
    },
    /// A drawing at full size needs more pages than anybody would join.
    #[error("the drawing needs {pages} pages at full size, more than {most}: check its measurements")]
    TooManyPages {
        /// The pages.
        pages: usize,
        /// The limit.
        most: usize,
    },
    /// A scale that is not above zero, or a drawing that has no scale.
    #[error("only a drawing in metres has a scale, and it is above zero")]
    NoScale,
    /// A drawing cannot be laid out.
    #[error(transparent)]
    Drawing(#[from] DrawingError),
    /// The embedded font cannot be read.
    #[error("the embedded font cannot be read: the program is damaged, install it again")]
    Font,
    /// The PDF writer refused the document.
    #[error("the PDF cannot be written: {reason}")]
    Writer {
        /// What it said.
        reason: String,
    },
}

impl PaperError {
    /// A stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::HeadingSkips { .. } => "paper_heading_skips",
            Self::RowShape { .. } => "paper_row_shape",
            Self::NoColumns => "paper_no_columns",
            Self::Photo { .. } => "paper_photo",
            Self::NoAlt => "paper_no_alt",
            Self::TooLarge { .. } => "paper_too_large",
            Self::TooManyPages { .. } => "paper_too_many_pages",
            Self::NoScale => "paper_no_scale",
            Self::Drawing(error) => error.code(),
            Self::Font => "paper_font",
            Self::Writer { .. } => "paper_writer",
        }
    }
}
