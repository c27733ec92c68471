//! The shapes a drawing is made of.

use serde::{Deserialize, Serialize};

use crate::paint::{Fill, Pen, Role};
use crate::point::{Point, Step};

/// One shape, and what a touch on it means.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Item {
    /// What is painted.
    pub shape: Shape,
    /// What is touched there, if anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hit: Option<Hit>,
}

/// What can be touched: an id for the program, words for the person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hit {
    /// Stable id; several items may share it.
    pub id: String,
    /// The same in words, read out in place of the picture.
    pub label: String,
}

/// A shape.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// An open line through points.
    Polyline {
        /// At least two points.
        points: Vec<Point>,
        /// The line.
        pen: Pen,
    },
    /// A closed shape with straight edges.
    Polygon {
        /// At least three points.
        points: Vec<Point>,
        /// Its inside.
        fill: Fill,
        /// Its outline.
        pen: Option<Pen>,
    },
    /// An upright rectangle between two opposite corners.
    Rect {
        /// One corner.
        from: Point,
        /// The opposite corner.
        to: Point,
        /// Its inside.
        fill: Fill,
        /// Its outline.
        pen: Option<Pen>,
    },
    /// A circle.
    Circle {
        /// The centre.
        centre: Point,
        /// Units, above zero.
        radius: f64,
        /// Its inside.
        fill: Fill,
        /// Its outline.
        pen: Option<Pen>,
    },
    /// A part of a circle's line.
    Arc {
        /// The centre.
        centre: Point,
        /// Units, above zero.
        radius: f64,
        /// Where it begins: degrees counter-clockwise from the right.
        start: f64,
        /// How far it goes: degrees, counter-clockwise when positive.
        sweep: f64,
        /// The line.
        pen: Pen,
    },
    /// Lines and cubic curves.
    Path {
        /// Begins with a move.
        steps: Vec<Step<Point>>,
        /// Its inside (even-odd).
        fill: Fill,
        /// Its line.
        pen: Option<Pen>,
    },
    /// A sign of a fixed size on paper at one point.
    Marker {
        /// Where.
        at: Point,
        /// Which sign.
        marker: Marker,
        /// The paint.
        role: Role,
    },
    /// Words or figures.
    Text(Text),
    /// A measured distance.
    Dimension(Dimension),
    /// A bar that shows the scale.
    ScaleBar(ScaleBar),
}

/// A sign of a fixed size on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Marker {
    /// A filled dot.
    Dot,
    /// An open ring.
    Ring,
    /// A filled square.
    Square,
    /// Two crossed strokes.
    Cross,
}

/// What a text is for; a painter gives each class its size and weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TextClass {
    /// A measured or computed figure.
    Figure,
    /// The name of a part.
    Label,
    /// The name of the drawing or of a group.
    Title,
    /// A remark.
    Note,
}

impl TextClass {
    /// The size in points: never below 8.
    #[must_use]
    pub const fn points(self) -> f64 {
        match self {
            Self::Figure => 9.5,
            Self::Label => 9.0,
            Self::Title => 11.0,
            Self::Note => 8.0,
        }
    }

    /// Whether it is set in bold.
    #[must_use]
    pub const fn is_bold(self) -> bool {
        matches!(self, Self::Title)
    }
}

/// Which part of a line of text lies at its place, along the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Anchor {
    /// Its beginning.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Which part of a text lies at its place, across the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sit {
    /// The baseline of the first line.
    #[default]
    Baseline,
    /// The middle of the block.
    Middle,
    /// The top: the text hangs below its place.
    Top,
    /// The bottom: the text stands on its place.
    Bottom,
}

/// Words or figures at a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Text {
    /// Where.
    pub at: Point,
    /// What it says; a line feed begins a new line.
    pub text: String,
    /// What it is for.
    pub class: TextClass,
    /// The paint.
    pub role: Role,
    /// Its place along the line.
    #[serde(default)]
    pub anchor: Anchor,
    /// Its place across the line.
    #[serde(default)]
    pub sit: Sit,
    /// Degrees counter-clockwise.
    #[serde(default)]
    pub turn: f64,
    /// Whether a plate of ground colour lies under it, so that it reads on hatching.
    #[serde(default)]
    pub plate: bool,
}

impl Text {
    /// Level text in ink, beginning at `at`.
    #[must_use]
    pub fn new(at: Point, class: TextClass, text: impl Into<String>) -> Self {
        Self {
            at,
            text: text.into(),
            class,
            role: Role::Ink,
            anchor: Anchor::Start,
            sit: Sit::Baseline,
            turn: 0.0,
            plate: false,
        }
    }

    /// The same with another place along and across the line.
    #[must_use]
    pub fn placed(mut self, anchor: Anchor, sit: Sit) -> Self {
        self.anchor = anchor;
        self.sit = sit;
        self
    }

    /// The same in another paint.
    #[must_use]
    pub fn painted(mut self, role: Role) -> Self {
        self.role = role;
        self
    }

    /// The same turned by degrees counter-clockwise.
    #[must_use]
    pub fn turned(mut self, degrees: f64) -> Self {
        self.turn = degrees;
        self
    }

    /// The same on a plate of ground colour.
    #[must_use]
    pub fn on_plate(mut self) -> Self {
        self.plate = true;
        self
    }
}

/// Where a dimension line lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Above both points, measuring level.
    Above,
    /// Below both points, measuring level.
    Below,
    /// To the left of both points, measuring upright.
    Left,
    /// To the right of both points, measuring upright.
    Right,
    /// Beside the line between the points, on its left going from the first to the second.
    Along,
}

/// A measured distance: extension lines, a line with arrowheads, a figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dimension {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Where the line lies.
    pub side: Side,
    /// How far outside it lies, in points of paper.
    pub gap: f64,
    /// A coordinate in units that the line must clear: y for above and below, x for left and right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear: Option<f64>,
    /// The figure, with its unit.
    pub text: String,
}

impl Dimension {
    /// A dimension one step (16 pt) outside the two points.
    #[must_use]
    pub fn new(from: Point, to: Point, side: Side, text: impl Into<String>) -> Self {
        Self {
            from,
            to,
            side,
            gap: Self::STEP,
            clear: None,
            text: text.into(),
        }
    }

    /// Points of paper from one row of dimension lines to the next.
    pub const STEP: f64 = 16.0;

    /// The same in the row `row`, counted outwards from 1.
    #[must_use]
    pub fn in_row(mut self, row: u8) -> Self {
        self.gap = Self::STEP * f64::from(row.max(1));
        self
    }

    /// The same, clearing the outline that reaches to `coordinate` on that side.
    #[must_use]
    pub fn clearing(mut self, coordinate: f64) -> Self {
        self.clear = Some(coordinate);
        self
    }
}

/// The unit a scale bar is read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleUnit {
    /// Metres.
    Metres,
    /// Millimetres.
    Millimetres,
    /// Feet of 0.3048 m.
    Feet,
    /// Inches of 0.0254 m.
    Inches,
}

/// A bar that shows the scale of a drawing in metres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleBar {
    /// A round length of a convenient size for the scale the drawing is laid at.
    Round {
        /// Its left end.
        at: Point,
        /// The unit of its figures.
        unit: ScaleUnit,
    },
    /// A given length, to be held against a rule.
    Check {
        /// Its left end.
        at: Point,
        /// Metres.
        length: f64,
        /// What it says, "100 mm".
        label: String,
    },
}
