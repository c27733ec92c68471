//! What was done in a job, in plain notes: no facts, no folding.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::Shot;
use super::deeds::Deed;

/// What was done, in plain notes. A place is the number of a deed in the list.
#[derive(Debug, Default)]
pub struct Book {
    /// Every answer of an address, in order: place, moment, what was typed.
    pub answers: BTreeMap<String, Vec<(usize, i64, String)>>,
    pub photos: Vec<(usize, i64, String, Shot)>,
    pub papers: BTreeSet<String>,
    pub signatures: Vec<(usize, String, &'static str)>,
    pub kept: Vec<(usize, &'static str)>,
    pub sent: Option<String>,
    /// Instruments: the moment of the arrival, the day of the calibration.
    pub instruments: Vec<(i64, String)>,
    /// What a second phone says that nobody has seen yet.
    pub others: BTreeMap<String, String>,
    pub same_house: bool,
    /// A file of this job that another one uses too.
    pub photo_elsewhere: Option<u64>,
    pub today: String,
}

pub fn utc(text: &str) -> i64 {
    let at = chrono::DateTime::parse_from_rfc3339(text)
        .or_else(|_| chrono::DateTime::parse_from_str(text, "%Y-%m-%dT%H:%M%:z"));
    at.unwrap().timestamp_millis()
}

/// The calendar date in the mountains: an hour less in winter than from March to November.
pub fn site_date(utc_ms: i64) -> NaiveDate {
    let at = chrono::DateTime::from_timestamp_millis(utc_ms).unwrap();
    let summer = utc("2026-03-08T09:00:00+00:00")..utc("2026-11-01T08:00:00+00:00");
    let hours = if summer.contains(&utc_ms) { 6 } else { 7 };
    (at.naive_utc() - chrono::TimeDelta::hours(hours)).date()
}

pub fn date(text: &str) -> NaiveDate {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").unwrap()
}

impl Book {
    pub fn of(deeds: &[Deed], today: &str) -> Self {
        let mut book = Self {
            today: today.to_owned(),
            ..Self::default()
        };
        // The opening comes first and takes a second, as each deed does.
        let mut now = utc("2026-03-01T08:00-07:00") + 1_000;
        for (place, deed) in deeds.iter().enumerate() {
            if let Deed::At(moment) = deed {
                now = utc(moment);
                continue;
            }
            now += 1_000;
            match deed {
                Deed::At(_) => {}
                Deed::Answer(address, typed) => {
                    let history = book.answers.entry(address.clone()).or_default();
                    history.push((place, now, typed.clone()));
                }
                Deed::Photo(address, shot) => book.photos.push((place, now, address.clone(), shot.clone())),
                Deed::Paper(address) => {
                    book.papers.insert(address.clone());
                }
                Deed::Sign(address, act) => book.signatures.push((place, address.clone(), act)),
                Deed::Keep(figures) => book.kept.push((place, figures)),
                Deed::Arrive(_, calibrated) => book.instruments.push((now, (*calibrated).to_owned())),
                Deed::Claim(_, on) => book.sent = Some((*on).to_owned()),
            }
        }
        book
    }

    /// What holds at an address: one thing, or two that disagree.
    pub fn heads(&self, address: &str) -> Vec<&str> {
        let own = self.answers.get(address).and_then(|all| all.last());
        let own = own.map(|(_, _, typed)| typed.as_str());
        let other = self.others.get(address).map(String::as_str);
        own.into_iter()
            .chain(other.filter(|other| Some(*other) != own))
            .collect()
    }

    /// What is used at an address, when nobody disagrees.
    pub fn value(&self, address: &str) -> Option<&str> {
        match self.heads(address).as_slice() {
            [one] => Some(one),
            _ => None,
        }
    }

    pub fn has(&self, address: &str, wanted: &str) -> bool {
        self.heads(address)
            .iter()
            .any(|head| plain(head) == plain(wanted))
    }

    pub fn number(&self, address: &str) -> Option<f64> {
        self.value(address).map(figure)
    }

    pub fn numbers(&self, group: &str) -> BTreeSet<u32> {
        let mut numbers = BTreeSet::from([1]);
        let mark = format!("@{group}:");
        let addresses = self.answers.keys().map(String::as_str);
        let addresses = addresses.chain(self.photos.iter().map(|(_, _, address, _)| address.as_str()));
        let addresses = addresses.chain(self.papers.iter().map(String::as_str));
        let addresses = addresses.chain(self.signatures.iter().map(|(_, address, _)| address.as_str()));
        numbers.extend(addresses.filter_map(|address| address.split_once(&mark)?.1.parse::<u32>().ok()));
        numbers
    }

    /// The addresses of an ask: of this one, or of all.
    pub fn addresses(&self, ask: &str, scope: &Scope) -> Vec<String> {
        let group = group_of(ask);
        match (group, scope) {
            (None, _) => vec![ask.to_owned()],
            (Some(group), Some((of, number))) if group == of => vec![format!("{ask}@{group}:{number}")],
            (Some(group), _) => {
                let numbers = self.numbers(group).into_iter();
                numbers.map(|number| format!("{ask}@{group}:{number}")).collect()
            }
        }
    }

    pub fn first(&self, ask: &str, scope: &Scope) -> Option<&str> {
        let addresses = self.addresses(ask, scope);
        addresses.iter().find_map(|address| self.value(address))
    }

    pub fn is_there(&self, ask: &str, scope: &Scope) -> bool {
        let addresses = self.addresses(ask, scope);
        addresses.iter().any(|address| {
            self.answers.contains_key(address)
                || self.others.contains_key(address)
                || self.papers.contains(address)
                || self.photos.iter().any(|photo| photo.2 == *address)
                || self
                    .signatures
                    .iter()
                    .any(|(_, at, act)| at == address && *act != "declined")
        })
    }
}

pub type Scope = Option<(String, u32)>;

/// What is asked for each of several, of what the programmes speak of.
fn group_of(ask: &str) -> Option<&'static str> {
    const STOVE: [&str; 13] = [
        "survey.stove_",
        "removal.body_temperature",
        "removal.live_coals",
        "removal.before_with_tag",
        "removal.no_before_reason",
        "removal.disconnected",
        "destruction.asbestos_clear",
        "destruction.door_off",
        "destruction.hinge",
        "destruction.body_holed",
        "destruction.plate_defaced",
        "destruction.firebrick_out",
        "destruction.weight",
    ];
    if STOVE.iter().any(|start| ask.starts_with(start)) {
        return Some("old_stove");
    }
    let owner = ["survey.owner_name", "walk_through.owner_signature"];
    owner.contains(&ask).then_some("owner")
}

pub fn figure(typed: &str) -> f64 {
    let number = typed.split_whitespace().next().unwrap().replace(',', "");
    let mut sum: f64 = number.parse().unwrap();
    if let Some((top, bottom)) = typed
        .split_whitespace()
        .nth(1)
        .and_then(|part| part.split_once('/'))
    {
        sum += top.parse::<f64>().unwrap() / bottom.parse::<f64>().unwrap();
    }
    sum
}

pub fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace(' ', "_")
}

pub fn squeeze(text: &str) -> String {
    text.to_lowercase()
        .chars()
        .filter(|c| c.is_alphanumeric())
        .collect()
}

/// As a clerk reads it: no case, no punctuation, no order, lane and ln alike.
pub fn clerk(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let words = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty());
    let mut words: Vec<String> = words.map(|word| word.replace("lane", "ln")).collect();
    words.sort();
    words
}

/// A liner of 4 1/8 in wants half an inch all round.
pub fn liner_is_too_wide(book: &Book) -> bool {
    let least = [
        "survey.tile_inside_a@tile_section:1",
        "survey.tile_inside_a@tile_section:2",
    ]
    .into_iter()
    .filter_map(|address| book.number(address))
    .fold(f64::INFINITY, f64::min);
    let liner = book.number("plan.exhaust_outside").unwrap_or(4.125);
    (least - liner) / 2.0 < 0.5
}
