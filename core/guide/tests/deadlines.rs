//! Due dates on the calendar of the house: across the change of the clocks and on both sides of the date
//! line, whatever the phones' clocks show.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a test that cannot go on stops, and reads the files it speaks of"
)]

mod support;

use support::{Phone, Shot, Stand, stand};
use wythe_guide::figures::Library;
use wythe_guide::{Elsewhere, Guide, Programme};

fn programme(guide: &Guide, deadline: &str, shows: &str) -> Programme {
    let text = format!(
        r#"id = "calendar"
name = "Calendar"
edition = "one"
grant = "1.00"
currency = "USD"
keep_years = 3

[[deadline]]
id = "day"
{deadline}

[[require]]
id = "it"
who = "lead"
waits_since = "disconnected"
shows = {shows}
"#
    );
    Programme::load("calendar.toml", &text, guide).unwrap()
}

fn look(guide: &Guide, phone: &Phone<'_>, programme: &Programme, today: &str) -> Stand {
    let nowhere = Elsewhere::default();
    stand(guide, &phone.facts, programme, &Library::new(), &nowhere, today)
}

/// The pipe is touched at a moment at a house in a zone: 30 days from then.
fn due(zone: &str, moment: &str, deadline: &str) -> String {
    let guide = Guide::embedded().unwrap();
    let programme = programme(&guide, deadline, r#"{ kind = "within", deadline = "day" }"#);
    let mut phone = Phone::new(&guide, 1);
    phone.open(zone);
    phone.at(moment);
    phone.answer("removal.disconnected@old_stove:1", "yes");
    let found = look(&guide, &phone, &programme, "2026-01-01");
    found.due[0].1.unwrap().to_string()
}

const FROM_PIPE: &str = "days = 30\nfrom = \"disconnected\"\nto = \"certificate\"";

#[test]
fn days_are_counted_on_the_calendar_of_the_house() {
    // The rules of the IANA database for these zones. 30 days on, day zero not counted.
    for (zone, moment, last_day) in [
        // An hour is lost on March 8 and found on November 1; a calendar day stays a day.
        ("America/Denver", "2026-03-01T23:30-07:00", "2026-03-31"),
        ("America/Denver", "2026-10-15T00:10-06:00", "2026-11-14"),
        // Late evening in the mountains is the next day in Greenwich: the house's day counts.
        ("America/Denver", "2026-03-24T05:30+00:00", "2026-04-22"),
        // The phone's clock stands in another zone; the moment is the same.
        ("America/Denver", "2026-03-24T14:30+09:00", "2026-04-22"),
        // The same moment on both sides of the date line.
        ("Pacific/Kiritimati", "2026-05-01T10:30+00:00", "2026-06-01"),
        ("Pacific/Pago_Pago", "2026-05-01T10:30+00:00", "2026-05-30"),
        // A year with February 29, and the turn of a year.
        ("America/Denver", "2028-02-10T12:00-07:00", "2028-03-11"),
        ("America/Denver", "2026-12-15T12:00-07:00", "2027-01-14"),
    ] {
        assert_eq!(due(zone, moment, FROM_PIPE), last_day, "{zone} {moment}");
    }
}

#[test]
fn four_weeks_are_twenty_eight_days() {
    let weeks = FROM_PIPE.replace("days = 30", "weeks = 4");
    assert_eq!(
        due("America/Denver", "2026-03-02T12:00-07:00", &weeks),
        "2026-03-30"
    );
}

#[test]
fn the_due_day_itself_still_counts() {
    let guide = Guide::embedded().unwrap();
    let programme = programme(&guide, FROM_PIPE, r#"{ kind = "within", deadline = "day" }"#);
    for (on, state, why) in [
        ("2026-04-23", "Met", None),
        ("2026-04-24", "DoesNotCount", Some("why-late")),
    ] {
        let mut phone = Phone::new(&guide, 1);
        phone.open("America/Denver");
        phone.at("2026-03-24T09:00-06:00");
        phone.answer("removal.disconnected@old_stove:1", "yes");
        phone.answer("destruction.certificate_date", on);
        let found = look(&guide, &phone, &programme, "2026-06-01");
        let row = found.row("it");
        assert_eq!(format!("{:?}", row.state), state, "{on}");
        assert_eq!(row.why.as_ref().map(|why| why.code.as_str()), why, "{on}");
    }
}

#[test]
fn what_is_waited_for_is_overdue_from_the_day_after() {
    let guide = Guide::embedded().unwrap();
    let programme = programme(&guide, FROM_PIPE, r#"{ kind = "within", deadline = "day" }"#);
    let mut phone = Phone::new(&guide, 1);
    phone.open("America/Denver");
    phone.at("2026-03-24T09:00-06:00");
    phone.answer("removal.disconnected@old_stove:1", "yes");
    for (today, state, why) in [
        ("2026-03-24", "Waiting", Some("why-event-not-yet")),
        ("2026-04-23", "Waiting", Some("why-event-not-yet")),
        ("2026-04-24", "Missing", Some("why-overdue")),
    ] {
        let found = look(&guide, &phone, &programme, today);
        let row = found.row("it");
        assert_eq!(format!("{:?}", row.state), state, "{today}");
        assert_eq!(row.why.as_ref().map(|why| why.code.as_str()), why, "{today}");
    }
}

#[test]
fn what_presses_first_is_what_is_due_first() {
    let guide = Guide::embedded().unwrap();
    let text = include_str!("../../../fixtures/programmes/larkspur.toml");
    let programme = Programme::load("larkspur.toml", text, &guide).unwrap();
    let mut phone = Phone::new(&guide, 1);
    phone.open("America/Denver");
    phone.at("2026-03-24T09:00-06:00");
    phone.answer("removal.removed_on", "2026-03-24");
    let found = look(&guide, &phone, &programme, "2026-03-25");
    let due: Vec<bool> = found
        .missing
        .iter()
        .map(|id| found.rows.iter().any(|row| row.id == *id && row.due.is_some()))
        .collect();
    let with_day = due.iter().filter(|due| **due).count();
    assert!(with_day > 6, "{:?}", found.missing);
    assert!(due[..with_day].iter().all(|due| *due), "{:?}", found.missing);
}

#[test]
fn a_photo_of_the_same_evening_is_of_the_houses_day() {
    let guide = Guide::embedded().unwrap();
    let shows = r#"{ kind = "photo", ask = "survey.stove_in_place", before = "approval" }"#;
    let programme = programme(&guide, FROM_PIPE, shows);
    // 23:30 on March 6 in the mountains is March 7 in Greenwich. The approval is of March 6.
    for (taken, state) in [
        ("2026-03-06T23:30:00-07:00", "Met"),
        ("2026-03-07T06:30:00+00:00", "Met"),
        ("2026-03-07T00:30:00-07:00", "DoesNotCount"),
    ] {
        let mut phone = Phone::new(&guide, 1);
        phone.open("America/Denver");
        phone.at("2026-03-09T09:00-07:00");
        phone.answer("plan.approval_date", "2026-03-06");
        let shot = Shot {
            taken: Some(taken.to_owned()),
            ..Shot::good(1)
        };
        phone.photo("survey.stove_in_place@old_stove:1", &shot, "");
        let found = look(&guide, &phone, &programme, "2026-03-10");
        assert_eq!(format!("{:?}", found.row("it").state), state, "{taken}");
    }
}
