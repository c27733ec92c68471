//! Paper: a document as data, laid out on Letter or A4, written as an accessible archival PDF.
//!
//! Invariant: the same document gives the same bytes. Nothing is drawn outside the margins but the
//! page foot, every piece of content is tagged in reading order, and nothing is said by colour alone.
//!
//! A [`Document`] is a list of [`Block`]s. [`print`] lays it out and writes a PDF 1.7 that claims
//! PDF/A-2a and PDF/UA-1. A drawing to scale is checked for fit; one too large for a page is tiled with
//! [`Block::FullSize`].

mod blocks;
mod compose;
mod document;
mod error;
mod figure;
mod fonts;
mod full_size;
mod ops;
mod pdf;
mod photos;
mod styles;
mod table;
mod wrap;

#[cfg(test)]
mod tests;

pub use document::{
    Align, Block, Column, Day, Document, Figure, FigureSize, Foot, FullSize, Level, Notice, NoticeKind,
    PageSize, Photo, Photos, Rich, Signature, Span, Table,
};
pub use error::PaperError;

/// A finished document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Characters the embedded font does not have; they were printed as a question mark.
    pub unprintable: Vec<char>,
}

/// Lays a document out and writes it as PDF.
///
/// # Errors
/// [`PaperError`] names the block that cannot be printed and what to do.
pub fn print(document: &Document) -> Result<Printed, PaperError> {
    let fonts = fonts::Fonts::load()?;
    let layout = compose::lay_out(document, &fonts)?;
    let pdf = pdf::write(document, &layout, &fonts)?;
    Ok(Printed {
        pdf,
        pages: layout.pages.len(),
        unprintable: fonts.unprintable(),
    })
}
