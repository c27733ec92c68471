//! Every item of the laws on electronic signatures has its place in the words, in every language.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::collections::BTreeSet;

use wythe_guide::{AskKind, CONSENT_ITEMS, ConsentOf, Guide, Language, Words, consent};

const ITEMS: &str = include_str!("../../../fixtures/consent/items.toml");

fn items() -> Vec<toml::Table> {
    let file: toml::Table = ITEMS.parse().unwrap();
    let items = file["item"].as_array().unwrap();
    items
        .iter()
        .map(|item| item.as_table().unwrap().clone())
        .collect()
}

fn text<'t>(item: &'t toml::Table, key: &str) -> Option<&'t str> {
    item.get(key).map(|value| value.as_str().unwrap())
}

#[test]
fn each_item_of_the_laws_stands_in_the_words_of_every_role_and_language() {
    let guide = Guide::embedded().unwrap();
    let given = [
        ("business", "Ninefold Hearth"),
        ("programme", "Larkspur Basin Clean Hearth Grant"),
        ("house", "12 Nowhere Lane"),
    ];
    let roles = guide.asks.iter().filter_map(|ask| match &ask.kind {
        AskKind::Signature(role) => Some(role.as_str()),
        _ => None,
    });
    let roles: BTreeSet<&str> = roles.collect();
    assert!(roles.contains("owner") && roles.contains("renter"), "{roles:?}");
    for language in Language::ALL {
        let words = Words::of(language);
        for role in &roles {
            let shown = consent(
                &words,
                ConsentOf {
                    role,
                    business: given[0].1,
                    programme: given[1].1,
                    house: given[2].1,
                },
            );
            for item in items() {
                let Some(message) = text(&item, "message") else {
                    continue;
                };
                let sentence = words.with(message, &given);
                assert!(
                    sentence.len() > 10 && shown.contains(&sentence),
                    "{language:?} {role}: {message}"
                );
            }
        }
    }
}

#[test]
fn each_item_says_its_law_and_where_it_is_met() {
    let mut messages: BTreeSet<String> = BTreeSet::new();
    for item in items() {
        assert!(text(&item, "says").unwrap().ends_with('.'));
        let law = text(&item, "law").unwrap();
        assert!(
            law.starts_with("15 U.S.C. 700") || law.starts_with("(EU) No 910/2014 Art. "),
            "{law}"
        );
        let met = ["message", "member", "does", "not_claimed"].map(|key| text(&item, key).is_some());
        assert_eq!(met.iter().filter(|met| **met).count(), 1, "{law}");
        messages.extend(text(&item, "message").map(str::to_owned));
        if let Some(member) = text(&item, "member") {
            let kinds = include_str!("../../../fixtures/formats/kinds.md").lines();
            let signed = kinds
                .clone()
                .find(|line| line.starts_with("| `signed` |"))
                .unwrap();
            let named = signed.split(|c: char| !c.is_ascii_alphanumeric() && c != '_');
            assert!(
                named.clone().any(|word| word == member),
                "a signature has no member {member}"
            );
        }
    }
    // What we say beyond the laws: that no lawyer looked at it.
    let ours: BTreeSet<String> = CONSENT_ITEMS.iter().map(|item| (*item).to_owned()).collect();
    let beyond: Vec<&String> = ours.difference(&messages).collect();
    assert_eq!(beyond, ["consent-item-lawyer"]);
    assert!(messages.is_subset(&ours));
}
