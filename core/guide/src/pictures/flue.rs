use serde_json::Value as Json;
use wythe_drawing::{
    Anchor, Axis, Dash, Dimension, Drawing, Fill, Hatch, Pen, Plot, Point, Role, ScaleBar, ScaleUnit, Side,
    Sit, Space, Text, TextClass, Weight,
};

use super::{Sheet, length, number};

/// Across the chimney lengths are drawn this many times larger than along it, or a 6 m flue of 0.2 m
/// would be a line. The drawing says so.
const WIDER: f64 = 6.0;

/// A segment of the flue as it is drawn: heights, and half widths across, all in metres.
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
    let alt = sheet.words.with(
        "picture-flue-section-alt",
        &[("height", &sheet.metres(top)), ("wet", &sheet.metres(wet))],
    );
    let mut drawing = Drawing::new(Space::Abstract, alt);
    let thin = Pen::new(Role::Ink, Weight::Thin);
    let mut widest: f64 = 0.1;
    for part in &parts {
        let (low, high) = (part.foot, part.top);
        let tile = part.tile.unwrap_or(part.exhaust * 1.6) * WIDER;
        widest = widest.max(tile);
        let wall = 0.12 * tile;
        if part.tile.is_some() {
            for side in [-1.0, 1.0] {
                let inner = Point::at(side * tile, low);
                let outer = Point::at(side * (tile + wall), high);
                drawing.rect(
                    inner,
                    outer,
                    Fill::Hatched(Hatch::Masonry, Role::Mortar),
                    Some(thin),
                );
            }
        }
        let exhaust = part.exhaust * WIDER;
        let centre = part.intake.map_or(0.0, |intake| -(intake * WIDER) - 0.02 * WIDER);
        let from = Point::at(centre - exhaust, low);
        let to = Point::at(centre + exhaust, high);
        drawing.rect(
            from,
            to,
            Fill::Hatched(Hatch::Clear, Role::Clay),
            Some(Pen::new(Role::Ink, Weight::Medium)),
        );
        let dry = (top - wet).clamp(low, high);
        if dry < high {
            let from = Point::at(centre - exhaust, dry);
            drawing.rect(from, to, Fill::Hatched(Hatch::Wet, Role::Water), Some(thin));
        }
        if let Some(intake) = part.intake {
            let (half, middle) = (intake * WIDER, exhaust + 0.02 * WIDER);
            let from = Point::at(middle - half, low);
            let to = Point::at(middle + half, high);
            drawing.rect(from, to, Fill::None, Some(Pen::new(Role::Ink, Weight::Medium)));
            drawing.text(label(
                Point::at(middle, low + 0.3 * (high - low)),
                sheet.word("air"),
            ));
        } else {
            drawing.text(label(
                Point::at(0.75 * tile.max(exhaust), low + 0.3 * (high - low)),
                sheet.word("air"),
            ));
        }
        drawing.text(label(
            Point::at(centre, low + 0.45 * (high - low)),
            sheet.word("exhaust"),
        ));
    }
    let cap = 1.25 * widest;
    let roof = [
        Point::at(-cap, top),
        Point::at(cap, top),
        Point::at(0.7 * cap, top + 0.05 * top),
        Point::at(-0.7 * cap, top + 0.05 * top),
    ];
    drawing.polygon(roof, Fill::Hatched(Hatch::Metal, Role::Mortar), Some(thin));
    drawing.leader(
        Point::at(cap, top),
        Point::at(1.5 * cap, top).nudged(8.0, 6.0),
        sheet.word("cap"),
    );
    drawing.leader(
        Point::at(widest * 0.4, 0.0),
        Point::at(1.5 * cap, 0.0).nudged(8.0, 0.0),
        sheet.word("collar"),
    );
    if wet > 0.0 {
        let middle = top - wet / 2.0;
        let text = format!("{} {}", sheet.word("wet"), sheet.metres(wet));
        drawing.leader(
            Point::at(0.0, middle),
            Point::at(1.5 * cap, middle).nudged(8.0, 0.0),
            text,
        );
    }
    drawing.dimension(Dimension::new(
        Point::at(-cap, 0.0),
        Point::at(-cap, top),
        Side::Left,
        sheet.metres(top),
    ));
    let text = sheet.words.with("picture-flue-wider", &[("times", "6")]);
    drawing.text(
        Text::new(Point::at(0.0, 0.0).nudged(0.0, -14.0), TextClass::Note, text)
            .placed(Anchor::Middle, Sit::Top),
    );
    drawing.scale_bar(ScaleBar::Round {
        at: Point::at(-cap, 0.0).nudged(0.0, -34.0),
        unit: ScaleUnit::Metres,
    });
    Some(drawing)
}

fn label(at: Point, text: String) -> Text {
    Text::new(at, TextClass::Label, text)
        .placed(Anchor::Middle, Sit::Middle)
        .turned(90.0)
        .on_plate()
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
    let x = Axis::round(sheet.word("axis-temperature"), low.min(0.0), high, 8).ok()?;
    let y = Axis::round(sheet.word("axis-height"), 0.0, top, 6).ok()?;
    let mut plot = Plot::new(x, y, 1.5, sheet.word("flue-temperatures-alt"));
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
    let most = rows.iter().map(|(_, value, _)| value.abs()).fold(0.1, f64::max);
    let air_ratio = sheet.result.get("air_ratio").and_then(Json::as_f64)?;
    let ratio = wythe_drawing::plain_number(air_ratio, 0.01);
    let alt = sheet.words.with("picture-flue-budget-alt", &[("ratio", &ratio)]);
    let mut drawing = Drawing::new(Space::Abstract, alt);
    let mut level = 0.0;
    for (name, value, drives) in &rows {
        let width = 60.0 * value / most;
        let fill = if *drives {
            Fill::Solid(Role::Clay)
        } else {
            Fill::Hatched(Hatch::Metal, Role::Ink)
        };
        let (from, to) = (Point::at(0.0, level), Point::at(width, level - 2.6));
        drawing.rect(from, to, fill, Some(Pen::new(Role::Ink, Weight::Thin)));
        let middle = level - 1.3;
        drawing.text(
            Text::new(
                Point::at(width.min(0.0), middle).nudged(-6.0, 0.0),
                TextClass::Label,
                name.as_str(),
            )
            .placed(Anchor::End, Sit::Middle),
        );
        let figure = format!("{} Pa", wythe_drawing::plain_number(*value, 0.01));
        drawing.text(
            Text::new(
                Point::at(width.max(0.0), middle).nudged(6.0, 0.0),
                TextClass::Figure,
                figure,
            )
            .placed(Anchor::Start, Sit::Middle),
        );
        level -= 4.2;
    }
    drawing.line(
        [Point::at(0.0, 1.0), Point::at(0.0, level + 1.0)],
        Pen::new(Role::Ink, Weight::Medium),
    );
    let mut said = sheet.words.with("picture-flue-ratio", &[("ratio", &ratio)]);
    let share = |point: &str| {
        sheet
            .result
            .pointer(&format!("/band/air_ratio/{point}"))
            .and_then(number)
    };
    if let (Some(low), Some(high)) = (share("p5"), share("p95")) {
        let low = wythe_drawing::plain_number(low, 0.01);
        let high = wythe_drawing::plain_number(high, 0.01);
        said = format!(
            "{said} {}",
            sheet
                .words
                .with("picture-flue-band", &[("low", &low), ("high", &high)])
        );
    }
    let at = Point::at(0.0, 1.0).nudged(0.0, 10.0);
    drawing.text(Text::new(at, TextClass::Label, said).placed(Anchor::Middle, Sit::Bottom));
    Some(drawing)
}
