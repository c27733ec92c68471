use wythe_drawing::{
    Anchor, Dimension, Drawing, Fill, Hatch, Pen, Point, Role, ScaleBar, ScaleUnit, Shape, Side, Sit, Space,
    Step, Text, TextClass, Weight,
};
use wythe_trade::site::liner_fit::{LinerFit, PlacedLiner};
use wythe_units::Quantity as _;

use super::{Sheet, answer};

/// The tile's wall as drawn, metres (common practice, no source).
const WALL: f64 = 0.016;
/// A quarter circle as one cubic: the share of the radius its control points stand out.
const QUARTER: f64 = 0.552_284_75;

/// The narrowest section with the liners in it, seen from above, to scale.
pub(super) fn section(sheet: &Sheet<'_>) -> Option<Drawing> {
    let figures = answer::<LinerFit>(sheet.input)?;
    let layout = &figures.layout;
    let (a, b) = (layout.a.to_base(), layout.b.to_base());
    let radius = layout.corner_radius.to_base();
    let fits = sheet.word(if figures.fits {
        "liners-fit"
    } else {
        "liners-do-not-fit"
    });
    let alt = sheet.words.with(
        "picture-liners-alt",
        &[("a", &sheet.inches(a)), ("b", &sheet.inches(b)), ("fits", &fits)],
    );
    let mut drawing = Drawing::new(Space::Metres, alt);
    let mut steps = rounded(-WALL, -WALL, a + WALL, b + WALL, radius + WALL);
    steps.extend(rounded(0.0, 0.0, a, b, radius));
    drawing.add(Shape::Path {
        steps,
        fill: Fill::Hatched(Hatch::Tile, Role::Mortar),
        pen: Some(Pen::new(Role::Ink, Weight::Medium)),
    });
    for (liner, word) in layout.liners.iter().zip(["exhaust", "air"]) {
        let centre = Point::at(liner.a.to_base(), liner.b.to_base());
        drawing.add(Shape::Circle {
            centre,
            radius: 0.5 * liner.diameter.to_base(),
            fill: Fill::None,
            pen: Some(Pen::new(
                if word == "air" { Role::Water } else { Role::Clay },
                Weight::Thick,
            )),
        });
        let text = format!("{}\n{}", sheet.word(word), sheet.inches(liner.diameter.to_base()));
        drawing.text(Text::new(centre, TextClass::Label, text).placed(Anchor::Middle, Sit::Middle));
    }
    if layout.liners.len() == 1 {
        let at = Point::at(0.5 * a, 0.06 * b);
        drawing.text(Text::new(at, TextClass::Label, sheet.word("air")).placed(Anchor::Middle, Sit::Middle));
    }
    for (liner, row) in layout.liners.iter().zip(1..) {
        to_walls(sheet, &mut drawing, liner, (a, b), row);
    }
    if let [first, second] = layout.liners.as_slice() {
        between(sheet, &mut drawing, first, second, a);
    }
    let own = |from, to, side, metres| Dimension::new(from, to, side, sheet.inches(metres));
    let corner = Point::at(0.0, 0.0);
    drawing.dimension(own(corner, Point::at(a, 0.0), Side::Below, a).clearing(-WALL));
    drawing.dimension(own(corner, Point::at(0.0, b), Side::Left, b).clearing(-WALL));
    let at = Point::at(0.5 * a, -WALL).nudged(0.0, -28.0);
    drawing.text(Text::new(at, TextClass::Label, fits).placed(Anchor::Middle, Sit::Top));
    drawing.scale_bar(ScaleBar::Round {
        at: Point::at(0.0, -WALL).nudged(0.0, -54.0),
        unit: ScaleUnit::Inches,
    });
    Some(drawing)
}

/// The room between a liner and the walls it is nearest to.
fn to_walls(sheet: &Sheet<'_>, drawing: &mut Drawing, liner: &PlacedLiner, (a, b): (f64, f64), row: u8) {
    let (x, y, radius) = (
        liner.a.to_base(),
        liner.b.to_base(),
        0.5 * liner.diameter.to_base(),
    );
    let nearest = |at: f64, size: f64| {
        if at <= 0.5 * size {
            (0.0, at - radius, at - radius)
        } else {
            (at + radius, size, size - at - radius)
        }
    };
    let (from, to, gap) = nearest(x, a);
    if gap > 1e-4 {
        let dimension = Dimension::new(
            Point::at(from, y),
            Point::at(to, y),
            Side::Above,
            sheet.inches(gap),
        )
        .clearing(b + WALL);
        drawing.dimension(dimension.in_row(row));
    }
    let (from, to, gap) = nearest(y, b);
    if gap > 1e-4 {
        let dimension = Dimension::new(
            Point::at(x, from),
            Point::at(x, to),
            Side::Right,
            sheet.inches(gap),
        )
        .clearing(a + WALL);
        drawing.dimension(dimension.in_row(row));
    }
}

/// The room between two liners, along the line of their centres.
fn between(sheet: &Sheet<'_>, drawing: &mut Drawing, first: &PlacedLiner, second: &PlacedLiner, a: f64) {
    let (dx, dy) = ((second.a - first.a).to_base(), (second.b - first.b).to_base());
    let apart = dx.hypot(dy);
    let (r1, r2) = (0.5 * first.diameter.to_base(), 0.5 * second.diameter.to_base());
    let gap = apart - r1 - r2;
    if gap <= 1e-4 {
        return;
    }
    let on = |share: f64| Point::at(first.a.to_base() + share * dx, first.b.to_base() + share * dy);
    let (from, to) = (on(r1 / apart), on((apart - r2) / apart));
    drawing.line([from, to], Pen::new(Role::Ink, Weight::Medium));
    let middle = on((r1 + 0.5 * gap) / apart);
    let beside = Point::at(a + WALL, middle.y).nudged(46.0, 0.0);
    let text = sheet
        .words
        .with("picture-liners-between", &[("gap", &sheet.inches(gap))]);
    drawing.leader(middle, beside, text);
}

/// A rectangle with rounded corners.
fn rounded(left: f64, foot: f64, right: f64, top: f64, radius: f64) -> Vec<Step<Point>> {
    let r = radius.clamp(0.0, 0.5 * (right - left).min(top - foot));
    let k = r * (1.0 - QUARTER);
    let at = Point::at;
    vec![
        Step::Move(at(left + r, foot)),
        Step::Line(at(right - r, foot)),
        Step::Cubic(at(right - k, foot), at(right, foot + k), at(right, foot + r)),
        Step::Line(at(right, top - r)),
        Step::Cubic(at(right, top - k), at(right - k, top), at(right - r, top)),
        Step::Line(at(left + r, top)),
        Step::Cubic(at(left + k, top), at(left, top - k), at(left, top - r)),
        Step::Line(at(left, foot + r)),
        Step::Cubic(at(left, foot + k), at(left + k, foot), at(left + r, foot)),
        Step::Close,
    ]
}
