//! Files that leave and come: claim packs, papers for the crew, what phones carry to each other; and the
//! reckonings.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use wythe_app::guide::Words;
use wythe_app::job::Fingerprint;
use wythe_app::pack::paper::PageSize;
use wythe_app::pack::{PackReader, check};
use wythe_app::{AppError, PackOptions, trade};

use crate::field::{Field, fact};
use crate::trouble::{Told, Trouble, caught};

/// The size of pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum PaperSize {
    /// 8 1/2 in by 11 in.
    Letter,
    /// 210 mm by 297 mm.
    A4,
}

/// For whom a pack is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Reader {
    /// Everything that was not erased.
    Full,
    /// The programme that pays.
    Programme,
    /// The owner of the house.
    Owner,
    /// An auditor, years later.
    Auditor,
    /// The recycler of the old stove.
    Recycler,
}

/// A claim pack that was made and passed its own check.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Packed {
    /// The pack's id.
    pub pack: String,
    /// How many pages its PDF has.
    pub pages: u64,
    /// How many photos and papers.
    pub originals: u64,
}

/// A paper that was written.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Printed {
    /// How many pages.
    pub pages: u64,
}

/// What came in with a carried file.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Carried {
    /// Entries that were not here before.
    pub new_entries: u64,
    /// Entries that were here already.
    pub known_entries: u64,
    /// Photos and papers that were not here before.
    pub new_originals: u64,
    /// What was set aside, and why.
    pub set_aside: Vec<String>,
}

/// What a claim pack's check found.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PackReport {
    /// The pack's id.
    pub pack: String,
    /// The fingerprint of the business's key.
    pub fingerprint: String,
    /// Whether that fingerprint is the one that was named.
    pub trusted: bool,
    /// The date at the site for which the claim was reckoned, `YYYY-MM-DD`.
    pub as_of: String,
    /// How many facts it holds.
    pub facts: u64,
}

#[uniffi::export]
impl Field {
    /// Makes a job's claim pack and writes it to a path, whole or not at all.
    ///
    /// # Errors
    /// `pack`, `file`, `no_job`, `no_rules` ...
    pub fn pack(&self, job: &str, path: &str, reader: Reader, size: PaperSize) -> Result<Packed, Trouble> {
        let options = PackOptions {
            reader: reader.into(),
            size: size.into(),
            today: None,
        };
        self.with(None, |phone| {
            let made = phone.pack(phone.find_job(job)?, Path::new(path), &options)?;
            Ok(Packed {
                pack: made.report.pack.to_string(),
                pages: count(made.pages),
                originals: count(made.report.originals),
            })
        })
    }

    /// Writes what a screen's action `print/WHAT` offers to a path, as PDF.
    ///
    /// # Errors
    /// `not_one_of` for a paper that there is not, `figures_open`, `file`.
    pub fn print(&self, job: &str, what: &str, path: &str, size: PaperSize) -> Result<Printed, Trouble> {
        self.with(None, |phone| {
            let printed = phone.print(phone.find_job(job)?, what, size.into(), None)?;
            std::fs::write(path, &printed.pdf).map_err(|why| AppError::File {
                what: what.to_owned(),
                why: why.to_string(),
            })?;
            Ok(Printed {
                pages: count(printed.pages),
            })
        })
    }

    /// Writes everything of this store into a file for another phone. Gives how many entries.
    ///
    /// # Errors
    /// `file`, `no_space`.
    pub fn carry_out(&self, path: &str) -> Result<u64, Trouble> {
        self.with(None, |phone| phone.carry_out(Path::new(path)).map(count))
    }

    /// Takes in what another phone of this business carried out. What is not in order is set aside and
    /// keeps nothing else out.
    ///
    /// # Errors
    /// `not_carried`, `file`, `no_space`.
    pub fn carry_in(&self, path: &str) -> Result<Carried, Trouble> {
        self.change(None, None, |phone| {
            let carried = phone.carry_in(Path::new(path))?;
            let aside = carried.set_aside.iter();
            Ok(Carried {
                new_entries: count(carried.new_facts),
                known_entries: count(carried.known_facts),
                new_originals: count(carried.new_originals),
                set_aside: aside.map(|(id, why)| format!("{}: {why}", fact(*id))).collect(),
            })
        })
    }
}

/// Works out a reckoning: one JSON object in, one JSON object out.
///
/// # Errors
/// The code, and the JSON pointer of the value that is not taken.
#[uniffi::export]
pub fn reckon(name: &str, input: &str) -> Result<String, Trouble> {
    let answer = caught(|| Ok(trade::reckon(name, input)));
    let answer = answer.map_err(|why| Trouble::of(&why, None, &Words::of(Default::default())))?;
    answer
        .map(|answer| answer.to_string())
        .map_err(|refusal| Trouble::Refused {
            told: Told {
                code: refusal.code.as_str().to_owned(),
                field: Some(refusal.field.clone()),
                message: refusal.message.clone(),
                detail: refusal.to_string(),
            },
        })
}

/// The names of the reckonings.
#[uniffi::export]
#[must_use]
pub fn reckonings() -> Vec<String> {
    trade::list().map(|entry| entry.name.to_owned()).collect()
}

/// Checks a claim pack; `trust` is the business's fingerprint as it was told once, or nothing.
///
/// # Errors
/// Names the first thing that is wrong.
#[uniffi::export]
pub fn check_pack(path: &str, trust: Option<String>) -> Result<PackReport, Trouble> {
    let trust = match trust.as_deref() {
        None => None,
        Some(text) => Some(Fingerprint::read(text).ok_or_else(|| {
            Trouble::plain(
                "fingerprint",
                "A fingerprint has 64 hexadecimal digits.".to_owned(),
            )
        })?),
    };
    let file = File::open(path).map_err(|why| Trouble::plain("file", why.to_string()))?;
    let checked = caught(|| Ok(check(BufReader::new(file), trust)));
    let checked = checked.map_err(|why| Trouble::of(&why, None, &Words::of(Default::default())))?;
    let report = checked.map_err(|fault| Trouble::plain(fault.code(), fault.to_string()))?;
    Ok(PackReport {
        pack: report.pack.to_string(),
        fingerprint: report.fingerprint,
        trusted: report.trusted,
        as_of: report.as_of,
        facts: count(report.facts),
    })
}

fn count(number: usize) -> u64 {
    u64::try_from(number).unwrap_or(u64::MAX)
}

impl From<PaperSize> for PageSize {
    fn from(size: PaperSize) -> Self {
        match size {
            PaperSize::Letter => Self::Letter,
            PaperSize::A4 => Self::A4,
        }
    }
}

impl From<Reader> for PackReader {
    fn from(reader: Reader) -> Self {
        match reader {
            Reader::Full => Self::Full,
            Reader::Programme => Self::Programme,
            Reader::Owner => Self::Owner,
            Reader::Auditor => Self::Auditor,
            Reader::Recycler => Self::Recycler,
        }
    }
}
