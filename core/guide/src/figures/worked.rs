//! What reckonings found before, by the hash of what they were given.

use std::collections::{BTreeMap, VecDeque};

use serde_json::Value as Json;
use sha2::{Digest, Sha256};
use wythe_trade::form::Refusal;
use wythe_trade::reckon;

/// How many results are kept; the oldest go first.
const MOST: usize = 256;

type Key = [u8; 32];

/// A reckoning that is still to be done: a pure sum, for whoever has a thread to do it in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pending {
    /// The reckoning's name.
    pub reckoning: String,
    /// Its input, as JSON.
    pub input: String,
}

impl Pending {
    /// Does it. Touches nothing else, so that it may take its time.
    ///
    /// # Errors
    /// What the reckoning refuses.
    pub fn work(&self) -> Result<Json, Refusal> {
        reckon(&self.reckoning, &self.input)
    }

    fn key(&self) -> Key {
        key(&self.reckoning, &self.input)
    }
}

/// Results by the hash of their reckoning and input. Reckonings are pure: the same input has the same result.
#[derive(Debug, Clone, Default)]
pub struct Worked {
    results: BTreeMap<Key, Result<Json, Refusal>>,
    order: VecDeque<Key>,
}

impl Worked {
    /// Keeps a result.
    pub fn keep(&mut self, of: &Pending, result: Result<Json, Refusal>) {
        let key = of.key();
        if self.results.insert(key, result).is_none() {
            self.order.push_back(key);
        }
        while self.order.len() > MOST {
            if let Some(oldest) = self.order.pop_front() {
                self.results.remove(&oldest);
            }
        }
    }

    /// The result, where it is known.
    #[must_use]
    pub fn of(&self, reckoning: &str, input: &str) -> Option<&Result<Json, Refusal>> {
        self.results.get(&key(reckoning, input))
    }

    /// Whether it is known.
    #[must_use]
    pub fn has(&self, of: &Pending) -> bool {
        self.results.contains_key(&of.key())
    }
}

fn key(reckoning: &str, input: &str) -> Key {
    let mut hash = Sha256::new();
    hash.update(reckoning.as_bytes());
    hash.update([0]);
    hash.update(input.as_bytes());
    hash.finalize().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn waiting(number: usize) -> Pending {
        Pending {
            reckoning: "air".to_owned(),
            input: number.to_string(),
        }
    }

    #[test]
    fn results_are_found_by_what_was_given_and_the_oldest_go_first() {
        let mut worked = Worked::default();
        for number in 0..=MOST {
            worked.keep(&waiting(number), Ok(Json::from(number)));
            worked.keep(&waiting(number), Ok(Json::from(number)));
        }
        assert!(!worked.has(&waiting(0)) && worked.has(&waiting(1)));
        assert_eq!(worked.of("air", "7").unwrap().as_ref().unwrap(), &Json::from(7));
        assert!(worked.of("flue", "7").is_none() && worked.results.len() == MOST);
    }
}
