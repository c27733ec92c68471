//! Settling a drawing at one size: final coordinates, nothing cut off.

use serde::{Deserialize, Serialize};

use crate::bounds::Bounds;
use crate::drawing::Drawing;
use crate::error::DrawingError;
use crate::expand::{Settle, expand};
use crate::measure::Measure;
use crate::paint::Role;
use crate::point::Step;
use crate::shape::Anchor;

/// How large a drawing becomes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fit {
    /// As large as fits the width; the height follows.
    Width(f64),
    /// As large as fits into width and height.
    Into {
        /// The width.
        width: f64,
        /// The height.
        height: f64,
    },
    /// Exactly so many output units for one unit of the drawing; width and height follow.
    Scale(f64),
}

/// How a drawing is settled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lay {
    /// How large it becomes, in output units.
    pub fit: Fit,
    /// Output units for one point of paper: 1 in a PDF, the density and the person's text size on a phone.
    pub paper: f64,
    /// Whether words are drawn; a thumbnail leaves them out.
    pub words: bool,
}

impl Lay {
    /// At paper size, with words.
    #[must_use]
    pub const fn new(fit: Fit) -> Self {
        Self {
            fit,
            paper: 1.0,
            words: true,
        }
    }

    /// Without words.
    #[must_use]
    pub const fn thumbnail(fit: Fit) -> Self {
        Self {
            fit,
            paper: 1.0,
            words: false,
        }
    }
}

/// A drawing settled at one size. Coordinates run from 0, y downwards.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Laid {
    /// Output units from left to right.
    pub width: f64,
    /// Output units from top to bottom.
    pub height: f64,
    /// Output units for one unit of the drawing.
    pub scale: f64,
    /// Where the drawing's own zero lies.
    pub origin: (f64, f64),
    /// What is painted, from back to front.
    pub marks: Vec<Mark>,
    /// What can be touched, each id once, in the order of its first mark.
    pub hits: Vec<HitBox>,
}

/// One thing to paint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Lines and curves.
    Path {
        /// The steps, in final coordinates.
        steps: Vec<Step<(f64, f64)>>,
        /// Its inside (even-odd).
        fill: Option<Role>,
        /// Its line.
        stroke: Option<Stroke>,
        /// The index in [`Laid::hits`] of what it belongs to.
        hit: Option<usize>,
    },
    /// One line of text.
    Text {
        /// Where the anchor lies on the baseline.
        at: (f64, f64),
        /// What it says.
        text: String,
        /// The size in output units.
        size: f64,
        /// Whether it is bold.
        bold: bool,
        /// The paint.
        role: Role,
        /// Which part of the line lies at `at`.
        anchor: Anchor,
        /// Degrees counter-clockwise, about `at`.
        turn: f64,
        /// The index in [`Laid::hits`] of what it belongs to.
        hit: Option<usize>,
    },
}

/// A line in final units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Stroke {
    /// The paint.
    pub role: Role,
    /// The width in output units.
    pub width: f64,
    /// Lengths in output units of line and gap in turn; empty for an unbroken line.
    pub dash: Vec<f64>,
}

/// The place of something that can be touched.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HitBox {
    /// The id given in the drawing.
    pub id: String,
    /// What it is, in words.
    pub label: String,
    /// The box around all its marks.
    pub bounds: Bounds,
}

/// Most halvings and doublings until a scale is settled, and how close it gets.
const HALVINGS: u32 = 60;
const CLOSE: f64 = 1e-7;

/// Settles a drawing at one size.
///
/// # Errors
/// [`DrawingError::Empty`], [`DrawingError::NotFinite`], or [`DrawingError::NoRoom`] when words and
/// ticks alone, which do not shrink, need more than the given room.
pub fn lay(drawing: &Drawing, how: &Lay, measure: &dyn Measure) -> Result<Laid, DrawingError> {
    drawing.check()?;
    if !(how.paper.is_finite() && how.paper > 0.0) {
        return Err(DrawingError::NotFinite);
    }
    let settle = |scale: f64, painted: bool| {
        expand(
            drawing,
            &Settle {
                scale,
                paper: how.paper,
                words: how.words,
                painted,
            },
            measure,
        )
    };
    let scale = match how.fit {
        Fit::Scale(scale) => scale,
        Fit::Width(width) => largest(width, |scale| settle(scale, false).bounds.width() - width)?,
        Fit::Into { width, height } => largest(width.min(height), |scale| {
            let bounds = settle(scale, false).bounds;
            (bounds.width() - width).max(bounds.height() - height)
        })?,
    };
    if !(scale.is_finite() && scale > 0.0) {
        return Err(DrawingError::NotFinite);
    }
    let expanded = settle(scale, true);
    if !expanded.bounds.is_something() {
        return Err(DrawingError::Empty);
    }
    let shift = (-expanded.bounds.left, -expanded.bounds.top);
    Ok(Laid {
        width: match how.fit {
            Fit::Width(width) => width,
            _ => expanded.bounds.width(),
        },
        height: expanded.bounds.height(),
        scale,
        origin: shift,
        marks: expanded
            .marks
            .into_iter()
            .map(|mark| moved(mark, shift))
            .collect(),
        hits: expanded
            .hits
            .into_iter()
            .map(|hit| HitBox {
                bounds: hit.bounds.moved(shift),
                ..hit
            })
            .collect(),
    })
}

/// The largest scale for which `over` is not above zero; `room` only says where to begin.
fn largest(room: f64, over: impl Fn(f64) -> f64) -> Result<f64, DrawingError> {
    if !room.is_finite() {
        return Err(DrawingError::NotFinite);
    }
    let mut low = 1e-9;
    let excess = over(low);
    if excess > 0.0 {
        return Err(DrawingError::NoRoom {
            needed: room + excess,
        });
    }
    let mut high = 1.0;
    for _ in 0..HALVINGS {
        if over(high) > 0.0 {
            break;
        }
        low = high;
        high *= 4.0;
    }
    if over(high) <= 0.0 {
        // Only words: no scale is too large, so none matters.
        return Ok(1.0);
    }
    for _ in 0..HALVINGS {
        if high - low < CLOSE * high {
            break;
        }
        let middle = 0.5 * (low + high);
        if over(middle) > 0.0 {
            high = middle
        } else {
            low = middle
        }
    }
    Ok(low)
}

fn moved(mark: Mark, (right, down): (f64, f64)) -> Mark {
    let at = |(x, y): (f64, f64)| (x + right, y + down);
    match mark {
        Mark::Path {
            steps,
            fill,
            stroke,
            hit,
        } => Mark::Path {
            steps: steps
                .into_iter()
                .map(|step| match step {
                    Step::Move(a) => Step::Move(at(a)),
                    Step::Line(a) => Step::Line(at(a)),
                    Step::Cubic(a, b, c) => Step::Cubic(at(a), at(b), at(c)),
                    Step::Close => Step::Close,
                })
                .collect(),
            fill,
            stroke,
            hit,
        },
        Mark::Text {
            at: place,
            text,
            size,
            bold,
            role,
            anchor,
            turn,
            hit,
        } => Mark::Text {
            at: at(place),
            text,
            size,
            bold,
            role,
            anchor,
            turn,
            hit,
        },
    }
}
