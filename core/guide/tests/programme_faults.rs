//! Mistakes in data files, each refused with its file, its line, and what to write instead.
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

use wythe_guide::{Guide, LoadFault, Programme};

/// A small programme without a mistake.
const GOOD: &str = r#"id = "meadowbrook"
name = "Meadowbrook Warm House Fund"
edition = "rules of spring"
grant = "2500.00"
currency = "USD"
keep_years = 5

[[deadline]]
id = "certificate"
days = 30
from = "removal"
to = "certificate"

[[require]]
id = "before_photo"
who = "lead"
each = "old_stove"
shows = { kind = "photo", ask = "survey.stove_in_place", before = "disconnected", grade = "usable" }

[[require]]
id = "ticket_names_stove"
who = "recycler"
waits_since = "removal"
due = "certificate"
shows = { kind = "mentions", ask = "destruction.ticket_says", of = ["survey.stove_make"] }

[[require]]
id = "uncertified"
who = "lead"
words = { en = "Old", es = "Vieja", fr = "Ancien" }
shows = { kind = "answer", ask = "survey.stove_certified", must = { is = "uncertified" } }

[[require]]
id = "certificate_in_time"
who = "recycler"
stage = "destruction"
shows = { kind = "within", deadline = "certificate" }

[[require]]
id = "names_alike"
who = "office"
shows = { kind = "alike", asks = ["survey.owner_name", "claim.invoice_name"] }

[[require]]
id = "dates_in_order"
who = "office"
shows = { kind = "order", events = ["approval", "removal"] }

[[require]]
id = "owner_signature"
who = "owner"
shows = { kind = "signature", ask = "walk_through.owner_signature" }

[[require]]
id = "certificate"
who = "recycler"
shows = { kind = "paper", ask = "destruction.certificate", fields = ["destruction.recycler_name"] }

[[require]]
id = "insurance"
who = "office"
shows = { kind = "valid", ask = "claim.insurance_until", on = "installation" }

[[require]]
id = "grant"
who = "office"
shows = { kind = "grant", ask = "claim.invoice_discount" }

[[require]]
id = "liner"
who = "lead"
shows = { kind = "figures", figures = "lining.liner_fit" }

[[require]]
id = "hinges"
who = "lead"
shows = { kind = "photo", ask = "destruction.hinge_cut", as_many_as = "destruction.hinges" }

[[require]]
id = "household"
who = "office"
shows = { kind = "once", of = "household" }
"#;

/// What stands in the good file, what a clerk wrote instead, and what is told.
const MISTAKES: &[(&str, &str, &str)] = &[
    // The head.
    (
        r#"id = "meadowbrook""#,
        r#"id = "Meadow Brook""#,
        "small letters, digits and underscores",
    ),
    (
        r#"name = "Meadowbrook Warm House Fund""#,
        r#"name = " ""#,
        "write the programme's name",
    ),
    (
        r#"grant = "2500.00""#,
        r#"grant = "2,500.00 USD""#,
        "two decimals and nothing else, like \"2500.00\"",
    ),
    (r#"grant = "2500.00""#, "grant = 2500.00", "write a string"),
    (
        r#"currency = "USD""#,
        r#"currency = "dollars""#,
        "three-letter code, like \"USD\"",
    ),
    ("keep_years = 5", "keep_years = 0", "write 3, 5 or 7"),
    ("keep_years = 5", "", "the key `keep_years` is missing"),
    (
        "keep_years = 5",
        "keep_years = 5\nphone = \"555\"",
        "there is no key `phone`; the keys are",
    ),
    ("keep_years = 5", "keep_years = 5\nkeep_years = 7", "twice"),
    (
        r#"edition = "rules of spring""#,
        r#"edition = "rules of spring"#,
        "string",
    ),
    // Deadlines.
    ("days = 30\n", "", "days or weeks, one of both: write days = 30"),
    (
        "days = 30\n",
        "days = 30\nweeks = 4\n",
        "days or weeks, one of both",
    ),
    ("days = 30\n", "days = 0\n", "write a number from 1 to 3,650"),
    (
        r#"shows = { kind = "within", deadline = "certificate" }"#,
        r#"shows = { kind = "calibrated", days = 0 }"#,
        "a calibration is not good for 0 days; write a number from 1 to 3,650",
    ),
    (
        r#"shows = { kind = "within", deadline = "certificate" }"#,
        r#"shows = { kind = "calibrated", days = 365, lapse = "warning" }"#,
        "write one of `claim`, `caution`, `stop`",
    ),
    ("days = 30\n", "days = \"thirty\"\n", "write u16"),
    (
        r#"from = "removal""#,
        r#"from = "the_removal""#,
        "there is no event \"the_removal\"; write one of approval",
    ),
    (
        r#"to = "certificate""#,
        r#"until = "certificate""#,
        "there is no key `until`; the keys are",
    ),
    (
        "[[deadline]]",
        "[[deadlines]]",
        "there is no key `deadlines`; the keys are",
    ),
    // Requirements.
    (
        r#"who = "lead""#,
        r#"who = "boss""#,
        "there is no role \"boss\"; write one of lead",
    ),
    (
        r#"each = "old_stove""#,
        r#"each = "stove""#,
        "there is no group \"stove\"; write one of old_stove",
    ),
    (
        r#"kind = "photo", ask"#,
        r#"kind = "picture", ask"#,
        "`picture` is not one of the choices; write one of",
    ),
    (
        r#"{ kind = "photo", ask = "survey.stove_in_place", "#,
        r#"{ ask = "survey.stove_in_place", "#,
        "the key `kind` is missing",
    ),
    (
        "survey.stove_in_place",
        "survey.stove_inplace",
        "there is no ask \"survey.stove_inplace\"; look it up",
    ),
    (
        "survey.stove_in_place",
        "survey.stove_make",
        "does not ask for a photo; name another ask, or write kind = \"photo\"",
    ),
    (
        r#"before = "disconnected""#,
        r#"before = "cutting""#,
        "there is no event \"cutting\"; write one of",
    ),
    (
        r#"before = "disconnected""#,
        r#"earlier_than = "disconnected""#,
        "there is no key `earlier_than`",
    ),
    (
        r#"grade = "usable""#,
        r#"grade = "sharp""#,
        "\"sharp\" is no grade; write one of poor, weak, usable, good",
    ),
    (
        r#"waits_since = "removal""#,
        r#"waits_since = "recycling""#,
        "there is no event \"recycling\"; write one of",
    ),
    (
        r#"due = "certificate""#,
        r#"due = "papers""#,
        "there is no deadline \"papers\"; write one of certificate",
    ),
    (
        r#"of = ["survey.stove_make"]"#,
        "of = []",
        "say what the text has to name",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { is = "old" }"#,
        "\"old\" is not a choice of survey.stove_certified; write one of uncertified, certified, no_plate",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { ask = "survey.stove_certified" }"#,
        "say what survey.stove_certified has to be: write is, at_least",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { at_most = "3 ppm" }"#,
        "can be compared",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { is = "uncertified", present = true }"#,
        "in more than one way at once; split it into parts of all",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { ask = "start_up.co_after", at_most = "few" }"#,
        "\"few\" is not a number",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { ask = "setting.clearance_rear", at_least = "4" }"#,
        "unit",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { ask = "claim.permit_final", above = "1 April" }"#,
        "write it like 2026-03-31",
    ),
    (
        r#"must = { is = "uncertified" }"#,
        r#"must = { ask = "survey.rented", is = "maybe" }"#,
        "is answered yes or no",
    ),
    (r#", es = "Vieja""#, "", "missing in \"es\"; write words = {"),
    (
        r#"fr = "Ancien""#,
        r#"fr = "Ancien", de = "Alt""#,
        "there is no language \"de\"; write en, es and fr",
    ),
    (
        r#"stage = "destruction""#,
        r#"stage = "recycling""#,
        "there is no stage \"recycling\"; write one of survey",
    ),
    (
        r#"deadline = "certificate" }"#,
        r#"deadline = "claim" }"#,
        "there is no deadline \"claim\"; write one of certificate",
    ),
    (
        r#"asks = ["survey.owner_name", "claim.invoice_name"]"#,
        r#"asks = ["survey.owner_name"]"#,
        "name the other one too",
    ),
    (
        r#"events = ["approval", "removal"]"#,
        r#"events = ["approval"]"#,
        "name the other one too",
    ),
    (
        r#"ask = "walk_through.owner_signature""#,
        r#"ask = "survey.owner_name""#,
        "does not ask for a signature",
    ),
    (
        r#"ask = "destruction.certificate""#,
        r#"ask = "destruction.certificate_date""#,
        "does not ask for a paper",
    ),
    (
        r#"fields = ["destruction.recycler_name"]"#,
        r#"fields = ["destruction.ticket"]"#,
        "what can be read off a paper",
    ),
    (
        r#"ask = "claim.insurance_until""#,
        r#"ask = "claim.tax_form""#,
        "does not ask for a date",
    ),
    (
        r#"on = "installation""#,
        r#"on = "today""#,
        "there is no event \"today\"; write one of",
    ),
    (
        r#"ask = "claim.invoice_discount""#,
        r#"ask = "claim.invoice_serial""#,
        "does not ask for money",
    ),
    (
        r#"figures = "lining.liner_fit""#,
        r#"figures = "lining.fit""#,
        "there are no figures \"lining.fit\"; write one of plan.derate",
    ),
    (
        r#"as_many_as = "destruction.hinges""#,
        r#"as_many_as = "destruction.where""#,
        "does not ask for how many",
    ),
    (
        r#"of = "household""#,
        r#"of = "house""#,
        "`house` is not one of the choices; write",
    ),
    (
        r#"id = "household""#,
        r#"id = "grant""#,
        "grant: this requirement stands twice; rename one of them",
    ),
    (
        r#"id = "household""#,
        r#"id = "House-hold""#,
        "small letters, digits and underscores, like \"before_photo\"",
    ),
    (
        r#"shows = { kind = "once", of = "household" }"#,
        "",
        "the key `shows` is missing",
    ),
];

fn guide() -> Guide {
    Guide::embedded().unwrap()
}

#[test]
fn the_file_without_a_mistake_is_taken() {
    let programme = Programme::load("meadowbrook.toml", GOOD, &guide()).unwrap();
    assert_eq!(programme.requirements.len(), 13);
}

#[test]
fn each_mistake_is_told_with_its_line_and_what_to_write() {
    let guide = guide();
    assert!(MISTAKES.len() >= 50);
    for (good, bad, told) in MISTAKES {
        assert!(GOOD.contains(good), "{good}");
        let text = GOOD.replacen(good, bad, 1);
        let fault = Programme::load("meadowbrook.toml", &text, &guide)
            .map(|_| ())
            .expect_err(bad);
        println!("{fault}");
        assert_eq!(fault.file, "meadowbrook.toml");
        assert!(fault.message.contains(told), "{bad}: {}", fault.message);
        assert!(!fault.message.contains('\n'), "one line: {}", fault.message);
        let at = GOOD.find(good).unwrap();
        assert!(
            covers(&text, &fault, at),
            "{bad}: told at line {}, stands at {}",
            fault.line,
            line_of(&text, at)
        );
    }
}

/// Whether the told line is the one of the mistake, or begins the entry that holds it.
fn covers(text: &str, fault: &LoadFault, at: usize) -> bool {
    // What is missing altogether stands nowhere: the head is named by its first line.
    if fault.message.contains("is missing") && fault.line == 1 {
        return true;
    }
    let wrong = line_of(text, at);
    let entry_of = |line: usize| {
        let lines = text.lines().take(line);
        lines.filter(|text| text.starts_with("[[")).count()
    };
    let near = fault.line.abs_diff(wrong) <= 1;
    near || (fault.line > 0 && entry_of(fault.line) == entry_of(wrong) && entry_of(wrong) > 0)
}

fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count()
}
