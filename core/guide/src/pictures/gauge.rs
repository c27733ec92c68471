use wythe_drawing::{Dash, Drawing, Marker, Pen, Plot, Role, Weight};
use wythe_units::Dimension;

use super::Sheet;

/// Pascals in a pound per square inch (NIST SP 811).
const PSI: f64 = 6_894.757_293_168;

/// The gauge over the time of a pressure test: as read, and as it would have stood had the
/// temperature of the gas and the barometer not changed.
pub(super) fn test(sheet: &Sheet<'_>) -> Option<Drawing> {
    let start = sheet.measured("/start/pressure", Dimension::Pressure)? / PSI;
    let minutes = sheet.measured("/duration", Dimension::Time)? / 60.0;
    let raw = start + sheet.found("/raw_change")? / PSI;
    let steady = start + sheet.found("/compensated_change")? / PSI;
    let (low, high) = (raw.min(steady).min(start), raw.max(steady).max(start));
    let margin = (0.5 * (high - low)).max(0.01 * high.abs()).max(0.01);
    let x = sheet.axis("axis-minutes", 0.0, minutes, 6)?;
    let y = sheet.axis("axis-psi", low - margin, high + margin, 5)?;
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
