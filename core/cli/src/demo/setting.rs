//! Opens the stores of a scenario and finds its programme.

use std::fs;
use std::path::Path;

use wythe_app::guide::Language;
use wythe_app::{App, NewDevice};

use super::scenario::{Scenario, Store};
use crate::phone::Phone;
use crate::platform::{SetClock, open_set};
use crate::trouble::Trouble;

/// Programmes that the program carries, by their id.
const PROGRAMMES: &[(&str, &str)] = &[
    (
        "larkspur",
        include_str!("../../../../fixtures/programmes/larkspur.toml"),
    ),
    (
        "saltmarsh",
        include_str!("../../../../fixtures/programmes/saltmarsh.toml"),
    ),
    (
        "thornfield",
        include_str!("../../../../fixtures/programmes/thornfield.toml"),
    ),
];

pub fn open_store(
    scenario: &Scenario,
    store: &Store,
    out: &Path,
    clock: &SetClock,
    number: usize,
) -> Result<Phone, Trouble> {
    let number = u64::try_from(number).unwrap_or_default();
    let seed = scenario.head.seed.wrapping_mul(1_000).wrapping_add(number);
    let clock = clock.off_by(store.clock_ahead_s.saturating_mul(1_000));
    let mut phone: App<_> = open_set(&out.join("stores").join(&store.id), clock, seed)?;
    let language = Language::from_tag(&store.language)
        .ok_or_else(|| Trouble::Usage(format!("there is no language {}", store.language)))?;
    phone.set_language(language)?;
    Ok(phone)
}

pub fn device(store: &Store) -> NewDevice {
    NewDevice {
        person_name: store.person.clone(),
        role: store.role.clone(),
        device_name: store.id.clone(),
    }
}

pub fn set_licence(phone: &mut Phone, store: &Store) -> Result<(), Trouble> {
    let (person, name) = phone.person()?;
    let content = serde_json::json!({
        "name": name, "role": store.role, "licence": store.licence, "licence_until": store.licence_until,
    });
    phone.keep_in_library("person", &person.to_string(), &content.to_string())?;
    Ok(())
}

pub fn programme(named: &str, beside: Option<&Path>) -> Result<(String, String), Trouble> {
    if let Some((id, text)) = PROGRAMMES.iter().find(|(id, _)| *id == named) {
        return Ok((format!("{id}.toml"), (*text).to_owned()));
    }
    let path = beside.unwrap_or_else(|| Path::new(".")).join(named);
    let text = fs::read_to_string(&path).map_err(|why| Trouble::file(path.display().to_string(), &why))?;
    Ok((
        path.file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned(),
        text,
    ))
}

pub fn programme_id(text: &str, phone: &Phone) -> Result<String, Trouble> {
    let digest = wythe_app::job::digest_of(text.as_bytes());
    let programmes = phone.programmes()?;
    let programme = programmes.get(&digest);
    programme
        .map(|programme| programme.id.clone())
        .ok_or_else(|| Trouble::Usage("the programme was not kept".to_owned()))
}
