use serde::Deserialize;
use sha2::{Digest as _, Sha256};
use toml::{Spanned, Table};
use wythe_job::Digest;

use crate::condition::Condition;
use crate::guide::Guide;
use crate::load::{File, LoadFault, settle};

/// The grades that a photograph can have, from the weakest.
pub(crate) const GRADES: [&str; 4] = ["poor", "weak", "usable", "good"];

/// A day by which something must have happened.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deadline {
    /// Its id.
    pub id: String,
    /// How many days after the event; the last one still counts.
    pub days: u16,
    /// The event that the days are counted from.
    pub from: String,
    /// The event that must have happened by then.
    pub to: String,
}

/// What a requirement wants to be shown.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Evidence {
    /// A photograph.
    Photo {
        /// The ask it answers.
        ask: String,
        /// Taken before this event.
        before: Option<String>,
        /// Taken after this event.
        after: Option<String>,
        /// With at least this grade.
        grade: Option<String>,
        /// With the job's own tag in the frame.
        #[serde(default)]
        tag: bool,
    },
    /// A document, with the answers that are read off it.
    Paper {
        /// The ask it answers.
        ask: String,
        /// The asks of its fields.
        #[serde(default)]
        fields: Vec<String>,
    },
    /// A signature.
    Signature {
        /// The ask it answers.
        ask: String,
    },
    /// An answer.
    Answer {
        /// The ask.
        ask: String,
        /// What it has to be; anything, if nothing is said.
        #[serde(default)]
        must: Option<Box<Condition>>,
    },
    /// Answers that have to be the same, letter for letter but for case and spaces.
    Same {
        /// The asks.
        asks: Vec<String>,
    },
    /// Names or addresses that a clerk would take for the same.
    Alike {
        /// The asks.
        asks: Vec<String>,
    },
    /// Events whose dates have to stand in this order.
    Order {
        /// The events.
        events: Vec<String>,
    },
    /// A deadline.
    Within {
        /// Its id.
        deadline: String,
    },
    /// A licence, an insurance, an enrolment that is valid on a day.
    Valid {
        /// The ask that tells its last day.
        ask: String,
        /// The event on whose day it has to be valid.
        on: String,
    },
    /// Figures that were kept, and carry no stop.
    Figures {
        /// Their id in the guide.
        figures: String,
    },
    /// A text that has to name something, and not just say something general.
    Mentions {
        /// The ask whose text it is.
        ask: String,
        /// One of these answers has to occur in it.
        of: Vec<String>,
        /// What is not enough by itself: `steel`.
        #[serde(default)]
        not_only: Vec<String>,
    },
    /// Money that has to be the grant.
    Grant {
        /// The ask of the discount's line.
        ask: String,
    },
    /// One claim for each household; no photograph in two jobs.
    Once {
        /// `household` or `photos`.
        of: OnceOf,
    },
}

/// What there may be only one of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OnceOf {
    /// A claim for one house.
    Household,
    /// The use of a photograph.
    Photos,
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
struct RawRequirement {
    id: String,
    stage: Option<String>,
    who: String,
    waits_since: Option<String>,
    each: Option<String>,
    when: Option<Condition>,
    due: Option<String>,
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
        let is_decimal = head.grant.split_once('.').is_some_and(|(whole, cents)| {
            let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
            digits(whole) && digits(cents) && cents.len() == 2
        });
        if !is_decimal {
            return Err(file.fault(1, "the grant is written with two decimals, like \"2500.00\""));
        }
        if head.currency.len() != 3 || !head.currency.bytes().all(|byte| byte.is_ascii_uppercase()) {
            return Err(file.fault(1, "the currency is a three-letter code, like \"USD\""));
        }
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
        for item in file.items::<Deadline>(head.deadline)? {
            for event in [&item.body.from, &item.body.to] {
                check_event(guide, event)
                    .map_err(|wrong| file.fault(item.line, format!("{}: {wrong}", item.body.id)))?;
            }
            if programme.deadline(&item.body.id).is_some() {
                return Err(file.fault(
                    item.line,
                    format!("the deadline \"{}\" stands twice", item.body.id),
                ));
            }
            programme.deadlines.push(item.body);
        }
        for item in file.items::<RawRequirement>(head.require)? {
            let id = item.body.id.clone();
            if programme.requirements.iter().any(|known| known.id == id) {
                return Err(file.fault(item.line, format!("the requirement \"{id}\" stands twice")));
            }
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

    fn settle(&self, raw: RawRequirement, guide: &Guide) -> Result<Requirement, String> {
        let mut evidence = raw.shows;
        let mut when = raw.when;
        if let Some(when) = &mut when {
            settle(when, &|id| guide.kind_of(id))?;
        }
        let asks = check_evidence(&mut evidence, guide)?;
        if let Evidence::Within { deadline } = &evidence {
            self.deadline(deadline)
                .ok_or_else(|| format!("there is no deadline \"{deadline}\""))?;
        }
        if let Some(due) = &raw.due {
            self.deadline(due)
                .ok_or_else(|| format!("there is no deadline \"{due}\""))?;
        }
        if let Some(event) = &raw.waits_since {
            check_event(guide, event)?;
        }
        if let Some(each) = &raw.each
            && !guide.groups.iter().any(|group| group.id == *each)
        {
            return Err(format!("there is no group \"{each}\""));
        }
        let stage = raw
            .stage
            .or_else(|| {
                asks.first()
                    .and_then(|ask| guide.ask(ask))
                    .map(|ask| ask.stage.clone())
            })
            .unwrap_or_else(|| "claim".to_owned());
        if !guide.stages.iter().any(|known| known.id == stage) {
            return Err(format!("there is no stage \"{stage}\""));
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
        })
    }
}

/// Events that are not asks.
pub(crate) const BUILT_IN_EVENTS: [&str; 2] = ["claim_sent", "opened"];

fn check_event(guide: &Guide, event: &str) -> Result<(), String> {
    if guide.event(event).is_some() || BUILT_IN_EVENTS.contains(&event) {
        return Ok(());
    }
    let known: Vec<&str> = guide
        .events
        .iter()
        .map(|event| event.id.as_str())
        .chain(BUILT_IN_EVENTS)
        .collect();
    Err(format!(
        "there is no event \"{event}\"; write one of {}",
        known.join(", ")
    ))
}

/// Checks everything that the evidence names, and gives the asks among it.
fn check_evidence(evidence: &mut Evidence, guide: &Guide) -> Result<Vec<String>, String> {
    let mut asks: Vec<String> = Vec::new();
    let mut events: Vec<String> = Vec::new();
    match evidence {
        Evidence::Photo {
            ask,
            before,
            after,
            grade,
            ..
        } => {
            asks.push(ask.clone());
            events.extend(before.iter().chain(after.iter()).cloned());
            if let Some(grade) = grade
                && !GRADES.contains(&grade.as_str())
            {
                return Err(format!(
                    "\"{grade}\" is no grade; write one of {}",
                    GRADES.join(", ")
                ));
            }
        }
        Evidence::Paper { ask, fields } => {
            asks.push(ask.clone());
            asks.extend(fields.iter().cloned());
        }
        Evidence::Signature { ask } | Evidence::Grant { ask } => asks.push(ask.clone()),
        Evidence::Answer { ask, must } => {
            asks.push(ask.clone());
            if let Some(must) = must {
                if must.ask.is_none() && must.all.is_empty() && must.any.is_empty() && must.not.is_none() {
                    must.ask = Some(ask.clone());
                }
                settle(must, &|id| guide.kind_of(id))?;
            }
        }
        Evidence::Same { asks: several } | Evidence::Alike { asks: several } => {
            if several.len() < 2 {
                return Err("two asks or more can be the same".to_owned());
            }
            asks.extend(several.iter().cloned());
        }
        Evidence::Order { events: several } => {
            if several.len() < 2 {
                return Err("two events or more can stand in an order".to_owned());
            }
            events.extend(several.iter().cloned());
        }
        Evidence::Valid { ask, on } => {
            asks.push(ask.clone());
            events.push(on.clone());
        }
        Evidence::Mentions { ask, of, .. } => {
            asks.push(ask.clone());
            asks.extend(of.iter().cloned());
        }
        Evidence::Figures { figures } => {
            if !guide.figures.iter().any(|plan| plan.id == *figures) {
                return Err(format!("there are no figures \"{figures}\""));
            }
        }
        Evidence::Within { .. } | Evidence::Once { .. } => {}
    }
    for event in &events {
        check_event(guide, event)?;
    }
    for ask in &asks {
        guide
            .ask(ask)
            .ok_or_else(|| format!("there is no ask \"{ask}\""))?;
    }
    Ok(asks)
}
