//! Before and after: on what the order of a photo and an event rests, and what overrules what.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    reason = "a test that cannot go on stops, and reads the files it speaks of"
)]

mod support;

use ed25519_dalek::SigningKey;
use support::{Phone, Shot, Tag, ZONE, stand};
use wythe_guide::figures::Library;
use wythe_guide::readiness::{Basis, State};
use wythe_guide::{Elsewhere, Guide, Programme, Row, read_moment};
use wythe_job::{
    ArrivalRecord, BusinessId, Certificate, Chain, DeviceId, FactId, Facts, Keeper, OfficeArrivals,
    OfficeEpoch, Trust,
};

const BEFORE: &str = r#"{ kind = "photo", ask = "removal.before_with_tag", before = "disconnected" }"#;
const BEFORE_APPROVAL: &str = r#"{ kind = "photo", ask = "survey.stove_in_place", before = "approval" }"#;
const AFTER: &str = r#"{ kind = "photo", ask = "destruction.body_holed", after = "disconnected" }"#;
const TAGGED: &str = r#"{ kind = "photo", ask = "removal.before_with_tag", tag = true }"#;

fn programme(guide: &Guide, shows: &str) -> Programme {
    let text = format!(
        "id = \"order\"\nname = \"Order\"\nedition = \"one\"\ngrant = \"1.00\"\ncurrency = \"USD\"\nkeep_years = 3\n\n\
         [[require]]\nid = \"it\"\nwho = \"lead\"\neach = \"old_stove\"\nshows = {shows}\n"
    );
    Programme::load("order.toml", &text, guide).unwrap()
}

/// The office's signed word of when facts came to it, each by itself.
fn arrived(arrivals: &[(FactId, &str)]) -> OfficeArrivals {
    let (business, key) = (BusinessId([7; 16]), SigningKey::from_bytes(&[9; 32]));
    let office = Keeper {
        business,
        chain: Chain {
            device: DeviceId([90; 16]),
            epoch: 1,
        },
        key: SigningKey::from_bytes(&[90; 32]),
    };
    let begun = read_moment("2026-01-01T00:00-07:00").unwrap();
    let certified = office.key.verifying_key();
    let certificate = Certificate::issue(business, &key, office.chain, &certified, begun, "Office").unwrap();
    let mut trust = Trust::in_business(business, certificate.fingerprint());
    trust.add(certificate).unwrap();
    let mut known = OfficeArrivals::default();
    for (number, (fact, at)) in (1..).zip(arrivals) {
        let at = read_moment(at).unwrap();
        let record = ArrivalRecord::sign(&office, OfficeEpoch([3; 16]), number, at, &[*fact]).unwrap();
        known.take(&record, &[*fact], &trust).unwrap();
    }
    known
}

/// The row of the one thing that the programme wants.
fn row(guide: &Guide, facts: &Facts, shows: &str, arrivals: &[(FactId, &str)]) -> Row {
    let arrivals = arrived(arrivals);
    let elsewhere = Elsewhere {
        arrivals,
        ..Elsewhere::default()
    };
    let programme = programme(guide, shows);
    let stand = stand(
        guide,
        facts,
        &programme,
        &Library::new(),
        &elsewhere,
        "2026-04-30",
    );
    stand.row("it").clone()
}

fn taken(at: &str) -> Shot {
    Shot {
        taken: Some(at.to_owned()),
        ..Shot::good(1)
    }
}

/// Two phones of one job; the second has not met the first since the job was opened.
fn two(guide: &Guide) -> (Phone<'_>, Phone<'_>) {
    let mut one = Phone::new(guide, 1);
    one.open(ZONE);
    let mut two = Phone::new(guide, 2);
    two.meet(&one);
    (one, two)
}

const PHOTO: &str = "removal.before_with_tag@old_stove:1";
const PIPE: &str = "removal.disconnected@old_stove:1";

#[test]
fn on_one_phone_its_chain_and_its_time_carry_it() {
    let guide = Guide::embedded().unwrap();
    let (mut phone, _) = two(&guide);
    phone.at("2026-03-30T09:00-06:00");
    phone.photo(PHOTO, &taken("2026-03-30T08:58:00-06:00"), "");
    phone.at("2026-03-30T10:00-06:00");
    phone.answer(PIPE, "yes");
    let row = row(&guide, &phone.facts, BEFORE, &[]);
    assert_eq!(row.state, State::Met);
    // There is no office: it rests on the order of the chain and this phone's time.
    assert_eq!(row.rests_on, [Basis::Chain, Basis::Clock]);
}

#[test]
fn across_phones_it_rests_on_what_the_later_author_had_seen() {
    let guide = Guide::embedded().unwrap();
    let (mut one, mut two) = two(&guide);
    one.at("2026-03-30T09:00-06:00");
    one.photo(PHOTO, &taken("2026-03-30T08:58:00-06:00"), "");
    two.at("2026-03-30T10:00-06:00");
    two.meet(&one);
    two.answer(PIPE, "yes");
    let row = row(&guide, &two.facts, BEFORE, &[]);
    assert_eq!(
        (row.state, row.rests_on),
        (State::Met, vec![Basis::Seen, Basis::Clock])
    );
}

#[test]
fn phones_that_had_not_met_leave_the_clocks_alone() {
    let guide = Guide::embedded().unwrap();
    let (mut one, mut two) = two(&guide);
    one.at("2026-03-30T09:00-06:00");
    one.photo(PHOTO, &taken("2026-03-30T08:58:00-06:00"), "");
    two.at("2026-03-30T10:00-06:00");
    two.answer(PIPE, "yes");
    two.meet(&one);
    let row = row(&guide, &two.facts, BEFORE, &[]);
    assert_eq!((row.state, row.rests_on), (State::Met, vec![Basis::Clock]));
}

#[test]
fn what_the_office_had_by_then_stands_beside_the_clocks_and_over_them() {
    let guide = Guide::embedded().unwrap();
    let (mut one, mut two) = two(&guide);
    one.at("2026-03-30T09:00-06:00");
    let sound = one.photo(PHOTO, &taken("2026-03-30T08:58:00-06:00"), "");
    two.at("2026-03-30T10:00-06:00");
    let pipe = two.answer(PIPE, "yes");
    two.meet(&one);
    let there = row(&guide, &two.facts, BEFORE, &[(sound, "2026-03-30T09:30-06:00")]);
    assert_eq!(
        (there.state, there.rests_on),
        (State::Met, vec![Basis::Arrival, Basis::Clock])
    );
    // To arrive late says nothing, and neither does the event's own arrival.
    let late = [
        (sound, "2026-03-30T18:00-06:00"),
        (pipe, "2026-03-30T17:00-06:00"),
    ];
    assert_eq!(row(&guide, &two.facts, BEFORE, &late).rests_on, [Basis::Clock]);

    // A camera that is a day ahead: only the office can tell.
    let (mut one, mut two) = self::two(&guide);
    one.at("2026-03-30T09:00-06:00");
    let ahead = one.photo(PHOTO, &taken("2026-03-31T08:58:00-06:00"), "");
    two.at("2026-03-30T10:00-06:00");
    two.meet(&one);
    two.answer(PIPE, "yes");
    let alone = row(&guide, &two.facts, BEFORE, &[]);
    assert_eq!(
        (alone.state, alone.rests_on),
        (State::DoesNotCount, vec![Basis::Clock])
    );
    let held = row(&guide, &two.facts, BEFORE, &[(ahead, "2026-03-30T09:30-06:00")]);
    assert_eq!(
        (held.state, held.rests_on),
        (State::Met, vec![Basis::Seen, Basis::Arrival])
    );
}

#[test]
fn after_cutting_rests_on_the_same() {
    let guide = Guide::embedded().unwrap();
    let (mut one, mut two) = two(&guide);
    one.at("2026-03-30T10:00-06:00");
    let pipe = one.answer(PIPE, "yes");
    two.at("2026-04-02T10:00-06:00");
    two.photo(
        "destruction.body_holed@old_stove:1",
        &taken("2026-04-02T09:59:00-06:00"),
        "",
    );
    two.meet(&one);
    let clocks = row(&guide, &two.facts, AFTER, &[]);
    assert_eq!((clocks.state, clocks.rests_on), (State::Met, vec![Basis::Clock]));
    let office = row(&guide, &two.facts, AFTER, &[(pipe, "2026-03-30T20:00-06:00")]);
    assert_eq!(
        (office.state, office.rests_on),
        (State::Met, vec![Basis::Arrival, Basis::Clock])
    );
}

#[test]
fn before_the_approval_rests_on_the_date_on_its_paper() {
    let guide = Guide::embedded().unwrap();
    let (mut phone, _) = two(&guide);
    phone.at("2026-03-01T09:00-07:00");
    let photo = phone.photo(
        "survey.stove_in_place@old_stove:1",
        &taken("2026-03-01T08:58:00-07:00"),
        "",
    );
    phone.at("2026-03-20T10:00-06:00");
    phone.answer("plan.approval_date", "2026-03-12");
    let by_date = row(&guide, &phone.facts, BEFORE_APPROVAL, &[]);
    assert_eq!((by_date.state, by_date.rests_on), (State::Met, vec![Basis::Date]));
    let arrived = [(photo, "2026-03-11T23:00-06:00")];
    assert_eq!(
        row(&guide, &phone.facts, BEFORE_APPROVAL, &arrived).rests_on,
        [Basis::Arrival, Basis::Date]
    );
    // The day after, by the house's calendar, proves nothing.
    let arrived = [(photo, "2026-03-13T00:30-06:00")];
    assert_eq!(
        row(&guide, &phone.facts, BEFORE_APPROVAL, &arrived).rests_on,
        [Basis::Date]
    );
}

#[test]
fn a_photo_after_the_act_does_not_count_whatever_its_clock_says() {
    let guide = Guide::embedded().unwrap();
    let (mut phone, _) = two(&guide);
    phone.at("2026-03-30T10:00-06:00");
    phone.answer(PIPE, "yes");
    phone.at("2026-03-30T11:00-06:00");
    phone.photo(PHOTO, &taken("2026-03-30T08:00:00-06:00"), "");
    let row = row(&guide, &phone.facts, BEFORE, &[]);
    assert_eq!(
        (row.state, row.rests_on),
        (State::DoesNotCount, vec![Basis::Chain])
    );
}

#[test]
fn only_this_jobs_own_tag_counts_and_the_others_say_why() {
    let guide = Guide::embedded().unwrap();
    for (tag, why) in [
        (Tag::Own, None),
        (Tag::Other, Some("why-other-tag")),
        (Tag::MadeUp, Some("why-tag-not-genuine")),
        (Tag::None, Some("why-no-tag")),
    ] {
        let (mut phone, _) = two(&guide);
        let job = phone.job_tag();
        phone.photo(PHOTO, &Shot { tag, ..Shot::good(1) }, &job);
        let row = row(&guide, &phone.facts, TAGGED, &[]);
        assert_eq!(row.why.as_ref().map(|why| why.code.as_str()), why, "{tag:?}");
        assert_eq!(row.state == State::Met, why.is_none());
    }
}

#[test]
fn the_tag_is_asked_only_where_the_old_stove_is_in_frame() {
    let guide = Guide::embedded().unwrap();
    for ask in guide.asks.iter().filter(|ask| ask.tag) {
        let of_the_stove = matches!(ask.each.as_deref(), Some("old_stove" | "handover"));
        assert!(of_the_stove, "{}", ask.id);
    }
    // A programme that wants it elsewhere is told so.
    let text = r#"{ kind = "photo", ask = "setting.plate", tag = true }"#;
    let text = format!(
        "id = \"order\"\nname = \"Order\"\nedition = \"one\"\ngrant = \"1.00\"\ncurrency = \"USD\"\nkeep_years = 3\n\n\
         [[require]]\nid = \"it\"\nwho = \"lead\"\nshows = {text}\n"
    );
    let fault = Programme::load("order.toml", &text, &guide).unwrap_err();
    assert!(
        fault
            .to_string()
            .contains("setting.plate is not asked with the tag in the frame"),
        "{fault}"
    );
}
