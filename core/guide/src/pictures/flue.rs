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
    /// How far its foot and its top stand aside of the collar.
    aside: (f64, f64),
    tile: Option<f64>,
    exhaust: f64,
    intake: Option<f64>,
    sizes: Sizes,
}

/// Sizes as they are written beside the names: the inside, which is what counts.
struct Sizes {
    tile: Vec<f64>,
    exhaust: f64,
    intake: Option<f64>,
}

fn parts(sheet: &Sheet<'_>) -> Option<Vec<Part>> {
    let (mut foot, mut aside) = (0.0, 0.0);
    let mut parts = Vec::new();
    for segment in sheet.input.get("segments").and_then(Json::as_array)? {
        let at = |pointer: &str| segment.pointer(pointer).and_then(length);
        let long = at("/length")?;
        let rise = at("/rise").unwrap_or(long);
        let inside = at("/exhaust/inside_diameter")?;
        let exhaust = at("/exhaust/outside_diameter").unwrap_or(inside + 0.002);
        let sides = ["/intake/tile/a", "/intake/tile/b", "/intake/tile/diameter"];
        let sides: Vec<f64> = sides.into_iter().filter_map(at).collect();
        let tile = sides.iter().copied().reduce(f64::max);
        // What a piece is longer than it rises, it goes aside.
        let shift = (long * long - rise * rise).max(0.0).sqrt();
        let intake_inside = at("/intake/inside_diameter");
        let intake = at("/intake/outside_diameter").or(intake_inside.map(|inside| inside + 0.002));
        parts.push(Part {
            foot,
            top: foot + rise,
            aside: (aside, aside + shift),
            tile: tile.map(|tile| tile / 2.0),
            exhaust: exhaust / 2.0,
            intake: intake.map(|intake| intake / 2.0),
            sizes: Sizes {
                tile: sides,
                exhaust: inside,
                intake: intake_inside,
            },
        });
        foot += rise;
        aside += shift;
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
    let over = parts.last()?.aside.1 * wider;
    let roof = [(-1.1, 1.0), (1.1, 1.0), (0.7, 1.05), (-0.7, 1.05)];
    let roof = roof.map(|(x, y)| Point::at(over + x * edge, y * top));
    let thin = Pen::new(Role::Ink, Weight::Thin);
    drawing.polygon(roof, Fill::Hatched(Hatch::Metal, Role::Mortar), Some(thin));
    labels.push((Point::at(over + 0.8 * edge, 1.02 * top), sheet.word("cap")));
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
        let aside = parts.last().map_or(0.0, |part| part.leaning(0.5) * wider);
        let at = Point::at(centre + aside, top - 0.5 * wet.min(top));
        labels.push((at, format!("{} {}", sheet.word("wet"), sheet.feet(wet))));
    }
    lead(&mut drawing, labels, over + 1.3 * edge, top);
    if over > 0.0 {
        let (from, to) = (Point::at(0.0, 1.05 * top), Point::at(over, 1.05 * top));
        let text = sheet.inches(over / wider);
        drawing.dimension(Dimension::new(from, to, Side::Left, text));
    }
    let (low, high) = (Point::at(-edge, 0.0), Point::at(-edge, top));
    let height = Dimension::new(low, high, Side::Left, sheet.feet(top)).clearing(-1.1 * edge);
    drawing.dimension(height);
    scale(sheet, &mut drawing, Point::at(-edge, foot - 0.1 * top), wider);
    Some(drawing)
}

fn exhaust_centre(part: &Part, wider: f64) -> f64 {
    part.intake.map_or(0.0, |intake| -(intake + 0.01) * wider)
}

impl Part {
    /// How far aside it stands at a share of its height.
    fn leaning(&self, share: f64) -> f64 {
        self.aside.0 + share * (self.aside.1 - self.aside.0)
    }
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
    let medium = Pen::new(Role::Ink, Weight::Medium);
    let (low, high) = (part.foot, part.top);
    let at = |x: f64, share: f64| Point::at(x + part.leaning(share) * wider, low + share * (high - low));
    // What stands between two lines along the piece, from a share of its height up.
    let strip =
        |left: f64, right: f64, from: f64| [at(left, from), at(right, from), at(right, 1.0), at(left, 1.0)];
    let mut named = Vec::new();
    let sized = |word: &str, sizes: &[f64]| {
        let sizes: Vec<String> = sizes.iter().map(|size| sheet.inches(*size)).collect();
        format!("{} {}", sheet.word(word), sizes.join(" × "))
    };
    if let Some(tile) = part.tile.map(|tile| tile * wider) {
        for side in [-1.0, 1.0] {
            let wall = strip(side * tile, side * 1.14 * tile, 0.0);
            drawing.polygon(wall, Fill::Hatched(Hatch::Masonry, Role::Mortar), Some(thin));
        }
        named.push((at(1.07 * tile, 0.78), sized("tile", &part.sizes.tile)));
    }
    let (exhaust, centre) = (part.exhaust * wider, exhaust_centre(part, wider));
    drawing.polygon(
        strip(centre - exhaust, centre + exhaust, 0.0),
        Fill::None,
        Some(medium),
    );
    let dry = (top - wet).clamp(low, high);
    if dry < high {
        let from = (dry - low) / (high - low);
        let wet = strip(centre - exhaust, centre + exhaust, from);
        drawing.polygon(wet, Fill::Hatched(Hatch::Wet, Role::Water), Some(thin));
    }
    flow(drawing, (at(centre, 0.1), at(centre, 0.3)), Role::Clay);
    named.push((at(centre, 0.45), sized("exhaust", &[part.sizes.exhaust])));
    let middle = if let Some(intake) = part.intake.map(|intake| intake * wider) {
        let middle = exhaust + 0.01 * wider;
        drawing.polygon(
            strip(middle - intake, middle + intake, 0.0),
            Fill::None,
            Some(medium),
        );
        middle
    } else {
        0.5 * (part.tile.unwrap_or(1.6 * part.exhaust) * wider + exhaust)
    };
    flow(drawing, (at(middle, 0.3), at(middle, 0.1)), Role::Water);
    let air = part.sizes.intake.as_slice();
    named.push((at(middle, 0.2), sized("air", air).trim_end().to_owned()));
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

/// Where the stove runs: its air ratio with its band between the least and the most that it takes.
pub(super) fn operating(sheet: &Sheet<'_>) -> Option<Drawing> {
    let given = |key: &str| sheet.input.pointer(&format!("/appliance/{key}")).and_then(number);
    let least = given("air_ratio_min").unwrap_or(LEAST_AIR);
    let most = given("air_ratio_max").or(given("air_ratio").map(|rated| MOST_OF_RATED * rated))?;
    let ratio = sheet.result.get("air_ratio").and_then(Json::as_f64)?;
    let point = |point: &str| sheet.found(&format!("/band/air_ratio/{point}"));
    let band = point("p5").zip(point("p95"));
    let end = 1.08 * band.map_or(ratio, |(_, high)| high.max(ratio)).max(most);
    let x = |air: f64| Point::at(100.0 * (air - 1.0) / (end - 1.0), 0.0);
    let plain = |air: f64| sheet.plain(air, 0.01);
    let ratio_said = plain(ratio);
    let draws = sheet.result.get("status").and_then(Json::as_str) != Some("insufficient_draft");
    let said = match band {
        None if !draws => sheet.word("condition-no-draft"),
        Some((low, high)) if !draws => {
            let (low, high) = (plain(low), plain(high));
            sheet
                .words
                .with("picture-flue-band", &[("low", &low), ("high", &high)])
        }
        Some((low, high)) => {
            let (low, high) = (plain(low), plain(high));
            let with = [("ratio", ratio_said.as_str()), ("low", &low), ("high", &high)];
            sheet.words.with("picture-flue-operating", &with)
        }
        None => sheet
            .words
            .with("picture-flue-operating-alone", &[("ratio", &ratio_said)]),
    };
    let mut drawing = Drawing::new(Space::Abstract, sheet.word("flue-operating-alt"));
    let thin = Pen::new(Role::Ink, Weight::Thin);
    for (from, to) in [(1.0, least), (most, end)] {
        drawing.rect(
            x(from),
            x(to).nudged(0.0, 22.0),
            Fill::Hatched(Hatch::Doubtful, Role::Ink),
            Some(thin),
        );
    }
    drawing.rect(
        x(least),
        x(most).nudged(0.0, 22.0),
        Fill::None,
        Some(Pen::new(Role::Ink, Weight::Medium)),
    );
    if let Some((low, high)) = band {
        let (from, to) = (x(low).nudged(0.0, 7.0), x(high).nudged(0.0, 15.0));
        drawing.rect(from, to, Fill::Solid(Role::Clay), Some(thin));
    }
    let middle = point("p50").filter(|_| band.is_some()).unwrap_or(ratio);
    drawing.line(
        [x(middle).nudged(0.0, -3.0), x(middle).nudged(0.0, 25.0)],
        Pen::new(Role::Ink, Weight::Thick),
    );
    let mut label = |at: Point, text: String, anchor, sit| {
        drawing.text(Text::new(at, TextClass::Label, text).placed(anchor, sit));
    };
    label(x(1.0).nudged(0.0, 30.0), said, Anchor::Start, Sit::Bottom);
    let limit = |word: &str, air: f64| {
        sheet
            .words
            .with(&format!("picture-flue-{word}"), &[("ratio", &plain(air))])
    };
    label(
        x(1.0).nudged(0.0, -5.0),
        limit("least", least),
        Anchor::Start,
        Sit::Top,
    );
    label(
        x(end).nudged(0.0, -5.0),
        limit("most", most),
        Anchor::End,
        Sit::Top,
    );
    Some(drawing)
}

/// The air ratio limits where the stove's papers give none: an assumption.
const LEAST_AIR: f64 = 1.4;
const MOST_OF_RATED: f64 = 1.5;

/// The air ratio in each condition, to one scale.
pub(super) fn conditions(sheet: &Sheet<'_>) -> Option<Drawing> {
    let runs = sheet.result.get("conditions").and_then(Json::as_array)?;
    let rows = runs.iter().map(|run| {
        let text = |key: &str| run.get(key).and_then(Json::as_str).unwrap_or_default();
        let part = |family: &str, key: &str| sheet.word(&format!("{family}-{}", text(key).replace('_', "-")));
        let mut name = format!("{}, {}", part("condition", "condition"), part("fire", "fire"));
        if text("wind") != "none" {
            name = format!("{name}, {}", part("wind", "wind"));
        }
        let ratio = run.get("air_ratio").and_then(Json::as_f64);
        let wet = run.get("wet_length").and_then(number).unwrap_or_default();
        let stopped = text("status") == "insufficient_draft";
        let mut said = ratio.map_or_else(
            || sheet.word("condition-unsettled"),
            |ratio| sheet.plain(ratio, 0.01),
        );
        if stopped {
            said = sheet.word("condition-no-draft");
        } else if wet > 0.005 {
            said = format!("{said} · {} {}", sheet.word("wet"), sheet.inches(wet));
        }
        Bar {
            name,
            value: ratio.filter(|_| !stopped).unwrap_or_default(),
            text: said,
            fill: if stopped {
                Fill::Hatched(Hatch::Doubtful, Role::Ink)
            } else {
                Fill::Solid(Role::Clay)
            },
        }
    });
    let rows: Vec<Bar> = rows.collect();
    let limit = |key: &str| {
        sheet
            .found(&format!("/{key}"))
            .map(|ratio| sheet.plain(ratio, 0.01))
    };
    let (least, most) = (limit("air_ratio_min")?, limit("air_ratio_max")?);
    let said = sheet
        .words
        .with("picture-flue-conditions", &[("least", &least), ("most", &most)]);
    let mut drawing = Drawing::new(Space::Abstract, sheet.word("flue-conditions-alt"));
    bars(&mut drawing, &rows, &said);
    Some(drawing)
}
