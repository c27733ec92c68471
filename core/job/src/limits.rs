//! Every limit of the format, by name. `fixtures/formats` states the same numbers.

/// The most bytes that one fact may have, envelope and payload together.
pub const MAX_FACT_BYTES: usize = 256 * 1024;
/// The most bytes of a certificate.
pub const MAX_CERTIFICATE_BYTES: usize = 1024;
/// The most facts that one arrival record speaks of.
pub const MAX_ARRIVING: u32 = 1_000;
/// How deep arrays and maps may lie within each other.
pub const MAX_DEPTH: usize = 16;
/// The largest whole number: every JSON reader keeps it exactly.
pub const MAX_WHOLE: u64 = (1 << 53) - 1;
/// The first moment past all that may be written: 9999-01-01T00:00:00Z.
pub const END_OF_TIME_MS: i64 = 253_370_764_800_000;
/// How far a clock's offset may be from UTC, in minutes.
pub const MAX_OFFSET_MIN: i16 = 18 * 60;
/// The most other chains that an envelope names as seen.
pub const MAX_SEEN: usize = 1_000;
/// The most facts that an envelope names as replaced.
pub const MAX_REPLACES: usize = 1_000;
/// The longest name of a kind.
pub const MAX_KIND_BYTES: usize = 40;
/// The longest code: a choice, a role, a dimension, a step of an address.
pub const MAX_CODE_BYTES: usize = 80;
/// The deepest instance path.
pub const MAX_PATH: usize = 8;
/// The highest number of an instance.
pub const MAX_INSTANCE: u32 = 9_999;
/// The longest name or label.
pub const MAX_NAME_BYTES: usize = 200;
/// The longest reason, typed entry, weather, line of an address.
pub const MAX_LINE_BYTES: usize = 2_000;
/// The longest text: a note, a text answer, the words signed.
pub const MAX_TEXT_BYTES: usize = 20_000;
/// The longest document carried within a fact: a reckoning's input or result, a library's content.
pub const MAX_DOCUMENT_BYTES: usize = 120_000;
/// The most members of a short list: people, instruments, tags, lines.
pub const MAX_FEW: usize = 100;
/// The most members of a long list: values, facts covered, taps.
pub const MAX_MANY: usize = 1_000;
/// The most points of a signature, all strokes together.
pub const MAX_STROKE_POINTS: usize = 8_000;
/// The largest original.
pub const MAX_ORIGINAL_BYTES: u64 = 1 << 30;
/// The most pixels of a picture's side.
pub const MAX_SIDE: u32 = 100_000;
