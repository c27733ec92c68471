//! Sizes and colours of paper, in points.

use wythe_drawing::{Rgb, Role, Theme};

use super::document::{Level, NoticeKind, PageSize};

/// Points in a millimetre.
pub(super) const MM: f64 = 72.0 / 25.4;
/// Points in a metre.
pub(super) const METRE: f64 = 1000.0 * MM;
/// The margin on all sides.
pub(super) const MARGIN: f64 = 18.0 * MM;
/// The baseline of the foot, above the lower edge.
pub(super) const FOOT: f64 = 11.0 * MM;

/// How a text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    /// The size.
    pub size: f64,
    /// Baseline to baseline.
    pub leading: f64,
    /// Whether all of it is bold.
    pub bold: bool,
    /// The paint.
    pub role: Role,
}

impl Style {
    const fn new(size: f64, leading: f64) -> Self {
        Self {
            size,
            leading,
            bold: false,
            role: Role::Ink,
        }
    }

    /// From the top of a line to its baseline.
    pub fn ascent(self) -> f64 {
        // Half of what the leading adds goes above; 0.95 and 0.27 of the size are the font's extents.
        0.5 * (self.leading - 1.22 * self.size) + 0.95 * self.size
    }

    pub const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    pub const fn painted(self, role: Role) -> Self {
        Self { role, ..self }
    }
}

pub(super) const BODY: Style = Style::new(10.0, 13.5);
pub(super) const CELL: Style = Style::new(9.5, 12.2);
pub(super) const CAPTION: Style = Style {
    role: Role::Mortar,
    ..Style::new(9.0, 11.5)
};
pub(super) const SMALL: Style = Style {
    role: Role::Mortar,
    ..Style::new(8.0, 10.0)
};

impl Level {
    pub(super) const fn style(self) -> Style {
        match self {
            Self::One => Style::new(18.0, 23.0).bold(),
            Self::Two => Style::new(13.0, 17.0).bold().painted(Role::Clay),
            Self::Three => Style::new(10.5, 14.0).bold(),
        }
    }

    /// Room above and below.
    pub(super) const fn room(self) -> (f64, f64) {
        match self {
            Self::One => (20.0, 5.0),
            Self::Two => (15.0, 3.0),
            Self::Three => (10.0, 1.0),
        }
    }

    pub(super) const fn rank(self) -> u16 {
        match self {
            Self::One => 1,
            Self::Two => 2,
            Self::Three => 3,
        }
    }
}

impl NoticeKind {
    /// The paint of the word and the width of the bar.
    pub(super) const fn face(self) -> (Role, f64) {
        match self {
            Self::Note => (Role::Ink, 0.0),
            Self::Caution => (Role::Ochre, 1.2),
            Self::Stop => (Role::Oxide, 6.0),
        }
    }
}

impl PageSize {
    /// Width and height in points.
    pub(super) const fn points(self) -> (f64, f64) {
        match self {
            Self::Letter => (612.0, 792.0),
            Self::A4 => (210.0 * MM, 297.0 * MM),
        }
    }
}

pub(super) const fn colour(role: Role) -> Rgb {
    Theme::Paper.colour(role)
}
