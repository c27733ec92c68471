//! What is put on a page: marks in points from the upper left corner, and what they belong to.

use std::sync::Arc;

use wythe_drawing::{Anchor, Laid, Mark, Measure as _, Rgb, Step};

use super::fonts::Fonts;
use super::styles::colour;

/// One mark.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Op {
    Text {
        x: f64,
        /// The baseline.
        y: f64,
        size: f64,
        bold: bool,
        colour: Rgb,
        text: String,
        /// Degrees counter-clockwise about the beginning.
        turn: f64,
    },
    Path {
        steps: Vec<Step<(f64, f64)>>,
        fill: Option<Rgb>,
        stroke: Option<Line>,
    },
    Image {
        left: f64,
        top: f64,
        width: f64,
        height: f64,
        jpeg: Arc<Vec<u8>>,
    },
    /// What follows, up to the matching [`Op::Unclip`], shows only inside this box.
    Clip(Area),
    Unclip,
}

/// How a line is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    pub colour: Rgb,
    pub width: f64,
    /// Lengths of line and gap; empty for an unbroken line.
    pub dash: Vec<f64>,
    pub round: bool,
}

impl Line {
    pub const fn plain(colour: Rgb, width: f64) -> Self {
        Self {
            colour,
            width,
            dash: Vec::new(),
            round: false,
        }
    }
}

/// An upright box on a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }
}

/// A straight line.
pub(super) fn rule(from: (f64, f64), to: (f64, f64), line: Line) -> Op {
    Op::Path {
        steps: vec![Step::Move(from), Step::Line(to)],
        fill: None,
        stroke: Some(line),
    }
}

/// The steps around a box.
pub(super) fn outline(area: Area) -> Vec<Step<(f64, f64)>> {
    vec![
        Step::Move((area.left, area.top)),
        Step::Line((area.right, area.top)),
        Step::Line((area.right, area.bottom)),
        Step::Line((area.left, area.bottom)),
        Step::Close,
    ]
}

/// The marks of a drawing with its upper left corner at `(left, top)`.
pub(super) fn drawing(fonts: &Fonts, laid: &Laid, (left, top): (f64, f64)) -> Vec<Op> {
    let at = |(x, y): (f64, f64)| (left + x, top + y);
    laid.marks
        .iter()
        .map(|mark| match mark {
            Mark::Path {
                steps, fill, stroke, ..
            } => Op::Path {
                steps: steps
                    .iter()
                    .map(|step| match *step {
                        Step::Move(a) => Step::Move(at(a)),
                        Step::Line(a) => Step::Line(at(a)),
                        Step::Cubic(a, b, c) => Step::Cubic(at(a), at(b), at(c)),
                        Step::Close => Step::Close,
                    })
                    .collect(),
                fill: fill.map(colour),
                stroke: stroke.as_ref().map(|stroke| Line {
                    colour: colour(stroke.role),
                    width: stroke.width,
                    dash: stroke.dash.clone(),
                    round: false,
                }),
            },
            Mark::Text {
                at: place,
                text,
                size,
                bold,
                role,
                anchor,
                turn,
                ..
            } => {
                let text = fonts.printable(text);
                let width = fonts.width(&text, *size, *bold);
                let back = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => 0.5 * width,
                    Anchor::End => width,
                };
                let angle = turn.to_radians();
                let (x, y) = at(*place);
                Op::Text {
                    x: x - back * libm::cos(angle),
                    y: y + back * libm::sin(angle),
                    size: *size,
                    bold: *bold,
                    colour: colour(*role),
                    text,
                    turn: *turn,
                }
            }
        })
        .collect()
}
