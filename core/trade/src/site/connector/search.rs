//! The search: the best of all candidates that span, else the nearest.
//!
//! Every choice of sections for the upright and for the leg is a candidate, so the answer is exact. What makes
//! it quick: a leg's run does not hang on the upright, so legs are tried first; uprights stand in lists sorted by
//! length, so that only those near the wanted length are looked at; and fewer parts are tried before more.

use std::cmp::Reverse;

use super::found::{Found, Key, MOST_PARTS};
use super::picks::{Built, Group, Pick, Picks, within};
use super::stock::{Plan, Section, Stock};

/// The best candidate, or none when no arrangement can be built.
pub(super) fn search(stock: &Stock) -> Option<Found<'_>> {
    let picks = Picks::of(stock);
    for parts in 1..=stock.max_pieces + 2 {
        let mut best = None;
        for plan in &stock.plans {
            let Some(pieces) = parts.checked_sub(usize::from(plan.elbows)) else {
                continue;
            };
            if pieces <= stock.max_pieces {
                Legs {
                    stock,
                    picks: &picks,
                    plan,
                }
                .spanning(pieces, &mut best);
            }
        }
        if best.is_some() {
            return best;
        }
    }
    nearest(stock, &picks)
}

fn nearest<'a>(stock: &'a Stock, picks: &Picks) -> Option<Found<'a>> {
    let mut least = i64::MAX;
    for plan in &stock.plans {
        Legs { stock, picks, plan }.least_miss(&mut least);
    }
    if least == i64::MAX {
        return None;
    }
    let mut best = None;
    for plan in &stock.plans {
        Legs { stock, picks, plan }.missing_by(least, &mut best);
    }
    best
}

/// The candidates of one arrangement, leg by leg.
struct Legs<'a, 'p> {
    stock: &'a Stock,
    picks: &'p Picks,
    plan: &'a Plan,
}

/// A leg with what it leaves for the upright.
#[derive(Clone, Copy)]
struct Leg<'a> {
    group: Group<'a>,
    built: Built,
    run_error: i64,
    /// What the upright should be long.
    target: i64,
}

impl<'a> Legs<'a, '_> {
    /// The best spanning candidate of so many pieces.
    fn spanning(&self, pieces: usize, best: &mut Option<Found<'a>>) {
        let tolerance = self.stock.tolerance;
        for leg_pieces in self.leg_counts(pieces) {
            let upright_pieces = pieces - leg_pieces;
            self.each_leg(leg_pieces, |leg| {
                if leg.run_error.abs() > tolerance {
                    return;
                }
                if !self.plan.has_upright() {
                    if leg.target.abs() <= tolerance {
                        self.offer(&leg, Group::empty(), best);
                    }
                    return;
                }
                self.each_kind(upright_pieces, &leg, |list, telescope, cut| {
                    let (low, high) = self.telescope(telescope);
                    let (from, to) = match cut {
                        None => (leg.target - high - tolerance, leg.target - low + tolerance),
                        Some(section) => (
                            leg.target - low + 1,
                            leg.target - low + section.most_cut + tolerance,
                        ),
                    };
                    for pick in within(list, from, to) {
                        self.offer_pick(&leg, pick, telescope, cut, best);
                    }
                });
            });
        }
    }

    /// The least miss any candidate of this arrangement has, when it is less than known so far.
    fn least_miss(&self, least: &mut i64) {
        for pieces in 0..=self.stock.max_pieces {
            if pieces == 0 && self.plan.elbows == 0 {
                continue;
            }
            for leg_pieces in self.leg_counts(pieces) {
                self.each_leg(leg_pieces, |leg| {
                    let run = leg.run_error.abs();
                    if !self.plan.has_upright() {
                        *least = (*least).min(run + leg.target.abs());
                        return;
                    }
                    self.each_kind(pieces - leg_pieces, &leg, |list, telescope, cut| {
                        if run < *least {
                            let room = *least - run;
                            if let Some(miss) = self.closest(&leg, list, telescope, cut, room) {
                                *least = run + miss;
                            }
                        }
                    });
                });
            }
        }
    }

    /// The least rise error below `room` of an upright that goes with the leg.
    fn closest(
        &self,
        leg: &Leg<'a>,
        list: &[Pick],
        telescope: bool,
        cut: Option<&'a Section>,
        room: i64,
    ) -> Option<i64> {
        let (low, high) = self.telescope(telescope);
        let from = match cut {
            None => leg.target - high,
            Some(_) => leg.target - low + 1,
        };
        let start = list.partition_point(|pick| pick.sum < from);
        let miss = |pick: &Pick| {
            let group = Group {
                pick: *pick,
                telescope,
                cut,
            };
            group
                .built(leg.target, (low, high))
                .map(|built| (built.length - leg.target).abs())
        };
        let fits = |pick: &&Pick| self.may_stand(leg, pick, cut);
        let nearest = |side: &mut dyn Iterator<Item = &Pick>| {
            // The miss only grows along either side, so the first that fits is the nearest of its side.
            side.take_while(|pick| miss(pick).is_none_or(|miss| miss < room))
                .find(fits)
                .and_then(miss)
        };
        let above = nearest(&mut list.iter().skip(start));
        let below = match cut {
            None => nearest(&mut list.iter().take(start).rev()),
            Some(_) => None,
        };
        above.into_iter().chain(below).min()
    }

    /// The best candidate that misses by exactly so much.
    fn missing_by(&self, miss: i64, best: &mut Option<Found<'a>>) {
        for pieces in 0..=self.stock.max_pieces {
            if pieces == 0 && self.plan.elbows == 0 {
                continue;
            }
            for leg_pieces in self.leg_counts(pieces) {
                self.each_leg(leg_pieces, |leg| {
                    let left = miss - leg.run_error.abs();
                    if left < 0 {
                        return;
                    }
                    if !self.plan.has_upright() {
                        if leg.target.abs() == left {
                            self.offer(&leg, Group::empty(), best);
                        }
                        return;
                    }
                    self.each_kind(pieces - leg_pieces, &leg, |list, telescope, cut| {
                        let (low, high) = self.telescope(telescope);
                        let nearest = (leg.target - high, leg.target - low);
                        let ranges = match (cut, left) {
                            (None, 0) => [Some(nearest), None],
                            (None, left) => [nearest.0 - left, nearest.1 + left].map(|sum| Some((sum, sum))),
                            (Some(section), 0) => [Some((nearest.1 + 1, nearest.1 + section.most_cut)), None],
                            (Some(section), left) => {
                                let sum = nearest.1 + section.most_cut + left;
                                [Some((sum, sum)), None]
                            }
                        };
                        for (from, to) in ranges.into_iter().flatten() {
                            for pick in within(list, from, to) {
                                self.offer_pick(&leg, pick, telescope, cut, best);
                            }
                        }
                    });
                });
            }
        }
    }

    /// How many of the pieces may stand in the leg.
    fn leg_counts(&self, pieces: usize) -> std::ops::RangeInclusive<usize> {
        match (self.plan.leg, self.plan.has_upright()) {
            (super::stock::Leg::None, _) => 0..=0,
            (_, false) => pieces..=pieces,
            (_, true) => 0..=pieces,
        }
    }

    fn each_leg(&self, pieces: usize, mut each: impl FnMut(Leg<'a>)) {
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
            let Some(list) = self.list(pieces, telescope) else {
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
    fn each_kind(
        &self,
        pieces: usize,
        leg: &Leg<'a>,
        mut each: impl FnMut(&[Pick], bool, Option<&'a Section>),
    ) {
        for telescope in [false, true] {
            if telescope && leg.group.telescope {
                continue;
            }
            let Some(list) = self.list(pieces, telescope) else {
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

    fn list(&self, pieces: usize, telescope: bool) -> Option<&[Pick]> {
        if telescope {
            self.stock.adjustable.as_ref()?;
            return pieces
                .checked_sub(1)
                .map(|sections| self.picks.of_count(sections));
        }
        Some(self.picks.of_count(pieces))
    }

    fn cuttable(&self) -> impl Iterator<Item = &'a Section> {
        let allowed = self.stock.cut_allowed;
        self.stock
            .sections
            .iter()
            .filter(move |section| allowed && section.most_cut >= 1)
    }

    fn telescope(&self, used: bool) -> (i64, i64) {
        match &self.stock.adjustable {
            Some(adjustable) if used => (adjustable.min, adjustable.max),
            _ => (0, 0),
        }
    }

    fn may_stand(&self, leg: &Leg<'a>, pick: &Pick, cut: Option<&Section>) -> bool {
        cut.is_none_or(|section| pick.count(section) > 0)
            && pick.goes_with(&leg.group.pick, &self.stock.sections)
    }

    fn offer_pick(
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

    fn offer(&self, leg: &Leg<'a>, upright: Group<'a>, best: &mut Option<Found<'a>>) {
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
