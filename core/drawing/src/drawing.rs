//! A drawing: a space, what it says in words, and its shapes from back to front.

use serde::{Deserialize, Serialize};

use crate::error::DrawingError;
use crate::paint::{Fill, Pen};
use crate::point::{Point, Step};
use crate::shape::{Anchor, Dimension, Hit, Item, Marker, ScaleBar, Shape, Sit, Text, TextClass};
use crate::{Role, Weight};

/// What one unit of a drawing is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Space {
    /// A metre: the drawing has a scale.
    Metres,
    /// Nothing in particular: a plot, the wall.
    Abstract,
}

/// A display list. Later items lie over earlier ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Drawing {
    /// What one unit is.
    pub space: Space,
    /// The same in words, for who cannot see it.
    pub alt: String,
    /// The shapes, from back to front.
    pub items: Vec<Item>,
}

impl Drawing {
    /// An empty drawing.
    #[must_use]
    pub fn new(space: Space, alt: impl Into<String>) -> Self {
        Self {
            space,
            alt: alt.into(),
            items: Vec::new(),
        }
    }

    /// Adds a shape on top.
    pub fn add(&mut self, shape: Shape) -> &mut Self {
        self.items.push(Item { shape, hit: None });
        self
    }

    /// Adds a shape on top that can be touched.
    pub fn add_hit(&mut self, shape: Shape, hit: Hit) -> &mut Self {
        self.items.push(Item {
            shape,
            hit: Some(hit),
        });
        self
    }

    /// Adds an open line.
    pub fn line(&mut self, points: impl IntoIterator<Item = Point>, pen: Pen) -> &mut Self {
        self.add(Shape::Polyline {
            points: points.into_iter().collect(),
            pen,
        })
    }

    /// Adds a closed shape with straight edges.
    pub fn polygon(
        &mut self,
        points: impl IntoIterator<Item = Point>,
        fill: Fill,
        pen: Option<Pen>,
    ) -> &mut Self {
        self.add(Shape::Polygon {
            points: points.into_iter().collect(),
            fill,
            pen,
        })
    }

    /// Adds an upright rectangle.
    pub fn rect(&mut self, from: Point, to: Point, fill: Fill, pen: Option<Pen>) -> &mut Self {
        self.add(Shape::Rect { from, to, fill, pen })
    }

    /// Adds a text.
    pub fn text(&mut self, text: Text) -> &mut Self {
        self.add(Shape::Text(text))
    }

    /// Adds a dimension.
    pub fn dimension(&mut self, dimension: Dimension) -> &mut Self {
        self.add(Shape::Dimension(dimension))
    }

    /// Adds a scale bar.
    pub fn scale_bar(&mut self, bar: ScaleBar) -> &mut Self {
        self.add(Shape::ScaleBar(bar))
    }

    /// Adds a label with a line to the part it names: a dot at `part`, words at `words`.
    pub fn leader(&mut self, part: Point, words: Point, text: impl Into<String>) -> &mut Self {
        let to_the_right = words.x > part.x || (words.x >= part.x && words.dx >= part.dx);
        let (anchor, gap) = if to_the_right {
            (Anchor::Start, 3.0)
        } else {
            (Anchor::End, -3.0)
        };
        self.line([part, words], Pen::new(Role::Mortar, Weight::Hair));
        self.add(Shape::Marker {
            at: part,
            marker: Marker::Dot,
            role: Role::Mortar,
        });
        self.text(
            Text::new(words.nudged(gap, 0.0), TextClass::Label, text)
                .placed(anchor, Sit::Middle)
                .on_plate(),
        )
    }

    /// Refuses a drawing that cannot be painted.
    ///
    /// # Errors
    /// [`DrawingError::Empty`] without shapes; [`DrawingError::NotFinite`] for a number that is none.
    pub fn check(&self) -> Result<(), DrawingError> {
        if self.items.is_empty() {
            return Err(DrawingError::Empty);
        }
        if self.items.iter().all(|item| item.shape.is_finite()) {
            Ok(())
        } else {
            Err(DrawingError::NotFinite)
        }
    }
}

impl Shape {
    fn is_finite(&self) -> bool {
        let all = |points: &[Point]| points.iter().all(|point| point.is_finite());
        match self {
            Self::Polyline { points, .. } | Self::Polygon { points, .. } => all(points),
            Self::Rect { from, to, .. } => all(&[*from, *to]),
            Self::Circle { centre, radius, .. } => centre.is_finite() && radius.is_finite(),
            Self::Arc {
                centre,
                radius,
                start,
                sweep,
                ..
            } => centre.is_finite() && radius.is_finite() && start.is_finite() && sweep.is_finite(),
            Self::Path { steps, .. } => steps.iter().all(|step| match step {
                Step::Move(a) | Step::Line(a) => a.is_finite(),
                Step::Cubic(a, b, c) => all(&[*a, *b, *c]),
                Step::Close => true,
            }),
            Self::Marker { at, .. } | Self::ScaleBar(ScaleBar::Round { at, .. }) => at.is_finite(),
            Self::Text(text) => text.at.is_finite() && text.turn.is_finite(),
            Self::Dimension(d) => {
                all(&[d.from, d.to]) && d.gap.is_finite() && d.clear.is_none_or(f64::is_finite)
            }
            Self::ScaleBar(ScaleBar::Check { at, length, .. }) => at.is_finite() && length.is_finite(),
        }
    }
}
