//! The nearest candidate, when none spans.
//!
//! First the least miss is found, with all uprights of up to so many pieces in one list, and legs of equal length
//! looked at once; then only the legs that reach it are gone through for the best candidate among equals.

use std::collections::BTreeSet;

use super::found::Found;
use super::picks::{Group, Pick, Picks, within};
use super::search::{Leg, Legs};
use super::stock::{Section, Stock};

/// The best of the candidates that miss least; none when there is no candidate.
pub(super) fn nearest<'a>(stock: &'a Stock, picks: &Picks) -> Option<Found<'a>> {
    let mut least = Least {
        miss: i64::MAX,
        legs: BTreeSet::new(),
    };
    let up_to = picks.up_to();
    for (place, plan) in stock.plans.iter().enumerate() {
        Legs { stock, picks, plan }.least_miss(place, &up_to, &mut least);
    }
    let mut plans: Vec<(Legs<'_, '_>, Vec<Vec<Leg<'_>>>)> = stock
        .plans
        .iter()
        .map(|plan| (Legs { stock, picks, plan }, Vec::new()))
        .collect();
    for parts in 1..=stock.max_pieces + 2 {
        let mut best = None;
        for (place, (legs, reaching)) in plans.iter_mut().enumerate() {
            let Some(pieces) = parts.checked_sub(usize::from(legs.plan.elbows)) else {
                continue;
            };
            if pieces <= stock.max_pieces {
                while reaching.len() <= pieces {
                    reaching.push(legs.reaching(place, reaching.len(), &least));
                }
                legs.missing_least(pieces, reaching, &least, &mut best);
            }
        }
        if best.is_some() {
            return best;
        }
    }
    None
}

/// The least miss so far, and the legs that reach it: place of the arrangement and length.
struct Least {
    miss: i64,
    legs: BTreeSet<(usize, i64)>,
}

impl Least {
    fn reached(&mut self, miss: i64, place: usize, length: i64) {
        if miss < self.miss {
            self.miss = miss;
            self.legs.clear();
        }
        if miss == self.miss {
            self.legs.insert((place, length));
        }
    }
}

impl<'a> Legs<'a, '_> {
    /// Lowers the least miss to that of this arrangement, when it is less.
    fn least_miss(&self, place: usize, up_to: &[Vec<Pick>], least: &mut Least) {
        if !self.plan.has_upright() {
            for pieces in 1..=self.stock.max_pieces {
                self.each_leg(pieces, |leg| {
                    least.reached(leg.run_error.abs() + leg.target.abs(), place, leg.built.length);
                });
            }
            return;
        }
        // With enough of every section a leg of the same length and fewer pieces stands for all others.
        let plenty = self.stock.is_plenty();
        let mut seen = BTreeSet::new();
        // Most cuts end at the wanted length: they are told apart without the set.
        let mut last_cut = None;
        for leg_pieces in self.leg_counts(self.stock.max_pieces) {
            self.each_leg(leg_pieces, |leg| {
                let run = leg.run_error.abs();
                if run > least.miss {
                    return;
                }
                let kind = (leg.built.length, leg.group.telescope, leg.group.cut.is_some());
                if plenty && leg.group.cut.is_some() && last_cut.replace(kind) == Some(kind) {
                    return;
                }
                if plenty && !seen.insert(kind) {
                    return;
                }
                self.each_kind(
                    self.stock.max_pieces - leg_pieces,
                    &leg,
                    up_to,
                    |list, telescope, cut| {
                        let room = least.miss.saturating_sub(run).saturating_add(1);
                        if let Some(miss) = self.closest(&leg, list, telescope, cut, room) {
                            least.reached(run + miss, place, leg.built.length);
                        }
                    },
                );
            });
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
        let alone = leg.group.pick.taken == 0 && !leg.group.telescope && self.plan.elbows == 0;
        let anything = |pick: &Pick| !alone || telescope || pick.taken > 0;
        let fits = |pick: &&Pick| anything(pick) && self.may_stand(leg, pick, cut);
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

    /// The legs of so many pieces that may be part of a candidate that misses least.
    fn reaching(&self, place: usize, pieces: usize, least: &Least) -> Vec<Leg<'a>> {
        let mut reaching = Vec::new();
        self.each_leg(pieces, |leg| {
            if leg.run_error.abs() <= least.miss && least.legs.contains(&(place, leg.built.length)) {
                reaching.push(leg);
            }
        });
        reaching
    }

    /// The best candidate of so many pieces that misses least; `reaching` holds legs by their number of pieces.
    fn missing_least(
        &self,
        pieces: usize,
        reaching: &[Vec<Leg<'a>>],
        least: &Least,
        best: &mut Option<Found<'a>>,
    ) {
        for (leg_pieces, legs) in reaching.iter().enumerate() {
            if !self.leg_counts(pieces).contains(&leg_pieces) {
                continue;
            }
            for leg in legs {
                let left = least.miss - leg.run_error.abs();
                if !self.plan.has_upright() {
                    if leg.target.abs() == left {
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
                                self.offer_pick(leg, pick, telescope, cut, best);
                            }
                        }
                    },
                );
            }
        }
    }
}
