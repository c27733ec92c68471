use minicbor::{Decode, Encode};

use crate::address::Address;
use crate::id::FactId;
use crate::limits::{MAX_DOCUMENT_BYTES, MAX_FEW, MAX_MANY};
use crate::rules::{Kept, Rules, code, facts, list, name, words};

/// A table or book and which edition of it a reckoning used.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct Edition {
    /// What was used.
    #[n(0)]
    pub of: String,
    /// Which edition.
    #[n(1)]
    pub edition: String,
}

/// A reckoning's inputs and result, as relied upon.
#[derive(Debug, Clone, PartialEq, Encode, Decode, serde::Serialize)]
pub struct FiguresKept {
    /// The reckoning's name.
    #[n(0)]
    pub reckoning: String,
    /// Of which of several, if so; the ask is the reckoning's place in the guide.
    #[n(1)]
    pub address: Address,
    /// The input, as JSON.
    #[n(2)]
    pub input: String,
    /// The result, as JSON.
    #[n(3)]
    pub result: String,
    /// The editions behind it.
    #[n(4)]
    pub editions: Vec<Edition>,
    /// The facts that the input was read from, in ascending order.
    #[n(5)]
    pub from: Vec<FactId>,
}

impl Rules for Edition {
    fn keeps(&self) -> Kept {
        name("of", &self.of)?;
        name("edition", &self.edition)
    }
}

impl Rules for FiguresKept {
    fn keeps(&self) -> Kept {
        code("reckoning", &self.reckoning)?;
        self.address.names_an_ask()?;
        words("input", &self.input, MAX_DOCUMENT_BYTES)?;
        words("result", &self.result, MAX_DOCUMENT_BYTES)?;
        list("editions", &self.editions, MAX_FEW)?;
        self.editions.keeps()?;
        facts("from", &self.from, MAX_MANY)
    }
}
