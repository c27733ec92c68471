//! The upright box around things, in final coordinates.

use serde::{Deserialize, Serialize};

/// An upright box, y downwards.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bounds {
    /// The left edge.
    pub left: f64,
    /// The top edge, the smaller y.
    pub top: f64,
    /// The right edge.
    pub right: f64,
    /// The bottom edge.
    pub bottom: f64,
}

impl Bounds {
    pub(crate) const NOTHING: Self = Self {
        left: f64::INFINITY,
        top: f64::INFINITY,
        right: f64::NEG_INFINITY,
        bottom: f64::NEG_INFINITY,
    };

    /// From left to right.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// From top to bottom.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Whether something is in it.
    #[must_use]
    pub fn is_something(&self) -> bool {
        self.left <= self.right && self.top <= self.bottom
    }

    pub(crate) fn reach(&mut self, (x, y): (f64, f64), around: f64) {
        self.left = self.left.min(x - around);
        self.top = self.top.min(y - around);
        self.right = self.right.max(x + around);
        self.bottom = self.bottom.max(y + around);
    }

    pub(crate) fn moved(self, (x, y): (f64, f64)) -> Self {
        Self {
            left: self.left + x,
            top: self.top + y,
            right: self.right + x,
            bottom: self.bottom + y,
        }
    }
}
