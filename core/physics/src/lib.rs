//! The physics of a sealed gas stove on a balanced flue: air, combustion, gas properties, derate
//! rules and the direct-vent flue.
//!
//! Invariant: pure functions of their arguments, the same bits on every platform (all transcendental
//! functions come from `libm`).
