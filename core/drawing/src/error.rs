//! What can be wrong with a drawing.

use thiserror::Error;

/// Why a drawing cannot be laid out.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum DrawingError {
    /// A coordinate, size or scale is not a finite number.
    #[error("a coordinate of the drawing is not a number: check the measurement it comes from")]
    NotFinite,
    /// Nothing is drawn.
    #[error("the drawing is empty: add a shape first")]
    Empty,
    /// Words and ticks alone need more room than there is.
    #[error("the drawing needs at least {needed:.0} pt of width or height: give it more room")]
    NoRoom {
        /// The room it needs before anything is to scale, in points.
        needed: f64,
    },
    /// An axis begins and ends at the same value, or has no number for an end.
    #[error("the axis {label} has no length: give it two different ends")]
    FlatAxis {
        /// The axis.
        label: String,
    },
}

impl DrawingError {
    /// A stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NotFinite => "drawing_not_finite",
            Self::Empty => "drawing_empty",
            Self::NoRoom { .. } => "drawing_no_room",
            Self::FlatAxis { .. } => "drawing_flat_axis",
        }
    }
}
