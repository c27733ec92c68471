//! A job as a wall: one course per stage from the survey up to the claim, one brick per thing needed.

use serde::{Deserialize, Serialize};

use crate::drawing::{Drawing, Space};
use crate::paint::{Dash, Fill, Hatch, Pen, Role, Weight};
use crate::point::Point;
use crate::shape::{Anchor, Hit, Shape, Sit, Text, TextClass};

/// Where one thing that the job needs stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum BrickState {
    /// There: a filled brick.
    There,
    /// Missing: a gap.
    Missing,
    /// People disagree: two half bricks.
    Disagreeing,
    /// There, but it does not count: a crossed brick.
    DoesNotCount,
    /// Waiting for somebody else or a date: a dotted outline.
    Waiting,
    /// Doubtful: a hatched brick.
    Doubtful,
}

/// One thing that the job needs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Brick {
    /// What a touch on it means.
    pub id: String,
    /// The thing and where it stands, in words.
    pub label: String,
    /// Where it stands.
    pub state: BrickState,
}

/// One stage.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Course {
    /// The name of the stage.
    pub name: String,
    /// A short remark behind it, such as "7 of 9"; may be empty.
    pub note: String,
    /// Its bricks, in the order of the work.
    pub bricks: Vec<Brick>,
}

/// A job's wall.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Wall {
    /// The stages, from the bottom (survey) to the top (claim).
    pub courses: Vec<Course>,
    /// The same in words: "3 missing: hinge cut, weight ticket, permit final".
    pub alt: String,
    /// What the kinds of brick mean, shown under the wall; may be empty.
    pub key: Vec<(BrickState, String)>,
}

/// How much room the wall will have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WallSize {
    /// A list: no words, thin lines; lay it with [`crate::Lay::thumbnail`].
    Thumbnail,
    /// A phone's width.
    Phone,
    /// A page's width.
    Page,
}

/// Units: the height of a brick is 1; joints; the seam between stages.
const JOINT: f64 = 0.14;
const SEAM: f64 = 0.16;
/// How many times its usual length a brick may be stretched to fill a short course.
const STRETCH: f64 = 2.5;

impl WallSize {
    const fn most_in_a_row(self) -> usize {
        match self {
            Self::Thumbnail => 10,
            Self::Phone => 6,
            Self::Page => 12,
        }
    }

    /// Units: the usual length of a brick. On a phone bricks are higher for their length, so that the
    /// names of the stages have room beside them.
    const fn length(self) -> f64 {
        match self {
            Self::Thumbnail | Self::Page => 2.8,
            Self::Phone => 2.1,
        }
    }

    const fn outline(self) -> Weight {
        match self {
            Self::Thumbnail => Weight::Hair,
            Self::Phone | Self::Page => Weight::Thin,
        }
    }
}

/// Draws a wall in running bond.
///
/// Courses stand in the given order from the bottom up. A course with more bricks than fit a row takes
/// several rows; one with few has longer bricks. A course without bricks shows its bed only.
#[must_use]
pub fn wall(wall: &Wall, size: WallSize) -> Drawing {
    let mut drawing = Drawing::new(Space::Abstract, wall.alt.clone());
    let most = size.most_in_a_row() as f64;
    let usual = size.length();
    let width = (most + 0.5) * usual;
    let mut level = 0.0;
    let mut row_number = 0_u32;
    drawing.line(
        [
            Point::at(0.0, 0.0).nudged(0.0, -1.0),
            Point::at(width, 0.0).nudged(0.0, -1.0),
        ],
        Pen::new(
            Role::Ink,
            if size == WallSize::Thumbnail {
                Weight::Thin
            } else {
                Weight::Thick
            },
        ),
    );
    for course in &wall.courses {
        let foot = level;
        let rows = rows_of(&course.bricks, size.most_in_a_row());
        if rows.is_empty() {
            bed(&mut drawing, (0.0, width), level);
            level += 1.0 + JOINT;
        }
        for row in rows {
            let length = (most * usual / row.len() as f64).min(STRETCH * usual);
            let start = if row_number.is_multiple_of(2) {
                0.0
            } else {
                0.5 * usual
            };
            bed(&mut drawing, (start, start + length * row.len() as f64), level);
            let mut left = start;
            for brick in row {
                let hit = Hit {
                    id: brick.id.clone(),
                    label: brick.label.clone(),
                };
                let slot = Slot {
                    left: Point::at(left + 0.5 * JOINT, level + 0.5 * JOINT),
                    right: Point::at(left + length - 0.5 * JOINT, level + 1.0 + 0.5 * JOINT),
                };
                lay_brick(&mut drawing, &slot, brick.state, size, Some(&hit));
                left += length;
            }
            level += 1.0 + JOINT;
            row_number = row_number.wrapping_add(1);
        }
        name(&mut drawing, course, 0.5 * (foot + level), width);
        level += SEAM;
    }
    if size != WallSize::Thumbnail {
        key(&mut drawing, &wall.key, width, size);
    }
    drawing
}

/// The bricks of a course in rows of nearly equal number.
fn rows_of(bricks: &[Brick], most: usize) -> Vec<&[Brick]> {
    let rows = bricks.len().div_ceil(most);
    if rows == 0 {
        return Vec::new();
    }
    let mut rest = bricks;
    let mut left = rows;
    let mut found = Vec::with_capacity(rows);
    while left > 0 {
        let (row, others) = rest.split_at(rest.len().div_ceil(left));
        found.push(row);
        rest = others;
        left -= 1;
    }
    found
}

/// Two opposite corners, lower left and upper right.
struct Slot {
    left: Point,
    right: Point,
}

impl Slot {
    /// The slot drawn in by points of paper all round.
    fn inset(&self, points: f64) -> Self {
        Self {
            left: self.left.nudged(points, points),
            right: self.right.nudged(-points, -points),
        }
    }

    /// A part of it: shares of its length and height.
    fn part(&self, from: (f64, f64), to: (f64, f64)) -> Self {
        let mix = |share: (f64, f64)| {
            let between = |a: f64, b: f64, share: f64| a + (b - a) * share;
            Point {
                x: between(self.left.x, self.right.x, share.0),
                y: between(self.left.y, self.right.y, share.1),
                dx: between(self.left.dx, self.right.dx, share.0),
                dy: between(self.left.dy, self.right.dy, share.1),
            }
        };
        Self {
            left: mix(from),
            right: mix(to),
        }
    }
}

fn lay_brick(drawing: &mut Drawing, slot: &Slot, state: BrickState, size: WallSize, hit: Option<&Hit>) {
    let outline = Pen::new(Role::Clay, size.outline());
    let half_pen = 0.5 * size.outline().points();
    let block = |drawing: &mut Drawing, slot: &Slot, fill: Fill, pen: Option<Pen>| {
        let shape = Shape::Rect {
            from: slot.left,
            to: slot.right,
            fill,
            pen,
        };
        put(drawing, shape, hit);
    };
    match state {
        BrickState::There => block(drawing, slot, Fill::Solid(Role::Clay), None),
        BrickState::Missing => {
            block(drawing, slot, Fill::Solid(Role::Ground), None);
            let mortar = Pen::new(Role::Mortar, size.outline());
            let Slot { left, right } = *slot;
            for (x, dx) in [(left.x, left.dx), (right.x, right.dx)] {
                let foot = Point { x, dx, ..left };
                let top = slot.part((0.0, 0.0), (0.0, 0.3)).right;
                put(
                    drawing,
                    Shape::Polyline {
                        points: vec![foot, Point { x, dx, ..top }],
                        pen: mortar,
                    },
                    hit,
                );
            }
        }
        BrickState::Disagreeing => {
            let (low, high) = (
                slot.part((0.0, 0.0), (0.42, 0.74)),
                slot.part((0.58, 0.26), (1.0, 1.0)),
            );
            block(drawing, &low, Fill::Solid(Role::Clay), None);
            block(drawing, &high, Fill::Solid(Role::Clay), None);
        }
        BrickState::DoesNotCount => {
            let inner = slot.inset(half_pen);
            block(drawing, &inner, Fill::None, Some(outline));
            let Slot { left, right } = inner;
            let (upper_left, lower_right) = (
                Point {
                    y: right.y,
                    dy: right.dy,
                    ..left
                },
                Point {
                    y: left.y,
                    dy: left.dy,
                    ..right
                },
            );
            put(
                drawing,
                Shape::Polyline {
                    points: vec![left, right],
                    pen: outline,
                },
                hit,
            );
            put(
                drawing,
                Shape::Polyline {
                    points: vec![upper_left, lower_right],
                    pen: outline,
                },
                hit,
            );
        }
        BrickState::Waiting => {
            let pen = Pen::new(Role::Mortar, size.outline()).dashed(Dash::Dotted);
            block(
                drawing,
                &slot.inset(half_pen),
                Fill::Solid(Role::Ground),
                Some(pen),
            );
        }
        BrickState::Doubtful => {
            let fill = Fill::Hatched(Hatch::Doubtful, Role::Clay);
            block(drawing, &slot.inset(half_pen), fill, Some(outline));
        }
    }
}

/// The mortar bed a row lies on, so that a gap at its end still shows.
fn bed(drawing: &mut Drawing, (from, to): (f64, f64), level: f64) {
    drawing.line(
        [Point::at(from, level), Point::at(to, level)],
        Pen::new(Role::Mortar, Weight::Hair),
    );
}

fn name(drawing: &mut Drawing, course: &Course, middle: f64, width: f64) {
    if !course.name.is_empty() {
        let at = Point::at(0.0, middle).nudged(-7.0, 0.0);
        drawing.text(Text::new(at, TextClass::Label, course.name.clone()).placed(Anchor::End, Sit::Middle));
    }
    if !course.note.is_empty() {
        let at = Point::at(width, middle).nudged(7.0, 0.0);
        drawing.text(
            Text::new(at, TextClass::Label, course.note.clone())
                .placed(Anchor::Start, Sit::Middle)
                .painted(Role::Mortar),
        );
    }
}

/// Points: a brick of the key, and the height of its lines.
const KEY_BRICK: (f64, f64) = (22.0, 7.5);
const KEY_LINE: f64 = 13.0;

fn key(drawing: &mut Drawing, key: &[(BrickState, String)], width: f64, size: WallSize) {
    let columns: usize = if size == WallSize::Page { 3 } else { 1 };
    for (index, (state, words)) in key.iter().enumerate() {
        let across = (index % columns) as f64 / columns as f64 * width;
        let down = -14.0 - KEY_LINE * (index / columns) as f64;
        let foot = Point::at(across, 0.0).nudged(0.0, down - KEY_BRICK.1);
        let slot = Slot {
            left: foot,
            right: foot.nudged(KEY_BRICK.0, KEY_BRICK.1),
        };
        if *state == BrickState::Missing {
            // A gap shows by its neighbours: here by the bed under it.
            drawing.line(
                [foot, foot.nudged(KEY_BRICK.0, 0.0)],
                Pen::new(Role::Mortar, Weight::Hair),
            );
        }
        lay_brick(drawing, &slot, *state, size, None);
        let at = foot.nudged(KEY_BRICK.0 + 5.0, 0.5 * KEY_BRICK.1);
        drawing.text(Text::new(at, TextClass::Note, words.clone()).placed(Anchor::Start, Sit::Middle));
    }
}

fn put(drawing: &mut Drawing, shape: Shape, hit: Option<&Hit>) {
    match hit {
        Some(hit) => drawing.add_hit(shape, hit.clone()),
        None => drawing.add(shape),
    };
}
