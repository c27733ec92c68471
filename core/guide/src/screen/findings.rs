//! What a reckoning finds, in the reader's language.
//!
//! A reckoning says what it finds in English, figures included, and kept figures hold that text for good.
//! The English message of a finding's code is that text with placeables for its figures: they are read
//! off the text and put into the other language's message.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::words::{Language, Part, Words};

static ENGLISH: LazyLock<Words> = LazyLock::new(|| Words::of(Language::En));

/// English words that stand among the figures, with the message that says them.
static AMONG_FIGURES: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| {
    let (ids, _) = Words::ids(Language::En);
    let words = ids.into_iter().filter(|id| id.starts_with("finding-word-"));
    words.map(|id| (ENGLISH.get(&id), id)).collect()
});

/// What is found, in the reader's language; in English where no message fits.
#[must_use]
pub fn finding_text(code: &str, message: &str, words: &Words) -> String {
    if words.language() == Language::En {
        return message.to_owned();
    }
    let told = read_finding(code, message).map(|(id, figures)| {
        let figures: Vec<(String, String)> = figures
            .into_iter()
            .map(|(name, text)| (name, in_language(&text, words)))
            .collect();
        let given: Vec<(&str, &str)> = figures
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect();
        words.with(&id, &given)
    });
    told.unwrap_or_else(|| message.to_owned())
}

/// Why figures cannot be worked out, in the reader's language.
#[must_use]
pub fn refusal_text(code: &str, message: &str, words: &Words) -> String {
    words
        .find(&format!("refusal-{code}"), &[("detail", message)])
        .unwrap_or_else(|| message.to_owned())
}

/// The message that says a finding, with the figures that stand in its English text.
#[must_use]
pub fn read_finding(code: &str, message: &str) -> Option<(String, Vec<(String, String)>)> {
    let first = format!("finding-{code}");
    let numbered = (2..).map(|number| format!("finding-{code}-{number}"));
    let ids = std::iter::once(first).chain(numbered);
    let mut texts = ids.map_while(|id| Some((ENGLISH.parts(&id)?, id)));
    texts.find_map(|(parts, id)| Some((id, read_off(&parts, message)?)))
}

/// What stands in a text at the placeables of a pattern; nothing where the text is not of that pattern.
fn read_off(parts: &[Part], text: &str) -> Option<Vec<(String, String)>> {
    let Some((first, rest)) = parts.split_first() else {
        return text.is_empty().then(Vec::new);
    };
    match first {
        Part::Text(literal) => read_off(rest, text.strip_prefix(literal.as_str())?),
        Part::Place(name) => {
            let ends = text.char_indices().map(|(at, _)| at).chain([text.len()]).skip(1);
            ends.into_iter().find_map(|end| {
                let (here, after) = text.split_at_checked(end)?;
                let mut read = read_off(rest, after)?;
                read.insert(0, (name.clone(), here.to_owned()));
                Some(read)
            })
        }
    }
}

/// A word among the figures in the reader's language, or figures with its decimal sign and no grouping.
fn in_language(text: &str, words: &Words) -> String {
    if let Some(id) = AMONG_FIGURES.get(text) {
        return words.get(id);
    }
    let letters: Vec<char> = text.chars().collect();
    let digit = |at: Option<usize>| {
        let letter = at.and_then(|at| letters.get(at));
        letter.is_some_and(char::is_ascii_digit)
    };
    let mut told = String::new();
    for (at, letter) in letters.iter().enumerate() {
        let between = digit(at.checked_sub(1)) && digit(Some(at + 1));
        match letter {
            '.' if between => told.push(','),
            ',' if between => {}
            other => told.push(*other),
        }
    }
    told
}
