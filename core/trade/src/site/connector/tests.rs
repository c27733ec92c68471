//! The search against every candidate there is, on small stocks, and its arithmetic.

use std::cmp::Reverse;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};
use wythe_units::{Dimension, read};

use super::input::{Arrangement, ElbowAngle, Input};
use super::ticks::{cents, rounded, ticks, whole};
use super::{Connector, reckon};
use crate::form::read_input;

fn input(value: &Value) -> Input {
    read_input::<Connector>(value).unwrap()
}

#[test]
fn an_inch_and_a_millimetre_are_whole_ticks() {
    let of = |text| ticks(read(Dimension::Length, text).unwrap().length().unwrap());
    assert_eq!(of("23 31/32 in"), 97_409);
    assert_eq!(of("289 mm"), 46_240);
    assert_eq!(of("1/32 in"), 127);
    assert_eq!((rounded(5, 2), rounded(-5, 2), rounded(-7, 4)), (3, -2, -2));
}

/// One piece of a candidate of the exhaustive search: index of the section, or none for the telescope.
type Piece = Option<usize>;

/// Spans, miss, parts, offcut, cost, ids, length of the cut section, position of the cut.
type Wanted = (bool, i64, usize, i64, i64, Vec<String>, i64, usize);

/// The best of all candidates, written down as the rule says it, without any shortcut.
#[expect(
    clippy::too_many_lines,
    reason = "the rule in one piece, to be read against the search"
)]
fn exhaustive(input: &Input) -> Option<Wanted> {
    let sections: Vec<(String, i64, i64, i64, usize)> = input
        .sections
        .iter()
        .map(|section| {
            let lost = section.insertion.unwrap_or(input.insertion);
            let on_hand = section.on_hand.map_or(99, |count| count as usize);
            (
                section.id.clone(),
                ticks(section.length),
                ticks(lost),
                cents(section.cost),
                on_hand,
            )
        })
        .collect();
    let telescope = input.adjustable.as_ref();
    let (rise, run, tolerance) = (ticks(input.rise), ticks(input.run), ticks(input.tolerance));
    let slope = whole(1000.0 * input.leg_slope_in_per_ft);
    let mut lines = vec![];
    for arrangement in [
        Arrangement::StraightUp,
        Arrangement::Offset,
        Arrangement::TurnBack,
        Arrangement::TurnUp,
        Arrangement::StraightBack,
    ] {
        use super::input::Direction::{Back, Up};
        let ways = match arrangement {
            Arrangement::StraightUp | Arrangement::Offset => (Up, Up),
            Arrangement::TurnBack => (Up, Back),
            Arrangement::TurnUp => (Back, Up),
            Arrangement::StraightBack => (Back, Back),
        };
        if ways != (input.collar_direction, input.end_direction) {
            continue;
        }
        match arrangement {
            Arrangement::StraightUp | Arrangement::StraightBack => lines.push((arrangement, None)),
            _ => lines.extend(
                input
                    .elbows
                    .iter()
                    .flatten()
                    .map(|elbow| (arrangement, Some(elbow))),
            ),
        }
    }
    let mut best = None;
    for (arrangement, elbow) in lines {
        let count = match (arrangement, elbow) {
            (_, None) => 0,
            (Arrangement::Offset, _) => 2,
            _ => 1,
        };
        if count > input.max_elbows {
            continue;
        }
        if let Some(elbow) = elbow
            && (elbow.on_hand.is_some_and(|hand| hand < count)
                || (count == 1 && elbow.angle != ElbowAngle::Square))
        {
            continue;
        }
        let (along, across) = elbow.map_or((0, 0), |elbow| (ticks(elbow.rise), ticks(elbow.run)));
        let (elbow_rise, elbow_run) = match arrangement {
            Arrangement::Offset => (2 * along, 2 * across),
            Arrangement::TurnBack => (along, across),
            Arrangement::TurnUp => (across, along),
            _ => (0, 0),
        };
        let slant = match elbow.map(|elbow| elbow.angle) {
            Some(ElbowAngle::Half) => Some((707_106_781_i64, 707_106_781_i64)),
            Some(ElbowAngle::Third) => Some((500_000_000, 866_025_404)),
            _ => None,
        };
        let has_leg = arrangement != Arrangement::StraightUp;
        let has_upright = arrangement != Arrangement::StraightBack;
        let kinds: Vec<Piece> = (0..sections.len())
            .map(Some)
            .chain(telescope.map(|_| None))
            .collect();
        for (upright, leg) in splits(&kinds, input.max_pieces as usize, has_upright, has_leg) {
            let all = || upright.iter().chain(&leg);
            let too_many =
                (0..sections.len()).any(|i| all().filter(|p| **p == Some(i)).count() > sections[i].4);
            if too_many || all().filter(|p| p.is_none()).count() > 1 || (all().count() == 0 && count == 0) {
                continue;
            }
            let cuts: Vec<(bool, Option<usize>)> = std::iter::once((false, None))
                .chain(upright.iter().flatten().map(|i| (false, Some(*i))))
                .chain(leg.iter().flatten().map(|i| (true, Some(*i))))
                .filter(|(_, cut)| cut.is_none() || input.cut_allowed)
                .collect();
            for (cut_in_leg, cut) in cuts {
                let build = |pieces: &[Piece], target: i64, cut: Option<usize>| -> Option<(i64, i64)> {
                    let sum: i64 = pieces
                        .iter()
                        .flatten()
                        .map(|i| sections[*i].1 - sections[*i].2)
                        .sum();
                    let (low, high) = match telescope.filter(|_| pieces.contains(&None)) {
                        Some(telescope) => (ticks(telescope.min), ticks(telescope.max)),
                        None => (0, 0),
                    };
                    let Some(cut) = cut else {
                        return Some((sum + (target - sum).clamp(low, high), 0));
                    };
                    let most = sections[cut].1 - ticks(input.min_remaining).max(sections[cut].2);
                    let wanted = sum + low - target;
                    (wanted >= 1 && most >= 1).then(|| {
                        let off = wanted.min(most);
                        (sum + low - off, off)
                    })
                };
                let wanted = match slant {
                    Some((sine, _)) => rounded((run - elbow_run) * 1_000_000_000, sine),
                    None => run - elbow_run,
                };
                let leg_built = if has_leg {
                    build(&leg, wanted, cut.filter(|_| cut_in_leg))
                } else {
                    Some((0, 0))
                };
                let Some((leg_length, leg_off)) = leg_built else {
                    continue;
                };
                let (leg_rise, leg_run) = match slant {
                    Some((sine, cosine)) => (
                        rounded(leg_length * cosine, 1_000_000_000),
                        rounded(leg_length * sine, 1_000_000_000),
                    ),
                    None => (rounded(leg_length * slope, 12_000), leg_length),
                };
                let target = rise - elbow_rise - leg_rise;
                let built = if has_upright {
                    build(&upright, target, cut.filter(|_| !cut_in_leg))
                } else {
                    Some((0, 0))
                };
                let Some((height, off)) = built else { continue };
                let rise_error = height + elbow_rise + leg_rise - rise;
                let run_error = elbow_run + leg_run - run;
                let spans = rise_error.abs() <= tolerance && run_error.abs() <= tolerance;
                let miss = rise_error.abs() + run_error.abs();
                let name = |piece: &Piece| match piece {
                    Some(i) => sections[*i].0.clone(),
                    None => telescope.unwrap().id.clone(),
                };
                let sorted = |pieces: &[Piece]| {
                    let mut names: Vec<String> = pieces.iter().map(name).collect();
                    names.sort();
                    names
                };
                let (upright_ids, leg_ids) = (sorted(&upright), sorted(&leg));
                let elbow_id: Vec<String> = elbow.iter().map(|elbow| elbow.id.clone()).collect();
                let ids: Vec<String> = match arrangement {
                    Arrangement::StraightUp => upright_ids.clone(),
                    Arrangement::StraightBack => leg_ids.clone(),
                    Arrangement::TurnUp => [leg_ids.clone(), elbow_id.clone(), upright_ids.clone()].concat(),
                    Arrangement::TurnBack => {
                        [upright_ids.clone(), elbow_id.clone(), leg_ids.clone()].concat()
                    }
                    Arrangement::Offset => [
                        upright_ids.clone(),
                        elbow_id.clone(),
                        leg_ids.clone(),
                        elbow_id.clone(),
                    ]
                    .concat(),
                };
                let position = cut.map_or(0, |cut| {
                    let (own, start) = match (cut_in_leg, arrangement) {
                        (true, Arrangement::TurnUp | Arrangement::StraightBack) => (&leg_ids, 0),
                        (true, _) => (&leg_ids, upright_ids.len() + 1),
                        (false, Arrangement::TurnUp) => (&upright_ids, leg_ids.len() + 1),
                        (false, _) => (&upright_ids, 0),
                    };
                    start + own.iter().position(|id| *id == sections[cut].0).unwrap()
                });
                let cost: i64 = all()
                    .map(|p| p.map_or(cents(telescope.map_or(0.0, |t| t.cost)), |i| sections[i].3))
                    .sum::<i64>()
                    + elbow.map_or(0, |elbow| cents(elbow.cost) * i64::from(count));
                let key = (
                    !spans,
                    if spans { 0 } else { miss },
                    all().count() + count as usize,
                    off + leg_off,
                    cost,
                    ids,
                    Reverse(cut.map_or(0, |cut| sections[cut].1)),
                    position,
                    miss,
                );
                if best.as_ref().is_none_or(|best| key < *best) {
                    best = Some(key);
                }
            }
        }
    }
    best.map(
        |(no_span, _, parts, off, cost, ids, Reverse(cut), position, miss)| {
            (!no_span, miss, parts, off, cost, ids, cut, position)
        },
    )
}

/// Every way to put at most so many pieces into two groups, order free.
fn splits(kinds: &[Piece], most: usize, upright: bool, leg: bool) -> Vec<(Vec<Piece>, Vec<Piece>)> {
    let slots: Vec<(Piece, bool)> = kinds
        .iter()
        .flat_map(|kind| [(*kind, false), (*kind, true)])
        .filter(|(_, in_leg)| if *in_leg { leg } else { upright })
        .collect();
    let mut found = vec![(vec![], vec![])];
    let mut open = vec![(0, vec![], vec![])];
    while let Some((from, upright, leg)) = open.pop() {
        if upright.len() + leg.len() == most {
            continue;
        }
        for (place, (piece, in_leg)) in slots.iter().enumerate().skip(from) {
            let (mut upright, mut leg) = (upright.clone(), leg.clone());
            if *in_leg {
                leg.push(*piece)
            } else {
                upright.push(*piece)
            }
            found.push((upright.clone(), leg.clone()));
            open.push((place, upright, leg));
        }
    }
    found
}

fn compare(value: &Value) {
    let input = input(value);
    let wanted = exhaustive(&input);
    let found = reckon(&input).unwrap().figures;
    let Some((spans, miss, parts, off, cost, ids, cut, position)) = wanted else {
        assert!(found.arrangement.is_none(), "{value}");
        return;
    };
    assert_eq!(
        (found.spans, found.part_count, &found.ids),
        (spans, parts, &ids),
        "{value}\n{found:?}"
    );
    assert_eq!(
        (ticks(found.miss.unwrap().0), ticks(found.offcut.0)),
        (miss, off),
        "{value}\n{found:?}"
    );
    assert_eq!(cents(found.cost), cost, "{value}");
    let cut_found = found
        .cut
        .as_ref()
        .map_or((0, 0), |cut| (ticks(cut.cut_to.0 + cut.cut_off.0), cut.position));
    assert_eq!(cut_found, (cut, position), "{value}\n{found:?}");
    // The path of the drawing ends where rise and run and their errors say.
    let end = found
        .path
        .last()
        .map_or((0, 0), |run| (ticks(run.to.0), ticks(run.to.1)));
    let wanted = (
        ticks(input.run) + ticks(found.run_error.unwrap().0),
        ticks(input.rise) + ticks(found.rise_error.unwrap().0),
    );
    // Each part rounds its own share of a slanted leg.
    let slack = i64::try_from(parts).unwrap();
    assert!(
        (end.0 - wanted.0).abs() <= slack && (end.1 - wanted.1).abs() <= slack,
        "{value}\n{found:?}"
    );
}

fn a_span() -> impl Strategy<Value = Value> {
    let direction = || proptest::sample::select(vec!["up", "back"]);
    let section = (
        3_u32..30,
        0_u32..3,
        proptest::option::of(0_u32..3),
        proptest::option::of(0_u32..3),
    );
    let elbow = (
        proptest::sample::select(vec![90, 45, 30]),
        0_u32..5,
        0_u32..5,
        proptest::option::of(1_u32..3),
    );
    (
        (direction(), direction(), 0_u32..50, 0_u32..40),
        proptest::collection::vec(section, 1..4),
        proptest::collection::vec(elbow, 0..3),
        proptest::option::of((1_u32..6, 0_u32..5, 0_u32..3)),
        (any::<bool>(), 0_u32..8, 1_u32..4, 0_u32..3),
    )
        .prop_map(|((from, to, rise, run), sections, elbows, telescope, (cut, left, pieces, elbows_most))| {
            let inches = |value: u32| json!(format!("{value} in"));
            let mut value = json!({
                "collar_direction": from, "end_direction": to, "rise": inches(rise), "run": inches(run),
                "insertion": "1 in", "cut_allowed": cut, "min_remaining": inches(left), "max_pieces": pieces,
                "max_elbows": elbows_most,
                "sections": sections.iter().enumerate().map(|(i, (length, cost, insertion, hand))| json!({
                    "id": (["m", "b", "x"][i]), "length": inches(*length), "cost": cost,
                    "insertion": insertion.map(inches), "on_hand": hand,
                })).collect::<Vec<_>>(),
                "adjustable": telescope.map(|(min, more, cost)| json!({
                    "id": "h", "min": inches(min), "max": inches(min + more), "cost": cost,
                })),
            });
            if !elbows.is_empty() {
                value["elbows"] = elbows.iter().enumerate().map(|(i, (angle, rise, run, hand))| json!({
                    "id": (["n", "a"][i]), "angle": angle, "rise": inches(*rise), "run": inches(*run), "on_hand": hand,
                })).collect();
            }
            value
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, failure_persistence: None, rng_seed: RngSeed::Fixed(2), ..ProptestConfig::default() })]

    #[test]
    fn the_search_finds_what_looking_at_everything_finds(value in a_span()) {
        compare(&value);
    }
}

#[test]
fn the_fullest_stock_is_searched() {
    let section = |i: u32| json!({"id": format!("s{i}"), "length": format!("{} in", 5 + 3 * i), "cost": i});
    let elbow = |i: u32| json!({"id": format!("e{i}"), "angle": ([90, 45, 30][i as usize % 3]), "rise": "3 in", "run": format!("{} in", 1 + i)});
    let value = json!({
        "collar_direction": "up", "end_direction": "up", "rise": "390 in", "run": "333 in", "insertion": "1 in",
        "sections": (0..8).map(section).collect::<Vec<_>>(), "elbows": (0..6).map(elbow).collect::<Vec<_>>(),
        "adjustable": {"id": "t", "min": "3 in", "max": "5 in"}, "cut_allowed": true, "max_pieces": 8,
    });
    let found = reckon(&input(&value)).unwrap().figures;
    assert!(!found.spans && found.part_count == 10, "{found:?}");
}
