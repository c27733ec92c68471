//! Dimension lines: outside the outline, with arrowheads, the figure where it can be read.

use crate::expand::{Board, RULE, closed};
use crate::paint::{Fill, Role};
use crate::shape::{Anchor, Dimension, Side, Sit, Text, TextClass};

/// Points: length and half width of an arrowhead.
const HEAD: (f64, f64) = (6.5, 1.7);
/// Points: from the outline to its extension line, and how far that runs past the dimension line.
const EXTENSION: (f64, f64) = (2.0, 2.5);
/// Points: the tail of an arrow that points inwards from outside.
const TAIL: f64 = 12.0;

pub(crate) fn expand(board: &mut Board, dimension: &Dimension) {
    let (from, to) = (board.place(dimension.from), board.place(dimension.to));
    let gap = board.pt(dimension.gap);
    // Output places are y downwards: above is the smaller y.
    let (a, b) = match dimension.side {
        Side::Above => {
            let level = clear(board, dimension, from.1.min(to.1), true) - gap;
            ((from.0, level), (to.0, level))
        }
        Side::Below => {
            let level = clear(board, dimension, from.1.max(to.1), false) + gap;
            ((from.0, level), (to.0, level))
        }
        Side::Left => {
            let upright = clear(board, dimension, from.0.min(to.0), true) - gap;
            ((upright, from.1), (upright, to.1))
        }
        Side::Right => {
            let upright = clear(board, dimension, from.0.max(to.0), false) + gap;
            ((upright, from.1), (upright, to.1))
        }
        Side::Along => {
            let (right, down) = direction(from, to);
            // A quarter turn counter-clockwise, seen with y downwards.
            let (x, y) = (down * gap, -right * gap);
            ((from.0 + x, from.1 + y), (to.0 + x, to.1 + y))
        }
    };
    extension(board, from, a);
    extension(board, to, b);

    let length = distance(a, b);
    let text = Text::new(dimension.from, TextClass::Figure, dimension.text.clone());
    let size = board.pt(TextClass::Figure.points());
    let width = board.measure.width(&dimension.text, size, false);
    let (right, down) = direction(a, b);
    let heads = board.pt(HEAD.0);
    let inside = length >= 2.2 * heads;

    if inside {
        board.segment(a, b, RULE);
        head(board, a, (-right, -down));
        head(board, b, (right, down));
    } else {
        let tail = board.pt(TAIL);
        board.segment(
            (a.0 - right * tail, a.1 - down * tail),
            (b.0 + right * tail, b.1 + down * tail),
            RULE,
        );
        head(board, a, (right, down));
        head(board, b, (-right, -down));
    }
    figure(
        board,
        &Line {
            a,
            b,
            inside,
            fits: length >= width + board.pt(2.0),
        },
        dimension.side,
        text,
    );
}

struct Line {
    a: (f64, f64),
    b: (f64, f64),
    inside: bool,
    fits: bool,
}

fn figure(board: &mut Board, line: &Line, side: Side, text: Text) {
    let middle = (0.5 * (line.a.0 + line.b.0), 0.5 * (line.a.1 + line.b.1));
    let lift = board.pt(2.0);
    let beyond = if line.inside {
        board.pt(4.0)
    } else {
        board.pt(TAIL + 3.0)
    };
    match side {
        Side::Above | Side::Below if line.fits => {
            board.words(
                (middle.0, middle.1 - lift),
                &text.placed(Anchor::Middle, Sit::Bottom),
            );
        }
        Side::Above | Side::Below => {
            let end = if line.a.0 > line.b.0 { line.a } else { line.b };
            board.words(
                (end.0 + beyond, end.1),
                &text.placed(Anchor::Start, Sit::Middle).on_plate(),
            );
        }
        Side::Left | Side::Right if line.fits => {
            let at = (middle.0 - lift, middle.1);
            board.words(at, &text.placed(Anchor::Middle, Sit::Bottom).turned(90.0));
        }
        Side::Left => {
            let at = (middle.0 - board.pt(4.0), middle.1);
            board.words(at, &text.placed(Anchor::End, Sit::Middle).on_plate());
        }
        Side::Right => {
            let at = (middle.0 + board.pt(4.0), middle.1);
            board.words(at, &text.placed(Anchor::Start, Sit::Middle).on_plate());
        }
        Side::Along => {
            let (right, down) = direction(line.a, line.b);
            let turn = libm::atan2(-down, right).to_degrees();
            // Read from the bottom or from the right, never upside down.
            let upright = if turn > 90.0 + 1e-9 {
                turn - 180.0
            } else if turn <= -90.0 + 1e-9 {
                turn + 180.0
            } else {
                turn
            };
            board.words(
                middle,
                &text
                    .placed(Anchor::Middle, Sit::Bottom)
                    .turned(upright)
                    .on_plate(),
            );
        }
    }
}

/// The output coordinate that the dimension line has to be outside of.
fn clear(board: &Board, dimension: &Dimension, own: f64, smaller: bool) -> f64 {
    let Some(coordinate) = dimension.clear else {
        return own;
    };
    let limit = match dimension.side {
        Side::Above | Side::Below => -board.settle.scale * coordinate,
        Side::Left | Side::Right | Side::Along => board.settle.scale * coordinate,
    };
    if smaller { own.min(limit) } else { own.max(limit) }
}

fn extension(board: &mut Board, point: (f64, f64), end: (f64, f64)) {
    let (gap, over) = (board.pt(EXTENSION.0), board.pt(EXTENSION.1));
    if distance(point, end) <= gap {
        return;
    }
    let (right, down) = direction(point, end);
    board.segment(
        (point.0 + right * gap, point.1 + down * gap),
        (end.0 + right * over, end.1 + down * over),
        RULE,
    );
}

/// An arrowhead with its tip at `tip`, pointing along `(right, down)`.
fn head(board: &mut Board, tip: (f64, f64), (right, down): (f64, f64)) {
    let (length, half) = (board.pt(HEAD.0), board.pt(HEAD.1));
    let root = (tip.0 - right * length, tip.1 - down * length);
    let corners = [
        tip,
        (root.0 - down * half, root.1 + right * half),
        (root.0 + down * half, root.1 - right * half),
    ];
    board.path(closed(corners), Fill::Solid(Role::Ink), None);
}

fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt()
}

fn direction(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let length = distance(a, b);
    if length > 0.0 {
        ((b.0 - a.0) / length, (b.1 - a.1) / length)
    } else {
        (1.0, 0.0)
    }
}
