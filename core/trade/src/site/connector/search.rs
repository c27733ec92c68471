//! The search: the best of all candidates that span, else the nearest.
//!
//! Every choice of sections for the upright and for the leg is a candidate, so the answer is exact. What makes
//! it quick: a leg's run does not hang on the upright, so legs are tried first; uprights stand in lists sorted by
//! length, so that only those near the wanted length are looked at; and fewer parts are tried before more.

use std::cmp::Reverse;

use super::found::{Found, Key, MOST_PARTS};
use super::nearest::nearest;
use super::picks::{Built, Group, Pick, Picks, within};
use super::stock::{Plan, Section, Stock};

/// The best candidate, or none when no arrangement can be built.
pub(super) fn search(stock: &Stock) -> Option<Found<'_>> {
    let picks = Picks::of(stock);
    // Legs whose run is met, by number of pieces; made when they are first wanted.
    let mut plans: Vec<(Legs<'_, '_>, Vec<Vec<Leg<'_>>>)> = stock
        .plans
        .iter()
        .map(|plan| {
            (
                Legs {
                    stock,
                    picks: &picks,
                    plan,
                },
                Vec::new(),
            )
        })
        .collect();
    for parts in 1..=stock.max_pieces + 2 {
        let mut best = None;
        for (legs, met) in &mut plans {
            let Some(pieces) = parts.checked_sub(usize::from(legs.plan.elbows)) else {
                continue;
            };
            if pieces <= stock.max_pieces {
                while met.len() <= pieces {
                    met.push(legs.meeting_the_run(met.len()));
                }
                legs.spanning(pieces, met, &mut best);
            }
        }
        if best.is_some() {
            return best;
        }
    }
    nearest(stock, &picks)
}

/// The candidates of one arrangement, leg by leg.
pub(super) struct Legs<'a, 'p> {
    pub(super) stock: &'a Stock,
    pub(super) picks: &'p Picks,
    pub(super) plan: &'a Plan,
}

/// A leg with what it leaves for the upright.
#[derive(Clone, Copy)]
pub(super) struct Leg<'a> {
    pub(super) group: Group<'a>,
    pub(super) built: Built,
    pub(super) run_error: i64,
    /// What the upright should be long.
    pub(super) target: i64,
}

impl<'a> Legs<'a, '_> {
    /// The legs of so many pieces whose run is met.
    fn meeting_the_run(&self, pieces: usize) -> Vec<Leg<'a>> {
        let mut met = Vec::new();
        self.each_leg(pieces, |leg| {
            if leg.run_error.abs() <= self.stock.tolerance {
                met.push(leg);
            }
        });
        met
    }

    /// The best spanning candidate of so many pieces; `met` holds legs by their number of pieces.
    fn spanning(&self, pieces: usize, met: &[Vec<Leg<'a>>], best: &mut Option<Found<'a>>) {
        let tolerance = self.stock.tolerance;
        for (leg_pieces, legs) in met.iter().enumerate() {
            if !self.leg_counts(pieces).contains(&leg_pieces) {
                continue;
            }
            for leg in legs {
                if !self.plan.has_upright() {
                    if leg.target.abs() <= tolerance {
                        self.offer(leg, Group::empty(), best);
                    }
                    continue;
                }
                self.each_kind(
                    pieces - leg_pieces,
                    leg,
                    self.picks.by_count(),
                    |list, telescope, cut| {
                        let (low, high) = self.telescope(telescope);
                        let (from, to) = match cut {
                            None => (leg.target - high - tolerance, leg.target - low + tolerance),
                            Some(section) => (
                                leg.target - low + 1,
                                leg.target - low + section.most_cut + tolerance,
                            ),
                        };
                        for pick in within(list, from, to) {
                            self.offer_pick(leg, pick, telescope, cut, best);
                        }
                    },
                );
            }
        }
    }

    /// How many of the pieces may stand in the leg.
    pub(super) fn leg_counts(&self, pieces: usize) -> std::ops::RangeInclusive<usize> {
        match (self.plan.leg, self.plan.has_upright()) {
            (super::stock::Leg::None, _) => 0..=0,
            (_, false) => pieces..=pieces,
            (_, true) => 0..=pieces,
        }
    }

    pub(super) fn each_leg(&self, pieces: usize, mut each: impl FnMut(Leg<'a>)) {
        let plan = self.plan;
        let wanted = plan.leg.length_for(self.stock.run - plan.elbow_run);
        self.each_group(pieces, |group| {
            let Some(built) = group.built(wanted, self.telescope(group.telescope)) else {
                return;
            };
            each(Leg {
                group,
                built,
                run_error: plan.elbow_run + plan.leg.run(built.length) - self.stock.run,
                target: self.stock.rise - plan.elbow_rise - plan.leg.rise(built.length),
            });
        });
    }

    fn each_group(&self, pieces: usize, mut each: impl FnMut(Group<'a>)) {
        for telescope in [false, true] {
            let Some(list) = self.list(self.picks.by_count(), pieces, telescope) else {
                continue;
            };
            for pick in list {
                each(Group {
                    pick: *pick,
                    telescope,
                    cut: None,
                });
                for section in self.cuttable().filter(|section| pick.count(section) > 0) {
                    each(Group {
                        pick: *pick,
                        telescope,
                        cut: Some(section),
                    });
                }
            }
        }
    }

    /// The kinds of upright that may stand with a leg: telescope and cut go in one group only.
    pub(super) fn each_kind(
        &self,
        pieces: usize,
        leg: &Leg<'a>,
        lists: &[Vec<Pick>],
        mut each: impl FnMut(&[Pick], bool, Option<&'a Section>),
    ) {
        for telescope in [false, true] {
            if telescope && leg.group.telescope {
                continue;
            }
            let Some(list) = self.list(lists, pieces, telescope) else {
                continue;
            };
            each(list, telescope, None);
            if leg.group.cut.is_none() {
                for section in self.cuttable() {
                    each(list, telescope, Some(section));
                }
            }
        }
    }

    fn list<'l>(&self, lists: &'l [Vec<Pick>], pieces: usize, telescope: bool) -> Option<&'l [Pick]> {
        let sections = if telescope {
            self.stock.adjustable.as_ref()?;
            pieces.checked_sub(1)?
        } else {
            pieces
        };
        lists.get(sections).map(Vec::as_slice)
    }

    pub(super) fn cuttable(&self) -> impl Iterator<Item = &'a Section> {
        let allowed = self.stock.cut_allowed;
        self.stock
            .sections
            .iter()
            .filter(move |section| allowed && section.most_cut >= 1)
    }

    pub(super) fn telescope(&self, used: bool) -> (i64, i64) {
        match &self.stock.adjustable {
            Some(adjustable) if used => (adjustable.min, adjustable.max),
            _ => (0, 0),
        }
    }

    pub(super) fn may_stand(&self, leg: &Leg<'a>, pick: &Pick, cut: Option<&Section>) -> bool {
        cut.is_none_or(|section| pick.count(section) > 0)
            && pick.goes_with(&leg.group.pick, &self.stock.sections)
    }

    pub(super) fn offer_pick(
        &self,
        leg: &Leg<'a>,
        pick: &Pick,
        telescope: bool,
        cut: Option<&'a Section>,
        best: &mut Option<Found<'a>>,
    ) {
        if self.may_stand(leg, pick, cut) {
            self.offer(
                leg,
                Group {
                    pick: *pick,
                    telescope,
                    cut,
                },
                best,
            );
        }
    }

    pub(super) fn offer(&self, leg: &Leg<'a>, upright: Group<'a>, best: &mut Option<Found<'a>>) {
        let upright_built = if self.plan.has_upright() {
            upright.built(leg.target, self.telescope(upright.telescope))
        } else {
            Some(Built::default())
        };
        let Some(upright_built) = upright_built else {
            return;
        };
        let pieces = upright.pick.taken + leg.group.pick.taken;
        let telescopes = usize::from(upright.telescope) + usize::from(leg.group.telescope);
        let parts = pieces + telescopes + usize::from(self.plan.elbows);
        let offcut = upright_built.offcut + leg.built.offcut;
        let cost = self.cost(&upright, &leg.group);
        // Most candidates are beaten by these alone; lists of ids are only made for the others.
        let worse =
            |best: &Found<'_>| (parts, offcut, cost) > (best.key.parts, best.key.offcut, best.key.cost);
        if best.as_ref().is_some_and(worse) {
            return;
        }
        let found = Found {
            plan: self.plan,
            upright,
            leg: leg.group,
            upright_built,
            leg_built: leg.built,
            rise_error: upright_built.length - leg.target,
            run_error: leg.run_error,
            key: Key {
                parts,
                offcut,
                cost,
                ids: [0; MOST_PARTS],
                cut_length: Reverse(0),
                position: 0,
            },
        };
        let key = found.full_key(self.stock);
        if best.as_ref().is_none_or(|best| key < best.key) {
            *best = Some(Found { key, ..found });
        }
    }

    fn cost(&self, upright: &Group<'_>, leg: &Group<'_>) -> i64 {
        let telescope = self
            .stock
            .adjustable
            .as_ref()
            .filter(|_| upright.telescope || leg.telescope);
        upright.pick.cost
            + leg.pick.cost
            + telescope.map_or(0, |adjustable| adjustable.cost)
            + self.plan.elbow.as_ref().map_or(0, |elbow| elbow.cost)
    }
}
