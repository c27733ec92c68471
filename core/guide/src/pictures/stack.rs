use wythe_drawing::{
    Anchor, Dimension, Drawing, Fill, Hatch, Pen, Point, Role, ScaleBar, ScaleUnit, Side, Sit, Space, Text,
    TextClass, Weight,
};
use wythe_trade::site::connector::{Connector, Direction, Figures, Input, Part, PartKind, Run};
use wythe_units::Quantity as _;

use super::{Sheet, answer_to};

/// The pipe's diameter as drawn where none is given, metres.
const USUAL_DIAMETER: f64 = 0.15;

type Way = (f64, f64);

/// The pieces from the collar in their order, with what each adds, and rise and run.
pub(super) fn pieces(sheet: &Sheet<'_>) -> Option<Drawing> {
    let (input, figures) = answer_to::<Connector>(sheet.input)?;
    let ways = ways(&input, &figures)?;
    let half = 0.5
        * input
            .outside_diameter
            .map_or(USUAL_DIAMETER, |given| given.to_base());
    let (run, rise) = place(figures.path.last()?.to);
    let count = figures.parts.len().to_string();
    let spans = sheet.word(if figures.spans {
        "stack-spans"
    } else {
        "stack-does-not-span"
    });
    let wanted = sheet.words.with(
        "picture-stack-wanted",
        &[
            ("rise", &sheet.inches(input.rise.to_base())),
            ("run", &sheet.inches(input.run.to_base())),
        ],
    );
    let alt = sheet.words.with(
        "picture-stack-alt",
        &[
            ("count", &count),
            ("rise", &sheet.inches(rise)),
            ("run", &sheet.inches(run)),
            ("spans", &spans),
        ],
    );
    let mut drawing = Drawing::new(Space::Metres, alt);
    let parts = figures.path.iter().zip(&figures.parts).zip(&ways);
    let level = |(from, to): &(Way, Way)| from.0 > from.1.abs() && to.0 > to.1.abs();
    let mut levels = ways.iter().filter(|ways| level(ways)).count();
    for (number, ((run, part), ways)) in (1_u32..).zip(parts) {
        let outline = outline(run, ways, half);
        drawing.polygon(outline, fill(part), Some(Pen::new(Role::Ink, Weight::Medium)));
        let middle = middle(run);
        let text = format!("{number}  {}", said(sheet, &figures, part, number));
        if level(ways) {
            levels = levels.saturating_sub(1);
            let up = 23.0 + 13.0 * f64::from(u32::try_from(levels).unwrap_or(0));
            let at = Point::at(middle.x, rise.max(0.0) + half).nudged(6.0, up);
            drawing.leader(middle, at, text);
        } else {
            drawing.leader(middle, Point::at(-half, middle.y).nudged(-18.0, 0.0), text);
        }
    }
    let wall = Pen::new(Role::Ink, Weight::Thick);
    for (at, way) in [((0.0, 0.0), ways.first()?.0), ((run, rise), ways.last()?.1)] {
        let (across, up) = (1.5 * half * way.1, 1.5 * half * way.0);
        let ends = [
            Point::at(at.0 - across, at.1 + up),
            Point::at(at.0 + across, at.1 - up),
        ];
        drawing.line(ends, wall);
    }
    let named = |at, anchor, sit, word| Text::new(at, TextClass::Label, sheet.word(word)).placed(anchor, sit);
    drawing.text(match input.collar_direction {
        Direction::Up => {
            let at = Point::at(-1.5 * half, 0.0).nudged(-4.0, 0.0);
            named(at, Anchor::End, Sit::Middle, "collar")
        }
        Direction::Back => {
            let at = Point::at(0.0, -1.5 * half).nudged(0.0, -4.0);
            named(at, Anchor::End, Sit::Top, "collar")
        }
    });
    match input.end_direction {
        Direction::Up => {
            let at = Point::at(run, rise).nudged(0.0, 4.0);
            drawing.text(named(at, Anchor::Middle, Sit::Bottom, "stack-end"));
        }
        Direction::Back => {
            let at = Point::at(run, rise + half).nudged(8.0, 10.0);
            drawing.leader(Point::at(run, rise + half), at, sheet.word("stack-end"));
        }
    }
    let (foot, end) = (Point::at(0.0, 0.0), Point::at(run, rise));
    if rise.abs() > 1e-6 {
        let text = format!("{} {}", sheet.word("rise"), sheet.inches(rise));
        drawing.dimension(
            Dimension::new(foot, end, Side::Right, text)
                .clearing(run + 2.0 * half)
                .in_row(2),
        );
    }
    if run.abs() > 1e-6 {
        let text = format!("{} {}", sheet.word("run"), sheet.inches(run));
        drawing.dimension(
            Dimension::new(foot, end, Side::Below, text)
                .clearing(-0.5 * half)
                .in_row(2),
        );
    }
    let at = Point::at(0.0, -0.5 * half).nudged(0.0, -42.0);
    drawing.text(
        Text::new(
            at,
            TextClass::Label,
            format!(
                "{spans}
{wanted}"
            ),
        )
        .placed(Anchor::Start, Sit::Top),
    );
    drawing.scale_bar(ScaleBar::Round {
        at: at.nudged(0.0, -36.0),
        unit: ScaleUnit::Inches,
    });
    Some(drawing)
}

fn place((run, rise): (wythe_trade::quantities::Length, wythe_trade::quantities::Length)) -> Way {
    (run.to_base(), rise.to_base())
}

fn middle(run: &Run) -> Point {
    let (from, to) = (place(run.from), place(run.to));
    Point::at(0.5 * (from.0 + to.0), 0.5 * (from.1 + to.1))
}

fn fill(part: &Part) -> Fill {
    match part.kind {
        PartKind::Adjustable => Fill::Hatched(Hatch::Metal, Role::Mortar),
        _ if part.cut => Fill::Hatched(Hatch::Doubtful, Role::Mortar),
        _ => Fill::None,
    }
}

fn said(sheet: &Sheet<'_>, figures: &Figures, part: &Part, number: u32) -> String {
    let Some(length) = part.effective_length else {
        return part.id.clone();
    };
    let length = sheet.inches(length.0.to_base());
    let cut = figures
        .cut
        .as_ref()
        .filter(|cut| u32::try_from(cut.position + 1) == Ok(number));
    match (part.kind, cut) {
        (PartKind::Adjustable, _) => {
            format!(
                "{}: {}",
                part.id,
                sheet.words.with("picture-stack-set", &[("length", &length)])
            )
        }
        (_, Some(cut)) => {
            let to = sheet.inches(cut.cut_to.0.to_base());
            let cut = sheet.words.with("picture-stack-cut", &[("length", &to)]);
            format!("{}: {length}, {cut}", part.id)
        }
        _ => format!("{}: {length}", part.id),
    }
}

/// The way in and the way out of each part, as unit steps (run, rise).
fn ways(input: &Input, figures: &Figures) -> Option<Vec<(Way, Way)>> {
    let straight = |direction: Direction| match direction {
        Direction::Up => (0.0, 1.0),
        Direction::Back => (1.0, 0.0),
    };
    let chord = |run: &Run| {
        let (from, to) = (place(run.from), place(run.to));
        let (x, y) = (to.0 - from.0, to.1 - from.1);
        let length = x.hypot(y);
        (length > 1e-9).then(|| (x / length, y / length))
    };
    let mut came = straight(input.collar_direction);
    let mut ways = Vec::new();
    for (index, (run, part)) in figures.path.iter().zip(&figures.parts).enumerate() {
        let along = chord(run).unwrap_or(came);
        if part.kind == PartKind::Elbow {
            let next = figures.path.get(index + 1).zip(figures.parts.get(index + 1));
            let out = match next {
                None => straight(input.end_direction),
                Some((next, part)) if part.kind != PartKind::Elbow => chord(next)?,
                // An even bend: the way out mirrors the way in at the line from end to end.
                Some(_) => {
                    let share = 2.0 * (came.0 * along.0 + came.1 * along.1);
                    (share * along.0 - came.0, share * along.1 - came.1)
                }
            };
            ways.push((came, out));
            came = out;
        } else {
            ways.push((along, along));
            came = along;
        }
    }
    (!ways.is_empty()).then_some(ways)
}

/// The outline of a part: a straight piece, or two legs that meet in a mitre.
fn outline(run: &Run, (came, goes): &(Way, Way), half: f64) -> Vec<Point> {
    let (from, to) = (place(run.from), place(run.to));
    let beside = |at: Way, way: &Way, side: f64| (at.0 - side * half * way.1, at.1 + side * half * way.0);
    let turn = came.0 * goes.1 - came.1 * goes.0;
    let mut ring = Vec::new();
    for side in [1.0, -1.0] {
        let (begin, end) = (beside(from, came, side), beside(to, goes, side));
        let mut edge = vec![begin];
        if turn.abs() > 1e-6 {
            let (x, y) = (end.0 - begin.0, end.1 - begin.1);
            let reach = (x * goes.1 - y * goes.0) / turn;
            edge.push((begin.0 + reach * came.0, begin.1 + reach * came.1));
        }
        edge.push(end);
        if side < 0.0 {
            edge.reverse();
        }
        ring.extend(edge.into_iter().map(|(x, y)| Point::at(x, y)));
    }
    ring
}
