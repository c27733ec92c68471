use serde_json::Value as Json;
use wythe_drawing::{
    Anchor, Drawing, Fill, Hatch, Pen, Point, Role, ScaleBar, ScaleUnit, Sit, Space, Text, TextClass, Weight,
};

use super::{Sheet, number};

/// Points of paper: from row to row, a bar's thickness, and where the columns begin or end, left of
/// the bars' zero.
const STEP: f64 = 27.0;
const THICK: f64 = 9.0;
const NAME: f64 = -268.0;
const REQUIRED: f64 = -80.0;
const MEASURED: f64 = -12.0;

/// What is near the cap: how far it must be, how far it is, and both as bars to scale.
pub(super) fn distances(sheet: &Sheet<'_>) -> Option<Drawing> {
    let checks = sheet.result.get("checks").and_then(Json::as_object)?;
    let value = |check: &Json, key: &str| check.get(key).and_then(number);
    let required = checks
        .values()
        .filter_map(|check| value(check, "required"))
        .fold(0.0, f64::max);
    // Far things are cut off where the eye no longer compares.
    let longest = if required > 0.0 { 2.5 * required } else { 2.0 };
    let short = checks
        .values()
        .filter(|check| check.get("verdict").and_then(Json::as_str) == Some("fail"))
        .count();
    let alt = sheet
        .words
        .with("picture-near-alt", &[("short", &short.to_string())]);
    let mut drawing = Drawing::new(Space::Metres, alt);
    let write = |drawing: &mut Drawing, x: f64, down: f64, class, anchor, text: String| {
        let at = Point::at(0.0, 0.0).nudged(x, -down);
        drawing.text(Text::new(at, class, text).placed(anchor, Sit::Middle));
    };
    for (x, anchor, id) in [
        (NAME, Anchor::Start, "near-what"),
        (REQUIRED, Anchor::End, "near-required"),
        (MEASURED, Anchor::End, "near-measured"),
    ] {
        write(&mut drawing, x, 0.0, TextClass::Note, anchor, sheet.word(id));
    }
    let (mut down, mut drawn) = (20.0, false);
    for (name, check) in checks {
        let (required, measured) = (value(check, "required"), value(check, "measured"));
        let verdict = check.get("verdict").and_then(Json::as_str).unwrap_or_default();
        let name = sheet.word(&format!("near-{}", name.replace('_', "-")));
        write(&mut drawing, NAME, down, TextClass::Label, Anchor::Start, name);
        let said = said(sheet, verdict, required, measured);
        write(
            &mut drawing,
            NAME + 8.0,
            down + 11.0,
            TextClass::Note,
            Anchor::Start,
            said,
        );
        for (x, length) in [(REQUIRED, required), (MEASURED, measured)] {
            let text = length.map_or_else(|| "–".to_owned(), |length| sheet.inches(length));
            write(&mut drawing, x, down, TextClass::Figure, Anchor::End, text);
        }
        if let Some(measured) = measured {
            drawn = true;
            bar(&mut drawing, measured, longest, down, verdict == "pass");
        }
        if let Some(required) = required {
            drawn = true;
            let at = Point::at(required, 0.0);
            let ends = [at.nudged(0.0, THICK - down), at.nudged(0.0, -THICK - down)];
            drawing.line(ends, Pen::new(Role::Ink, Weight::Thick));
        }
        let rule = Point::at(0.0, 0.0).nudged(0.0, -down - 18.5);
        drawing.line(
            [rule.nudged(NAME, 0.0), rule.nudged(MEASURED, 0.0)],
            Pen::new(Role::Mortar, Weight::Hair),
        );
        down += STEP;
    }
    if drawn {
        let zero = Point::at(0.0, 0.0);
        let ends = [zero.nudged(0.0, -8.0), zero.nudged(0.0, -down + 10.0)];
        drawing.line(ends, Pen::new(Role::Ink, Weight::Thin));
        drawing.scale_bar(ScaleBar::Round {
            at: zero.nudged(0.0, -down),
            unit: ScaleUnit::Feet,
        });
    }
    write(
        &mut drawing,
        NAME,
        down + 2.0,
        TextClass::Note,
        Anchor::Start,
        sheet.word("near-how"),
    );
    Some(drawing)
}

fn bar(drawing: &mut Drawing, measured: f64, longest: f64, down: f64, enough: bool) {
    let end = measured.clamp(0.0, longest);
    let fill = if enough {
        Fill::Solid(Role::Clay)
    } else {
        Fill::Hatched(Hatch::Doubtful, Role::Ink)
    };
    let (foot, head) = (Point::at(0.0, 0.0), Point::at(end, 0.0));
    let half = 0.5 * THICK;
    drawing.rect(
        foot.nudged(0.0, -down - half),
        head.nudged(0.0, half - down),
        fill,
        Some(Pen::new(Role::Ink, Weight::Thin)),
    );
    if measured > longest {
        // Two strokes across: the bar goes on.
        for x in [-9.0, -5.0] {
            let stroke = [
                head.nudged(x - 2.0, -down - half - 2.0),
                head.nudged(x + 2.0, half - down + 2.0),
            ];
            drawing.line(stroke, Pen::new(Role::Ground, Weight::Thick));
        }
    }
}

fn said(sheet: &Sheet<'_>, verdict: &str, required: Option<f64>, measured: Option<f64>) -> String {
    match (verdict, required, measured) {
        ("pass", _, None) => sheet.word("near-none"),
        ("pass", ..) => sheet.word("near-enough"),
        ("fail", Some(required), Some(measured)) if measured < required => sheet.words.with(
            "picture-near-short",
            &[("by", &sheet.inches(required - measured))],
        ),
        ("fail", ..) => sheet.word("near-not-here"),
        (_, _, None) => sheet.word("near-not-measured"),
        _ => sheet.word("near-manual"),
    }
}
