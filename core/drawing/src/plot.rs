//! Curves over axes: ticks at round numbers, bands, rules, a key that does not need colour.

use crate::drawing::{Drawing, Space};
use crate::error::DrawingError;
use crate::paint::{Dash, Fill, Hatch, Pen, Role, Weight};
use crate::point::Point;
use crate::shape::{Anchor, Marker, Shape, Sit, Text, TextClass};
use crate::ticks::{multiples, nice_step, plain_number};

/// One axis: what it shows, its ends and its ticks.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    label: String,
    low: f64,
    high: f64,
    ticks: Vec<(f64, String)>,
}

impl Axis {
    /// An axis that takes in `low` to `high`, its ends at round numbers, about `about` ticks.
    /// Numbers have a decimal point; see [`Axis::written`] for other ways of writing them.
    ///
    /// # Errors
    /// [`DrawingError::FlatAxis`] when the ends are the same or not finite.
    pub fn round(label: impl Into<String>, low: f64, high: f64, about: u8) -> Result<Self, DrawingError> {
        Self::written(label, low, high, about, plain_number)
    }

    /// The same, numbers written by `write(value, step)`.
    ///
    /// # Errors
    /// [`DrawingError::FlatAxis`] when the ends are the same or not finite.
    pub fn written(
        label: impl Into<String>,
        low: f64,
        high: f64,
        about: u8,
        write: impl Fn(f64, f64) -> String,
    ) -> Result<Self, DrawingError> {
        let label = label.into();
        let (low, high) = (low.min(high), low.max(high));
        if !(low.is_finite() && high.is_finite() && high - low > 0.0) {
            return Err(DrawingError::FlatAxis { label });
        }
        let step = nice_step((high - low) / f64::from(about.max(1)));
        let low = (low / step + 1e-9).floor() * step;
        let high = (high / step - 1e-9).ceil() * step;
        let ticks = multiples(low, high, step)
            .into_iter()
            .map(|at| (at, write(at, step)))
            .collect();
        Ok(Self {
            label,
            low,
            high,
            ticks,
        })
    }

    /// The lower and the upper end.
    #[must_use]
    pub const fn ends(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    fn share(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }
}

/// A plot being drawn: a box 100 units wide.
#[derive(Debug, Clone)]
pub struct Plot {
    x: Axis,
    y: Axis,
    height: f64,
    drawing: Drawing,
    key: Vec<(Sample, String)>,
    /// Whether words stand above the box.
    crowned: bool,
}

#[derive(Debug, Clone, Copy)]
enum Sample {
    Line(Pen),
    Patch(Fill),
    Sign(Marker, Role),
}

/// Units: the width of the box.
const WIDTH: f64 = 100.0;
/// Points: the length of a tick; a line of the key; a sample in the key.
const TICK: f64 = 3.5;
const KEY_LINE: f64 = 13.0;
const KEY_SAMPLE: f64 = 24.0;

impl Plot {
    /// An empty plot, `aspect` times as wide as high.
    #[must_use]
    pub fn new(x: Axis, y: Axis, aspect: f64, alt: impl Into<String>) -> Self {
        let height = WIDTH
            / if aspect.is_finite() {
                aspect.clamp(0.1, 10.0)
            } else {
                1.0
            };
        let mut plot = Self {
            x,
            y,
            height,
            drawing: Drawing::new(Space::Abstract, alt),
            key: Vec::new(),
            crowned: false,
        };
        plot.grid();
        plot
    }

    /// Where a pair of values lies in the drawing.
    #[must_use]
    pub fn place(&self, x: f64, y: f64) -> Point {
        Point::at(self.x.share(x) * WIDTH, self.y.share(y) * self.height)
    }

    /// A curve through points, cut at the box. With words it gets a line in the key.
    pub fn curve(&mut self, points: &[(f64, f64)], pen: Pen, words: &str) -> &mut Self {
        for run in self.inside(points) {
            self.drawing.line(run, pen);
        }
        self.note(Sample::Line(pen), words)
    }

    /// The area between two curves of equal length, hatched, cut at the box.
    pub fn band(
        &mut self,
        lower: &[(f64, f64)],
        upper: &[(f64, f64)],
        hatch: Hatch,
        role: Role,
        words: &str,
    ) -> &mut Self {
        let ring: Vec<Point> = lower
            .iter()
            .chain(upper.iter().rev())
            .map(|&(x, y)| self.place(x, y))
            .collect();
        let ring = cut_to_box(&ring, self.height);
        let fill = Fill::Hatched(hatch, role);
        if ring.len() >= 3 {
            self.drawing.polygon(ring, fill, None);
        }
        self.note(Sample::Patch(fill), words)
    }

    /// A level rule at `y` across the box, with words at its right end.
    pub fn level(&mut self, y: f64, pen: Pen, words: &str) -> &mut Self {
        let (low, high) = self.x.ends();
        let (left, right) = (self.place(low, y), self.place(high, y));
        if (0.0..=self.height).contains(&left.y) {
            self.drawing.line([left, right], pen);
            let at = right.nudged(-3.0, 2.0);
            self.drawing.text(
                Text::new(at, TextClass::Note, words)
                    .placed(Anchor::End, Sit::Bottom)
                    .on_plate(),
            );
        }
        self
    }

    /// An upright rule at `x` across the box, with words above it.
    pub fn upright(&mut self, x: f64, pen: Pen, words: &str) -> &mut Self {
        let (low, high) = self.y.ends();
        let (foot, top) = (self.place(x, low), self.place(x, high));
        if (0.0..=WIDTH).contains(&foot.x) {
            self.crowned = true;
            self.drawing.line([foot, top], pen);
            self.drawing.text(
                Text::new(top.nudged(0.0, 3.0), TextClass::Note, words).placed(Anchor::Middle, Sit::Bottom),
            );
        }
        self
    }

    /// A sign at a pair of values, with words beside it.
    pub fn point(&mut self, x: f64, y: f64, marker: Marker, role: Role, words: &str) -> &mut Self {
        let at = self.place(x, y);
        if !(0.0..=WIDTH).contains(&at.x) || !(0.0..=self.height).contains(&at.y) {
            return self;
        }
        self.drawing.add(Shape::Marker { at, marker, role });
        if !words.is_empty() {
            let left = at.x > 0.66 * WIDTH;
            let (anchor, gap) = if left {
                (Anchor::End, -5.0)
            } else {
                (Anchor::Start, 5.0)
            };
            self.drawing.text(
                Text::new(at.nudged(gap, 3.0), TextClass::Figure, words)
                    .placed(anchor, Sit::Bottom)
                    .on_plate(),
            );
        }
        self
    }

    /// Signs at pairs of values, named once in the key.
    pub fn points(&mut self, points: &[(f64, f64)], marker: Marker, role: Role, words: &str) -> &mut Self {
        for &(x, y) in points {
            self.point(x, y, marker, role, "");
        }
        self.note(Sample::Sign(marker, role), words)
    }

    /// The drawing, with frame, axis names and key.
    #[must_use]
    pub fn finish(mut self) -> Drawing {
        let corner = Point::at(WIDTH, self.height);
        self.drawing.rect(
            Point::at(0.0, 0.0),
            corner,
            Fill::None,
            Some(Pen::new(Role::Ink, Weight::Thin)),
        );
        let at = Point::at(0.5 * WIDTH, 0.0).nudged(0.0, -17.0);
        self.drawing
            .text(Text::new(at, TextClass::Label, self.x.label.clone()).placed(Anchor::Middle, Sit::Top));
        let up = if self.crowned { 4.0 + KEY_LINE } else { 4.0 };
        let at = Point::at(0.0, self.height).nudged(0.0, up);
        self.drawing
            .text(Text::new(at, TextClass::Label, self.y.label.clone()).placed(Anchor::Start, Sit::Bottom));
        self.legend(up + KEY_LINE + 3.0);
        self.drawing
    }

    fn grid(&mut self) {
        let hair = Pen::new(Role::Mortar, Weight::Hair);
        let tick = Pen::new(Role::Ink, Weight::Thin);
        let (low_x, high_x) = self.x.ends();
        let (low_y, high_y) = self.y.ends();
        for (at, text) in self.x.ticks.clone() {
            let (foot, top) = (self.place(at, low_y), self.place(at, high_y));
            self.drawing.line([foot, top], hair.dashed(Dash::Dotted));
            self.drawing.line([foot, foot.nudged(0.0, -TICK)], tick);
            self.drawing.text(
                Text::new(foot.nudged(0.0, -TICK - 1.5), TextClass::Note, text)
                    .placed(Anchor::Middle, Sit::Top),
            );
        }
        for (at, text) in self.y.ticks.clone() {
            let (left, right) = (self.place(low_x, at), self.place(high_x, at));
            self.drawing.line([left, right], hair.dashed(Dash::Dotted));
            self.drawing.line([left, left.nudged(-TICK, 0.0)], tick);
            self.drawing.text(
                Text::new(left.nudged(-TICK - 2.0, 0.0), TextClass::Note, text)
                    .placed(Anchor::End, Sit::Middle),
            );
        }
    }

    /// Draws the key in two columns, its lowest line `up` points above the box.
    fn legend(&mut self, up: f64) {
        let key = std::mem::take(&mut self.key);
        let rows = key.len().div_ceil(2);
        for (index, (sample, words)) in key.into_iter().enumerate() {
            let above = (1..rows - index % rows).fold(up, |up, _| up + KEY_LINE);
            let across = if index < rows { 0.0 } else { 0.5 * WIDTH };
            let foot = Point::at(across, self.height).nudged(0.0, above);
            let middle = foot.nudged(0.0, 4.0);
            match sample {
                Sample::Line(pen) => {
                    self.drawing.line([middle, middle.nudged(KEY_SAMPLE, 0.0)], pen);
                }
                Sample::Patch(fill) => {
                    let pen = Pen::new(Role::Mortar, Weight::Hair);
                    self.drawing
                        .rect(foot, foot.nudged(KEY_SAMPLE, 8.0), fill, Some(pen));
                }
                Sample::Sign(marker, role) => {
                    let at = middle.nudged(0.5 * KEY_SAMPLE, 0.0);
                    self.drawing.add(Shape::Marker { at, marker, role });
                }
            }
            let at = middle.nudged(KEY_SAMPLE + 5.0, 0.0);
            self.drawing
                .text(Text::new(at, TextClass::Note, words).placed(Anchor::Start, Sit::Middle));
        }
    }

    fn note(&mut self, sample: Sample, words: &str) -> &mut Self {
        if !words.is_empty() {
            self.key.push((sample, words.to_owned()));
        }
        self
    }

    /// The parts of a line inside the box.
    fn inside(&self, points: &[(f64, f64)]) -> Vec<Vec<Point>> {
        let mut runs: Vec<Vec<Point>> = Vec::new();
        let mut run: Vec<Point> = Vec::new();
        for (&(x1, y1), &(x2, y2)) in points.iter().zip(points.iter().skip(1)) {
            let (a, b) = (self.place(x1, y1), self.place(x2, y2));
            match cut_segment(a, b, self.height) {
                Some((from, to)) => {
                    let joined = run.last().is_some_and(|last| near(*last, from));
                    if !joined && !run.is_empty() {
                        runs.push(std::mem::take(&mut run));
                    }
                    if run.is_empty() {
                        run.push(from);
                    }
                    run.push(to);
                }
                None if !run.is_empty() => runs.push(std::mem::take(&mut run)),
                None => {}
            }
        }
        if !run.is_empty() {
            runs.push(run);
        }
        runs
    }
}

fn near(a: Point, b: Point) -> bool {
    (a.x - b.x).abs() < 1e-9 && (a.y - b.y).abs() < 1e-9
}

/// The part of a segment inside the box, by cutting it at each side in turn.
fn cut_segment(a: Point, b: Point, height: f64) -> Option<(Point, Point)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    for (slope, room) in [(-dx, a.x), (dx, WIDTH - a.x), (-dy, a.y), (dy, height - a.y)] {
        if slope.abs() < 1e-12 {
            if room < 0.0 {
                return None;
            }
        } else if slope < 0.0 {
            from = from.max(room / slope);
        } else {
            to = to.min(room / slope);
        }
    }
    let on = |share: f64| Point::at(a.x + share * dx, a.y + share * dy);
    (from <= to && to - from > 0.0).then(|| (on(from), on(to)))
}

/// A ring cut at the four sides of the box, one after the other (Sutherland and Hodgman, 1974).
fn cut_to_box(ring: &[Point], height: f64) -> Vec<Point> {
    let sides: [fn(Point, f64) -> f64; 4] = [
        |p, _| p.x,
        |p, _| WIDTH - p.x,
        |p, _| p.y,
        |p, height| height - p.y,
    ];
    let mut ring = ring.to_vec();
    for inside in sides {
        let mut kept = Vec::with_capacity(ring.len() + 4);
        let Some(mut before) = ring.last().copied() else {
            return ring;
        };
        for point in ring {
            let (was, is) = (inside(before, height), inside(point, height));
            if (was >= 0.0) != (is >= 0.0) {
                let share = was / (was - is);
                kept.push(Point::at(
                    before.x + share * (point.x - before.x),
                    before.y + share * (point.y - before.y),
                ));
            }
            if is >= 0.0 {
                kept.push(point);
            }
            before = point;
        }
        ring = kept;
    }
    ring
}
