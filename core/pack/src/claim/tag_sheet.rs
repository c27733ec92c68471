use wythe_drawing::{
    Anchor, Dash, Drawing, Fill, Pen, Point, Role, Shape, Sit, Space, Step, Text, TextClass, Weight,
};
use wythe_guide::Words;

use crate::paper::{Block, Document, Figure, FigureSize, Foot, Level, PageSize, Rich};

use super::SheetOf;

/// A tag's code as modules, row by row from the top; `true` is dark.
pub type Modules<'m> = [&'m [bool]];

/// Modules of quiet on every side of a code (ISO/IEC 18004, 6.3.8).
const QUIET: f64 = 4.0;

/// Room under a code for its words, metres.
const WORDS: f64 = 0.009;

/// Between the cards of a page, metres: a cut apart.
const APART: f64 = 0.004;

/// One page of cards: the side of a card in metres, and how many stand across and down. They fit between
/// the margins of both sizes of paper.
struct Cards {
    side: f64,
    across: u32,
    down: u32,
    message: &'static str,
}

const PAGES: [Cards; 3] = [
    Cards {
        side: 0.150,
        across: 1,
        down: 1,
        message: "tag-sheet-large",
    },
    Cards {
        side: 0.080,
        across: 2,
        down: 2,
        message: "tag-sheet-middle",
    },
    Cards {
        side: 0.050,
        across: 3,
        down: 3,
        message: "tag-sheet-small",
    },
];

/// A job's tag in three sizes, a page each, to be printed at full size and cut out: for the whole stove,
/// for its door and body, and for close-ups.
#[must_use]
pub fn tag_sheet(code: &Modules<'_>, words: &Words, size: PageSize, of: SheetOf<'_>) -> Document {
    let title = words.get("tag-sheet-title");
    let mut blocks = Vec::new();
    for (number, cards) in PAGES.iter().enumerate() {
        blocks.push(if number == 0 {
            Block::Heading(Level::One, format!("{title}: {}", of.job))
        } else {
            Block::PageBreak
        });
        blocks.push(Block::Heading(Level::Two, words.get(cards.message)));
        if number == 0 {
            blocks.push(Block::Paragraph(words.get("tag-sheet-how").as_str().into()));
        }
        blocks.push(Block::Figure(Figure {
            drawing: drawn(code, cards, of, &words.with("tag-sheet-alt", &[("job", of.job)])),
            size: FigureSize::Scale(1.0),
            caption: Rich::new(),
        }));
    }
    Document {
        title: title.clone(),
        language: words.language().tag().to_owned(),
        as_of: of.day,
        author: of.business.to_owned(),
        creator: of.software.to_owned(),
        id: format!("{} {title}", of.job),
        size,
        foot: Foot {
            left: of.job.to_owned(),
            pages: words.get("claim-pages"),
            right: of.business.to_owned(),
        },
        blocks,
    }
}

fn drawn(code: &Modules<'_>, cards: &Cards, of: SheetOf<'_>, alt: &str) -> Drawing {
    let mut drawing = Drawing::new(Space::Metres, alt);
    let high = cards.side + WORDS;
    for row in 0..cards.down {
        for column in 0..cards.across {
            let left = f64::from(column) * (cards.side + APART);
            let top = -f64::from(row) * (high + APART);
            card(&mut drawing, code, (left, top), cards.side, of.job);
        }
    }
    drawing
}

/// One card with its upper left corner at a place: a line to cut along, the code, the job's words.
fn card(drawing: &mut Drawing, code: &Modules<'_>, (left, top): (f64, f64), side: f64, job: &str) {
    let cut = Pen::new(Role::Mortar, Weight::Hair).dashed(Dash::Dashed);
    let corner = Point::at(left + side, top - side - WORDS);
    drawing.rect(Point::at(left, top), corner, Fill::None, Some(cut));
    let module = side / (code.len() as f64 + 2.0 * QUIET);
    let mut steps = Vec::new();
    for (row, line) in code.iter().enumerate() {
        let y = top - (row as f64 + QUIET) * module;
        for (from, to) in dark_runs(line) {
            let x = |column: usize| left + (column as f64 + QUIET) * module;
            steps.extend([
                Step::Move(Point::at(x(from), y)),
                Step::Line(Point::at(x(to), y)),
                Step::Line(Point::at(x(to), y - module)),
                Step::Line(Point::at(x(from), y - module)),
                Step::Close,
            ]);
        }
    }
    drawing.add(Shape::Path {
        steps,
        fill: Fill::Solid(Role::Ink),
        pen: None,
    });
    // A small card has room for the number alone.
    let number = job.rsplit(" · ").next().unwrap_or(job);
    let (class, job) = if side < 0.06 {
        (TextClass::Note, number)
    } else {
        (TextClass::Title, job)
    };
    let middle = Point::at(left + side / 2.0, top - side - WORDS / 2.0 + module);
    drawing.text(Text::new(middle, class, job).placed(Anchor::Middle, Sit::Middle));
}

/// The stretches of dark modules of a row, from and up to.
fn dark_runs(line: &[bool]) -> Vec<(usize, usize)> {
    let mut runs = Vec::new();
    let mut at = 0;
    for run in line.chunk_by(|one, next| one == next) {
        if run.first() == Some(&true) {
            runs.push((at, at + run.len()));
        }
        at += run.len();
    }
    runs
}
