//! The papers of a claim with their fields, and what is held against what: each check is broken in turn.
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

use support::{Phone, Stand, ZONE, stand};
use wythe_guide::figures::Library;
use wythe_guide::readiness::{State, clerk};
use wythe_guide::{Elsewhere, Guide, Programme};

/// The rules about papers of the programme that the demonstration plays.
const RULES: &str = include_str!("../../../fixtures/programmes/larkspur.toml");

const PAPERS: [&str; 6] = [
    "destruction.certificate",
    "destruction.ticket",
    "plan.permit_paper",
    "claim.permit_final_paper",
    "claim.invoice",
    "claim.application",
];

/// What is read off the papers and the plates, so that all of it agrees.
const ANSWERS: [(&str, &str); 30] = [
    ("survey.owner_name@owner:1", "Tansy Featherstep"),
    ("survey.household_address", "12 Nowhere Lane, Larkspur Basin"),
    ("survey.stove_make@old_stove:1", "Emberwick"),
    ("survey.stove_model@old_stove:1", "Porcupine 2"),
    ("plan.approval_date", "2026-03-09"),
    ("plan.sale_date", "2026-03-11"),
    ("plan.permit_number", "M-26-118"),
    ("plan.crate_serial", "NF 004471"),
    ("setting.serial", "NF-004471"),
    ("removal.removed_on", "2026-03-24"),
    ("start_up.installed_on", "2026-03-25"),
    ("destruction.weight@old_stove:1", "412 lb"),
    ("destruction.ticket_number", "20931"),
    ("destruction.ticket_date", "2026-03-30"),
    ("destruction.ticket_says", "1 wood stove, Emberwick, 412 lb"),
    ("destruction.recycler_name", "Rustfold Metals"),
    ("destruction.recycler_address", "3 Anvil Road"),
    ("destruction.certificate_date", "2026-04-02"),
    (
        "destruction.certificate_says",
        "wood stove Emberwick Porcupine 2, destroyed, not resold",
    ),
    ("destruction.certificate_not_resold", "yes"),
    ("destruction.certificate_signer", "Otis Slagworth"),
    ("claim.permit_final", "2026-04-01"),
    ("claim.invoice_date", "2026-04-03"),
    ("claim.invoice_name", "Featherstep, Tansy M."),
    ("claim.invoice_address", "12 Nowhere Ln., Larkspur Basin"),
    ("claim.invoice_serial", "NF004471"),
    ("claim.invoice_discount", "3500.00 USD"),
    ("claim.applicant_name", "TANSY FEATHERSTEP"),
    ("claim.application_address", "12 nowhere lane larkspur basin"),
    ("plan.approval_number", "LB-0417"),
];

/// Rows that are about papers, all met by what stands above.
const ROWS: [&str; 15] = [
    "certificate",
    "weight_ticket",
    "permit",
    "permit_final",
    "invoice",
    "application",
    "ticket_names_stove",
    "certificate_names_stove",
    "recycled_after_removal",
    "weight",
    "not_resold",
    "serial_same",
    "grant_on_invoice",
    "names_alike",
    "addresses_alike",
];

/// The papers in order but for one answer, or without one paper or answer.
fn with(change: Option<(&str, Option<&str>)>) -> Stand {
    let guide = Guide::embedded().unwrap();
    let programme = Programme::load("larkspur.toml", RULES, &guide).unwrap();
    let mut phone = Phone::new(&guide, 1);
    phone.open(ZONE);
    phone.at("2026-04-04T09:00-06:00");
    let changed = |at: &str| change.filter(|(ask, _)| *ask == at);
    for paper in PAPERS.iter().filter(|paper| changed(paper).is_none()) {
        phone.paper(paper);
    }
    for (at, typed) in ANSWERS {
        match changed(at) {
            None => phone.answer(at, typed),
            Some((_, Some(other))) => phone.answer(at, other),
            Some((_, None)) => continue,
        };
    }
    let nowhere = Elsewhere::default();
    stand(
        &guide,
        &phone.facts,
        &programme,
        &Library::new(),
        &nowhere,
        "2026-04-05",
    )
}

#[test]
fn papers_that_agree_are_in_order() {
    let stand = with(None);
    for row in ROWS {
        assert_eq!(
            stand.row(row).state,
            State::Met,
            "{row}: {:?}",
            stand.row(row).why
        );
    }
}

#[test]
fn each_check_of_the_papers_can_be_broken() {
    let broken: [(&str, Option<&str>, &str, State, &str); 24] = [
        ("destruction.certificate", None, "certificate", State::Waiting, ""),
        (
            "destruction.recycler_name",
            None,
            "certificate",
            State::Waiting,
            "why-fields-missing",
        ),
        (
            "destruction.certificate_signer",
            None,
            "certificate",
            State::Waiting,
            "why-fields-missing",
        ),
        ("destruction.ticket", None, "weight_ticket", State::Waiting, ""),
        (
            "destruction.ticket_number",
            None,
            "weight_ticket",
            State::Waiting,
            "why-fields-missing",
        ),
        ("plan.permit_paper", None, "permit", State::Missing, ""),
        (
            "plan.permit_number",
            None,
            "permit",
            State::Missing,
            "why-fields-missing",
        ),
        (
            "claim.permit_final",
            None,
            "permit_final",
            State::Waiting,
            "why-fields-missing",
        ),
        ("claim.invoice", None, "invoice", State::Missing, ""),
        (
            "claim.invoice_date",
            None,
            "invoice",
            State::Missing,
            "why-fields-missing",
        ),
        ("claim.application", None, "application", State::Missing, ""),
        (
            "claim.applicant_name",
            None,
            "application",
            State::Missing,
            "why-fields-missing",
        ),
        (
            "destruction.ticket_says",
            Some("steel"),
            "ticket_names_stove",
            State::DoesNotCount,
            "why-too-general",
        ),
        (
            "destruction.ticket_says",
            Some("a boiler"),
            "ticket_names_stove",
            State::DoesNotCount,
            "why-not-named",
        ),
        (
            "destruction.certificate_says",
            Some("scrap steel"),
            "certificate_names_stove",
            State::DoesNotCount,
            "why-too-general",
        ),
        (
            "destruction.ticket_date",
            Some("2026-03-20"),
            "recycled_after_removal",
            State::DoesNotCount,
            "why-order",
        ),
        (
            "destruction.certificate_date",
            Some("2026-03-29"),
            "recycled_after_removal",
            State::DoesNotCount,
            "why-order",
        ),
        (
            "destruction.weight@old_stove:1",
            Some("60 lb"),
            "weight",
            State::Doubtful,
            "",
        ),
        (
            "destruction.certificate_not_resold",
            Some("no"),
            "not_resold",
            State::DoesNotCount,
            "why-answer",
        ),
        (
            "setting.serial",
            Some("NF-004477"),
            "serial_same",
            State::DoesNotCount,
            "why-not-the-same",
        ),
        (
            "claim.invoice_serial",
            Some("NF 04471"),
            "serial_same",
            State::DoesNotCount,
            "why-not-the-same",
        ),
        (
            "claim.invoice_discount",
            Some("3000.00 USD"),
            "grant_on_invoice",
            State::DoesNotCount,
            "why-not-the-grant",
        ),
        (
            "claim.invoice_name",
            Some("Tansy Feathers"),
            "names_alike",
            State::DoesNotCount,
            "why-not-alike",
        ),
        (
            "claim.invoice_address",
            Some("21 Nowhere Lane, Larkspur Basin"),
            "addresses_alike",
            State::DoesNotCount,
            "why-not-alike",
        ),
    ];
    for (ask, typed, row, state, why) in broken {
        let stand = with(Some((ask, typed)));
        let found = stand.row(row);
        let code = found.why.as_ref().map_or("", |why| why.code.as_str());
        assert_eq!((found.state, code), (state, why), "{row} with {ask} = {typed:?}");
    }
}

fn alike(one: &str, other: &str) -> bool {
    clerk(one) == clerk(other)
}

#[test]
fn a_clerk_takes_the_same_name_for_the_same_and_no_other() {
    for (one, other) in [
        ("Tansy Featherstep", "FEATHERSTEP, TANSY"),
        ("Tansy Featherstep", "Tansy M. Featherstep"),
        ("José Núñez", "Jose Nunez"),
        ("Tansy and Otis Featherstep", "Otis & Tansy Featherstep"),
        ("12 Nowhere Lane", "12 nowhere ln."),
        ("12 North Nowhere Street, Apartment 4", "12 N. Nowhere St #4"),
    ] {
        assert!(alike(one, other), "{one} and {other}");
    }
    for (one, other) in [
        ("Tansy Featherstep", "Otis Featherstep"),
        ("Tansy Featherstep", "Tansy Featherstep-Wren"),
        ("12 Nowhere Lane", "21 Nowhere Lane"),
        ("12 N Nowhere Lane", "12 S Nowhere Lane"),
        ("12 Nowhere Lane", "12 Nowhere Court"),
        ("12 Nowhere Lane, Apt 4", "12 Nowhere Lane, Apt 5"),
        ("J. M.", "J. K."),
    ] {
        assert!(!alike(one, other), "{one} and {other}");
    }
}
