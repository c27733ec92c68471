use serde_json::Value as Json;
use wythe_drawing::{
    Anchor, Dash, Dimension, Drawing, Fill, Hatch, Pen, Plot, Point, Role, Side, Sit, Space, Text, TextClass,
    Weight,
};

use super::bars::{Bar, bars};
use super::{Sheet, length, number};

/// A segment of the flue as it is drawn: heights, and half widths across, all in metres. Across, the
/// drawing is made larger, or a flue of 6 m by 0.2 m would be a line; it says so.
struct Part {
    foot: f64,
    top: f64,
    tile: Option<f64>,
    exhaust: f64,
    intake: Option<f64>,
}

fn parts(sheet: &Sheet<'_>) -> Option<Vec<Part>> {
    let mut foot = 0.0;
    let mut parts = Vec::new();
    for segment in sheet.input.get("segments").and_then(Json::as_array)? {
        let at = |pointer: &str| segment.pointer(pointer).and_then(length);
        let long = at("/length")?;
        let rise = at("/rise").unwrap_or(long);
        let inside = at("/exhaust/inside_diameter")?;
        let exhaust = at("/exhaust/outside_diameter").unwrap_or(inside + 0.002);
        let across = at("/intake/tile/a")
            .into_iter()
            .chain(at("/intake/tile/b"))
            .fold(0.0, f64::max);
        let tile = at("/intake/tile/diameter").or((across > 0.0).then_some(across));
        let intake_inside = at("/intake/inside_diameter");
        let intake = at("/intake/outside_diameter").or(intake_inside.map(|inside| inside + 0.002));
        parts.push(Part {
            foot,
            top: foot + rise,
            tile: tile.map(|tile| tile / 2.0),
            exhaust: exhaust / 2.0,
            intake: intake.map(|intake| intake / 2.0),
        });
        foot += rise;
    }
    (!parts.is_empty()).then_some(parts)
}

/// The section through the chimney: tile, liners, cap, collar, and the length that is wet.
pub(super) fn section(sheet: &Sheet<'_>) -> Option<Drawing> {
    let parts = parts(sheet)?;
    let wet = sheet.found("/wet_length").unwrap_or_default();
    let top = parts.last()?.top;
    let half = |part: &Part| part.tile.unwrap_or(1.6 * part.exhaust);
    let widest = parts.iter().map(half).fold(0.05, f64::max);
    // As wide as a third of the height, by a whole number.
    let wider = (top / (6.0 * widest)).round().clamp(1.0, 20.0);
    let alt = sheet.words.with(
        "picture-flue-section-alt",
        &[("height", &sheet.feet(top)), ("wet", &sheet.feet(wet))],
    );
    let mut drawing = Drawing::new(Space::Abstract, alt);
    let mut labels: Vec<(Point, String)> = Vec::new();
    for (part, first) in parts
        .iter()
        .zip(std::iter::once(true).chain(std::iter::repeat(false)))
    {
        let named = draw_part(sheet, &mut drawing, part, wider, (top, wet));
        if first {
            labels.extend(named);
        }
    }
    let edge = 1.14 * widest * wider;
    let roof = [
        Point::at(-1.1 * edge, top),
        Point::at(1.1 * edge, top),
        Point::at(0.7 * edge, 1.05 * top),
        Point::at(-0.7 * edge, 1.05 * top),
    ];
    let thin = Pen::new(Role::Ink, Weight::Thin);
    drawing.polygon(roof, Fill::Hatched(Hatch::Metal, Role::Mortar), Some(thin));
    labels.push((Point::at(0.8 * edge, 1.02 * top), sheet.word("cap")));
    let collar = parts.first().map_or(0.0, |part| part.exhaust * wider);
    let centre = parts.first().map_or(0.0, |part| exhaust_centre(part, wider));
    let foot = -0.04 * top;
    let (from, to) = (Point::at(centre - collar, foot), Point::at(centre + collar, 0.0));
    drawing.rect(from, to, Fill::Solid(Role::Ink), None);
    labels.push((Point::at(centre + collar, 0.5 * foot), sheet.word("collar")));
    let stove = (Point::at(-edge, foot - 0.1 * top), Point::at(edge, foot));
    drawing.rect(
        stove.0,
        stove.1,
        Fill::None,
        Some(Pen::new(Role::Ink, Weight::Medium)),
    );
    let middle = Point::at(0.0, foot - 0.05 * top);
    let stove = Text::new(middle, TextClass::Label, sheet.word("stove"));
    drawing.text(stove.placed(Anchor::Middle, Sit::Middle));
    if wet > 0.0 {
        let at = Point::at(centre, top - 0.5 * wet.min(top));
        labels.push((at, format!("{} {}", sheet.word("wet"), sheet.feet(wet))));
    }
    lead(&mut drawing, labels, 1.3 * edge, top);
    let (low, high) = (Point::at(-edge, 0.0), Point::at(-edge, top));
    let height = Dimension::new(low, high, Side::Left, sheet.feet(top)).clearing(-1.1 * edge);
    drawing.dimension(height);
    scale(sheet, &mut drawing, Point::at(-edge, foot - 0.1 * top), wider);
    Some(drawing)
}

fn exhaust_centre(part: &Part, wider: f64) -> f64 {
    part.intake.map_or(0.0, |intake| -(intake + 0.01) * wider)
}

/// Draws one segment; gives what is to be named in it.
fn draw_part(
    sheet: &Sheet<'_>,
    drawing: &mut Drawing,
    part: &Part,
    wider: f64,
    (top, wet): (f64, f64),
) -> Vec<(Point, String)> {
    let thin = Pen::new(Role::Ink, Weight::Thin);
    let (low, high) = (part.foot, part.top);
    let at = |x: f64, share: f64| Point::at(x, low + share * (high - low));
    let mut named = Vec::new();
    if let Some(tile) = part.tile.map(|tile| tile * wider) {
        for side in [-1.0, 1.0] {
            let (inner, outer) = (Point::at(side * tile, low), Point::at(side * 1.14 * tile, high));
            drawing.rect(
                inner,
                outer,
                Fill::Hatched(Hatch::Masonry, Role::Mortar),
                Some(thin),
            );
        }
        named.push((at(1.07 * tile, 0.78), sheet.word("tile")));
    }
    let (exhaust, centre) = (part.exhaust * wider, exhaust_centre(part, wider));
    let medium = Pen::new(Role::Ink, Weight::Medium);
    let (from, to) = (
        Point::at(centre - exhaust, low),
        Point::at(centre + exhaust, high),
    );
    drawing.rect(from, to, Fill::None, Some(medium));
    let dry = (top - wet).clamp(low, high);
    if dry < high {
        let from = Point::at(centre - exhaust, dry);
        drawing.rect(from, to, Fill::Hatched(Hatch::Wet, Role::Water), Some(thin));
    }
    flow(drawing, (at(centre, 0.1), at(centre, 0.3)), Role::Clay);
    named.push((at(centre, 0.45), sheet.word("exhaust")));
    let middle = if let Some(intake) = part.intake.map(|intake| intake * wider) {
        let middle = exhaust + 0.01 * wider;
        let (from, to) = (Point::at(middle - intake, low), Point::at(middle + intake, high));
        drawing.rect(from, to, Fill::None, Some(medium));
        middle
    } else {
        0.5 * (part.tile.unwrap_or(1.6 * part.exhaust) * wider + exhaust)
    };
    flow(drawing, (at(middle, 0.3), at(middle, 0.1)), Role::Water);
    named.push((at(middle, 0.2), sheet.word("air")));
    named
}

/// An arrow the way the gas goes.
fn flow(drawing: &mut Drawing, (from, to): (Point, Point), role: Role) {
    let back = if to.y > from.y { -6.0 } else { 6.0 };
    drawing.line([from, to], Pen::new(role, Weight::Medium));
    let head = [to, to.nudged(-2.2, back), to.nudged(2.2, back)];
    drawing.polygon(head, Fill::Solid(role), None);
}

/// Names parts in a column at the right, spread over the height so that no two touch.
fn lead(drawing: &mut Drawing, mut labels: Vec<(Point, String)>, right: f64, top: f64) {
    labels.sort_by(|a, b| a.0.y.total_cmp(&b.0.y));
    let between = labels.windows(2).count().max(1);
    let step = u32::try_from(between).map_or(top, |between| top / f64::from(between));
    let mut level = 0.0;
    for (part, text) in labels {
        drawing.leader(part, Point::at(right, level).nudged(10.0, 0.0), text);
        level += step;
    }
}

/// A bar for lengths along and one for lengths across, which are drawn larger.
fn scale(sheet: &Sheet<'_>, drawing: &mut Drawing, left: Point, wider: f64) {
    let medium = Pen::new(Role::Ink, Weight::Medium);
    let corner = left.nudged(-58.0, 0.0);
    let up = Point {
        y: corner.y + 0.9144,
        ..corner
    };
    let across = left.nudged(0.0, -10.0);
    let right = Point {
        x: across.x + 0.1016 * wider,
        ..across
    };
    for (from, to, tick) in [(corner, up, (3.0, 0.0)), (across, right, (0.0, 3.0))] {
        drawing.line([from, to], medium);
        for end in [from, to] {
            drawing.line([end.nudged(-tick.0, -tick.1), end.nudged(tick.0, tick.1)], medium);
        }
    }
    let note = |at: Point, text: String| Text::new(at, TextClass::Note, text);
    let middle = Point {
        y: corner.y + 0.4572,
        ..corner
    };
    drawing.text(note(middle.nudged(5.0, 0.0), "3 ft".to_owned()).placed(Anchor::Start, Sit::Middle));
    drawing.text(note(right.nudged(6.0, 0.0), "4 in".to_owned()).placed(Anchor::Start, Sit::Middle));
    let times = wythe_drawing::plain_number(wider, 1.0);
    let text = sheet.words.with("picture-flue-wider", &[("times", &times)]);
    drawing.text(note(across.nudged(0.0, -8.0), text).placed(Anchor::Start, Sit::Top));
}

/// Temperatures of exhaust, liner wall and air over the height, with the dew point.
pub(super) fn temperatures(sheet: &Sheet<'_>) -> Option<Drawing> {
    let profile = sheet.result.get("profile").and_then(Json::as_array)?;
    let line = |key: &str| -> Option<Vec<(f64, f64)>> {
        let pair = |row: &Json| Some((number(row.get(key)?)?, number(row.get("height")?)?));
        profile.iter().map(pair).collect()
    };
    let curves = [
        (
            "exhaust_temperature",
            "exhaust",
            Pen::new(Role::Clay, Weight::Thick),
        ),
        (
            "wall_temperature",
            "liner-wall",
            Pen::new(Role::Ink, Weight::Medium),
        ),
        (
            "dew_point",
            "dew-point",
            Pen {
                dash: Dash::Dashed,
                ..Pen::new(Role::Ink, Weight::Medium)
            },
        ),
        (
            "intake_temperature",
            "air",
            Pen {
                dash: Dash::Dotted,
                ..Pen::new(Role::Water, Weight::Thick)
            },
        ),
    ];
    let mut lines = Vec::new();
    for (key, word, pen) in curves {
        lines.push((line(key)?, word, pen));
    }
    let all = || lines.iter().flat_map(|(points, ..)| points);
    let low = all().map(|(t, _)| *t).fold(f64::INFINITY, f64::min);
    let high = all().map(|(t, _)| *t).fold(f64::NEG_INFINITY, f64::max);
    let top = all().map(|(_, z)| *z).fold(0.0, f64::max);
    let x = sheet.axis("axis-temperature", low.min(0.0), high, 8)?;
    let y = sheet.axis("axis-height", 0.0, top, 6)?;
    let mut plot = Plot::new(x, y, 1.9, sheet.word("flue-temperatures-alt"));
    for (points, word, pen) in &lines {
        plot.curve(points, *pen, &sheet.word(word));
    }
    Some(plot.finish())
}

/// The pressures of the loop at the operating point: what drives, and what holds back, to one scale.
pub(super) fn budget(sheet: &Sheet<'_>) -> Option<Drawing> {
    let pressure = |key: &str| sheet.found(&format!("/{key}"));
    let losses = [
        "exhaust_loss",
        "intake_loss",
        "cap_exhaust_loss",
        "cap_intake_loss",
        "acceleration_exhaust",
        "acceleration_intake",
        "appliance_loss",
        "restrictor_loss",
    ];
    let draft = pressure("draft")?;
    let wind = pressure("wind_pressure").unwrap_or_default();
    let mut rows: Vec<(String, f64, bool)> = vec![(sheet.word("draft"), draft, true)];
    if wind.abs() > 1e-9 {
        rows.push((sheet.word("wind"), wind, true));
    }
    for loss in losses {
        let value = pressure(loss)?;
        if value.abs() > 5e-3 {
            rows.push((sheet.word(&loss.replace('_', "-")), value, false));
        }
    }
    let air_ratio = sheet.result.get("air_ratio").and_then(Json::as_f64)?;
    let ratio = sheet.plain(air_ratio, 0.01);
    let lacking = pressure("balance").filter(|balance| *balance < -0.05);
    let mut said = sheet.words.with("picture-flue-ratio", &[("ratio", &ratio)]);
    if let Some(lacking) = lacking {
        let figure = format!("{} Pa", sheet.plain(-lacking, 0.1));
        said = sheet.words.with(
            "picture-flue-lacking",
            &[("ratio", &ratio), ("pressure", &figure)],
        );
        rows.push((sheet.word("lacking"), lacking, false));
    }
    let alt = sheet.words.with("picture-flue-budget-alt", &[("said", &said)]);
    let share = |point: &str| {
        sheet
            .result
            .pointer(&format!("/band/air_ratio/{point}"))
            .and_then(number)
    };
    if let (Some(low), Some(high)) = (share("p5"), share("p95")) {
        let (low, high) = (sheet.plain(low, 0.01), sheet.plain(high, 0.01));
        let band = sheet
            .words
            .with("picture-flue-band", &[("low", &low), ("high", &high)]);
        said = format!("{said} {band}");
    }
    let rows: Vec<Bar> = rows
        .into_iter()
        .map(|(name, value, drives)| Bar {
            name,
            value,
            text: format!("{} Pa", sheet.plain(value, 0.01)),
            fill: if drives {
                Fill::Solid(Role::Clay)
            } else {
                Fill::Hatched(Hatch::Metal, Role::Ink)
            },
        })
        .collect();
    let mut drawing = Drawing::new(Space::Abstract, alt);
    bars(&mut drawing, &rows, &said);
    Some(drawing)
}
