use serde::{Deserialize, Serialize};

/// How stored pixels are to be turned to be seen upright: EXIF Orientation, 1 to 8.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Orientation {
    /// 1: as stored.
    #[default]
    Upright,
    /// 2: mirrored left to right.
    Mirrored,
    /// 3: turned by a half.
    Half,
    /// 4: mirrored top to bottom.
    Flipped,
    /// 5: mirrored along the main diagonal.
    Transposed,
    /// 6: shown after a quarter turn clockwise.
    Clockwise,
    /// 7: mirrored along the other diagonal.
    Transversed,
    /// 8: shown after a quarter turn counter-clockwise.
    CounterClockwise,
}

impl Orientation {
    /// From the EXIF value; `None` outside 1 to 8.
    #[must_use]
    pub const fn from_exif(value: u32) -> Option<Self> {
        Some(match value {
            1 => Self::Upright,
            2 => Self::Mirrored,
            3 => Self::Half,
            4 => Self::Flipped,
            5 => Self::Transposed,
            6 => Self::Clockwise,
            7 => Self::Transversed,
            8 => Self::CounterClockwise,
            _ => return None,
        })
    }

    /// The EXIF value, 1 to 8.
    #[must_use]
    pub const fn exif(self) -> u16 {
        match self {
            Self::Upright => 1,
            Self::Mirrored => 2,
            Self::Half => 3,
            Self::Flipped => 4,
            Self::Transposed => 5,
            Self::Clockwise => 6,
            Self::Transversed => 7,
            Self::CounterClockwise => 8,
        }
    }

    /// Whether width and height change places.
    #[must_use]
    pub const fn swaps_sides(self) -> bool {
        matches!(
            self,
            Self::Transposed | Self::Clockwise | Self::Transversed | Self::CounterClockwise
        )
    }

    /// The orientation that undoes this one.
    #[must_use]
    pub const fn inverse(self) -> Self {
        match self {
            Self::Clockwise => Self::CounterClockwise,
            Self::CounterClockwise => Self::Clockwise,
            other => other,
        }
    }

    /// Which stored pixel is shown at (`x`, `y`), for a stored picture of `width` x `height`.
    pub(crate) const fn stored(self, x: usize, y: usize, width: usize, height: usize) -> (usize, usize) {
        let (right, bottom) = (width.saturating_sub(1), height.saturating_sub(1));
        match self {
            Self::Upright => (x, y),
            Self::Mirrored => (right.saturating_sub(x), y),
            Self::Half => (right.saturating_sub(x), bottom.saturating_sub(y)),
            Self::Flipped => (x, bottom.saturating_sub(y)),
            Self::Transposed => (y, x),
            Self::Clockwise => (y, bottom.saturating_sub(x)),
            Self::Transversed => (right.saturating_sub(y), bottom.saturating_sub(x)),
            Self::CounterClockwise => (right.saturating_sub(y), x),
        }
    }
}
