//! The flue's section: from what was measured to what governs.

use std::f64::consts::PI;

use uom::si::f64::{Area, Length};
use wythe_units::Quantity;

use super::input::{Axis, Input, TileShape};
use crate::compare::exceeds;
use crate::form::{Pointer, Refusal};
use crate::words::both;

/// A flue section: inside sizes and corner radius; a round one has a = b = 2 r.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hole {
    pub(super) shape: TileShape,
    pub(super) a: Length,
    pub(super) b: Length,
    pub(super) radius: Length,
}

/// Tile and sections measured to the smallest of each: side a, side b, and the largest corner radius.
pub(super) fn governing(input: &Input) -> Result<Hole, Refusal> {
    let tile = &input.tile;
    let at = Pointer::from("/tile");
    let mut hole = measured(
        tile.shape,
        [
            tile.inside_a,
            tile.inside_b,
            tile.inside_diameter,
            tile.corner_radius,
        ],
        tile.area_factor,
        &at,
    )?;
    let sections = input.sections.as_deref().unwrap_or_default();
    for (place, section) in sections.iter().enumerate() {
        let sizes = [
            section.inside_a,
            section.inside_b,
            section.inside_diameter,
            section.corner_radius,
        ];
        let at = Pointer::from("/sections").item(place);
        let here = measured(tile.shape, sizes, section.area_factor, &at)?;
        hole.a = hole.a.min(here.a);
        hole.b = hole.b.min(here.b);
        hole.radius = hole.radius.max(here.radius);
    }
    Ok(hole.with_radius_cut())
}

/// One measured place; sizes are a, b, diameter and corner radius.
fn measured(
    shape: TileShape,
    [a, b, diameter, radius]: [Option<Length>; 4],
    factor: Option<f64>,
    at: &Pointer,
) -> Result<Hole, Refusal> {
    let foreign = |key: &str, given: bool| {
        let message = format!(
            "This key is not for a {} tile. Leave it out, or change the shape.",
            shape_word(shape)
        );
        if given {
            Err(Refusal::inconsistent(at.key(key), message))
        } else {
            Ok(())
        }
    };
    let needed = |key: &str, size: Option<Length>| {
        let message = format!("A {} tile needs this size. Measure it inside.", shape_word(shape));
        size.ok_or_else(|| Refusal::missing(at.key(key), message))
    };
    match shape {
        TileShape::Round => {
            foreign("inside_a", a.is_some())?;
            foreign("inside_b", b.is_some())?;
            foreign("corner_radius", radius.is_some())?;
            foreign("area_factor", factor.is_some())?;
            let diameter = needed("inside_diameter", diameter)?;
            Ok(Hole {
                shape,
                a: diameter,
                b: diameter,
                radius: diameter / 2.0,
            })
        }
        TileShape::Rectangular => {
            let (a, b) = (needed("inside_a", a)?, needed("inside_b", b)?);
            foreign("inside_diameter", diameter.is_some())?;
            let (key, radius) = match (radius, factor) {
                (Some(_), Some(_)) => {
                    let message = "Corner radius and area factor say the same thing twice. Give one of them.";
                    return Err(Refusal::inconsistent(at.key("area_factor"), message));
                }
                (Some(radius), None) => ("corner_radius", radius),
                (None, Some(factor)) => ("area_factor", (a * b * (1.0 - factor) / (4.0 - PI)).sqrt()),
                (None, None) => ("corner_radius", Length::from_base(0.0)),
            };
            if exceeds(radius, a.min(b) / 2.0) {
                let message = format!(
                    "A corner radius of {} is more than half the smaller side, {}. Measure both again.",
                    both(radius),
                    both(a.min(b))
                );
                return Err(Refusal::inconsistent(at.key(key), message));
            }
            Ok(Hole { shape, a, b, radius })
        }
    }
}

fn shape_word(shape: TileShape) -> &'static str {
    match shape {
        TileShape::Rectangular => "rectangular",
        TileShape::Round => "round",
    }
}

pub(super) fn circle(diameter: Length) -> Area {
    diameter * diameter * (PI / 4.0)
}

impl Hole {
    /// a b - (4 - pi) r^2.
    pub(super) fn area(&self) -> Area {
        self.a * self.b - self.radius * self.radius * (4.0 - PI)
    }

    /// 2 (a + b) - (8 - 2 pi) r.
    pub(super) fn perimeter(&self) -> Length {
        (self.a + self.b) * 2.0 - self.radius * (8.0 - 2.0 * PI)
    }

    pub(super) fn with_radius_cut(self) -> Self {
        Self {
            radius: self.radius.min(self.a.min(self.b) / 2.0),
            ..self
        }
    }

    /// The section as it is left to a liner in an offset: one side narrowed, or a narrower round.
    pub(super) fn narrowed(&self, axis: Axis, width: Length) -> Self {
        let narrow = match (self.shape, axis) {
            (TileShape::Round, _) => Self {
                a: width,
                b: width,
                radius: width / 2.0,
                ..*self
            },
            (TileShape::Rectangular, Axis::A) => Self { a: width, ..*self },
            (TileShape::Rectangular, Axis::B) => Self { b: width, ..*self },
        };
        narrow.with_radius_cut()
    }
}
