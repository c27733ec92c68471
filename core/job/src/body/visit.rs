use minicbor::{Decode, Encode};

use crate::id::{PersonId, VisitId};
use crate::limits::{MAX_FEW, MAX_LINE_BYTES};
use crate::rules::{Kept, Rules, code, date_if, lines, list, name, words_if};
use crate::value::Moment;

/// A moment of a visit. A visit is several of these with one id.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Visit {
    /// Which visit.
    #[n(0)]
    pub visit: VisitId,
    /// What it is for: `survey`, `day_1`, `inspector` ...
    #[n(1)]
    pub sort: String,
    /// `arrived`, `paused`, `resumed` or `left`.
    #[n(2)]
    pub moment: String,
    /// Who is there.
    #[n(3)]
    pub people: Vec<PersonId>,
    /// The weather in words.
    #[n(4)]
    pub weather: Option<String>,
    /// The instruments in use, with the date of their calibration where there is one.
    #[n(5)]
    pub instruments: Vec<Instrument>,
    /// What was done to leave the house safe, when pausing.
    #[n(6)]
    pub left_safe: Vec<String>,
    /// When, if not at entry.
    #[n(7)]
    pub at: Option<Moment>,
}

/// An instrument as used on a visit.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Instrument {
    /// Its name and number.
    #[n(0)]
    pub name: String,
    /// `YYYY-MM-DD`.
    #[n(1)]
    pub calibrated: Option<String>,
}

impl Rules for Visit {
    fn keeps(&self) -> Kept {
        code("sort", &self.sort)?;
        code("moment", &self.moment)?;
        list("people", &self.people, MAX_FEW)?;
        words_if("weather", self.weather.as_ref(), MAX_LINE_BYTES)?;
        list("instruments", &self.instruments, MAX_FEW)?;
        self.instruments.keeps()?;
        lines("left_safe", &self.left_safe, MAX_FEW)?;
        self.at.keeps()
    }
}

impl Rules for Instrument {
    fn keeps(&self) -> Kept {
        name("name", &self.name)?;
        date_if("calibrated", self.calibrated.as_ref())
    }
}
