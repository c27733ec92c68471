//! Hatching as plain line segments, so that every painter draws the same without patterns.

use crate::paint::{Hatch, Weight};

/// Two ends in final coordinates.
pub(crate) type Segment = ((f64, f64), (f64, f64));

/// One family of parallel lines.
pub(crate) struct Family {
    /// Degrees counter-clockwise from level.
    angle: f64,
    /// Points of paper between lines.
    spacing: f64,
    /// Points of paper from the first line of a pair to the second, if lines come in pairs.
    pair: Option<f64>,
    /// Points of paper of line and gap, staggered from line to line, if lines are broken.
    dashes: Option<(f64, f64)>,
}

/// More lines than this say nothing more; it bounds the work for an enormous shape.
const MOST_LINES: u32 = 4_000;

impl Family {
    const fn lines(angle: f64, spacing: f64) -> Self {
        Self {
            angle,
            spacing,
            pair: None,
            dashes: None,
        }
    }
}

impl Hatch {
    pub(crate) const fn families(self) -> &'static [Family] {
        const DOUBTFUL: &[Family] = &[Family::lines(45.0, 3.2)];
        const MASONRY: &[Family] = &[Family {
            pair: Some(1.8),
            ..Family::lines(45.0, 8.0)
        }];
        const TILE: &[Family] = &[Family::lines(135.0, 3.0)];
        const INSULATION: &[Family] = &[Family::lines(45.0, 5.0), Family::lines(135.0, 5.0)];
        const METAL: &[Family] = &[Family::lines(45.0, 1.5)];
        const WET: &[Family] = &[Family {
            dashes: Some((4.0, 3.0)),
            ..Family::lines(0.0, 3.4)
        }];
        const BAND: &[Family] = &[Family::lines(65.0, 4.5)];
        const CLEAR: &[Family] = &[Family::lines(0.0, 9.0), Family::lines(90.0, 9.0)];
        match self {
            Self::Doubtful => DOUBTFUL,
            Self::Masonry => MASONRY,
            Self::Tile => TILE,
            Self::Insulation => INSULATION,
            Self::Metal => METAL,
            Self::Wet => WET,
            Self::Band => BAND,
            Self::Clear => CLEAR,
        }
    }

    pub(crate) fn weight(self) -> Weight {
        match self {
            Self::Doubtful | Self::Wet => Weight::Thin,
            _ => Weight::Hair,
        }
    }
}

/// Segments of one family inside outlines (even-odd), in final coordinates, y downwards.
pub(crate) fn segments(outlines: &[Vec<(f64, f64)>], family: &Family, paper: f64) -> Vec<Segment> {
    let angle = -family.angle.to_radians();
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let along = |(x, y): (f64, f64)| (x * cos + y * sin, y * cos - x * sin);
    let back = |(u, v): (f64, f64)| (u * cos - v * sin, u * sin + v * cos);

    let edges: Vec<Segment> = outlines
        .iter()
        .flat_map(|outline| {
            let turned: Vec<_> = outline.iter().copied().map(along).collect();
            let ahead = turned.clone().into_iter().cycle().skip(1);
            turned.into_iter().zip(ahead).collect::<Vec<_>>()
        })
        .collect();
    let low = edges
        .iter()
        .map(|(a, b)| a.1.min(b.1))
        .fold(f64::INFINITY, f64::min);
    let high = edges
        .iter()
        .map(|(a, b)| a.1.max(b.1))
        .fold(f64::NEG_INFINITY, f64::max);
    if !(low.is_finite() && high.is_finite()) {
        return Vec::new();
    }
    let spacing = (family.spacing * paper).max((high - low) / f64::from(MOST_LINES));
    if spacing <= 0.0 {
        return Vec::new();
    }

    let mut found = Vec::new();
    let mut level = (low / spacing).floor() * spacing;
    for line in 0..=MOST_LINES + 2 {
        if level > high {
            break;
        }
        let begun = found.len();
        cross(&edges, level, &mut found);
        if let Some((dash, gap)) = family.dashes {
            let whole = found.split_off(begun);
            let phase = if line % 2 == 0 { 0.0 } else { 0.5 * (dash + gap) };
            for segment in whole {
                broken(segment, (dash * paper, gap * paper), phase * paper, &mut found);
            }
        }
        if let Some(pair) = family.pair {
            cross(&edges, level + pair * paper, &mut found);
        }
        level += spacing;
    }
    found.into_iter().map(|(a, b)| (back(a), back(b))).collect()
}

fn cross(edges: &[Segment], level: f64, found: &mut Vec<Segment>) {
    let mut cuts: Vec<f64> = edges
        .iter()
        .filter(|(a, b)| (a.1 <= level) != (b.1 <= level))
        .map(|(a, b)| a.0 + (level - a.1) / (b.1 - a.1) * (b.0 - a.0))
        .collect();
    cuts.sort_by(f64::total_cmp);
    let mut cuts = cuts.into_iter();
    while let (Some(from), Some(to)) = (cuts.next(), cuts.next()) {
        if to - from > 0.05 {
            found.push(((from, level), (to, level)));
        }
    }
}

/// A level segment broken into dashes that begin at multiples of dash and gap, moved by `phase`.
fn broken((from, to): Segment, (dash, gap): (f64, f64), phase: f64, found: &mut Vec<Segment>) {
    let step = dash + gap;
    let mut start = ((from.0 - phase) / step).floor() * step + phase;
    for _ in 0..MOST_LINES {
        if start >= to.0 {
            break;
        }
        let (left, right) = (start.max(from.0), (start + dash).min(to.0));
        if right - left > 0.2 {
            found.push(((left, from.1), (right, from.1)));
        }
        start += step;
    }
}
