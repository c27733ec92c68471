//! Constants of nature and of convention, SI.

/// Standard acceleration of gravity, m/s2.
pub const GRAVITY: f64 = 9.80665;
/// Molar gas constant, J/(mol K) (2019 SI, exact to the digits given).
pub const GAS_CONSTANT: f64 = 8.314462618;
/// Stefan-Boltzmann constant, W/(m2 K4) (2019 SI).
pub const STEFAN_BOLTZMANN: f64 = 5.670374419e-8;
/// Reference temperature of enthalpies and heats of combustion, K.
pub const REFERENCE_TEMPERATURE: f64 = 298.15;
/// Zero of the Celsius scale, K.
pub const ICE_POINT: f64 = 273.15;
/// Standard sea-level pressure, Pa.
pub const STANDARD_PRESSURE: f64 = 101_325.0;
/// One foot, m.
pub const FOOT: f64 = 0.3048;
