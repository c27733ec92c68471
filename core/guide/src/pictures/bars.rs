use wythe_drawing::{Anchor, Drawing, Fill, Pen, Point, Role, Sit, Text, TextClass, Weight};

/// A bar with its name before it and its figure behind it.
pub(super) struct Bar {
    pub name: String,
    pub value: f64,
    pub text: String,
    pub fill: Fill,
}

/// Points of paper from one bar to the next, and of a bar's thickness.
const STEP: f64 = 15.0;
const THICK: f64 = 9.0;
/// Units: the longest bar.
const LONGEST: f64 = 100.0;

/// Level bars to one scale from a common zero, the first on top, with a sentence above them.
pub(super) fn bars(drawing: &mut Drawing, rows: &[Bar], said: &str) {
    let most = rows.iter().map(|row| row.value.abs()).fold(1e-9, f64::max);
    let length = |row: &Bar| LONGEST * row.value / most;
    let left = rows.iter().map(length).fold(0.0, f64::min);
    let mut down = 0.0;
    for row in rows {
        let length = length(row);
        let foot = Point::at(0.0, 0.0).nudged(0.0, -down - THICK);
        let head = Point::at(length, 0.0).nudged(0.0, -down);
        drawing.rect(foot, head, row.fill, Some(Pen::new(Role::Ink, Weight::Thin)));
        let middle = -down - 0.5 * THICK;
        drawing.text(
            Text::new(
                Point::at(left, 0.0).nudged(-6.0, middle),
                TextClass::Label,
                row.name.as_str(),
            )
            .placed(Anchor::End, Sit::Middle),
        );
        drawing.text(
            Text::new(
                Point::at(length.max(0.0), 0.0).nudged(6.0, middle),
                TextClass::Figure,
                row.text.as_str(),
            )
            .placed(Anchor::Start, Sit::Middle),
        );
        down += STEP;
    }
    let zero = Point::at(0.0, 0.0);
    drawing.line(
        [
            zero.nudged(0.0, 4.0),
            zero.nudged(0.0, -down + STEP - THICK - 4.0),
        ],
        Pen::new(Role::Ink, Weight::Medium),
    );
    if !said.is_empty() {
        let at = Point::at(left, 0.0).nudged(0.0, 9.0);
        drawing.text(Text::new(at, TextClass::Label, said).placed(Anchor::Start, Sit::Bottom));
    }
}
