//! The claim at the programme: sent, queried, answered, paid.

use wythe_job::{ClaimMoved, Entry, FactId, JobId, fold};
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;

/// What can happen to a claim.
pub const CLAIM_MOVES: [&str; 7] = [
    "sent",
    "received",
    "queried",
    "answered",
    "short_paid",
    "refused",
    "paid",
];

impl<L: Log> App<L> {
    /// Records a move of the claim at the programme. `version` 0 stands for the next sending, or for the
    /// latest one where something else happened to it.
    ///
    /// # Errors
    /// [`AppError::NotOneOf`] for an unknown move or a text that is no date, [`AppError::ClaimMove`] for
    /// one that does not follow from what was recorded, [`AppError::Store`].
    pub fn move_claim(&mut self, job: JobId, mut moved: ClaimMoved) -> Result<FactId, AppError> {
        if !CLAIM_MOVES.contains(&moved.to.as_str()) {
            return Err(AppError::NotOneOf {
                value: moved.to,
                what: format!("a move of a claim; write one of {}", CLAIM_MOVES.join(", ")),
            });
        }
        if wythe_guide::read_date(&moved.on).is_none() {
            let what = "a date; write it like 2026-03-31".to_owned();
            return Err(AppError::NotOneOf {
                value: moved.on,
                what,
            });
        }
        let folded = fold(&*self.log.facts(job.into())?);
        let held: Vec<&Entry<ClaimMoved>> = folded.claim.iter().filter(|entry| entry.holds()).collect();
        moved.version = version(&moved, &held).map_err(AppError::ClaimMove)?;
        complete(&moved, &held).map_err(AppError::ClaimMove)?;
        self.record(job, moved, Vec::new())
    }
}

/// Which sending a move is about: sent again is one more than the latest, anything else is of one that
/// was sent.
fn version(moved: &ClaimMoved, held: &[&Entry<ClaimMoved>]) -> Result<u32, String> {
    let sent = held.iter().filter(|entry| entry.body.to == "sent");
    let latest = sent.map(|entry| entry.body.version).max().unwrap_or_default();
    let is_sending = moved.to == "sent";
    let expected = if is_sending {
        latest.saturating_add(1)
    } else {
        latest
    };
    match moved.version {
        0 if expected > 0 => Ok(expected),
        _ if latest == 0 && !is_sending => {
            Err("This claim was not sent yet. Record the day it was sent first.".to_owned())
        }
        given if is_sending && given != expected => Err(format!(
            "This would be sending {expected}, not {given}. Leave the number out, or write {expected}."
        )),
        given if given > latest && !is_sending => Err(format!(
            "There is no sending {given}; the latest is {latest}. Leave the number out, or write one that was sent."
        )),
        given => Ok(given),
    }
}

/// A query, an answer and a refusal say what; a payment says how much, and none goes before the sending.
fn complete(moved: &ClaimMoved, held: &[&Entry<ClaimMoved>]) -> Result<(), String> {
    let says = moved.text.as_ref().is_some_and(|text| !text.trim().is_empty());
    if ["queried", "answered", "refused"].contains(&moved.to.as_str()) && !says {
        return Err("Say what was asked, answered or refused, in the programme's own words.".to_owned());
    }
    if ["short_paid", "paid"].contains(&moved.to.as_str()) && moved.amount.is_none() {
        return Err("Say how much was paid, like 2500.00 USD.".to_owned());
    }
    let sent = held
        .iter()
        .rfind(|entry| entry.body.to == "sent" && entry.body.version == moved.version);
    match sent {
        Some(sent) if moved.to != "sent" && moved.on < sent.body.on => Err(format!(
            "Sending {} went out on {}; this is dated {}. Look at the dates.",
            moved.version, sent.body.on, moved.on
        )),
        _ => Ok(()),
    }
}
