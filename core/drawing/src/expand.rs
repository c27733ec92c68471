//! Turning shapes into marks at a given scale.

use crate::bounds::Bounds;
use crate::dimension;
use crate::drawing::{Drawing, Space};
use crate::hatch;
use crate::lay::{HitBox, Mark, Stroke};
use crate::measure::Measure;
use crate::paint::{Dash, Fill, Hatch, Pen, Role, Weight};
use crate::point::{Point, Step};
use crate::scale_bar;
use crate::shape::{Anchor, Hit, Marker, Shape, Sit, Text};

/// The circumstances of one expansion.
pub(crate) struct Settle {
    pub scale: f64,
    pub paper: f64,
    pub words: bool,
    /// Whether marks are collected; finding the scale needs only the bounds.
    pub painted: bool,
}

/// Marks about the drawing's own zero, y downwards.
pub(crate) struct Expanded {
    pub marks: Vec<Mark>,
    pub hits: Vec<HitBox>,
    pub bounds: Bounds,
}

pub(crate) fn expand(drawing: &Drawing, settle: &Settle, measure: &dyn Measure) -> Expanded {
    let mut board = Board {
        settle,
        measure,
        metres: drawing.space == Space::Metres,
        marks: Vec::new(),
        hits: Vec::new(),
        bounds: Bounds::NOTHING,
        hit: None,
    };
    for item in &drawing.items {
        board.hit = item
            .hit
            .as_ref()
            .filter(|_| settle.painted)
            .map(|hit| board.hit_of(hit));
        board.shape(&item.shape);
    }
    Expanded {
        marks: board.marks,
        hits: board.hits,
        bounds: board.bounds,
    }
}

/// Where marks are collected.
pub(crate) struct Board<'a> {
    pub settle: &'a Settle,
    pub measure: &'a dyn Measure,
    pub metres: bool,
    marks: Vec<Mark>,
    hits: Vec<HitBox>,
    bounds: Bounds,
    hit: Option<usize>,
}

impl Board<'_> {
    /// A place in output units about the drawing's zero, y downwards.
    pub fn place(&self, point: Point) -> (f64, f64) {
        (
            self.settle.scale * point.x + self.settle.paper * point.dx,
            -(self.settle.scale * point.y + self.settle.paper * point.dy),
        )
    }

    /// Output units for `points` of paper.
    pub fn pt(&self, points: f64) -> f64 {
        self.settle.paper * points
    }

    /// The index of a hit, most often the last one seen.
    fn hit_of(&mut self, hit: &Hit) -> usize {
        if let Some(known) = self.hits.iter().rposition(|known| known.id == hit.id) {
            return known;
        }
        self.hits.push(HitBox {
            id: hit.id.clone(),
            label: hit.label.clone(),
            bounds: Bounds::NOTHING,
        });
        self.hits.len() - 1
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Polyline { points, pen } => {
                let steps = self.straight(points, false);
                self.path(steps, Fill::None, Some(*pen));
            }
            Shape::Polygon { points, fill, pen } => {
                let steps = self.straight(points, true);
                self.path(steps, *fill, *pen);
            }
            Shape::Rect { from, to, fill, pen } => {
                let ((a, b), (c, d)) = (self.place(*from), self.place(*to));
                self.path(closed([(a, b), (c, b), (c, d), (a, d)]), *fill, *pen);
            }
            Shape::Circle {
                centre,
                radius,
                fill,
                pen,
            } => {
                let mut steps = arc(self.place(*centre), radius * self.settle.scale, 0.0, 360.0);
                steps.push(Step::Close);
                self.path(steps, *fill, *pen);
            }
            Shape::Arc {
                centre,
                radius,
                start,
                sweep,
                pen,
            } => {
                let steps = arc(self.place(*centre), radius * self.settle.scale, *start, *sweep);
                self.path(steps, Fill::None, Some(*pen));
            }
            Shape::Path { steps, fill, pen } => {
                let placed = steps
                    .iter()
                    .map(|step| match step {
                        Step::Move(a) => Step::Move(self.place(*a)),
                        Step::Line(a) => Step::Line(self.place(*a)),
                        Step::Cubic(a, b, c) => Step::Cubic(self.place(*a), self.place(*b), self.place(*c)),
                        Step::Close => Step::Close,
                    })
                    .collect();
                self.path(placed, *fill, *pen);
            }
            Shape::Marker { at, marker, role } => self.marker(*at, *marker, *role),
            Shape::Text(text) => self.text(text),
            Shape::Dimension(dimension) => dimension::expand(self, dimension),
            Shape::ScaleBar(bar) => scale_bar::expand(self, bar),
        }
    }

    fn straight(&self, points: &[Point], close: bool) -> Vec<Step<(f64, f64)>> {
        let mut steps: Vec<_> = points
            .iter()
            .map(|point| Step::Line(self.place(*point)))
            .collect();
        if let Some(first) = steps.first_mut()
            && let Step::Line(place) = *first
        {
            *first = Step::Move(place);
        }
        if close {
            steps.push(Step::Close);
        }
        steps
    }

    fn marker(&mut self, at: Point, marker: Marker, role: Role) {
        let (x, y) = self.place(at);
        let r = self.pt(2.0);
        match marker {
            Marker::Dot | Marker::Ring => {
                let mut steps = arc((x, y), r, 0.0, 360.0);
                steps.push(Step::Close);
                if marker == Marker::Dot {
                    self.path(steps, Fill::Solid(role), None);
                } else {
                    self.path(
                        steps,
                        Fill::Solid(Role::Ground),
                        Some(Pen::new(role, Weight::Thin)),
                    );
                }
            }
            Marker::Square => {
                let corners = [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)];
                self.path(closed(corners), Fill::Solid(role), None);
            }
            Marker::Cross => {
                let pen = Pen::new(role, Weight::Medium);
                self.segment((x - r, y - r), (x + r, y + r), pen);
                self.segment((x - r, y + r), (x + r, y - r), pen);
            }
        }
    }

    /// One straight line between two output places.
    pub fn segment(&mut self, from: (f64, f64), to: (f64, f64), pen: Pen) {
        self.path(vec![Step::Move(from), Step::Line(to)], Fill::None, Some(pen));
    }

    /// A path in output units.
    pub fn path(&mut self, steps: Vec<Step<(f64, f64)>>, fill: Fill, pen: Option<Pen>) {
        let stroke = pen.map(|pen| Stroke {
            role: pen.role,
            width: self.pt(pen.weight.points()),
            dash: pen.dash.points().iter().map(|length| self.pt(*length)).collect(),
        });
        let around = stroke.as_ref().map_or(0.0, |stroke| 0.5 * stroke.width);
        for step in &steps {
            match step {
                Step::Move(a) | Step::Line(a) => self.reach(*a, around),
                Step::Cubic(a, b, c) => {
                    self.reach(*a, around);
                    self.reach(*b, around);
                    self.reach(*c, around);
                }
                Step::Close => {}
            }
        }
        match fill {
            Fill::None if stroke.is_none() => {}
            Fill::None => self.push_path(steps, None, stroke),
            Fill::Solid(role) => self.push_path(steps, Some(role), stroke),
            Fill::Hatched(hatch, role) => {
                if self.settle.painted {
                    self.hatch(&steps, hatch, role);
                }
                if stroke.is_some() {
                    self.push_path(steps, None, stroke);
                }
            }
        }
    }

    fn hatch(&mut self, steps: &[Step<(f64, f64)>], hatch: Hatch, role: Role) {
        let outlines = flattened(steps);
        for family in hatch.families() {
            let lines: Vec<_> = hatch::segments(&outlines, family, self.settle.paper)
                .into_iter()
                .flat_map(|(a, b)| [Step::Move(a), Step::Line(b)])
                .collect();
            if !lines.is_empty() {
                let stroke = Stroke {
                    role,
                    width: self.pt(hatch.weight().points()),
                    dash: Vec::new(),
                };
                self.push_path(lines, None, Some(stroke));
            }
        }
    }

    fn push_path(&mut self, steps: Vec<Step<(f64, f64)>>, fill: Option<Role>, stroke: Option<Stroke>) {
        if !self.settle.painted {
            return;
        }
        self.marks.push(Mark::Path {
            steps,
            fill,
            stroke,
            hit: self.hit,
        });
    }

    fn text(&mut self, text: &Text) {
        let at = self.place(text.at);
        self.words(at, text);
    }

    /// A text at an output place; `text.at` is not looked at.
    pub fn words(&mut self, (x, y): (f64, f64), text: &Text) {
        if !self.settle.words {
            return;
        }
        let size = self.pt(text.class.points());
        let bold = text.class.is_bold();
        let lines: Vec<&str> = text.text.split('\n').collect();
        let leading = LEADING * size;
        let below: f64 = leading * lines.iter().skip(1).map(|_| 1.0).sum::<f64>();
        let first = match text.sit {
            Sit::Baseline => 0.0,
            Sit::Top => ASCENT * size,
            Sit::Middle => 0.5 * (ASCENT - DESCENT) * size - 0.5 * below,
            Sit::Bottom => -DESCENT * size - below,
        };
        let angle = text.turn.to_radians();
        let (sin, cos) = (libm::sin(angle), libm::cos(angle));
        // Down the page in the turned frame.
        let turned = |right: f64, down: f64| (x + right * cos + down * sin, y - right * sin + down * cos);

        let widths: Vec<f64> = lines
            .iter()
            .map(|line| self.measure.width(line, size, bold))
            .collect();
        let widest = widths.iter().copied().fold(0.0, f64::max);
        let left = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -0.5 * widest,
            Anchor::End => -widest,
        };
        let (top, bottom) = (first - ASCENT * size, first + below + DESCENT * size);
        let grow = if text.plate { self.pt(1.0) } else { 0.0 };
        let corners = [
            (left - grow, top),
            (left + widest + grow, top),
            (left + widest + grow, bottom),
            (left - grow, bottom),
        ]
        .map(|(right, down)| turned(right, down));
        for corner in corners {
            self.reach(corner, 0.0);
        }
        if text.plate {
            self.push_path(closed(corners), Some(Role::Ground), None);
        }
        if !self.settle.painted {
            return;
        }
        let mut down = first;
        for line in lines {
            self.marks.push(Mark::Text {
                at: turned(0.0, down),
                text: line.to_owned(),
                size,
                bold,
                role: text.role,
                anchor: text.anchor,
                turn: text.turn,
                hit: self.hit,
            });
            down += leading;
        }
    }

    fn reach(&mut self, place: (f64, f64), around: f64) {
        self.bounds.reach(place, around);
        if let Some(hit) = self.hit.and_then(|index| self.hits.get_mut(index)) {
            hit.bounds.reach(place, around);
        }
    }
}

/// Shares of the size above and below the baseline that a line of text is taken to cover.
const ASCENT: f64 = 0.74;
const DESCENT: f64 = 0.22;
/// Baseline to baseline, as a share of the size.
const LEADING: f64 = 1.25;

/// A closed path through corners.
pub(crate) fn closed<const N: usize>(corners: [(f64, f64); N]) -> Vec<Step<(f64, f64)>> {
    let mut steps = Vec::with_capacity(N + 1);
    for (index, corner) in corners.into_iter().enumerate() {
        steps.push(if index == 0 {
            Step::Move(corner)
        } else {
            Step::Line(corner)
        });
    }
    steps.push(Step::Close);
    steps
}

/// An arc as cubic curves, each of at most a quarter turn. Degrees, counter-clockwise, y downwards.
fn arc((x, y): (f64, f64), radius: f64, start: f64, sweep: f64) -> Vec<Step<(f64, f64)>> {
    let sweep = sweep.clamp(-360.0, 360.0);
    let pieces = (sweep.abs() / 90.0).ceil().max(1.0);
    let each = (sweep / pieces).to_radians();
    // The usual handle length for a circular arc of angle `each`.
    let handle = 4.0 / 3.0 * libm::tan(each / 4.0) * radius;
    let on = |angle: f64| {
        let (sin, cos) = (libm::sin(angle), libm::cos(angle));
        (
            (x + radius * cos, y - radius * sin),
            (-sin * handle, -cos * handle),
        )
    };
    let mut angle = start.to_radians();
    let (begin, mut out) = on(angle);
    let mut from = begin;
    let mut steps = vec![Step::Move(begin)];
    let mut done = 0.0;
    while done < pieces {
        angle += each;
        let (to, direction) = on(angle);
        steps.push(Step::Cubic(
            (from.0 + out.0, from.1 + out.1),
            (to.0 - direction.0, to.1 - direction.1),
            to,
        ));
        (from, out) = (to, direction);
        done += 1.0;
    }
    steps
}

/// Outlines with curves replaced by chords, for hatching.
fn flattened(steps: &[Step<(f64, f64)>]) -> Vec<Vec<(f64, f64)>> {
    let mut outlines: Vec<Vec<(f64, f64)>> = Vec::new();
    for step in steps {
        match *step {
            Step::Move(a) => outlines.push(vec![a]),
            Step::Line(a) => {
                if let Some(outline) = outlines.last_mut() {
                    outline.push(a);
                }
            }
            Step::Cubic(a, b, c) => {
                if let Some(outline) = outlines.last_mut()
                    && let Some(&from) = outline.last()
                {
                    for part in 1..=12 {
                        outline.push(on_cubic(from, a, b, c, f64::from(part) / 12.0));
                    }
                }
            }
            Step::Close => {}
        }
    }
    outlines
}

fn on_cubic(p: (f64, f64), a: (f64, f64), b: (f64, f64), c: (f64, f64), t: f64) -> (f64, f64) {
    let u = 1.0 - t;
    let mix = |p: f64, a: f64, b: f64, c: f64| {
        u * u * u * p + 3.0 * u * u * t * a + 3.0 * u * t * t * b + t * t * t * c
    };
    (mix(p.0, a.0, b.0, c.0), mix(p.1, a.1, b.1, c.1))
}

/// The pen of dimension and scale lines.
pub(crate) const RULE: Pen = Pen {
    role: Role::Ink,
    weight: Weight::Hair,
    dash: Dash::Solid,
};
