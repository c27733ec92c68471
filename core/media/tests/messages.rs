//! Every reason has a sentence in the draft of messages, and the draft has no sentence too many.

use std::collections::BTreeSet;

use wythe_media::grade::Reason;

#[test]
fn each_reason_has_its_sentence() {
    let drafted: BTreeSet<_> = include_str!("../messages-draft.ftl")
        .lines()
        .filter_map(|line| {
            line.strip_prefix("photo-reason-")?
                .split_once(" =")
                .map(|(code, _)| code)
        })
        .collect();
    assert_eq!(BTreeSet::from(Reason::CODES), drafted);
}
