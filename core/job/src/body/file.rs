use minicbor::{Decode, Encode};

use crate::address::Address;
use crate::calendar::is_local_time;
use crate::id::{Digest, VisitId};
use crate::limits::{MAX_FEW, MAX_LINE_BYTES, MAX_OFFSET_MIN, MAX_ORIGINAL_BYTES, MAX_SIDE};
use crate::rules::{Kept, Rules, code, holds, lines, name, words_if};
use crate::value::Position;

/// A file kept byte for byte, named by its content.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Original {
    /// SHA-256 of its bytes.
    #[n(0)]
    pub digest: Digest,
    /// Its length in bytes.
    #[n(1)]
    pub bytes: u64,
    /// Its media type: `image/jpeg`, `application/pdf` ...
    #[n(2)]
    pub media_type: String,
    /// What it was called, without its folder.
    #[n(3)]
    pub name: String,
}

/// The time in a photograph's own metadata.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct PhotoTime {
    /// `YYYY-MM-DDTHH:MM:SS`, as the camera wrote it.
    #[n(0)]
    pub local: String,
    /// Minutes east of UTC, where the camera wrote that too.
    #[n(1)]
    pub offset_min: Option<i16>,
}

/// How good a photograph is, as judged at intake by a named version of the rules.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Grade {
    /// The grade's code.
    #[n(0)]
    pub code: String,
    /// The version of the grading rules.
    #[n(1)]
    pub version: u32,
    /// The codes of the reasons, with their figures.
    #[n(2)]
    pub reasons: Vec<String>,
    /// What the person said who could do no better.
    #[n(3)]
    pub best_i_can: Option<String>,
}

/// A photograph was taken.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct PhotoTaken {
    /// For which ask.
    #[n(0)]
    pub address: Address,
    /// The file.
    #[n(1)]
    pub original: Original,
    /// A smaller picture made at intake.
    #[n(2)]
    pub preview: Option<Original>,
    /// Width in pixels, upright.
    #[n(3)]
    pub width: u32,
    /// Height in pixels, upright.
    #[n(4)]
    pub height: u32,
    /// The time in its metadata.
    #[n(5)]
    pub taken: Option<PhotoTime>,
    /// The place in its metadata.
    #[n(6)]
    pub position: Option<Position>,
    /// The place that the phone itself told at intake.
    #[n(7)]
    pub phone_position: Option<Position>,
    /// The metadata's orientation, 1 to 8.
    #[n(8)]
    pub orientation: u8,
    /// The grade given at intake.
    #[n(9)]
    pub grade: Option<Grade>,
    /// A perceptual fingerprint.
    #[n(10)]
    #[serde(serialize_with = "sixteen_digits")]
    pub fingerprint: Option<u64>,
    /// What tags were read in it.
    #[n(11)]
    pub tags: Vec<String>,
    /// On which visit.
    #[n(12)]
    pub visit: Option<VisitId>,
}

/// A document was added.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct PaperAdded {
    /// For which ask.
    #[n(0)]
    pub address: Address,
    /// The file.
    #[n(1)]
    pub original: Original,
    /// How many pages, where that could be told.
    #[n(2)]
    pub pages: Option<u32>,
    /// A picture of the first page.
    #[n(3)]
    pub preview: Option<Original>,
    /// On which visit.
    #[n(4)]
    pub visit: Option<VisitId>,
}

fn sixteen_digits<S: serde::Serializer>(number: &Option<u64>, s: S) -> Result<S::Ok, S::Error> {
    match number {
        Some(number) => s.collect_str(&format_args!("{number:016x}")),
        None => s.serialize_none(),
    }
}

impl Rules for Original {
    fn keeps(&self) -> Kept {
        let fits = (1..=MAX_ORIGINAL_BYTES).contains(&self.bytes);
        holds("bytes", fits, "is not between 1 and 2^30")?;
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b"/.+-".contains(&b);
        let fits = (3..=100).contains(&self.media_type.len())
            && self.media_type.bytes().all(plain)
            && self.media_type.bytes().filter(|b| *b == b'/').count() == 1;
        holds("media_type", fits, "is no media type like image/jpeg")?;
        name("name", &self.name)?;
        holds("name", !self.name.contains(['/', '\\']), "has a folder in it")
    }
}

impl Rules for PhotoTime {
    fn keeps(&self) -> Kept {
        holds(
            "local",
            is_local_time(&self.local),
            "is no time like 2025-11-24T09:30:00",
        )?;
        let fits = self
            .offset_min
            .is_none_or(|n| (-MAX_OFFSET_MIN..=MAX_OFFSET_MIN).contains(&n));
        holds("offset_min", fits, "is more than 18 hours")
    }
}

impl Rules for Grade {
    fn keeps(&self) -> Kept {
        code("code", &self.code)?;
        lines("reasons", &self.reasons, MAX_FEW)?;
        words_if("best_i_can", self.best_i_can.as_ref(), MAX_LINE_BYTES)
    }
}

impl Rules for PhotoTaken {
    fn keeps(&self) -> Kept {
        self.address.names_an_ask()?;
        self.original.keeps()?;
        self.preview.keeps()?;
        let fits = |n: u32| (1..=MAX_SIDE).contains(&n);
        holds("width", fits(self.width), "is not between 1 and 100,000")?;
        holds("height", fits(self.height), "is not between 1 and 100,000")?;
        self.taken.keeps()?;
        self.position.keeps()?;
        self.phone_position.keeps()?;
        let fits = (1..=8).contains(&self.orientation);
        holds("orientation", fits, "is not 1 to 8")?;
        self.grade.keeps()?;
        lines("tags", &self.tags, MAX_FEW)
    }
}

impl Rules for PaperAdded {
    fn keeps(&self) -> Kept {
        self.address.names_an_ask()?;
        self.original.keeps()?;
        holds("pages", self.pages != Some(0), "is none")?;
        self.preview.keeps()
    }
}
