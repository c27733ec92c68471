//! Breaking text into lines.

use super::document::{Rich, Span};
use super::fonts::Fonts;
use super::styles::Style;

/// A line of text.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Line {
    /// Stretches of one face, from left to right.
    pub runs: Vec<Run>,
    /// The width without blanks at the end.
    pub width: f64,
}

/// A stretch of one face.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    pub text: String,
    pub bold: bool,
    /// From the beginning of the line.
    pub x: f64,
}

#[derive(Clone, Copy)]
struct Set {
    character: char,
    bold: bool,
    advance: f64,
}

/// Breaks a text greedily at blanks, hyphens and strokes, but not between a figure and its unit; a word
/// wider than the line breaks anywhere.
///
/// A blank at a break stays at the end of its line, so that the text reads on when it is copied.
pub(super) fn wrap(fonts: &Fonts, rich: &Rich, style: Style, width: f64) -> Vec<Line> {
    let texts: Vec<String> = rich.0.iter().map(|span| fonts.printable(&span.text)).collect();
    let mut lines = Vec::new();
    let mut line: Vec<Set> = Vec::new();
    let mut filled = 0.0;
    // How many characters of the line stay when it breaks.
    let mut keep = 0;
    for (span, Span { bold, .. }) in rich.0.iter().enumerate() {
        let bold = *bold || style.bold;
        let text = texts.get(span).map_or("", String::as_str);
        for (at, character) in text.char_indices() {
            if character == '\n' {
                lines.push(finished(&line));
                (line, filled, keep) = (Vec::new(), 0.0, 0);
                continue;
            }
            let set = Set {
                character,
                bold,
                advance: fonts.advance(character, bold) * style.size,
            };
            if character == ' ' {
                if !line.is_empty() {
                    line.push(set);
                    filled += set.advance;
                    if !before_a_unit(&line, text.get(at + 1..).unwrap_or("")) {
                        keep = line.len();
                    }
                }
                continue;
            }
            if filled + set.advance > width + 1e-6 && !line.is_empty() {
                let rest = line.split_off(if keep == 0 { line.len() } else { keep });
                lines.push(finished(&line));
                line = rest;
                filled = line.iter().map(|set| set.advance).sum();
                keep = 0;
            }
            line.push(set);
            filled += set.advance;
            if matches!(character, '-' | '\u{2013}' | '\u{2014}' | '/') {
                keep = line.len();
            }
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(finished(&line));
    }
    lines
}

/// Whether a blank stands between a figure and a short word, most likely its unit: "12 °C", "11 3/8 in".
fn before_a_unit(line: &[Set], rest: &str) -> bool {
    let mut last = line.iter().rev().skip(1);
    let figure = last.next().is_some_and(|set| set.character.is_numeric());
    let word = rest
        .split([' ', '\n', ',', '.', ';', ')'])
        .next()
        .unwrap_or("")
        .chars()
        .count();
    figure && (1..=3).contains(&word)
}

/// The width of the widest line.
pub(super) fn widest(lines: &[Line]) -> f64 {
    lines.iter().map(|line| line.width).fold(0.0, f64::max)
}

fn finished(line: &[Set]) -> Line {
    let mut runs: Vec<Run> = Vec::new();
    let (mut x, mut width) = (0.0, 0.0);
    for set in line {
        match runs.last_mut() {
            Some(run) if run.bold == set.bold => run.text.push(set.character),
            _ => runs.push(Run {
                text: set.character.to_string(),
                bold: set.bold,
                x,
            }),
        }
        x += set.advance;
        if set.character != ' ' {
            width = x;
        }
    }
    Line { runs, width }
}
