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

/// What a sentence asks for is a figure that its reason has.
#[test]
fn variables_are_figures_of_the_reason() {
    let has: [(&[&str], &[&str]); 9] = [
        (&["few_pixels"], &["width", "height"]),
        (&["bright", "too_bright"], &["percent"]),
        (&["edited"], &["by"]),
        (&["offset_from_fix", "zone_fault"], &["minutes"]),
        (
            &["time_ahead", "time_behind", "time_after_arrival", "fix_stale"],
            &["seconds"],
        ),
        (&["place_rough"], &["error_m"]),
        (&["far_from_site", "places_apart"], &["distance_m"]),
        (&["looks_the_same"], &["other_job"]),
        (&["soft", "dark"], &[]),
    ];
    for line in include_str!("../messages-draft.ftl")
        .lines()
        .filter(|line| !line.starts_with('#'))
    {
        let code = line
            .strip_prefix("photo-reason-")
            .and_then(|rest| rest.split_once(" ="))
            .map(|(code, _)| code);
        let wanted = line
            .split("{ $")
            .skip(1)
            .map(|rest| rest.split([' ', '}']).next().unwrap_or_default());
        for variable in wanted {
            let known = has.iter().any(|(codes, figures)| {
                code.is_some_and(|code| codes.contains(&code)) && figures.contains(&variable)
            });
            assert!(known, "{line}");
        }
    }
}
