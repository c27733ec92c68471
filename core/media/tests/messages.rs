//! Every reason of a grade has its words in every language, and what can be done about it its way out.

use std::collections::BTreeSet;

use wythe_guide::{Language, Words};
use wythe_media::grade::Reason;

/// What only notes: there is nothing to be done.
const NOTES: [&str; 5] = [
    "turn_unknown",
    "offset_missing",
    "offset_from_fix",
    "zone_fault",
    "place_of_phone",
];

#[test]
fn each_reason_has_its_words_and_its_way_out() {
    for language in Language::ALL {
        let words = Words::of(language);
        let (ids, _) = Words::ids(language);
        let told = ids.iter().filter_map(|id| id.strip_prefix("photo-reason-"));
        let told: BTreeSet<&str> = told.filter(|code| !code.ends_with(".way")).collect();
        assert_eq!(told, BTreeSet::from(Reason::CODES), "{language:?}");
        for code in Reason::CODES {
            let id = format!("photo-reason-{code}");
            assert!(!words.find(&id, &[]).unwrap().is_empty());
            let way = words.attribute(&id, "way");
            assert_eq!(way.is_none(), NOTES.contains(&code), "{language:?}: {code}");
            assert!(way.is_none_or(|way| way.ends_with('.')), "{language:?}: {code}");
        }
    }
}
