use wythe_drawing::{Drawing, Pen, Point, Role, Space, Text, TextClass, Weight};
use wythe_guide::Words;

use crate::paper::{Block, Document, Figure, FigureSize, Foot, Level, PageSize, Rich};

use super::SheetOf;

/// What is signed: the words, the summary a line each, and the digest of what was shown.
#[derive(Debug, Clone, Copy)]
pub struct ToBeSigned<'s> {
    /// What it is called.
    pub title: &'s str,
    /// The words, exactly as a screen shows them.
    pub words: &'s str,
    /// What it covers, exactly as a screen shows it.
    pub summary: &'s str,
    /// SHA-256 of the summary, in hexadecimal.
    pub digest: &'s str,
}

/// A page to be signed by hand: the same words and the same summary as on the screen, the summary's
/// digest, and lines for name, date and signature.
#[must_use]
pub fn sign_sheet(signed: ToBeSigned<'_>, words: &Words, size: PageSize, of: SheetOf<'_>) -> Document {
    let mut blocks = vec![Block::Heading(Level::One, signed.title.to_owned())];
    blocks.extend(signed.words.lines().map(|line| Block::Paragraph(line.into())));
    blocks.push(Block::Heading(Level::Two, words.get("sign-sheet-covers")));
    blocks.push(Block::List(signed.summary.lines().map(Rich::from).collect()));
    blocks.push(Block::Together(vec![
        Block::Paragraph(
            words
                .with("sign-sheet-digest", &[("digest", signed.digest)])
                .into(),
        ),
        Block::Figure(Figure {
            drawing: lines(words),
            size: FigureSize::Scale(1.0),
            caption: Rich::new(),
        }),
    ]));
    Document {
        title: signed.title.to_owned(),
        language: words.language().tag().to_owned(),
        as_of: of.day,
        author: of.business.to_owned(),
        creator: of.software.to_owned(),
        id: format!("{} {}", of.job, signed.title),
        size,
        foot: Foot {
            left: of.job.to_owned(),
            pages: words.get("claim-pages"),
            right: of.business.to_owned(),
        },
        blocks,
    }
}

/// Three lines to be written on, in metres.
fn lines(words: &Words) -> Drawing {
    const LONG: f64 = 0.11;
    const APART: f64 = 0.018;
    let mut drawing = Drawing::new(Space::Metres, words.get("sign-sheet-lines"));
    let names = ["sign-sheet-name", "sign-sheet-date", "sign-sheet-signature"];
    for (row, name) in names.iter().enumerate() {
        let y = -(row as f64) * APART;
        drawing.line(
            [Point::at(0.0, y), Point::at(LONG, y)],
            Pen::new(Role::Ink, Weight::Thin),
        );
        let under = Point::at(0.0, y).nudged(0.0, -9.0);
        drawing.text(Text::new(under, TextClass::Note, words.get(name)));
    }
    drawing
}
