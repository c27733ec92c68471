//! The entries of a job as a list: what a strike, an erasure or a lifted stop names.

use serde_json::{Value as Json, json};
use wythe_app::job::{Address, Fact, Job, fold, readable};
use wythe_app::store::Log;

use crate::phone::Phone;
use crate::trouble::Trouble;
use crate::typed::{answer, at_address};

/// Where a body has words that tell a reader which entry it is.
const TELLING: [&str; 8] = [
    "/measured/typed",
    "/original/name",
    "/label",
    "/text",
    "/reason",
    "/name",
    "/moment",
    "/to",
];

/// Lists a job's entries in the order of display, all or those about one address.
pub fn list(phone: &Phone, job: &str, about: Option<&str>, json: bool) -> Result<String, Trouble> {
    let job = phone.find_job(job)?;
    let about = about.map(at_address).transpose()?;
    let facts = phone.log().facts(job.into()).map_err(wythe_app::AppError::from)?;
    let folded = fold(&facts);
    let mut facts: Vec<&Fact> = facts
        .iter()
        .filter(|fact| is_about(fact, about.as_ref()))
        .collect();
    facts.sort_by_key(|fact| {
        (
            fact.envelope().stamp,
            fact.envelope().chain(),
            fact.envelope().number,
        )
    });
    let list: Vec<Json> = facts
        .iter()
        .map(|fact| json!({ "entry": readable(fact), "state": state(fact, &folded) }))
        .collect();
    let lines = facts.iter().map(|fact| line(fact, &folded));
    Ok(answer(json, &json!(list), &lines.collect::<String>()))
}

fn is_about(fact: &Fact, about: Option<&Address>) -> bool {
    about.is_none_or(|about| fact.body().is_some_and(|body| body.address() == Some(about)))
}

fn state(fact: &Fact, job: &Job) -> &'static str {
    if job.erased.contains_key(&fact.id()) {
        "erased"
    } else if fact.payload().is_none() {
        "left_out"
    } else if job.is_struck(fact.id()) {
        "struck_out"
    } else if job.is_replaced(fact.id()) {
        "replaced"
    } else {
        "holds"
    }
}

fn line(fact: &Fact, job: &Job) -> String {
    let entry = readable(fact);
    let at = |place: &str| entry.pointer(place).and_then(Json::as_str).unwrap_or_default();
    let person = fact.envelope().person;
    let known = job.people.iter().find(|entry| entry.body.person == person);
    let name = known.map_or_else(|| person.short(), |entry| entry.body.name.clone());
    let when: String = at("/at/local").chars().take(16).collect();
    let words = TELLING
        .iter()
        .find_map(|place| entry.pointer("/body")?.pointer(place)?.as_str());
    let words: String = words.unwrap_or_default().chars().take(60).collect();
    let parts = [
        fact.id().short(),
        when.replace('T', " "),
        name,
        fact.envelope().kind.clone(),
        at("/body/address").to_owned(),
        words.replace(['\n', '\r', '\t'], " "),
        match state(fact, job) {
            "holds" => String::new(),
            other => format!("[{}]", other.replace('_', " ")),
        },
    ];
    let told: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    told.join("  ") + "\n"
}
