use super::{
    canvas::{Canvas, Colour, float, mix},
    dice::Dice,
    letters,
};
use crate::tag::TagModules;

/// Width of what a scene is drawn in; the height is [`TALL`] and the origin top left.
pub(super) const WIDE: f64 = 1000.0;

/// Height of what a scene is drawn in.
pub(super) const TALL: f64 = 750.0;

/// Draws in a space of 1000 by 750, seen by a camera that is held a little crooked.
#[derive(Debug)]
pub(super) struct Pen {
    canvas: Canvas,
    /// Thrown once for a house: colours, arrangement. The same in each of its photos.
    pub(super) house: Dice,
    /// Thrown for each photo.
    pub(super) shot: Dice,
    scale: f64,
    sine: f64,
    cosine: f64,
    middle: (f64, f64),
    shift: (f64, f64),
}

impl Pen {
    pub(super) fn new(canvas: Canvas, house: Dice, mut shot: Dice) -> Self {
        let fit = (float(canvas.width) / WIDE).max(float(canvas.height) / TALL);
        let tilt = shot.between(-0.035, 0.035);
        let scale = fit * shot.between(0.94, 1.06);
        let shift = (shot.between(-30.0, 30.0), shot.between(-20.0, 20.0));
        let middle = (float(canvas.width) / 2.0, float(canvas.height) / 2.0);
        Self {
            canvas,
            house,
            shot,
            scale,
            sine: libm::sin(tilt),
            cosine: libm::cos(tilt),
            middle,
            shift,
        }
    }

    pub(super) fn into_canvas(self) -> Canvas {
        self.canvas
    }

    /// From the scene's space to pixels.
    fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let x = (x - WIDE / 2.0 + self.shift.0) * self.scale;
        let y = (y - TALL / 2.0 + self.shift.1) * self.scale;
        (
            self.middle.0 + x * self.cosine - y * self.sine,
            self.middle.1 + x * self.sine + y * self.cosine,
        )
    }

    pub(super) fn polygon(&mut self, corners: &[(f64, f64)], colour: Colour) {
        self.shaded(corners, colour, colour);
    }

    pub(super) fn shaded(&mut self, corners: &[(f64, f64)], top: Colour, bottom: Colour) {
        let placed: Vec<_> = corners.iter().map(|&corner| self.place(corner)).collect();
        self.canvas.fill(&placed, top, bottom);
    }

    pub(super) fn rect(&mut self, x: f64, y: f64, wide: f64, tall: f64, colour: Colour) {
        self.shade(x, y, wide, tall, colour, colour);
    }

    /// A rectangle whose colour runs from its top to its bottom.
    pub(super) fn shade(&mut self, x: f64, y: f64, wide: f64, tall: f64, top: Colour, bottom: Colour) {
        self.shaded(
            &[(x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall)],
            top,
            bottom,
        );
    }

    /// Everything that can be seen, and some beyond.
    pub(super) fn backdrop(&mut self, from: f64, to: f64, top: Colour, bottom: Colour) {
        self.shade(-400.0, from, WIDE + 800.0, to - from, top, bottom);
    }

    pub(super) fn ellipse(&mut self, (x, y): (f64, f64), wide: f64, tall: f64, top: Colour, bottom: Colour) {
        let corners: Vec<_> = (0..72_u32)
            .map(|n| f64::from(n) * std::f64::consts::TAU / 72.0)
            .map(|a| (x + wide * libm::cos(a), y + tall * libm::sin(a)))
            .collect();
        self.shaded(&corners, top, bottom);
    }

    pub(super) fn disc(&mut self, middle: (f64, f64), radius: f64, colour: Colour) {
        self.ellipse(middle, radius, radius, colour, colour);
    }

    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), thick: f64, colour: Colour) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = libm::hypot(dx, dy);
        let (ux, uy) = if length > 0.0 {
            (dx / length, dy / length)
        } else {
            (1.0, 0.0)
        };
        // Square ends, half a thickness beyond, so that corners of letters close.
        let (ax, ay) = (ux * thick / 2.0, uy * thick / 2.0);
        let (from, to) = ((from.0 - ax, from.1 - ay), (to.0 + ax, to.1 + ay));
        let corners = [
            (from.0 - ay, from.1 + ax),
            (to.0 - ay, to.1 + ax),
            (to.0 + ay, to.1 - ax),
            (from.0 + ay, from.1 - ax),
        ];
        self.polygon(&corners, colour);
    }

    /// One line of text, `tall` high, from its top left.
    pub(super) fn text(&mut self, (x, y): (f64, f64), tall: f64, text: &str, colour: Colour) {
        let step = tall / letters::HEIGHT;
        let mut left = x;
        for letter in text.chars().take(80) {
            for stroke in letters::strokes(letter) {
                for (&(x0, y0), &(x1, y1)) in stroke.iter().zip(stroke.iter().skip(1)) {
                    let at = |across: f64, down: f64| (left + across * step, y + down * step);
                    self.line(at(x0, y0), at(x1, y1), step * 0.8, colour);
                }
            }
            left += letters::ADVANCE * step;
        }
    }

    /// Lines of text in a box, as large as they fit and at most `tall` high.
    pub(super) fn lines(
        &mut self,
        (x, y): (f64, f64),
        (wide, high): (f64, f64),
        tall: f64,
        text: &[String],
        colour: Colour,
    ) {
        let longest = text
            .iter()
            .map(|line| line.chars().count())
            .max()
            .unwrap_or(0)
            .clamp(1, 80);
        let by_width = wide / float(longest) / letters::ADVANCE * letters::HEIGHT;
        let by_height = high / float(text.len().max(1)) / 1.6;
        let tall = tall.min(by_width).min(by_height);
        let mut top = y;
        for line in text {
            self.text((x, top), tall, line, colour);
            top += tall * 1.6;
        }
    }

    /// A white card with the QR code of `payload` and a word beneath.
    pub(super) fn tag(&mut self, (x, y): (f64, f64), size: f64, payload: &str) {
        const PAPER: Colour = [236, 234, 228];
        const INK: Colour = [24, 22, 20];
        let Some(modules) = TagModules::of(payload.as_bytes()) else {
            return;
        };
        let module = size / (float(modules.side) + 8.0);
        self.rect(x, y, size, size * 1.14, PAPER);
        for (row, line) in modules.rows().enumerate() {
            for (column, _) in line.iter().enumerate().filter(|(_, dark)| **dark) {
                let at = |n: usize| module * (float(n) + 4.0);
                // A hair wider than the module, so that no light line is left between two.
                self.rect(x + at(column), y + at(row), module * 1.02, module * 1.02, INK);
            }
        }
        self.text((x + size * 0.2, y + size * 1.0), size * 0.09, "JOB TAG", INK);
    }

    /// Bricks in running bond, each a little different.
    pub(super) fn bricks(
        &mut self,
        (x, y): (f64, f64),
        (wide, tall): (f64, f64),
        brick: (f64, f64),
        colour: Colour,
    ) {
        const MORTAR: Colour = [172, 166, 156];
        self.rect(x, y, wide, tall, MORTAR);
        let (length, height) = brick;
        let joint = height * 0.14;
        let mut course = 0_u32;
        while f64::from(course) * height < tall {
            let top = y + f64::from(course) * height;
            let high = (height - joint).min(y + tall - top);
            let mut left = if course.is_multiple_of(2) {
                x
            } else {
                x - length / 2.0
            };
            while left < x + wide {
                let shade = self.house.between(0.0, 0.35);
                let from = left.max(x);
                let to = (left + length - joint).min(x + wide);
                if to > from {
                    self.rect(from, top, to - from, high, mix(colour, [70, 40, 30], shade));
                }
                left += length;
            }
            course += 1;
        }
    }
}
