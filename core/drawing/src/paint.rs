//! What a shape is painted with: roles, hatches and pens, never colours.

use serde::{Deserialize, Serialize};

/// What a paint stands for; a theme turns it into a colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Text and outlines.
    Ink,
    /// Secondary text, joints, axes.
    Mortar,
    /// Bricks and the marks of the house.
    Clay,
    /// What can be pressed, and air and water in sections.
    Water,
    /// Stops only.
    Oxide,
    /// Cautions only.
    Ochre,
    /// The ground the drawing lies on.
    Ground,
}

/// Hatching that carries a meaning in black and white.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hatch {
    /// Something that is there but doubtful: close diagonals.
    Doubtful,
    /// Cut masonry: diagonals in pairs.
    Masonry,
    /// Cut flue tile: close diagonals leaning the other way.
    Tile,
    /// Cut insulation: a wide lattice.
    Insulation,
    /// Cut sheet metal: very close diagonals.
    Metal,
    /// Wet: level dashes.
    Wet,
    /// An uncertain range around a curve: steep, light lines.
    Band,
    /// A space that must stay clear: a wide, level and upright lattice.
    Clear,
}

/// How the inside of a shape is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fill {
    /// Not at all.
    #[default]
    None,
    /// With one paint.
    Solid(Role),
    /// With hatching in one paint, the ground showing between the lines.
    Hatched(Hatch, Role),
}

/// Line weight on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// 0.4 pt: hatching, grids, extension lines.
    Hair,
    /// 0.7 pt: dimension lines, axes.
    Thin,
    /// 1.1 pt: outlines.
    Medium,
    /// 2 pt: what the drawing is about.
    Thick,
}

impl Weight {
    /// The weight in points.
    #[must_use]
    pub const fn points(self) -> f64 {
        match self {
            Self::Hair => 0.4,
            Self::Thin => 0.7,
            Self::Medium => 1.1,
            Self::Thick => 2.0,
        }
    }
}

/// How a line is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Dash {
    /// Unbroken.
    #[default]
    Solid,
    /// Long dashes.
    Dashed,
    /// Dots.
    Dotted,
    /// A dash, a dot; also for centre lines.
    DashDot,
}

impl Dash {
    /// Lengths in points of line and gap in turn; empty for an unbroken line.
    #[must_use]
    pub const fn points(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[5.0, 3.0],
            Self::Dotted => &[1.2, 1.8],
            Self::DashDot => &[6.0, 2.2, 1.2, 2.2],
        }
    }
}

/// What a line is drawn with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pen {
    /// The paint.
    pub role: Role,
    /// The weight on paper.
    pub weight: Weight,
    /// How the line is broken.
    #[serde(default)]
    pub dash: Dash,
}

impl Pen {
    /// An unbroken line.
    #[must_use]
    pub const fn new(role: Role, weight: Weight) -> Self {
        Self {
            role,
            weight,
            dash: Dash::Solid,
        }
    }

    /// The same pen, broken.
    #[must_use]
    pub const fn dashed(self, dash: Dash) -> Self {
        Self {
            role: self.role,
            weight: self.weight,
            dash,
        }
    }
}
