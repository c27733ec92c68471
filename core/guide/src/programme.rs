//! Programmes: who pays, what they must be shown, and by when, read from a file.

use std::collections::BTreeMap;

use serde::Deserialize;
use sha2::{Digest as _, Sha256};
use toml::{Spanned, Table};
use wythe_job::Digest;

use crate::condition::Condition;
use crate::evidence::{Evidence, check_event, check_evidence};
use crate::guide::Guide;
use crate::load::{File, LoadFault, is_id};
use crate::words::Language;

/// What something is called, by the tag of the language.
pub type Labels = BTreeMap<String, String>;

/// A day by which something must have happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deadline {
    /// Its id.
    pub id: String,
    /// How many days after the event; the last one still counts.
    pub days: u16,
    /// The event that the days are counted from.
    pub from: String,
    /// The event that must have happened by then.
    pub to: String,
    /// What it is called, where the messages have no words for it.
    pub words: Option<Labels>,
}

/// One thing that a programme wants to be shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Requirement {
    /// Its id.
    pub id: String,
    /// The stage whose course its brick lies in.
    pub stage: String,
    /// Who brings it: a role.
    pub who: String,
    /// Somebody outside whom one can only wait for, once this event has happened.
    pub waits_since: Option<String>,
    /// Wanted for each of these.
    pub each: Option<String>,
    /// When it applies.
    pub when: Option<Condition>,
    /// The deadline by which it is needed.
    pub due: Option<String>,
    /// What has to be shown.
    pub evidence: Evidence,
    /// What it is called, where the messages have no words for it.
    pub words: Option<Labels>,
    /// The first ask that it is about.
    pub about: Option<String>,
}

/// Who pays, what they must be shown, and by when.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Which edition of its rules.
    pub edition: String,
    /// The grant as a decimal.
    pub grant: String,
    /// ISO 4217.
    pub currency: String,
    /// How long records are kept, in years.
    pub keep_years: u8,
    /// Deadlines.
    pub deadlines: Vec<Deadline>,
    /// What has to be shown.
    pub requirements: Vec<Requirement>,
    /// SHA-256 of the file.
    pub digest: Digest,
    /// The file's text.
    pub text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProgrammeFile {
    id: String,
    name: String,
    edition: String,
    grant: String,
    currency: String,
    keep_years: u8,
    #[serde(default)]
    deadline: Vec<Spanned<Table>>,
    require: Vec<Spanned<Table>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawDeadline {
    id: String,
    days: Option<u16>,
    weeks: Option<u16>,
    from: String,
    to: String,
    words: Option<Labels>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRequirement {
    id: String,
    stage: Option<String>,
    who: String,
    waits_since: Option<String>,
    each: Option<String>,
    when: Option<Condition>,
    due: Option<String>,
    words: Option<Labels>,
    shows: Evidence,
}

impl Programme {
    /// Reads a programme's file against the guide.
    ///
    /// # Errors
    /// The first mistake, with file, line and what to write instead.
    pub fn load(name: &str, text: &str, guide: &Guide) -> Result<Self, LoadFault> {
        let file = File { name, text };
        let head: ProgrammeFile = file.head()?;
        check_head(&head).map_err(|(key, wrong)| file.fault(file.line_of_key(key), wrong))?;
        let mut programme = Self {
            id: head.id,
            name: head.name,
            edition: head.edition,
            grant: head.grant,
            currency: head.currency,
            keep_years: head.keep_years,
            deadlines: Vec::new(),
            requirements: Vec::new(),
            digest: Digest(Sha256::digest(text.as_bytes()).into()),
            text: text.to_owned(),
        };
        for item in file.items::<RawDeadline>(head.deadline)? {
            let id = item.body.id.clone();
            let deadline = programme
                .settle_deadline(item.body, guide)
                .map_err(|wrong| file.fault(item.line, format!("{id}: {wrong}")))?;
            programme.deadlines.push(deadline);
        }
        for item in file.items::<RawRequirement>(head.require)? {
            let id = item.body.id.clone();
            let requirement = programme
                .settle(item.body, guide)
                .map_err(|wrong| file.fault(item.line, format!("{id}: {wrong}")))?;
            programme.requirements.push(requirement);
        }
        Ok(programme)
    }

    /// A deadline by its id.
    #[must_use]
    pub fn deadline(&self, id: &str) -> Option<&Deadline> {
        self.deadlines.iter().find(|deadline| deadline.id == id)
    }

    fn settle_deadline(&self, raw: RawDeadline, guide: &Guide) -> Result<Deadline, String> {
        check_id(&raw.id)?;
        if self.deadline(&raw.id).is_some() {
            return Err("this deadline stands twice; rename one of them".to_owned());
        }
        for event in [&raw.from, &raw.to] {
            check_event(guide, event)?;
        }
        check_words(raw.words.as_ref())?;
        let days = match (raw.days, raw.weeks) {
            (Some(days), None) => days,
            (None, Some(weeks)) => weeks
                .checked_mul(7)
                .ok_or_else(|| format!("{weeks} weeks are too many; write days"))?,
            _ => return Err("a deadline has days or weeks, one of both: write days = 30".to_owned()),
        };
        if !(1..=3_650).contains(&days) {
            return Err(format!(
                "{days} days cannot be meant; write a number from 1 to 3,650"
            ));
        }
        Ok(Deadline {
            id: raw.id,
            days,
            from: raw.from,
            to: raw.to,
            words: raw.words,
        })
    }

    fn check_deadline(&self, id: &str) -> Result<(), String> {
        if self.deadline(id).is_some() {
            return Ok(());
        }
        let known: Vec<&str> = self.deadlines.iter().map(|known| known.id.as_str()).collect();
        let known = if known.is_empty() {
            "this file has none; write a [[deadline]] first".to_owned()
        } else {
            format!("write one of {}", known.join(", "))
        };
        Err(format!("there is no deadline \"{id}\"; {known}"))
    }

    fn settle(&self, raw: RawRequirement, guide: &Guide) -> Result<Requirement, String> {
        check_id(&raw.id)?;
        if self.requirements.iter().any(|known| known.id == raw.id) {
            return Err("this requirement stands twice; rename one of them".to_owned());
        }
        let mut evidence = raw.shows;
        let mut when = raw.when;
        if let Some(when) = &mut when {
            guide.settle(when).map_err(|wrong| format!("when: {wrong}"))?;
        }
        let asks = check_evidence(&mut evidence, guide)?;
        guide
            .check_role(&raw.who)
            .map_err(|wrong| format!("who: {wrong}"))?;
        check_words(raw.words.as_ref())?;
        if let Evidence::Within { deadline } = &evidence {
            self.check_deadline(deadline)?;
        }
        if let Some(due) = &raw.due {
            self.check_deadline(due)?;
        }
        if let Some(event) = &raw.waits_since {
            check_event(guide, event)?;
        }
        if let Some(each) = &raw.each {
            guide.check_group(each)?;
        }
        let about = asks.first().cloned();
        let of_ask = about.as_ref().and_then(|ask| guide.ask(ask));
        let stage = raw
            .stage
            .or_else(|| of_ask.map(|ask| ask.stage.clone()))
            .unwrap_or_else(|| "claim".to_owned());
        if !guide.stages.iter().any(|known| known.id == stage) {
            let stages: Vec<&str> = guide.stages.iter().map(|stage| stage.id.as_str()).collect();
            return Err(format!(
                "there is no stage \"{stage}\"; write one of {}",
                stages.join(", ")
            ));
        }
        Ok(Requirement {
            id: raw.id,
            stage,
            who: raw.who,
            waits_since: raw.waits_since,
            each: raw.each,
            when,
            due: raw.due,
            evidence,
            words: raw.words,
            about,
        })
    }
}

fn check_head(head: &ProgrammeFile) -> Result<(), (&'static str, String)> {
    check_id(&head.id).map_err(|wrong| ("id", wrong))?;
    if head.name.trim().is_empty() {
        return Err((
            "name",
            "write the programme's name as it stands on its papers".to_owned(),
        ));
    }
    let is_decimal = head.grant.split_once('.').is_some_and(|(whole, cents)| {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        digits(whole) && digits(cents) && cents.len() == 2
    });
    if !is_decimal {
        let wrong = "the grant is written with two decimals and nothing else, like \"2500.00\"";
        return Err(("grant", wrong.to_owned()));
    }
    if head.currency.len() != 3 || !head.currency.bytes().all(|byte| byte.is_ascii_uppercase()) {
        let wrong = "the currency is a three-letter code, like \"USD\"";
        return Err(("currency", wrong.to_owned()));
    }
    if !(1..=30).contains(&head.keep_years) {
        let wrong = "keep_years is how many years records are kept: write 3, 5 or 7, at most 30";
        return Err(("keep_years", wrong.to_owned()));
    }
    Ok(())
}

fn check_id(id: &str) -> Result<(), String> {
    if is_id(id) {
        return Ok(());
    }
    Err(format!(
        "the id \"{id}\" is written with small letters, digits and underscores, like \"before_photo\""
    ))
}

/// Words of one's own are there in every language, or in none.
fn check_words(words: Option<&Labels>) -> Result<(), String> {
    let Some(words) = words else { return Ok(()) };
    for language in Language::ALL {
        let tag = language.tag();
        if words.get(tag).is_none_or(|text| text.trim().is_empty()) {
            return Err(format!(
                "the words are missing in \"{tag}\"; write words = {{ en = \"…\", es = \"…\", fr = \"…\" }}"
            ));
        }
    }
    let stray = words
        .keys()
        .find(|tag| !Language::ALL.iter().any(|language| language.tag() == **tag));
    match stray {
        Some(tag) => Err(format!("there is no language \"{tag}\"; write en, es and fr")),
        None => Ok(()),
    }
}
