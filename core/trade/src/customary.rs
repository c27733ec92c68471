//! The customary figures that the trade's formulas are written in, as SI factors.

/// One British thermal unit (International Table) in joules.
pub const BTU: f64 = 1_055.055_852_62;
/// A million British thermal units in joules.
pub const MMBTU: f64 = 1e6 * BTU;
/// One foot in metres.
pub const FOOT: f64 = 0.3048;
/// One inch in metres.
pub const INCH: f64 = 0.0254;
/// One cubic foot in cubic metres.
pub const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
/// One cubic foot an hour in cubic metres a second.
pub const CFH: f64 = CUBIC_FOOT / 3600.0;
/// One inch of water column in pascals.
pub const INCH_WATER: f64 = 249.088_91;
/// One pound a square inch in pascals.
pub const PSI: f64 = 6_894.757_293_168;
/// One pound in kilograms.
pub const POUND: f64 = 0.453_592_37;
/// One short ton (2,000 lb) in kilograms.
pub const SHORT_TON: f64 = 2000.0 * POUND;
/// One US gallon in cubic metres.
pub const GALLON: f64 = 3.785_411_784e-3;
/// One British thermal unit an hour in watts.
pub const BTU_PER_HOUR: f64 = BTU / 3600.0;
/// Standard atmospheric pressure in pascals.
pub const ATMOSPHERE: f64 = 101_325.0;
/// 0 degC in kelvins.
pub const ICE_POINT: f64 = 273.15;
