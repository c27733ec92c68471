//! How the plate is cut, and how the top stands against the rules.

use serde::Serialize;
use uom::si::f64::Length;

use crate::form::{Check, Figure, NumberCheck};

/// Something at each of the four sides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Sides<T> {
    /// At the low end of a.
    pub a_low: T,
    /// At the high end of a.
    pub a_high: T,
    /// At the low end of b.
    pub b_low: T,
    /// At the high end of b.
    pub b_high: T,
}

impl<T: Copy> Sides<T> {
    /// The same sides with something else at each.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Sides<U> {
        Sides {
            a_low: f(self.a_low),
            a_high: f(self.a_high),
            b_low: f(self.b_low),
            b_high: f(self.b_high),
        }
    }

    /// All four, in order.
    #[must_use]
    pub fn all(self) -> [T; 4] {
        [self.a_low, self.a_high, self.b_low, self.b_high]
    }
}

/// What comes out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// The opening over the tile, along a: tile, skew and gaps.
    pub opening_a: Figure<Length>,
    /// The opening along b.
    pub opening_b: Figure<Length>,
    /// Flat size of the plate along a after trimming, before bending.
    pub cut_a: Figure<Length>,
    /// Flat size of the plate along b.
    pub cut_b: Figure<Length>,
    /// What comes off the delivered plate at each side; negative where it is too small.
    pub trim: Sides<Figure<Length>>,
    /// What the skirt must be shorter by at each side, so that it does not stand on the crown.
    pub skirt_cut: Sides<Figure<Length>>,
    /// How much the plate is too small by, 0 when it is large enough.
    pub plate_short: Figure<Length>,
    /// The widest gap to seal.
    pub widest_gap: Figure<Length>,
    /// Length of the sealant bead, all passes.
    pub bead_length: Figure<Length>,
    /// Whether the skirt reaches the wanted overlap; none without a skirt.
    pub skirt_reaches: Option<bool>,
    /// How far the tile is from square, degrees.
    pub skew_angle_deg: f64,
    /// Cartridges of sealant.
    pub cartridges: u32,
    /// How the top stands against the rules.
    pub checks: Checks,
    /// The plate as it is cut, for a drawing.
    #[serde(skip)]
    pub plan: Plan,
}

/// Checks of the chimney top; only those whose figures are there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Checks {
    /// The tile above the crown: a greatest figure.
    pub projection: Check<Figure<Length>>,
    /// Fall of the crown, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crown_slope: Option<NumberCheck>,
    /// The crown beyond the brick.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overhang: Option<Check<Figure<Length>>>,
    /// The top above the roof.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub roof_height: Option<Check<Figure<Length>>>,
    /// The outlet above the intake.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub separation: Option<Check<Figure<Length>>>,
}

/// The delivered plate seen from above; the origin is its corner of low a and low b.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// The plate as delivered, along a and b.
    pub plate: (Length, Length),
    /// Centre of the liner hole.
    pub hole: (Length, Length),
    /// Where to cut: distances from the plate's low edge for low and high, along a and b.
    pub cut: Sides<Length>,
    /// Where to bend (over a tile), or where the opening's edge lies (on a crown).
    pub bend: Sides<Length>,
    /// Where the tile's faces stand under the plate.
    pub tile: Sides<Length>,
}
