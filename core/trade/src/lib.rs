//! The reckonings a hearth crew and its office need, each a pure function with a JSON form.
//!
//! Invariant: a reckoning advises and records; it never says "safe" or "approved", and names the
//! listing, the manual and the adopted code as what governs.
