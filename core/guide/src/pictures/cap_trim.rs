use serde_json::Value as Json;
use wythe_drawing::{
    Anchor, Dash, Dimension, Drawing, Fill, Hatch, Pen, Point, Role, ScaleBar, ScaleUnit, Side, Sit, Space,
    Text, TextClass, Weight,
};

use super::{Sheet, length};

/// The plate as delivered with what is cut off on each side, the tile's opening, the bends and the
/// liner's hole: in metres, so that it can be printed at full size.
pub(super) fn trim(sheet: &Sheet<'_>) -> Option<Drawing> {
    let (plate_a, plate_b) = (sheet.given("/plate_a")?, sheet.given("/plate_b")?);
    let cut = |side: &str| sheet.found(&format!("/trim/{side}")).map(|trim| trim.max(0.0));
    let (a_low, a_high, b_low, b_high) = (cut("a_low")?, cut("a_high")?, cut("b_low")?, cut("b_high")?);
    let (opening_a, opening_b) = (sheet.found("/opening_a")?, sheet.found("/opening_b")?);
    let hole = |key: &str, whole: f64| sheet.given(key).unwrap_or(whole / 2.0);
    let (hole_a, hole_b) = (hole("/hole_centre_a", plate_a), hole("/hole_centre_b", plate_b));
    let a = sheet
        .input
        .get("tile_a")
        .and_then(Json::as_array)
        .into_iter()
        .flatten()
        .filter_map(length);
    let b = sheet
        .input
        .get("tile_b")
        .and_then(Json::as_array)
        .into_iter()
        .flatten()
        .filter_map(length);
    let (tile_a, tile_b) = (a.fold(0.0, f64::max), b.fold(0.0, f64::max));
    let liner = |key: &str, tile: f64| sheet.given(key).unwrap_or(tile / 2.0);
    let gap = (opening_a - tile_a).max(0.0) / 2.0;
    // The plate's hole lies over the liner: the tile's low face is the liner's distance before it.
    let low_a = hole_a - liner("/liner_centre_a", tile_a) - gap;
    let low_b = hole_b - liner("/liner_centre_b", tile_b) - (opening_b - tile_b).max(0.0) / 2.0;

    let alt = sheet.words.with(
        "picture-trim-alt",
        &[
            ("a_low", &sheet.inches(a_low)),
            ("a_high", &sheet.inches(a_high)),
            ("b_low", &sheet.inches(b_low)),
            ("b_high", &sheet.inches(b_high)),
        ],
    );
    let mut drawing = Drawing::new(Space::Metres, alt);
    let thin = Pen::new(Role::Ink, Weight::Thin);
    let off = Fill::Hatched(Hatch::Doubtful, Role::Mortar);
    let at = Point::at;
    drawing.rect(at(0.0, 0.0), at(plate_a, plate_b), Fill::None, Some(thin));
    let (left, right, foot, head) = (a_low, plate_a - a_high, b_low, plate_b - b_high);
    for (from, to) in [
        (at(0.0, 0.0), at(left, plate_b)),
        (at(right, 0.0), at(plate_a, plate_b)),
        (at(left, 0.0), at(right, foot)),
        (at(left, head), at(right, plate_b)),
    ] {
        if (to.x - from.x) > 1e-6 && (to.y - from.y) > 1e-6 {
            drawing.rect(from, to, off, None);
        }
    }
    drawing.rect(
        at(left, foot),
        at(right, head),
        Fill::None,
        Some(Pen::new(Role::Ink, Weight::Thick)),
    );
    let bend = Pen {
        dash: Dash::Dashed,
        ..Pen::new(Role::Clay, Weight::Medium)
    };
    drawing.rect(
        at(low_a, low_b),
        at(low_a + opening_a, low_b + opening_b),
        Fill::None,
        Some(bend),
    );
    let cross = 0.012;
    drawing.line([at(hole_a - cross, hole_b), at(hole_a + cross, hole_b)], thin);
    drawing.line([at(hole_a, hole_b - cross), at(hole_a, hole_b + cross)], thin);
    for (id, x, y) in [
        ("liner-hole", hole_a, hole_b + 1.6 * cross),
        ("bend", hole_a, low_b + opening_b - 1.5 * cross),
    ] {
        drawing.text(
            Text::new(at(x, y), TextClass::Note, sheet.word(id))
                .placed(Anchor::Middle, Sit::Bottom)
                .on_plate(),
        );
    }
    let dimension =
        |from, to, side, metres: f64, row| Dimension::new(from, to, side, sheet.inches(metres)).in_row(row);
    for (from, to, side, metres, row) in [
        (at(0.0, 0.0), at(left, 0.0), Side::Below, a_low, 1),
        (at(left, 0.0), at(right, 0.0), Side::Below, right - left, 2),
        (at(right, 0.0), at(plate_a, 0.0), Side::Below, a_high, 1),
        (at(0.0, 0.0), at(0.0, foot), Side::Left, b_low, 2),
        (at(0.0, foot), at(0.0, head), Side::Left, head - foot, 1),
        (at(0.0, head), at(0.0, plate_b), Side::Left, b_high, 2),
        (
            at(low_a, plate_b),
            at(low_a + opening_a, plate_b),
            Side::Above,
            opening_a,
            1,
        ),
        (at(0.0, plate_b), at(plate_a, plate_b), Side::Above, plate_a, 2),
        (
            at(plate_a, low_b),
            at(plate_a, low_b + opening_b),
            Side::Right,
            opening_b,
            1,
        ),
        (at(plate_a, 0.0), at(plate_a, plate_b), Side::Right, plate_b, 2),
    ] {
        if metres > 1e-6 {
            drawing.dimension(dimension(from, to, side, metres, row));
        }
    }
    if a_low + a_high + b_low + b_high > 1e-6 {
        let at = at(0.0, 0.0).nudged(0.0, -44.0);
        drawing.text(Text::new(at, TextClass::Note, sheet.word("cut-off")).placed(Anchor::Start, Sit::Top));
    }
    drawing.scale_bar(ScaleBar::Round {
        at: at(0.0, 0.0).nudged(0.0, -62.0),
        unit: ScaleUnit::Inches,
    });
    Some(drawing)
}
