//! Bars that show the scale.

use crate::expand::{Board, RULE, closed};
use crate::paint::{Fill, Role};
use crate::shape::{Anchor, ScaleBar, ScaleUnit, Sit, Text, TextClass};
use crate::ticks::{nice_step, plain_number};

/// Points: the height of a bar, and the least length of a round one.
const BAR: (f64, f64) = (4.0, 70.0);

impl ScaleUnit {
    const fn metres(self) -> f64 {
        match self {
            Self::Metres => 1.0,
            Self::Millimetres => 0.001,
            Self::Feet => 0.3048,
            Self::Inches => 0.0254,
        }
    }

    const fn symbol(self) -> &'static str {
        match self {
            Self::Metres => "m",
            Self::Millimetres => "mm",
            Self::Feet => "ft",
            Self::Inches => "in",
        }
    }
}

pub(crate) fn expand(board: &mut Board, bar: &ScaleBar) {
    if !board.metres {
        return;
    }
    match bar {
        ScaleBar::Round { at, unit } => {
            let per_unit = board.settle.scale * unit.metres();
            if per_unit <= 0.0 {
                return;
            }
            let length = nice_step(board.pt(BAR.1) / per_unit);
            let (x, y) = board.place(*at);
            let run = length * per_unit;
            strip(board, (x, y), run);
            let half = plain_number(0.5 * length, 0.5 * length);
            let whole = format!("{}\u{a0}{}", plain_number(length, length), unit.symbol());
            say(board, (x, y), 0.0, "0");
            say(board, (x, y), 0.5 * run, &half);
            say(board, (x, y), run, &whole);
        }
        ScaleBar::Check { at, length, label } => {
            let (x, y) = board.place(*at);
            let run = length * board.settle.scale;
            let height = board.pt(BAR.0);
            board.segment((x, y), (x + run, y), RULE);
            board.segment((x, y - height), (x, y + height), RULE);
            board.segment((x + run, y - height), (x + run, y + height), RULE);
            let text = Text::new(*at, TextClass::Figure, label.clone());
            board.words(
                (x + 0.5 * run, y - board.pt(2.5)),
                &text.placed(Anchor::Middle, Sit::Bottom),
            );
        }
    }
}

/// Two halves, one filled, with a frame around both.
fn strip(board: &mut Board, (x, y): (f64, f64), run: f64) {
    let top = y - board.pt(BAR.0);
    let middle = x + 0.5 * run;
    board.path(
        closed([(x, top), (middle, top), (middle, y), (x, y)]),
        Fill::Solid(Role::Ink),
        None,
    );
    board.path(
        closed([(x, top), (x + run, top), (x + run, y), (x, y)]),
        Fill::None,
        Some(RULE),
    );
}

fn say(board: &mut Board, (x, y): (f64, f64), along: f64, text: &str) {
    let words = Text::new(crate::Point::at(0.0, 0.0), TextClass::Note, text).placed(Anchor::Middle, Sit::Top);
    board.words((x + along, y + board.pt(1.5)), &words);
}
