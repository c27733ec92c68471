//! Places in a drawing: a part that scales with the drawing and a part that keeps its paper size.

use serde::{Deserialize, Serialize};

/// A place: `x`, `y` in the drawing's units, y upwards, moved by `dx`, `dy` points of paper.
///
/// The paper part does not scale: a tick three points long stays three points long.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Units to the right.
    pub x: f64,
    /// Units upwards.
    pub y: f64,
    /// Points of paper to the right.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub dx: f64,
    /// Points of paper upwards.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub dy: f64,
}

impl Point {
    /// A place in the drawing's units.
    #[must_use]
    pub const fn at(x: f64, y: f64) -> Self {
        Self {
            x,
            y,
            dx: 0.0,
            dy: 0.0,
        }
    }

    /// The same place moved by points of paper, right and up.
    #[must_use]
    pub const fn nudged(self, dx: f64, dy: f64) -> Self {
        Self {
            x: self.x,
            y: self.y,
            dx: self.dx + dx,
            dy: self.dy + dy,
        }
    }

    pub(crate) const fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.dx.is_finite() && self.dy.is_finite()
    }
}

/// One step of a path, in whatever coordinates `P` stands for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Step<P> {
    /// Lifts the pen and puts it down here.
    Move(P),
    /// A straight line to here.
    Line(P),
    /// A cubic curve: two control points and the end.
    Cubic(P, P, P),
    /// Back to where the pen was last put down.
    Close,
}

// serde's `skip_serializing_if` hands over a reference.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature serde asks for")]
fn is_zero(value: &f64) -> bool {
    *value == 0.0
}
