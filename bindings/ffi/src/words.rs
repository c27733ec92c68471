//! The words that shells write around the screens.

use std::collections::HashMap;

use wythe_app::guide::Language;
use wythe_app::{phone_sentence, phone_words};

fn language(tag: &str) -> Language {
    Language::from_tag(tag).unwrap_or_default()
}

/// The languages there are, by their tags.
#[uniffi::export]
#[must_use]
pub fn languages() -> Vec<String> {
    let all = Language::ALL.into_iter();
    all.map(|language| language.tag().to_owned()).collect()
}

/// The words that a shell writes around the screens, by their ids; in English for a language that there
/// is not.
#[uniffi::export]
#[must_use]
pub fn words(tag: &str) -> HashMap<String, String> {
    phone_words(language(tag))
}

/// A sentence with its values in their order: `sentence("en", "phone-of", ["2", "9"])`.
#[uniffi::export]
#[must_use]
pub fn sentence(tag: &str, id: &str, values: Vec<String>) -> String {
    phone_sentence(language(tag), id, &values)
}
