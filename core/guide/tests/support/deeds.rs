//! A job as a list of deeds: what was done, when. The same list is recorded as facts and read by tests
//! that hold the rules against it on their own.

use wythe_guide::Guide;
use wythe_guide::figures::Library;

use super::{Phone, Shot, ZONE};

#[derive(Debug, Clone, PartialEq)]
pub enum Deed {
    /// From now on it is this time.
    At(String),
    Answer(String, String),
    Photo(String, Shot),
    Paper(String),
    Sign(String, &'static str),
    Keep(&'static str),
    Claim(&'static str, &'static str),
    /// Somebody arrives at a visit, with an instrument calibrated on a day.
    Arrive(&'static str, &'static str),
}

impl Deed {
    /// What it is about.
    pub fn address(&self) -> Option<&str> {
        match self {
            Self::Answer(address, _)
            | Self::Photo(address, _)
            | Self::Paper(address)
            | Self::Sign(address, _) => Some(address),
            _ => None,
        }
    }
}

pub fn answer(address: &str, typed: &str) -> Deed {
    Deed::Answer(address.to_owned(), typed.to_owned())
}

/// Does all of it on one phone.
pub fn play<'g>(guide: &'g Guide, deeds: &[Deed], library: &Library) -> Phone<'g> {
    let mut phone = Phone::new(guide, 1);
    phone.at("2026-03-01T08:00-07:00");
    phone.open(ZONE);
    let tag = phone.job_tag();
    for deed in deeds {
        match deed {
            Deed::At(moment) => phone.at(moment),
            Deed::Answer(address, typed) => {
                phone.answer(address, typed);
            }
            Deed::Photo(address, shot) => {
                phone.photo(address, shot, &tag);
            }
            Deed::Paper(address) => {
                phone.paper(address);
            }
            Deed::Sign(address, act) => {
                phone.sign(address, act);
            }
            Deed::Keep(figures) => {
                phone.keep(figures, library);
            }
            Deed::Arrive(sort, calibrated) => {
                phone.arrive_with(sort, calibrated);
            }
            Deed::Claim(to, on) => {
                phone.claim(to, on);
            }
        }
    }
    phone
}
