//! The two stoves, as boxes on legs.

use super::{BRASS, SOOT, STEEL};
use crate::made::{canvas::mix, pen::Pen};

/// What has been done to the old stove.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Old {
    pub(super) lit: bool,
    pub(super) piped: bool,
    pub(super) door_off: bool,
    pub(super) holed: bool,
}

/// The old stove with its feet at (`x`, `y`) in the middle, `tall` high.
pub(super) fn old(pen: &mut Pen, (x, y): (f64, f64), tall: f64, how: Old) {
    let wide = tall * pen.house.between(0.95, 1.3);
    let iron = mix(
        SOOT,
        pen.house.one_of([70, 46, 34], &[[38, 52, 46], [52, 52, 58]]),
        0.5,
    );
    let light = mix(iron, [255, 255, 255], 0.16);
    let (left, top) = (x - wide / 2.0, y - tall);
    if how.piped {
        let pipe = tall * 0.22;
        pen.shade(
            x - pipe / 2.0,
            top - 900.0,
            pipe,
            910.0,
            [64, 62, 62],
            [44, 42, 42],
        );
        for n in 0..4_u32 {
            pen.rect(
                x - pipe * 0.53,
                top - 60.0 - f64::from(n) * 110.0,
                pipe * 1.06,
                7.0,
                [84, 82, 82],
            );
        }
        pen.rect(x - pipe * 0.6, top - 16.0, pipe * 1.2, 18.0, light);
    }
    for leg in [left + wide * 0.08, left + wide * 0.84] {
        pen.polygon(
            &[
                (leg, y - tall * 0.16),
                (leg + wide * 0.08, y - tall * 0.16),
                (leg + wide * 0.06, y),
                (leg + wide * 0.02, y),
            ],
            iron,
        );
    }
    pen.shade(left, top + tall * 0.06, wide, tall * 0.8, light, iron);
    pen.rect(left - wide * 0.04, top, wide * 1.08, tall * 0.08, light);
    pen.rect(
        left - wide * 0.02,
        y - tall * 0.16,
        wide * 1.04,
        tall * 0.03,
        light,
    );
    let (dx, dy, dw, dh) = (left + wide * 0.2, top + tall * 0.2, wide * 0.6, tall * 0.48);
    if how.door_off {
        pen.rect(dx, dy, dw, dh, [12, 10, 10]);
        pen.bricks(
            (dx + dw * 0.08, dy + dh * 0.5),
            (dw * 0.84, dh * 0.45),
            (dw * 0.28, dh * 0.15),
            [150, 132, 112],
        );
        for n in [0.15, 0.75] {
            pen.rect(dx - wide * 0.03, dy + dh * n, wide * 0.03, dh * 0.1, STEEL);
        }
    } else {
        door(pen, (dx, dy), (dw, dh), how.lit);
    }
    if how.holed {
        let (cx, cy, r) = (left + wide * 0.1, top + tall * 0.5, tall * 0.075);
        pen.disc((cx, cy), r * 1.25, [146, 120, 100]);
        pen.disc((cx, cy), r, [8, 6, 6]);
        pen.polygon(
            &[
                (cx - r, cy),
                (cx - r * 0.5, cy - r * 1.3),
                (cx + r * 0.2, cy - r * 0.7),
            ],
            [8, 6, 6],
        );
    }
    pen.rect(
        left + wide * 0.36,
        y - tall * 0.125,
        wide * 0.28,
        tall * 0.06,
        BRASS,
    );
}

/// A door of iron with a pane and a handle, its top left at (`x`, `y`).
pub(super) fn door(pen: &mut Pen, (x, y): (f64, f64), (wide, tall): (f64, f64), lit: bool) {
    pen.rect(x, y, wide, tall, [58, 54, 52]);
    let (px, py, pw, ph) = (x + wide * 0.14, y + tall * 0.14, wide * 0.72, tall * 0.62);
    if lit {
        pen.shade(px, py, pw, ph, [60, 24, 12], [214, 106, 30]);
        for n in 0..5_u32 {
            let foot = px + pw * (0.1 + 0.18 * f64::from(n));
            let high = ph * pen.shot.between(0.35, 0.85);
            let base = py + ph;
            pen.shaded(
                &[
                    (foot, base),
                    (foot + pw * 0.08, base - high),
                    (foot + pw * 0.16, base),
                ],
                [250, 220, 120],
                [236, 132, 36],
            );
        }
    } else {
        pen.shade(px, py, pw, ph, [30, 28, 28], [16, 14, 14]);
    }
    pen.rect(x + wide * 0.9, y + tall * 0.4, wide * 0.06, tall * 0.24, BRASS);
}

/// The new stove, feet at (`x`, `y`) in the middle, `tall` high.
pub(super) fn new(pen: &mut Pen, (x, y): (f64, f64), tall: f64) {
    let wide = tall * 1.12;
    let (left, top) = (x - wide / 2.0, y - tall);
    let pipe = tall * 0.26;
    pen.shade(
        x - pipe / 2.0,
        top - 900.0,
        pipe,
        910.0,
        [214, 214, 210],
        [176, 176, 172],
    );
    for n in 0..5_u32 {
        pen.rect(
            x - pipe * 0.54,
            top - 40.0 - f64::from(n) * 90.0,
            pipe * 1.08,
            6.0,
            [146, 146, 144],
        );
    }
    pen.shade(left, top, wide, tall * 0.94, [92, 94, 98], [66, 68, 72]);
    pen.rect(left - 8.0, top - 8.0, wide + 16.0, 22.0, [110, 112, 116]);
    for leg in [left + wide * 0.06, left + wide * 0.86] {
        pen.rect(leg, y - tall * 0.08, wide * 0.08, tall * 0.08, [60, 60, 64]);
    }
    let (px, py, pw, ph) = (left + wide * 0.12, top + tall * 0.18, wide * 0.76, tall * 0.52);
    pen.shade(px, py, pw, ph, [26, 20, 22], [74, 40, 24]);
    for n in 0..7_u32 {
        let foot = px + pw * (0.08 + 0.12 * f64::from(n));
        let high = ph * pen.shot.between(0.25, 0.6);
        let base = py + ph * 0.86;
        pen.shaded(
            &[
                (foot, base),
                (foot + pw * 0.05, base - high),
                (foot + pw * 0.1, base),
            ],
            [250, 226, 140],
            [90, 120, 220],
        );
    }
    for n in 0..3_u32 {
        let from = (px + pw * (0.1 + 0.25 * f64::from(n)), py + ph * 0.92);
        pen.line(from, (from.0 + pw * 0.3, from.1 - 12.0), 16.0, [96, 70, 50]);
    }
    pen.rect(
        left + wide * 0.3,
        top + tall * 0.78,
        wide * 0.4,
        tall * 0.05,
        [40, 42, 44],
    );
}
