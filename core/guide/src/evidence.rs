//! What a requirement of a programme can want to be shown.

use serde::Deserialize;

use crate::ask::AskKind;
use crate::condition::Condition;
use crate::guide::Guide;

/// The grades that a photograph can have, from the weakest.
pub(crate) const GRADES: [&str; 4] = ["poor", "weak", "usable", "good"];

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
        /// As many photographs as this ask counts: one of each hinge.
        as_many_as: Option<String>,
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
        /// What a lapse on that day is.
        #[serde(default)]
        lapse: Lapse,
    },
    /// Instruments that were calibrated not too long before the visits on which they were used.
    Calibrated {
        /// How many days a calibration is good for.
        days: u16,
        /// What an older one is.
        #[serde(default)]
        lapse: Lapse,
    },
    /// Something kept for inspection: the day until which is at least so many days after an event.
    HeldFor {
        /// The ask that tells the last day.
        ask: String,
        /// How many days at least.
        days: u16,
        /// After this event.
        from: String,
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

/// What it is when a licence, an insurance or a calibration has lapsed on the day of the work.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Lapse {
    /// It does not count: the claim cannot be sent.
    #[default]
    Claim,
    /// It is told, and the claim can be sent.
    Caution,
    /// It does not count, and nobody signs the work off.
    Stop,
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

/// Events that are not asks.
pub(crate) const BUILT_IN_EVENTS: [&str; 2] = ["claim_sent", "opened"];

pub(crate) fn check_event(guide: &Guide, event: &str) -> Result<(), String> {
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
pub(crate) fn check_evidence(evidence: &mut Evidence, guide: &Guide) -> Result<Vec<String>, String> {
    match evidence {
        Evidence::Photo {
            ask,
            before,
            after,
            grade,
            tag,
            as_many_as,
        } => {
            wants(guide, ask, "a photo", "photo", |kind| *kind == AskKind::Photo)?;
            if *tag && !guide.check_ask(ask)?.tag {
                let with_tag = guide.asks.iter().filter(|ask| ask.tag);
                let with_tag: Vec<&str> = with_tag.map(|ask| ask.id.as_str()).collect();
                return Err(format!(
                    "{ask} is not asked with the tag in the frame; leave tag out, or name one of {}",
                    with_tag.join(", ")
                ));
            }
            for event in before.iter().chain(after.iter()) {
                check_event(guide, event)?;
            }
            if let Some(grade) = grade
                && !GRADES.contains(&grade.as_str())
            {
                return Err(format!(
                    "\"{grade}\" is no grade; write one of {}",
                    GRADES.join(", ")
                ));
            }
            if let Some(count) = as_many_as {
                wants(guide, count, "how many", "answer", |kind| *kind == AskKind::Count)?;
            }
            Ok(vec![ask.clone()])
        }
        Evidence::Paper { ask, fields } => {
            wants(guide, ask, "a paper", "paper", |kind| *kind == AskKind::Paper)?;
            for field in fields.iter() {
                wants(
                    guide,
                    field,
                    "what can be read off a paper",
                    "photo",
                    AskKind::is_typed,
                )?;
            }
            Ok(std::iter::once(ask.clone())
                .chain(fields.iter().cloned())
                .collect())
        }
        Evidence::Signature { ask } => {
            wants(guide, ask, "a signature", "signature", |kind| {
                matches!(kind, AskKind::Signature(_))
            })?;
            Ok(vec![ask.clone()])
        }
        Evidence::Answer { ask, must } => {
            wants(
                guide,
                ask,
                "something that is typed or chosen",
                "photo, paper or signature",
                AskKind::is_typed,
            )?;
            if let Some(must) = must {
                if !must.says_something() && must.all.is_empty() && must.any.is_empty() && must.not.is_none()
                {
                    must.ask = Some(ask.clone());
                }
                guide.settle(must).map_err(|wrong| format!("must: {wrong}"))?;
            }
            Ok(vec![ask.clone()])
        }
        Evidence::Same { asks } | Evidence::Alike { asks } => {
            if asks.len() < 2 {
                return Err("two asks or more can be the same; name the other one too".to_owned());
            }
            for ask in asks.iter() {
                wants(
                    guide,
                    ask,
                    "something that is typed or chosen",
                    "photo",
                    AskKind::is_typed,
                )?;
            }
            Ok(asks.clone())
        }
        Evidence::Order { events } => {
            if events.len() < 2 {
                return Err("two events or more can stand in an order; name the other one too".to_owned());
            }
            for event in events.iter() {
                check_event(guide, event)?;
            }
            Ok(Vec::new())
        }
        Evidence::Valid { ask, on, .. } => {
            wants(guide, ask, "a date", "answer", |kind| *kind == AskKind::Date)?;
            check_event(guide, on)?;
            Ok(vec![ask.clone()])
        }
        Evidence::HeldFor { ask, from, .. } => {
            wants(guide, ask, "a date", "answer", |kind| *kind == AskKind::Date)?;
            check_event(guide, from)?;
            Ok(vec![ask.clone()])
        }
        Evidence::Mentions { ask, of, .. } => {
            wants(guide, ask, "a text", "answer", |kind| *kind == AskKind::Text)?;
            if of.is_empty() {
                return Err("say what the text has to name: of = [\"survey.stove_make\"]".to_owned());
            }
            for other in of.iter() {
                wants(
                    guide,
                    other,
                    "something that is typed or chosen",
                    "photo",
                    AskKind::is_typed,
                )?;
            }
            Ok(vec![ask.clone()])
        }
        Evidence::Grant { ask } => {
            wants(guide, ask, "money", "answer", |kind| *kind == AskKind::Money)?;
            Ok(vec![ask.clone()])
        }
        Evidence::Figures { figures } => {
            if !guide.figures.iter().any(|plan| plan.id == *figures) {
                let known: Vec<&str> = guide.figures.iter().map(|plan| plan.id.as_str()).collect();
                return Err(format!(
                    "there are no figures \"{figures}\"; write one of {}",
                    known.join(", ")
                ));
            }
            Ok(Vec::new())
        }
        Evidence::Calibrated { days, .. } => {
            if (1..=3_650).contains(days) {
                return Ok(Vec::new());
            }
            Err(format!(
                "a calibration is not good for {days} days; write a number from 1 to 3,650"
            ))
        }
        Evidence::Within { .. } | Evidence::Once { .. } => Ok(Vec::new()),
    }
}

/// Checks that an ask is there and asks for what the rule looks at.
fn wants(
    guide: &Guide,
    ask: &str,
    what: &str,
    rather: &str,
    fits: impl Fn(&AskKind) -> bool,
) -> Result<(), String> {
    let asked = guide.check_ask(ask)?;
    if fits(&asked.kind) {
        return Ok(());
    }
    Err(format!(
        "{ask} does not ask for {what}; name another ask, or write kind = \"{rather}\" and what goes with it"
    ))
}
