use minicbor::{Decode, Encode};

use crate::address::Address;
use crate::id::{FactId, VisitId};
use crate::limits::{MAX_MANY, MAX_TEXT_BYTES};
use crate::rules::{Kept, Rules, facts, holds, name_if, reason, words};
use crate::value::{Measured, Value};

/// An ask was answered.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Answered {
    /// Of what.
    #[n(0)]
    pub address: Address,
    /// With what.
    #[n(1)]
    pub value: Value,
    /// How it came about.
    #[n(2)]
    pub measured: Measured,
    /// On which visit.
    #[n(3)]
    pub visit: Option<VisitId>,
}

/// One more, or one fewer, of what there are several of.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Instance {
    /// The whole path to it; the ask is empty.
    #[n(0)]
    pub address: Address,
    /// There, or taken away.
    #[n(1)]
    pub there: bool,
    /// What people call it.
    #[n(2)]
    pub name: Option<String>,
}

/// A disagreement decided. The envelope's `replaces` names what it settles.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Agreed {
    /// Of what.
    #[n(0)]
    pub address: Address,
    /// The value that holds.
    #[n(1)]
    pub value: Value,
    /// Why.
    #[n(2)]
    pub reason: String,
    /// How it was typed.
    #[n(3)]
    pub measured: Measured,
}

/// Mistaken entries taken back.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct StruckOut {
    /// Which, in ascending order; at least one.
    #[n(0)]
    pub facts: Vec<FactId>,
    /// Why.
    #[n(1)]
    pub reason: String,
}

/// Words for the next reader.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Noted {
    /// About which ask, if one.
    #[n(0)]
    pub about: Option<Address>,
    /// The words.
    #[n(1)]
    pub text: String,
}

impl Rules for Answered {
    fn keeps(&self) -> Kept {
        self.address.names_an_ask()?;
        self.value.keeps()?;
        self.measured.keeps()
    }
}

impl Rules for Instance {
    fn keeps(&self) -> Kept {
        self.address.names_an_instance()?;
        name_if("name", self.name.as_ref())
    }
}

impl Rules for Agreed {
    fn keeps(&self) -> Kept {
        self.address.names_an_ask()?;
        self.value.keeps()?;
        reason("reason", &self.reason)?;
        self.measured.keeps()
    }
}

impl Rules for StruckOut {
    fn keeps(&self) -> Kept {
        holds("facts", !self.facts.is_empty(), "names no fact")?;
        facts("facts", &self.facts, MAX_MANY)?;
        reason("reason", &self.reason)
    }
}

impl Rules for Noted {
    fn keeps(&self) -> Kept {
        self.about.as_ref().map_or(Ok(()), Address::names_an_ask)?;
        words("text", &self.text, MAX_TEXT_BYTES)
    }
}
