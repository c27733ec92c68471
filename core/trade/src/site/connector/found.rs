//! A candidate, what makes it better than another, and its parts in their places.

use std::cmp::Reverse;

use super::input::Arrangement;
use super::picks::{Built, Group};
use super::stock::{Plan, Section, Stock};

/// The candidate that was found.
#[derive(Clone, Debug)]
pub(super) struct Found<'a> {
    pub(super) plan: &'a Plan,
    pub(super) upright: Group<'a>,
    pub(super) leg: Group<'a>,
    pub(super) upright_built: Built,
    pub(super) leg_built: Built,
    pub(super) rise_error: i64,
    pub(super) run_error: i64,
    pub(super) key: Key,
}

impl Found<'_> {
    pub(super) fn spans(&self, stock: &Stock) -> bool {
        self.rise_error.abs() <= stock.tolerance && self.run_error.abs() <= stock.tolerance
    }

    pub(super) fn miss(&self) -> i64 {
        self.rise_error.abs() + self.run_error.abs()
    }

    pub(super) fn cost(&self) -> i64 {
        self.key.cost
    }
}

/// What makes one candidate better than another, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    pub(super) parts: usize,
    pub(super) offcut: i64,
    pub(super) cost: i64,
    pub(super) ids: [u8; MOST_PARTS],
    pub(super) cut_length: Reverse<i64>,
    pub(super) position: usize,
}

/// Eight pieces and two elbows, and room for the lists to end.
pub(super) const MOST_PARTS: usize = 12;

/// A part in its place, from the collar.
#[derive(Clone, Copy, Debug)]
pub(super) enum Placed<'a> {
    Section {
        section: &'a Section,
        cut: bool,
        in_leg: bool,
    },
    Telescope {
        in_leg: bool,
    },
    Elbow,
}

impl<'a> Found<'a> {
    /// The parts from the collar; each group in the order of its ids, of equal ids the first is the cut one.
    pub(super) fn parts(&self, stock: &'a Stock) -> Vec<Placed<'a>> {
        let mut parts = Vec::with_capacity(MOST_PARTS);
        match self.plan.arrangement {
            Arrangement::StraightUp => self.group(stock, false, &mut parts),
            Arrangement::StraightBack => self.group(stock, true, &mut parts),
            Arrangement::TurnUp => {
                self.group(stock, true, &mut parts);
                parts.push(Placed::Elbow);
                self.group(stock, false, &mut parts);
            }
            Arrangement::TurnBack | Arrangement::Offset => {
                self.group(stock, false, &mut parts);
                parts.push(Placed::Elbow);
                self.group(stock, true, &mut parts);
                if self.plan.arrangement == Arrangement::Offset {
                    parts.push(Placed::Elbow);
                }
            }
        }
        parts
    }

    fn group(&self, stock: &'a Stock, in_leg: bool, parts: &mut Vec<Placed<'a>>) {
        let group = if in_leg { &self.leg } else { &self.upright };
        let telescope = stock.adjustable.as_ref().filter(|_| group.telescope);
        let mut waiting = telescope.map(|adjustable| adjustable.rank);
        for section in &stock.sections {
            if waiting.is_some_and(|rank| rank < section.rank) {
                waiting = None;
                parts.push(Placed::Telescope { in_leg });
            }
            for copy in 0..group.pick.count(section) {
                let cut = copy == 0 && group.cut.is_some_and(|cut| cut.rank == section.rank);
                parts.push(Placed::Section { section, cut, in_leg });
            }
        }
        if waiting.is_some() {
            parts.push(Placed::Telescope { in_leg });
        }
    }

    pub(super) fn full_key(&self, stock: &'a Stock) -> Key {
        let parts = self.parts(stock);
        let elbow = self.plan.elbow.as_ref().map_or(0, |elbow| elbow.rank);
        let telescope = stock.adjustable.as_ref().map_or(0, |adjustable| adjustable.rank);
        let mut key = Key {
            parts: parts.len(),
            ..self.key
        };
        for (place, (slot, part)) in key.ids.iter_mut().zip(&parts).enumerate() {
            *slot = match part {
                Placed::Section { section, cut, .. } => {
                    if *cut {
                        key.cut_length = Reverse(section.length);
                        key.position = place;
                    }
                    section.rank
                }
                Placed::Telescope { .. } => telescope,
                Placed::Elbow => elbow,
            };
        }
        key
    }
}
