//! Tables that are part of the program, as text files with their source in the head.

use serde::de::DeserializeOwned;

/// The table in a text.
///
/// # Panics
/// When the text is not that table; it is part of the program, and each table has a test that reads it.
#[expect(
    clippy::expect_used,
    reason = "the text is compiled in, and each table has a test that reads it"
)]
pub(crate) fn table<T: DeserializeOwned>(text: &str) -> T {
    toml::from_str(text).expect("a table of the program is readable")
}
