use serde_json::Value as Json;
use wythe_drawing::{Anchor, Drawing, Marker, Pen, Point, Role, Shape, Sit, Space, Text, TextClass, Weight};
use wythe_units::Dimension as Kind;

use super::{Sheet, number, quantity};

/// Points of paper from row to row.
const STEP: f64 = 36.0;
/// Deeper trees are not drawn.
const DEEPEST: u8 = 8;

struct Tree<'t, 's> {
    sheet: &'t Sheet<'s>,
    drawing: Drawing,
    segments: &'t [Json],
    appliances: &'t [Json],
    row: u32,
}

/// The line from the supply to each burner: sizes, lengths, drops, and what is left at the end.
pub(super) fn tree(sheet: &Sheet<'_>) -> Option<Drawing> {
    let list = |key: &str| sheet.input.get(key).and_then(Json::as_array);
    let (segments, appliances) = (list("segments")?, list("appliances")?);
    let (all, least) = (appliances.len().to_string(), lowest(sheet)?);
    let alt = sheet.words.with(
        "picture-gas-alt",
        &[("count", &all), ("pressure", &sheet.shown(Kind::Pressure, least))],
    );
    let mut tree = Tree {
        sheet,
        drawing: Drawing::new(Space::Abstract, alt),
        segments,
        appliances,
        row: 0,
    };
    let start = Point::at(0.0, 0.0);
    let inlet = sheet.measured("/inlet_pressure", Kind::Pressure)?;
    let text = format!(
        "{}\n{}",
        sheet.word("gas-supply"),
        sheet.shown(Kind::Pressure, inlet)
    );
    let words = Text::new(start.nudged(-6.0, 0.0), TextClass::Label, text);
    tree.drawing.text(words.placed(Anchor::End, Sit::Middle));
    tree.drawing.add(Shape::Marker {
        at: start,
        marker: Marker::Square,
        role: Role::Ink,
    });
    tree.hang(None, start, 0.0, 0)?;
    Some(tree.drawing)
}

fn lowest(sheet: &Sheet<'_>) -> Option<f64> {
    let appliances = sheet.result.get("appliances").and_then(Json::as_array)?;
    let pressures = appliances
        .iter()
        .filter_map(|one| one.get("pressure_gauge").and_then(number));
    pressures.reduce(f64::min)
}

impl Tree<'_, '_> {
    /// Draws what hangs on a segment, or on the supply; `None` when the tree is too deep to draw.
    fn hang(&mut self, on: Option<&str>, from: Point, column: f64, depth: u8) -> Option<()> {
        if depth > DEEPEST {
            return None;
        }
        let mut first = true;
        for segment in self.segments {
            if segment.get("parent").and_then(Json::as_str) != on {
                continue;
            }
            let id = segment.get("id").and_then(Json::as_str)?;
            let begin = self.branch(from, &mut first);
            let end = Point {
                x: column + 1.0,
                dx: 0.0,
                ..begin
            };
            self.drawing
                .line([begin, end], Pen::new(Role::Ink, Weight::Thick));
            self.name(segment, id, begin, column);
            self.hang(Some(id), end, column + 1.0, depth + 1)?;
        }
        for appliance in self.appliances {
            if on.is_some() && appliance.get("node").and_then(Json::as_str) == on {
                let begin = self.branch(from, &mut first);
                self.burner(appliance, begin)?;
            }
        }
        Some(())
    }

    /// Where a branch begins: level with its parent when it is the first, else in a new row below.
    fn branch(&mut self, from: Point, first: &mut bool) -> Point {
        if std::mem::replace(first, false) {
            return from;
        }
        self.row += 1;
        let begin = Point {
            dy: -STEP * f64::from(self.row),
            ..from
        };
        self.drawing
            .line([from, begin], Pen::new(Role::Ink, Weight::Thick));
        begin
    }

    fn name(&mut self, segment: &Json, id: &str, begin: Point, column: f64) {
        let results = self.sheet.result.get("segments").and_then(Json::as_array);
        let found = results
            .into_iter()
            .flatten()
            .find(|found| found.get("id").and_then(Json::as_str) == Some(id));
        let size = found
            .and_then(|found| found.get("size"))
            .and_then(Json::as_str)
            .map_or_else(|| self.sheet.word("gas-listed-tube"), |size| format!("{size} in"));
        let middle = Point {
            x: column + 0.5,
            dx: 0.0,
            ..begin
        };
        let over = format!("{id}: {size}");
        let words = Text::new(middle.nudged(0.0, 3.0), TextClass::Label, over);
        self.drawing
            .text(words.placed(Anchor::Middle, Sit::Bottom).on_plate());
        let length = segment
            .get("length")
            .and_then(|length| quantity(length, Kind::Length));
        let drop = found.and_then(|found| found.get("drop")).and_then(number);
        let mut under = length.map_or_else(String::new, |length| self.sheet.feet(length));
        if let Some(drop) = drop {
            let drop = self.sheet.shown(Kind::Pressure, drop);
            under = format!("{under}, −{drop}");
        }
        let words = Text::new(middle.nudged(0.0, -3.0), TextClass::Note, under);
        self.drawing
            .text(words.placed(Anchor::Middle, Sit::Top).on_plate());
    }

    fn burner(&mut self, appliance: &Json, begin: Point) -> Option<()> {
        let id = appliance.get("id").and_then(Json::as_str)?;
        let results = self.sheet.result.get("appliances").and_then(Json::as_array)?;
        let found = results
            .iter()
            .find(|found| found.get("id").and_then(Json::as_str) == Some(id))?;
        let end = begin.nudged(14.0, 0.0);
        self.drawing
            .line([begin, end], Pen::new(Role::Ink, Weight::Medium));
        self.drawing.add(Shape::Marker {
            at: end,
            marker: Marker::Ring,
            role: Role::Clay,
        });
        let input = appliance
            .get("input")
            .and_then(|input| quantity(input, Kind::Power))?;
        let left = self
            .sheet
            .shown(Kind::Pressure, found.get("pressure_gauge").and_then(number)?);
        let least = appliance
            .get("minimum_pressure")
            .and_then(|least| quantity(least, Kind::Pressure));
        let mut under = left;
        if let Some(least) = least {
            let least = self.sheet.shown(Kind::Pressure, least);
            under = format!(
                "{under}, {}",
                self.sheet
                    .words
                    .with("picture-gas-least", &[("pressure", &least)])
            );
        }
        let holds = |key: &str| found.get(key).and_then(Json::as_bool) != Some(false);
        if !holds("above_minimum") || !holds("within_allowed_drop") {
            under = format!("{under}\n{}", self.sheet.word("gas-too-low"));
        }
        let text = format!("{id}, {}\n{under}", self.sheet.shown(Kind::Power, input));
        let words = Text::new(end.nudged(7.0, 0.0), TextClass::Label, text);
        self.drawing.text(words.placed(Anchor::Start, Sit::Middle));
        Some(())
    }
}
