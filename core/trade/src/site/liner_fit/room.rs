//! Liners in a section: what room is left, and where they stand.

use uom::si::f64::Length;
use wythe_units::Quantity;

use super::figures::{Layout, PlacedLiner};
use super::hole::Hole;
use super::input::TileShape;
use crate::compare::reaches;
use crate::form::Trace;
use crate::words::{both, size};

/// The liners with what must be kept free around and between them.
#[derive(Clone, Copy, Debug)]
pub(super) enum Liners {
    One {
        outside: Length,
        clearance: Length,
    },
    Two {
        exhaust: Length,
        intake: Length,
        clearance: Length,
        between: Length,
    },
}

/// Room left over, and whether that is enough.
#[derive(Clone, Copy, Debug)]
pub(super) enum Room {
    One {
        gap_a: Length,
        gap_b: Length,
        fits: bool,
    },
    Two {
        along_a: Length,
        along_b: Length,
        diagonal: Length,
        fits_diagonal: bool,
    },
}

/// Room beside the liners.
///
/// Two liners in a rectangle, w the wider, s_i = d_i/2 + c, k_i = max(r, s_i): corner to corner their centres
/// can be sqrt((a - k_1 - k_2)^2 + (b - k_1 - k_2)^2) + max(0, r - s_1) + max(0, r - s_2) apart.
pub(super) fn room(hole: &Hole, liners: &Liners) -> Room {
    match *liners {
        Liners::One { outside, clearance } => {
            let (gap_a, gap_b) = ((hole.a - outside) / 2.0, (hole.b - outside) / 2.0);
            Room::One {
                gap_a,
                gap_b,
                fits: reaches(gap_a.min(gap_b), clearance),
            }
        }
        Liners::Two {
            exhaust,
            intake,
            clearance,
            between,
        } => {
            let row = exhaust + intake + clearance * 2.0 + between;
            if hole.shape == TileShape::Round {
                let spare = hole.a - row;
                let fits_diagonal = reaches(spare, Length::from_base(0.0));
                return Room::Two {
                    along_a: spare,
                    along_b: spare,
                    diagonal: spare,
                    fits_diagonal,
                };
            }
            let breadth = exhaust.max(intake) + clearance * 2.0;
            let along_a = (hole.a - row).min(hole.b - breadth);
            let along_b = (hole.b - row).min(hole.a - breadth);
            let least = hole.a.min(hole.b);
            if !reaches(least, breadth) {
                return Room::Two {
                    along_a,
                    along_b,
                    diagonal: least - breadth,
                    fits_diagonal: false,
                };
            }
            let corners = Corners::of(hole, exhaust, intake, clearance);
            let diagonal = corners.apart() - ((exhaust + intake) / 2.0 + between);
            let fits_diagonal = reaches(diagonal, Length::from_base(0.0));
            Room::Two {
                along_a,
                along_b,
                diagonal,
                fits_diagonal,
            }
        }
    }
}

/// Two liners in opposite corners.
struct Corners {
    first: Length,
    second: Length,
    width: Length,
    height: Length,
    into_first: Length,
    into_second: Length,
}

impl Corners {
    pub(super) fn of(hole: &Hole, exhaust: Length, intake: Length, clearance: Length) -> Self {
        let (s1, s2) = (exhaust / 2.0 + clearance, intake / 2.0 + clearance);
        let (first, second) = (hole.radius.max(s1), hole.radius.max(s2));
        let nothing = Length::from_base(0.0);
        Self {
            first,
            second,
            width: hole.a - first - second,
            height: hole.b - first - second,
            into_first: (hole.radius - s1).max(nothing),
            into_second: (hole.radius - s2).max(nothing),
        }
    }

    pub(super) fn span(&self) -> Length {
        (self.width * self.width + self.height * self.height).sqrt()
    }

    pub(super) fn apart(&self) -> Length {
        self.span() + self.into_first + self.into_second
    }
}

impl Room {
    pub(super) fn fits(&self) -> bool {
        match *self {
            Self::One { fits, .. } => fits,
            Self::Two { fits_diagonal, .. } => fits_diagonal,
        }
    }

    pub(super) fn one(&self) -> Option<(Length, Length)> {
        match *self {
            Self::One { gap_a, gap_b, .. } => Some((gap_a, gap_b)),
            Self::Two { .. } => None,
        }
    }

    pub(super) fn two(&self) -> Option<(Length, Length, Length)> {
        match *self {
            Self::One { .. } => None,
            Self::Two {
                along_a,
                along_b,
                diagonal,
                ..
            } => Some((along_a, along_b, diagonal)),
        }
    }

    pub(super) fn trace(&self, trace: &mut Trace) {
        match *self {
            Self::One { gap_a, gap_b, .. } => {
                trace.quantity("gap along a", gap_a);
                trace.quantity("gap along b", gap_b);
            }
            Self::Two {
                along_a,
                along_b,
                diagonal,
                ..
            } => {
                trace.quantity("spare along a", along_a);
                trace.quantity("spare along b", along_b);
                trace.quantity("spare corner to corner", diagonal);
            }
        }
    }

    pub(super) fn lack(&self, liners: &Liners) -> String {
        match (*self, *liners) {
            (Self::One { gap_a, gap_b, .. }, Liners::One { clearance, .. }) => format!(
                "The liner has {} beside it, and {} is wanted. Choose a smaller liner, or measure again where the \
                 flue is narrowest.",
                both(gap_a.min(gap_b)),
                both(clearance)
            ),
            (Self::Two { diagonal, .. }, _) | (Self::One { gap_a: diagonal, .. }, _) => format!(
                "The two liners lack {} even corner to corner. Choose smaller liners, or look for an appliance that \
                 takes its air elsewhere.",
                size(diagonal)
            ),
        }
    }
}

/// Where the liners stand: one in the middle; two in opposite corners, or in a row across a round tile.
pub(super) fn layout(hole: &Hole, liners: &Liners) -> Layout {
    let placed = |a: Length, b: Length, diameter: Length| PlacedLiner { a, b, diameter };
    let liners = match *liners {
        Liners::One { outside, .. } => vec![placed(hole.a / 2.0, hole.b / 2.0, outside)],
        Liners::Two {
            exhaust,
            intake,
            clearance,
            ..
        } if hole.shape == TileShape::Round => vec![
            placed(exhaust / 2.0 + clearance, hole.b / 2.0, exhaust),
            placed(hole.a - intake / 2.0 - clearance, hole.b / 2.0, intake),
        ],
        Liners::Two {
            exhaust,
            intake,
            clearance,
            ..
        } => {
            let corners = Corners::of(hole, exhaust, intake, clearance);
            let span = corners.span();
            let (along, across) = if span > Length::from_base(0.0) {
                ((corners.width / span).value, (corners.height / span).value)
            } else {
                (0.0, 0.0)
            };
            vec![
                placed(
                    corners.first - corners.into_first * along,
                    corners.first - corners.into_first * across,
                    exhaust,
                ),
                placed(
                    hole.a - corners.second + corners.into_second * along,
                    hole.b - corners.second + corners.into_second * across,
                    intake,
                ),
            ]
        }
    };
    Layout {
        a: hole.a,
        b: hole.b,
        corner_radius: hole.radius,
        liners,
    }
}
