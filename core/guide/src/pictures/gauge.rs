use serde_json::Value as Json;
use wythe_drawing::{Axis, Dash, Drawing, Marker, Pen, Plot, Role, Weight};
use wythe_units::{Dimension, read, read_entry};

use super::Sheet;

/// Pascals in a pound per square inch (NIST SP 811).
const PSI: f64 = 6_894.757_293_168;

/// The gauge over the time of a pressure test: as read, and as it would have stood had the
/// temperature of the gas and the barometer not changed.
pub(super) fn test(sheet: &Sheet<'_>) -> Option<Drawing> {
    let given = |at: &str, dimension: Dimension| match sheet.input.pointer(at)? {
        Json::String(text) => read(dimension, text).ok().map(|reading| reading.si),
        Json::Object(parts) => {
            let unit = parts.get("unit").and_then(Json::as_str)?;
            let figure = parts.get("value").and_then(Json::as_f64)?;
            read_entry(dimension, figure, unit).ok().map(|reading| reading.si)
        }
        _ => None,
    };
    let start = given("/start/pressure", Dimension::Pressure)? / PSI;
    let minutes = given("/duration", Dimension::Time)? / 60.0;
    let raw = start + sheet.found("/raw_change")? / PSI;
    let steady = start + sheet.found("/compensated_change")? / PSI;
    let (low, high) = (raw.min(steady).min(start), raw.max(steady).max(start));
    let margin = (0.5 * (high - low)).max(0.01 * high.abs()).max(0.01);
    let x = Axis::round(sheet.word("axis-minutes"), 0.0, minutes, 6).ok()?;
    let y = Axis::round(sheet.word("axis-psi"), low - margin, high + margin, 5).ok()?;
    let mut plot = Plot::new(x, y, 1.8, sheet.word("pressure-test-alt"));
    let dashed = Pen {
        dash: Dash::Dashed,
        ..Pen::new(Role::Ink, Weight::Medium)
    };
    plot.curve(&[(0.0, start), (minutes, raw)], dashed, &sheet.word("gauge-read"));
    let solid = Pen::new(Role::Clay, Weight::Thick);
    plot.curve(
        &[(0.0, start), (minutes, steady)],
        solid,
        &sheet.word("gauge-compensated"),
    );
    plot.point(minutes, raw, Marker::Dot, Role::Ink, "");
    Some(plot.finish())
}
