//! What can be measured in a picture: how sharp, how lit, whether a screen's dots are in it.
//!
//! All of it is measured on the preview's pixels (longest side 1280), so that a number means the same
//! for every camera, and so that it can be measured again from the preview years later.

use serde::{Deserialize, Serialize};

use crate::Grey;

/// Measures of an upright picture reduced to the preview's size.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// How far edges are spread, as the standard deviation of a blur in pixels of the preview, in
    /// the worse of the two directions. `None` if there are too few edges to tell.
    pub edge_spread: Option<f64>,
    /// How the picture is lit.
    pub light: Light,
    /// How much a regular dot pattern stands out of the fine detail, both ways: about 1 for none.
    pub dot_pattern: f64,
}

/// Brightness, 0 to 255, and shares, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Light {
    /// Brightness that a twentieth of the pixels stay below.
    pub low: u8,
    /// Median brightness.
    pub middle: u8,
    /// Brightness that nine tenths of the pixels stay below.
    pub high: u8,
    /// Brightness that all but a fiftieth of the pixels stay below.
    pub top: u8,
    /// Share of pixels as dark as can be (at most 4).
    pub black: f64,
    /// Share of pixels as bright as can be (at least 252).
    pub white: f64,
}

impl Look {
    /// Measures an upright picture that has been reduced to the preview's size.
    #[must_use]
    pub fn of(reduced: &Grey) -> Self {
        let rows: Vec<&[u8]> = reduced.rows().collect();
        Self {
            edge_spread: edge_spread(&rows),
            light: light(reduced.values()),
            dot_pattern: dot_pattern(&rows),
        }
    }
}

/// Slopes of one size, and the bends found where they are.
#[derive(Debug, Clone, Copy, Default)]
struct Slopes {
    count: u32,
    bend_squares: u64,
}

/// Slopes by size: twice the slope in brightness a pixel, 0 to 255.
struct Edges([Slopes; 256]);

/// Share of the steepest places that are looked at.
const STEEPEST: f64 = 0.01;

/// Slopes (brightness over two pixels) below this may be grain.
const GRAIN: usize = 14;

/// Fewest places that say anything.
const FEWEST: u32 = 100;

impl Edges {
    const fn new() -> Self {
        Self(
            [Slopes {
                count: 0,
                bend_squares: 0,
            }; 256],
        )
    }

    fn note(&mut self, before: u8, here: u8, after: u8) {
        let slope = before.abs_diff(after);
        let bend = i32::from(before) + i32::from(after) - 2 * i32::from(here);
        if let Some(slopes) = self.0.get_mut(usize::from(slope)) {
            slopes.count += 1;
            slopes.bend_squares += u64::from(bend.unsigned_abs().pow(2));
        }
    }

    /// Spread of the steepest edges. Across a step blurred by a normal distribution of deviation s
    /// the slope is that distribution, g, and the bend is its derivative, -x g / s²; summed over the
    /// edge, bend² / slope² = 1 / (2 s²).
    fn spread(&self) -> Option<f64> {
        let all: u32 = self.0.iter().map(|s| s.count).sum();
        let wanted = f64::from(all) * STEEPEST;
        let (mut count, mut slopes, mut bends) = (0_u32, 0.0_f64, 0.0_f64);
        for (twice, found) in self.0.iter().enumerate().skip(GRAIN).rev() {
            let slope = f64::from(u32::try_from(twice).unwrap_or(0)) / 2.0;
            count += found.count;
            slopes += slope * slope * f64::from(found.count);
            bends += found.bend_squares as f64;
            if f64::from(count) >= wanted {
                break;
            }
        }
        (count >= FEWEST && bends > 0.0).then(|| (slopes / (2.0 * bends)).sqrt())
    }
}

/// The larger spread of the two directions: a shaken picture is sharp along the shake's lines.
fn edge_spread(rows: &[&[u8]]) -> Option<f64> {
    let (mut across, mut down) = (Edges::new(), Edges::new());
    for [above, here, below] in rows.array_windows::<3>().step_by(3) {
        for [before, at, after] in here.array_windows::<3>() {
            across.note(*before, *at, *after);
        }
        for ((before, at), after) in above.iter().zip(*here).zip(*below) {
            down.note(*before, *at, *after);
        }
    }
    match (across.spread(), down.spread()) {
        (Some(one), Some(other)) => Some(one.max(other)),
        (one, other) => one.or(other),
    }
}

fn light(luma: &[u8]) -> Light {
    let mut counts = [0_u32; 256];
    for value in luma {
        if let Some(count) = counts.get_mut(usize::from(*value)) {
            *count += 1;
        }
    }
    let all = f64::from(counts.iter().sum::<u32>()).max(1.0);
    let below = |share: f64| {
        let mut sum = 0.0;
        let at = counts.iter().position(|count| {
            sum += f64::from(*count);
            sum >= all * share
        });
        at.and_then(|value| u8::try_from(value).ok()).unwrap_or(255)
    };
    let share = |counts: &[u32]| f64::from(counts.iter().sum::<u32>()) / all;
    Light {
        low: below(0.05),
        middle: below(0.5),
        high: below(0.9),
        top: below(0.98),
        black: share(counts.get(..=4).unwrap_or_default()),
        white: share(counts.get(252..).unwrap_or_default()),
    }
}

/// Lines looked at each way, and their length in pixels.
const LINES: usize = 32;
const LENGTH: usize = 256;

/// Cycles over [`LENGTH`] pixels that are looked at: periods of 7 down to 2.1 pixels. Bricks, slats and
/// ribs of liner are wider.
const FIRST_CYCLE: usize = 36;
const LAST_CYCLE: usize = 122;

/// The strongest single frequency of fine detail over its neighbourhood, in the direction in which
/// it stands out less: a screen's dots stand out both ways, slats and ribs one way only.
fn dot_pattern(rows: &[&[u8]]) -> f64 {
    let (height, width) = (rows.len(), rows.first().map_or(0, |row| row.len()));
    if height < LENGTH || width < LENGTH {
        return 1.0;
    }
    let (from_x, from_y) = ((width - LENGTH) / 2, (height - LENGTH) / 2);
    let waves = Waves::new();
    let step = LENGTH / LINES;
    let across = rows.iter().skip(from_y).step_by(step).take(LINES).map(|row| {
        row.iter()
            .skip(from_x)
            .take(LENGTH)
            .map(|v| f32::from(*v))
            .collect::<Vec<_>>()
    });
    let down = (0..LINES).map(|n| {
        let column = from_x + n * step;
        rows.iter()
            .skip(from_y)
            .take(LENGTH)
            .map(|row| row.get(column).map_or(0.0, |v| f32::from(*v)))
            .collect()
    });
    waves.prominence(across).min(waves.prominence(down))
}

/// For each place in a line, the window there times the cosine and sine of each cycle looked at.
struct Waves(Vec<[[f32; CYCLES]; 2]>);

const CYCLES: usize = LAST_CYCLE + 1 - FIRST_CYCLE;

impl Waves {
    #[expect(clippy::cast_possible_truncation, reason = "a wave needs no more digits here")]
    fn new() -> Self {
        let turn =
            |n: usize| f64::from(u32::try_from(n % LENGTH).unwrap_or(0)) * std::f64::consts::TAU / 256.0;
        let cosine: Vec<f64> = (0..LENGTH).map(|n| libm::cos(turn(n))).collect();
        let at = |n: usize| cosine.get(n % LENGTH).copied().unwrap_or(0.0);
        let place = |n: usize| {
            // Hann's window: detail at the ends makes no false waves.
            let window = 0.5 - 0.5 * at(n);
            let mut waves = [[0.0; CYCLES]; 2];
            for (wave, quarter) in waves.iter_mut().zip([0, LENGTH * 3 / 4]) {
                for (value, cycle) in wave.iter_mut().zip(FIRST_CYCLE..) {
                    *value = (window * at(n * cycle + quarter)) as f32;
                }
            }
            waves
        };
        Self((0..LENGTH).map(place).collect())
    }

    /// Power at each cycle, summed over lines; the highest over the median of its neighbourhood.
    fn prominence(&self, lines: impl Iterator<Item = Vec<f32>>) -> f64 {
        let mut power = [0.0_f32; CYCLES];
        for line in lines {
            let (mut real, mut imaginary) = ([0.0_f32; CYCLES], [0.0_f32; CYCLES]);
            for ([a, b, c], [cosines, sines]) in line.array_windows::<3>().zip(&self.0) {
                let fine = b - (a + c) / 2.0;
                real.iter_mut()
                    .zip(cosines)
                    .for_each(|(sum, wave)| *sum += fine * wave);
                imaginary
                    .iter_mut()
                    .zip(sines)
                    .for_each(|(sum, wave)| *sum += fine * wave);
            }
            for (sum, (real, imaginary)) in power.iter_mut().zip(real.iter().zip(&imaginary)) {
                *sum += real * real + imaginary * imaginary;
            }
        }
        power
            .windows(13)
            .filter_map(|near| {
                let mut sorted = near.to_vec();
                sorted.sort_by(f32::total_cmp);
                let floor = sorted.get(6)?.max(20.0);
                Some(f64::from(near.get(6)? / floor))
            })
            .fold(1.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Picture;

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "brightness drawn for a test"
    )]
    fn byte(value: f64) -> u8 {
        value.round().clamp(0.0, 255.0) as u8
    }

    /// A dark and a bright half, the step between them blurred by a normal distribution.
    fn step(deviation: f64, width: usize, height: usize, turned: bool) -> Picture {
        let value = |at: usize, of: usize| {
            let off = (at as f64 + 0.5 - of as f64 / 2.0) / deviation;
            byte(128.0 + 90.0 * libm::erf(off / std::f64::consts::SQRT_2))
        };
        let rgb = (0..width * height)
            .flat_map(|n| {
                [if turned {
                    value(n / width, height)
                } else {
                    value(n % width, width)
                }; 3]
            })
            .collect();
        Picture::new(width, height, rgb).unwrap()
    }

    #[test]
    fn the_spread_of_a_blurred_step_is_its_deviation() {
        for deviation in [1.0, 2.0, 4.0] {
            for turned in [false, true] {
                let look = Look::of(&step(deviation, 700, 700, turned).grey());
                let found = look.edge_spread.unwrap();
                assert!(
                    (0.8..1.7).contains(&(found / deviation)),
                    "{found} for {deviation}, turned {turned}"
                );
            }
        }
    }

    #[test]
    fn an_empty_picture_has_no_edges_to_tell_by() {
        let look = Look::of(&Picture::new(400, 300, vec![77; 360_000]).unwrap().grey());
        assert_eq!(look.edge_spread, None);
        assert_eq!((look.light.low, look.light.middle, look.light.top), (77, 77, 77));
    }

    #[test]
    fn shares_of_black_and_white_are_counted() {
        let rgb = (0..1000)
            .flat_map(|n| [if n < 250 { 0 } else { 255 }; 3])
            .collect();
        let light = Look::of(&Picture::new(100, 10, rgb).unwrap().grey()).light;
        assert!((light.black - 0.25).abs() < 1e-9 && (light.white - 0.75).abs() < 1e-9);
    }

    #[test]
    fn dots_stand_out_and_slats_do_not() {
        let wave = |n: usize, period: f64| (n as f64 / period * std::f64::consts::TAU).sin();
        let draw = |value: &dyn Fn(usize, usize) -> f64| {
            let rgb = (0..400 * 400)
                .flat_map(|n| [byte(value(n % 400, n / 400)); 3])
                .collect();
            Look::of(&Picture::new(400, 400, rgb).unwrap().grey()).dot_pattern
        };
        let dots = draw(&|x, y| 128.0 + 12.0 * wave(x, 3.3) + 12.0 * wave(y, 3.3));
        let slats = draw(&|_, y| 128.0 + 40.0 * wave(y, 3.3));
        assert!(dots > 20.0, "{dots}");
        assert!(slats < 3.0, "{slats}");
    }
}
