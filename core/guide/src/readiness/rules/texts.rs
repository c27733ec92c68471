//! Texts and money that have to agree between papers.

use std::collections::BTreeSet;

use wythe_job::Value;

use crate::entry::show_value;

use super::super::Why;
use super::{Found, Judge};

/// The shortest name that is looked for inside of other words.
const SHORTEST_INSIDE: usize = 3;

impl Judge<'_, '_> {
    /// Whether some text of each ask is the same. Of several owners one may have signed the papers.
    pub(super) fn alike(&self, asks: &[String], code: &str, plain: &dyn Fn(&str) -> String) -> Found {
        let mut evidence = Vec::new();
        let mut shown: Vec<String> = Vec::new();
        let mut common: Option<BTreeSet<String>> = None;
        for id in asks {
            let answers = self.answers(id);
            if answers.is_empty() {
                let why = Why::new("why-fields-missing", &[("fields", format!("#ask-{id}"))]);
                return Found::missing(Some(why)).with_evidence(evidence);
            }
            let mut texts = BTreeSet::new();
            for (text, fact) in answers {
                evidence.push(fact);
                texts.insert(plain(&text));
                shown.push(text);
            }
            common = Some(match common {
                None => texts,
                Some(common) => common.intersection(&texts).cloned().collect(),
            });
        }
        if common.is_some_and(|common| !common.is_empty()) {
            return Found::met(evidence);
        }
        let different: Vec<String> = shown.iter().map(|text| format!("“{text}”")).collect();
        Found::does_not_count(Why::new(code, &[("texts", different.join(" · "))]), evidence)
    }

    /// The texts of an ask here, with their facts.
    fn answers(&self, id: &str) -> Vec<(String, wythe_job::FactId)> {
        let Some(ask) = self.known.guide.ask(id) else {
            return Vec::new();
        };
        let addresses = self.known.addresses(ask, self.path);
        let answers = addresses.iter().filter_map(|address| self.known.answer(address));
        answers
            .map(|answer| {
                (
                    show_value(answer.value, wythe_units::DecimalSign::Point),
                    answer.fact,
                )
            })
            .collect()
    }

    pub(super) fn mentions(&self, ask: &str, of: &[String], not_only: &[String]) -> Found {
        let Some(answer) = self.known.answer_in(ask, self.path) else {
            return Found::missing(None);
        };
        let said = show_value(answer.value, wythe_units::DecimalSign::Point);
        let text = squeeze(&said);
        if not_only.iter().any(|word| squeeze(word) == text) {
            return Found::does_not_count(Why::new("why-too-general", &[("text", said)]), vec![answer.fact]);
        }
        let words: BTreeSet<String> = said
            .split(|c: char| !c.is_alphanumeric())
            .map(str::to_lowercase)
            .collect();
        let mut evidence = vec![answer.fact];
        for other in of {
            if let Some(named) = self.known.answer_in(other, self.path) {
                evidence.push(named.fact);
                let named = squeeze(&show_value(named.value, wythe_units::DecimalSign::Point));
                let long = named.chars().count() >= SHORTEST_INSIDE;
                if (long && text.contains(&named)) || (!named.is_empty() && words.contains(&named)) {
                    return Found::met(evidence);
                }
            }
        }
        Found::does_not_count(Why::new("why-not-named", &[("text", said)]), evidence)
    }

    pub(super) fn grant(&self, ask: &str) -> Found {
        let Some(answer) = self.known.answer_in(ask, self.path) else {
            return Found::missing(None);
        };
        match answer.value {
            Value::Money { amount, currency }
                if *amount == self.programme.grant && *currency == self.programme.currency =>
            {
                Found::met(vec![answer.fact])
            }
            other => {
                let value = show_value(other, wythe_units::DecimalSign::Point);
                let grant = format!("{} {}", self.programme.grant, self.programme.currency);
                let why = Why::new("why-not-the-grant", &[("value", value), ("grant", grant)]);
                Found::does_not_count(why, vec![answer.fact])
            }
        }
    }
}

/// A text without spaces, hyphens and case.
pub(super) fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// A name or address as a clerk compares it: case, accents, punctuation, the order of given name and surname
/// behind a comma, "and" or "&", a middle initial, and the usual short forms of street words do not matter.
/// A house number and a compass letter of a street do. Common practice, no source.
pub(in crate::readiness) fn clerk(text: &str) -> String {
    const SHORT: [(&str, &str); 16] = [
        ("street", "st"),
        ("avenue", "ave"),
        ("road", "rd"),
        ("drive", "dr"),
        ("lane", "ln"),
        ("court", "ct"),
        ("place", "pl"),
        ("boulevard", "blvd"),
        ("highway", "hwy"),
        ("north", "n"),
        ("south", "s"),
        ("east", "e"),
        ("west", "w"),
        ("apartment", "apt"),
        ("unit", "apt"),
        ("and", "&"),
    ];
    // Only an address has figures.
    let is_name = !text.chars().any(|c| c.is_ascii_digit());
    let text = text.replace('&', " and ").replace('#', " apt ");
    let mut words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(|word| {
            word.to_lowercase()
                .chars()
                .map(without_accent)
                .collect::<String>()
        })
        .map(|word| {
            SHORT
                .iter()
                .find(|(long, _)| *long == word)
                .map_or(word.clone(), |(_, short)| (*short).to_owned())
        })
        .collect();
    let whole = words.iter().filter(|word| word.chars().count() > 1).count();
    if is_name && whole >= 2 {
        words.retain(|word| word.chars().count() > 1 || word == "&");
    }
    words.sort();
    words.join(" ")
}

/// The plain letter under an accent, for the languages of the messages.
fn without_accent(letter: char) -> char {
    match letter {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => 'a',
        'ç' => 'c',
        'è' | 'é' | 'ê' | 'ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' => 'i',
        'ñ' => 'n',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' => 'o',
        'ù' | 'ú' | 'û' | 'ü' => 'u',
        'ý' | 'ÿ' => 'y',
        other => other,
    }
}
