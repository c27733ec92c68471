//! Tiles and what is left of them around a liner.

use crate::quantities::{Area, Length};
use uom::si::area::square_meter;

/// The inside of a flue tile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tile {
    /// Rectangular, sides `a` and `b`; `area_factor` (0..1) is the true area over `a b` and stands for the
    /// rounded corners. It reduces the area, not the perimeter.
    Rectangle {
        /// One side.
        a: Length,
        /// The other.
        b: Length,
        /// True area over `a b`.
        area_factor: f64,
    },
    /// Round.
    Round {
        /// Inside diameter.
        diameter: Length,
    },
}

impl Tile {
    /// Inside area.
    #[must_use]
    pub fn area(&self) -> Area {
        Area::new::<square_meter>(self.section())
    }

    /// Inside perimeter.
    #[must_use]
    pub fn perimeter(&self) -> Length {
        crate::quantities::length(self.around())
    }

    /// Hydraulic diameter, `4 A/P`.
    #[must_use]
    pub fn hydraulic_diameter(&self) -> Length {
        crate::quantities::length(4.0 * self.section() / self.around())
    }

    /// Hydraulic diameter of what is left around a liner of this outside diameter: four times the area left
    /// over the perimeter of tile and liner together. Zero or less when the liner does not fit.
    #[must_use]
    pub fn hydraulic_diameter_around(&self, liner: Length) -> Length {
        let around = self.around() + std::f64::consts::PI * liner.value;
        crate::quantities::length(4.0 * (self.section() - disc(liner.value)) / around)
    }

    /// Inside area, m2.
    pub(crate) fn section(&self) -> f64 {
        match self {
            Self::Rectangle { a, b, area_factor } => a.value * b.value * area_factor,
            Self::Round { diameter } => disc(diameter.value),
        }
    }

    /// Inside perimeter, m.
    pub(crate) fn around(&self) -> f64 {
        match self {
            Self::Rectangle { a, b, .. } => 2.0 * (a.value + b.value),
            Self::Round { diameter } => std::f64::consts::PI * diameter.value,
        }
    }

    /// Whether one pipe of this outside diameter passes and leaves room for air.
    pub(crate) fn takes_one(&self, pipe: f64) -> bool {
        let fits = match self {
            Self::Rectangle { a, b, .. } => pipe <= a.value.min(b.value),
            Self::Round { diameter } => pipe < diameter.value,
        };
        fits && self.section() > disc(pipe)
    }

    /// Whether two pipes lie beside one another (in a rectangle also across the corner).
    pub(crate) fn takes_two(&self, first: f64, second: f64) -> bool {
        let together = 0.5 * (first + second);
        let fits = match self {
            Self::Rectangle { a, b, .. } => {
                let (dx, dy) = ((a.value - together).max(0.0), (b.value - together).max(0.0));
                first.max(second) <= a.value.min(b.value) && (dx * dx + dy * dy).sqrt() >= together
            }
            Self::Round { diameter } => first + second <= diameter.value,
        };
        fits && self.section() > disc(first) + disc(second)
    }
}

/// Area of a circle of this diameter.
pub(crate) fn disc(diameter: f64) -> f64 {
    std::f64::consts::PI * diameter * diameter / 4.0
}
