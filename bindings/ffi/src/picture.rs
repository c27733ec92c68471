//! Drawings as lists of what is painted.

use wythe_app::drawing::{self, Anchor, Drawing, Laid};
use wythe_app::{AppError, picture};

/// The place in which drawings are laid out, in the shell's own units.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Canvas {
    /// How wide a drawing may be.
    pub width: f64,
    /// Units for one point of paper: grows with the person's text size.
    pub paper: f64,
}

/// What something is painted with; the shell's theme turns it into a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Paint {
    /// Text and outlines.
    Ink,
    /// Secondary text, joints, axes.
    Mortar,
    /// Bricks and the marks of the house.
    Clay,
    /// What can be pressed; air and water in sections.
    Water,
    /// Stops only.
    Oxide,
    /// Cautions only.
    Ochre,
    /// The ground the drawing lies on.
    Ground,
}

/// One step of a path, in units from the top left, downwards.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Enum)]
pub enum Step {
    /// Puts the pen down here.
    Move {
        /// To the right.
        x: f64,
        /// Downwards.
        y: f64,
    },
    /// A straight line to here.
    Line {
        /// To the right.
        x: f64,
        /// Downwards.
        y: f64,
    },
    /// A cubic curve by two control points.
    Curve {
        /// The first control point, to the right.
        ax: f64,
        /// The first control point, downwards.
        ay: f64,
        /// The second control point, to the right.
        bx: f64,
        /// The second control point, downwards.
        by: f64,
        /// The end, to the right.
        x: f64,
        /// The end, downwards.
        y: f64,
    },
    /// Back to where the pen was last put down.
    Close,
}

/// One thing to paint.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Mark {
    /// Lines and curves.
    Path {
        /// The steps.
        steps: Vec<Step>,
        /// Its inside, even-odd.
        fill: Option<Paint>,
        /// Its line.
        stroke: Option<Paint>,
        /// The line's width.
        width: f64,
        /// Lengths of line and gap in turn; empty for an unbroken line.
        dash: Vec<f64>,
    },
    /// One line of text.
    Words {
        /// Where it lies on the baseline, to the right.
        x: f64,
        /// Where it lies on the baseline, downwards.
        y: f64,
        /// What it says.
        text: String,
        /// Its size.
        size: f64,
        /// Whether it is bold.
        bold: bool,
        /// The paint.
        paint: Paint,
        /// Which share of the line lies before the place: 0, 0.5 or 1.
        before: f64,
        /// Degrees counter-clockwise, about the place.
        turn: f64,
    },
}

/// The place of something that can be touched.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Touch {
    /// What it is; `Field::opening` says where it leads.
    pub id: String,
    /// The same in words.
    pub label: String,
    /// Its left edge.
    pub left: f64,
    /// Its top edge.
    pub top: f64,
    /// Its right edge.
    pub right: f64,
    /// Its bottom edge.
    pub bottom: f64,
}

/// A drawing settled at one size: coordinates run from 0, downwards.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Picture {
    /// The same in words.
    pub alt: String,
    /// From left to right. More than the canvas where its words need more.
    pub width: f64,
    /// From top to bottom.
    pub height: f64,
    /// What is painted, from back to front.
    pub marks: Vec<Mark>,
    /// What can be touched.
    pub touches: Vec<Touch>,
}

impl Picture {
    pub(crate) fn of(drawing: &Drawing, canvas: Canvas, words: bool) -> Result<Self, AppError> {
        let laid = picture(drawing, canvas.width, canvas.paper, words)?;
        Ok(Self::laid(drawing.alt.clone(), laid))
    }

    fn laid(alt: String, laid: Laid) -> Self {
        Self {
            alt,
            width: laid.width,
            height: laid.height,
            marks: laid.marks.into_iter().map(Into::into).collect(),
            touches: laid.hits.into_iter().map(Into::into).collect(),
        }
    }
}

impl From<drawing::Role> for Paint {
    fn from(role: drawing::Role) -> Self {
        match role {
            drawing::Role::Ink => Self::Ink,
            drawing::Role::Mortar => Self::Mortar,
            drawing::Role::Clay => Self::Clay,
            drawing::Role::Water => Self::Water,
            drawing::Role::Oxide => Self::Oxide,
            drawing::Role::Ochre => Self::Ochre,
            drawing::Role::Ground => Self::Ground,
        }
    }
}

impl From<drawing::Step<(f64, f64)>> for Step {
    fn from(step: drawing::Step<(f64, f64)>) -> Self {
        match step {
            drawing::Step::Move((x, y)) => Self::Move { x, y },
            drawing::Step::Line((x, y)) => Self::Line { x, y },
            drawing::Step::Cubic((ax, ay), (bx, by), (x, y)) => Self::Curve { ax, ay, bx, by, x, y },
            drawing::Step::Close => Self::Close,
        }
    }
}

impl From<drawing::Mark> for Mark {
    fn from(mark: drawing::Mark) -> Self {
        match mark {
            drawing::Mark::Path {
                steps, fill, stroke, ..
            } => Self::Path {
                steps: steps.into_iter().map(Into::into).collect(),
                fill: fill.map(Into::into),
                width: stroke.as_ref().map_or(0.0, |stroke| stroke.width),
                dash: stroke
                    .as_ref()
                    .map_or_else(Vec::new, |stroke| stroke.dash.clone()),
                stroke: stroke.map(|stroke| stroke.role.into()),
            },
            drawing::Mark::Text {
                at: (x, y),
                text,
                size,
                bold,
                role,
                anchor,
                turn,
                ..
            } => Self::Words {
                x,
                y,
                text,
                size,
                bold,
                paint: role.into(),
                before: match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => 0.5,
                    Anchor::End => 1.0,
                },
                turn,
            },
        }
    }
}

impl From<drawing::HitBox> for Touch {
    fn from(hit: drawing::HitBox) -> Self {
        Self {
            id: hit.id,
            label: hit.label,
            left: hit.bounds.left,
            top: hit.bounds.top,
            right: hit.bounds.right,
            bottom: hit.bounds.bottom,
        }
    }
}
