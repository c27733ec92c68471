//! The stock and the span in ticks, and the arrangements they allow.

use std::collections::BTreeSet;

use super::input::{Arrangement, Direction, ElbowAngle, Input};
use super::ticks::{cents, rounded, ticks, whole};
use crate::form::{Pointer, Refusal};

/// A section in ticks and cents.
#[derive(Clone, Debug)]
pub(super) struct Section {
    pub(super) id: String,
    /// Place among all ids in the order of their bytes.
    pub(super) rank: u8,
    /// Bits by which its count is shifted in a [`super::picks::Pick`].
    pub(super) shift: u32,
    pub(super) length: i64,
    pub(super) effective: i64,
    pub(super) cost: i64,
    /// The most there are, as far as it matters.
    pub(super) on_hand: u64,
    /// The most that may be cut off; below 1 it is not cut.
    pub(super) most_cut: i64,
}

/// The telescoping section in ticks and cents.
#[derive(Clone, Debug)]
pub(super) struct Adjustable {
    pub(super) id: String,
    pub(super) rank: u8,
    pub(super) min: i64,
    pub(super) max: i64,
    pub(super) cost: i64,
}

/// An arrangement that may be built, with what its elbows bring.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub(super) arrangement: Arrangement,
    pub(super) elbow: Option<ElbowLine>,
    pub(super) elbows: u8,
    /// Rise of all its elbows.
    pub(super) elbow_rise: i64,
    /// Run of all its elbows.
    pub(super) elbow_run: i64,
    pub(super) leg: Leg,
}

#[derive(Clone, Debug)]
pub(super) struct ElbowLine {
    pub(super) id: String,
    pub(super) rank: u8,
    pub(super) cost: i64,
}

/// How the pieces between or behind elbows run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Leg {
    /// There is none.
    None,
    /// Level but for its slope, in thousandths of an inch per foot.
    Level { slope: i64 },
    /// At an angle from the vertical, by sine and cosine in 1e-9.
    Slant { sine: i64, cosine: i64 },
}

const UNIT: i64 = 1_000_000_000;

impl Leg {
    /// Length of the leg that gives a run.
    pub(super) fn length_for(self, run: i64) -> i64 {
        match self {
            Self::None => 0,
            Self::Level { .. } => run,
            Self::Slant { sine, .. } => rounded(run * UNIT, sine),
        }
    }

    pub(super) fn run(self, length: i64) -> i64 {
        match self {
            Self::None => 0,
            Self::Level { .. } => length,
            Self::Slant { sine, .. } => rounded(length * sine, UNIT),
        }
    }

    pub(super) fn rise(self, length: i64) -> i64 {
        match self {
            Self::None => 0,
            Self::Level { slope } => rounded(length * slope, 12_000),
            Self::Slant { cosine, .. } => rounded(length * cosine, UNIT),
        }
    }
}

impl Plan {
    /// Whether pieces stand upright in it.
    pub(super) fn has_upright(&self) -> bool {
        self.arrangement != Arrangement::StraightBack
    }
}

/// What the search works on.
#[derive(Clone, Debug)]
pub(super) struct Stock {
    /// In the order of their ids' bytes.
    pub(super) sections: Vec<Section>,
    pub(super) adjustable: Option<Adjustable>,
    pub(super) plans: Vec<Plan>,
    pub(super) rise: i64,
    pub(super) run: i64,
    pub(super) tolerance: i64,
    pub(super) cut_allowed: bool,
    pub(super) max_pieces: usize,
}

impl Stock {
    /// Whether every section is on hand as often as it could be used.
    pub(super) fn is_plenty(&self) -> bool {
        self.sections
            .iter()
            .all(|section| usize::try_from(section.on_hand).is_ok_and(|count| count >= self.max_pieces))
    }

    pub(super) fn of(input: &Input) -> Result<Self, Refusal> {
        let ranks = ranks(input)?;
        let rank = |id: &str| ranks.iter().position(|known| *known == id).unwrap_or_default();
        let rank = |id: &str| u8::try_from(rank(id)).unwrap_or(u8::MAX);
        let mut sections = Vec::new();
        for (place, section) in input.sections.iter().enumerate() {
            let insertion = section.insertion.unwrap_or(input.insertion);
            let (over_all, lost) = (ticks(section.length), ticks(insertion));
            if lost >= over_all {
                let key = if section.insertion.is_some() {
                    "insertion"
                } else {
                    "length"
                };
                return Err(Refusal::inconsistent(
                    Pointer::from("/sections").item(place).key(key),
                    "The section is no longer than what its joint takes. Look at both lengths again.",
                ));
            }
            sections.push(Section {
                id: section.id.clone(),
                rank: rank(&section.id),
                shift: 0,
                length: over_all,
                effective: over_all - lost,
                cost: cents(section.cost),
                on_hand: section.on_hand.map_or(8, |count| u64::from(count.min(8))),
                most_cut: over_all - ticks(input.min_remaining.max(insertion)),
            });
        }
        sections.sort_by_key(|section| section.rank);
        for (section, shift) in sections.iter_mut().zip((0..).step_by(8)) {
            section.shift = shift;
        }
        let adjustable = match &input.adjustable {
            Some(telescope) if ticks(telescope.min) > ticks(telescope.max) => {
                let message = "The shortest length is above the longest. Exchange the two, or measure again.";
                return Err(Refusal::inconsistent("/adjustable/min", message));
            }
            Some(telescope) => Some(Adjustable {
                id: telescope.id.clone(),
                rank: rank(&telescope.id),
                min: ticks(telescope.min),
                max: ticks(telescope.max),
                cost: cents(telescope.cost),
            }),
            None => None,
        };
        Ok(Self {
            sections,
            adjustable,
            plans: plans(input, &rank),
            rise: ticks(input.rise),
            run: ticks(input.run),
            tolerance: ticks(input.tolerance),
            cut_allowed: input.cut_allowed,
            max_pieces: usize::try_from(input.max_pieces).unwrap_or(1),
        })
    }
}

/// All ids in the order of their bytes.
fn ranks(input: &Input) -> Result<BTreeSet<&str>, Refusal> {
    let mut ids = BTreeSet::new();
    let mut add = |id, at: Pointer| {
        let message = "Two pieces have the same id. Give each its own.";
        if ids.insert(id) {
            Ok(())
        } else {
            Err(Refusal::inconsistent(at.key("id"), message))
        }
    };
    for (place, section) in input.sections.iter().enumerate() {
        add(section.id.as_str(), Pointer::from("/sections").item(place))?;
    }
    for (place, elbow) in input.elbows.iter().flatten().enumerate() {
        add(elbow.id.as_str(), Pointer::from("/elbows").item(place))?;
    }
    if let Some(adjustable) = &input.adjustable {
        add(adjustable.id.as_str(), Pointer::from("/adjustable"))?;
    }
    Ok(ids)
}

fn plans(input: &Input, rank: &dyn Fn(&str) -> u8) -> Vec<Plan> {
    let fitting: &[Arrangement] = match (input.collar_direction, input.end_direction) {
        (Direction::Up, Direction::Up) => &[Arrangement::StraightUp, Arrangement::Offset],
        (Direction::Up, Direction::Back) => &[Arrangement::TurnBack],
        (Direction::Back, Direction::Up) => &[Arrangement::TurnUp],
        (Direction::Back, Direction::Back) => &[Arrangement::StraightBack],
    };
    let level = Leg::Level {
        slope: whole(1_000.0 * input.leg_slope_in_per_ft),
    };
    let mut plans = Vec::new();
    for arrangement in fitting.iter().copied() {
        if input
            .allowed
            .as_ref()
            .is_some_and(|allowed| !allowed.contains(&arrangement))
        {
            continue;
        }
        let (elbows, leg) = match arrangement {
            Arrangement::StraightUp => (0, Leg::None),
            Arrangement::StraightBack => (0, level),
            Arrangement::TurnBack | Arrangement::TurnUp => (1, level),
            Arrangement::Offset => (2, level),
        };
        if elbows > input.max_elbows {
            continue;
        }
        if elbows == 0 {
            let plan = Plan {
                arrangement,
                elbow: None,
                elbows: 0,
                elbow_rise: 0,
                elbow_run: 0,
                leg,
            };
            plans.push(plan);
            continue;
        }
        for elbow in input.elbows.iter().flatten() {
            let square = elbow.angle == ElbowAngle::Square;
            let too_few = elbow.on_hand.is_some_and(|count| count < elbows);
            if too_few || (arrangement != Arrangement::Offset && !square) {
                continue;
            }
            let (along, across) = (ticks(elbow.rise), ticks(elbow.run));
            let (elbow_rise, elbow_run) = match arrangement {
                Arrangement::Offset => (2 * along, 2 * across),
                Arrangement::TurnUp => (across, along),
                _ => (along, across),
            };
            plans.push(Plan {
                arrangement,
                elbow: Some(ElbowLine {
                    id: elbow.id.clone(),
                    rank: rank(&elbow.id),
                    cost: cents(elbow.cost) * i64::from(elbows),
                }),
                elbows: u8::try_from(elbows).unwrap_or(2),
                elbow_rise,
                elbow_run,
                leg: match elbow.angle {
                    ElbowAngle::Square => level,
                    ElbowAngle::Half => Leg::Slant {
                        sine: 707_106_781,
                        cosine: 707_106_781,
                    },
                    ElbowAngle::Third => Leg::Slant {
                        sine: 500_000_000,
                        cosine: 866_025_404,
                    },
                },
            });
        }
    }
    plans
}
