use minicbor::{Decode, Encode};

use crate::address::Address;
use crate::id::{Digest, FactId};
use crate::limits::{MAX_MANY, MAX_TEXT_BYTES};
use crate::rules::{Kept, Rules, amount, code, currency, date, facts, holds, name, reason, words_if};

/// A stop was lifted.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct StopLifted {
    /// The stop's code.
    #[n(0)]
    pub stop: String,
    /// By whom: the authority, the laboratory, the maker ...
    #[n(1)]
    pub by: String,
    /// On what it rests, in ascending order.
    #[n(2)]
    pub evidence: Vec<FactId>,
    /// Why.
    #[n(3)]
    pub reason: String,
    /// About which of several.
    #[n(4)]
    pub address: Option<Address>,
}

/// A payload was dropped.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Erased {
    /// Whose payload.
    #[n(0)]
    pub fact: FactId,
    /// Why.
    #[n(1)]
    pub reason: String,
    /// The original that was dropped with it, if any.
    #[n(2)]
    pub original: Option<Digest>,
}

/// A move of the claim at the programme.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct ClaimMoved {
    /// `sent`, `received`, `queried`, `answered`, `short_paid`, `refused` or `paid`.
    #[n(0)]
    pub to: String,
    /// The date on paper, `YYYY-MM-DD`.
    #[n(1)]
    pub on: String,
    /// Which pack, by its id.
    #[n(2)]
    pub pack: Option<Digest>,
    /// Which sending this is about, counted from 1.
    #[n(3)]
    pub version: u32,
    /// The query, the answer, the reason, the payment's reference.
    #[n(4)]
    pub text: Option<String>,
    /// What was paid, as a decimal.
    #[n(5)]
    pub amount: Option<String>,
    /// ISO 4217.
    #[n(6)]
    pub currency: Option<String>,
}

impl Rules for StopLifted {
    fn keeps(&self) -> Kept {
        code("stop", &self.stop)?;
        name("by", &self.by)?;
        facts("evidence", &self.evidence, MAX_MANY)?;
        reason("reason", &self.reason)?;
        self.address.as_ref().map_or(Ok(()), Address::keeps_form)
    }
}

impl Rules for Erased {
    fn keeps(&self) -> Kept {
        reason("reason", &self.reason)
    }
}

impl Rules for ClaimMoved {
    fn keeps(&self) -> Kept {
        code("to", &self.to)?;
        date("on", &self.on)?;
        holds("version", self.version > 0, "is counted from 1")?;
        words_if("text", self.text.as_ref(), MAX_TEXT_BYTES)?;
        match (&self.amount, &self.currency) {
            (Some(digits), Some(letters)) => {
                amount("amount", digits)?;
                currency("currency", letters)
            }
            (None, None) => Ok(()),
            _ => holds("amount", false, "and its currency go together"),
        }
    }
}
