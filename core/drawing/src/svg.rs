//! Painting a drawing as SVG, for the office page and for looking at it.

use std::fmt::Write as _;

use crate::drawing::Drawing;
use crate::error::DrawingError;
use crate::lay::{Laid, Lay, Mark, Stroke, lay};
use crate::measure::Estimate;
use crate::paint::Role;
use crate::point::Step;
use crate::shape::Anchor;
use crate::theme::Theme;

/// A drawing as one SVG element: alternative text as its title, a group with `data-hit` and a title
/// around everything that can be touched.
///
/// # Errors
/// What [`lay`] refuses.
pub fn to_svg(drawing: &Drawing, theme: Theme, how: &Lay) -> Result<String, DrawingError> {
    painted(drawing, how, &|role| theme.colour(role).hex())
}

/// The same for an element inside a page that changes between light and dark by itself: the colours are
/// the page's custom properties `--ink`, `--mortar`, `--clay`, `--water`, `--oxide`, `--ochre`, `--ground`.
///
/// # Errors
/// What [`lay`] refuses.
pub fn to_page_svg(drawing: &Drawing, how: &Lay) -> Result<String, DrawingError> {
    painted(drawing, how, &|role| {
        let name = match role {
            Role::Ink => "ink",
            Role::Mortar => "mortar",
            Role::Clay => "clay",
            Role::Water => "water",
            Role::Oxide => "oxide",
            Role::Ochre => "ochre",
            Role::Ground => "ground",
        };
        format!("var(--{name})")
    })
}

fn painted(drawing: &Drawing, how: &Lay, colour: &dyn Fn(Role) -> String) -> Result<String, DrawingError> {
    let laid = lay(drawing, how, &Estimate)?;
    let (width, height) = (number(laid.width), number(laid.height));
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\" font-family=\"system-ui, sans-serif\">\n\
         <title>{}</title>\n",
        escaped(&drawing.alt)
    );
    let mut open: Option<usize> = None;
    for mark in &laid.marks {
        let hit = match mark {
            Mark::Path { hit, .. } | Mark::Text { hit, .. } => *hit,
        };
        if hit != open {
            turn_page(&mut svg, &laid, open, hit);
            open = hit;
        }
        paint(&mut svg, mark, colour);
    }
    turn_page(&mut svg, &laid, open, None);
    svg.push_str("</svg>\n");
    Ok(svg)
}

fn turn_page(svg: &mut String, laid: &Laid, from: Option<usize>, to: Option<usize>) {
    if from.is_some() {
        svg.push_str("</g>\n");
    }
    if let Some(hit) = to.and_then(|index| laid.hits.get(index)) {
        let (id, label) = (escaped(&hit.id), escaped(&hit.label));
        put(svg, format_args!("<g data-hit=\"{id}\"><title>{label}</title>\n"));
    }
}

fn paint(svg: &mut String, mark: &Mark, colour: &dyn Fn(Role) -> String) {
    match mark {
        Mark::Path {
            steps, fill, stroke, ..
        } => {
            put(svg, format_args!("<path d=\"{}\"", path(steps)));
            match fill {
                Some(role) => put(svg, format_args!(" fill=\"{}\"", colour(*role))),
                None => svg.push_str(" fill=\"none\""),
            }
            if fill.is_some() {
                svg.push_str(" fill-rule=\"evenodd\"");
            }
            if let Some(stroke) = stroke {
                paint_stroke(svg, stroke, colour);
            }
            svg.push_str("/>\n");
        }
        Mark::Text {
            at,
            text,
            size,
            bold,
            role,
            anchor,
            turn,
            ..
        } => {
            let (x, y) = (number(at.0), number(at.1));
            put(
                svg,
                format_args!(
                    "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\"",
                    number(*size),
                    colour(*role)
                ),
            );
            match anchor {
                Anchor::Start => {}
                Anchor::Middle => svg.push_str(" text-anchor=\"middle\""),
                Anchor::End => svg.push_str(" text-anchor=\"end\""),
            }
            if *bold {
                svg.push_str(" font-weight=\"700\"");
            }
            if turn.abs() > 1e-9 {
                put(
                    svg,
                    format_args!(" transform=\"rotate({} {x} {y})\"", number(-turn)),
                );
            }
            put(
                svg,
                format_args!(
                    " style=\"font-variant-numeric:tabular-nums\">{}</text>\n",
                    escaped(text)
                ),
            );
        }
    }
}

fn paint_stroke(svg: &mut String, stroke: &Stroke, colour: &dyn Fn(Role) -> String) {
    put(
        svg,
        format_args!(
            " stroke=\"{}\" stroke-width=\"{}\"",
            colour(stroke.role),
            number(stroke.width)
        ),
    );
    if !stroke.dash.is_empty() {
        let lengths: Vec<String> = stroke.dash.iter().map(|length| number(*length)).collect();
        put(svg, format_args!(" stroke-dasharray=\"{}\"", lengths.join(" ")));
    }
}

fn path(steps: &[Step<(f64, f64)>]) -> String {
    let mut d = String::new();
    for step in steps {
        match step {
            Step::Move(a) => put(&mut d, format_args!("M{} {}", number(a.0), number(a.1))),
            Step::Line(a) => put(&mut d, format_args!("L{} {}", number(a.0), number(a.1))),
            Step::Cubic(a, b, c) => put(
                &mut d,
                format_args!(
                    "C{} {} {} {} {} {}",
                    number(a.0),
                    number(a.1),
                    number(b.0),
                    number(b.1),
                    number(c.0),
                    number(c.1)
                ),
            ),
            Step::Close => d.push('Z'),
        }
    }
    d
}

/// Two decimals, none that are not needed, no minus zero.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" {
        "0".to_owned()
    } else {
        short.to_owned()
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

fn put(text: &mut String, what: std::fmt::Arguments<'_>) {
    // Writing to a string does not fail.
    let _ = text.write_fmt(what);
}
