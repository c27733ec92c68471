use std::collections::BTreeMap;
use std::collections::btree_map::Entry as Slot;

use crate::envelope::Seen;
use crate::fact::Fact;
use crate::id::{Chain, FactId};

/// A set of facts of one stream. Adding is idempotent; nothing is ever taken out.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    by_id: BTreeMap<FactId, Fact>,
    chains: BTreeMap<Chain, BTreeMap<u64, Vec<FactId>>>,
}

/// Something about a chain that does not hold together.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "gap")]
pub enum Gap {
    /// Facts of a chain that are not here.
    Missing {
        /// The chain.
        chain: Chain,
        /// The first number that is missing.
        number: u64,
    },
    /// Two facts with one number: the device's store was cloned without a new epoch.
    Forked {
        /// The chain.
        chain: Chain,
        /// The number that stands twice.
        number: u64,
    },
    /// A fact names a predecessor that is not the fact before it.
    Broken {
        /// The chain.
        chain: Chain,
        /// The fact's number.
        number: u64,
    },
}

impl Facts {
    /// An empty set.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a fact; `false` when it brought nothing new. Of two copies the one with its payload stays.
    pub fn insert(&mut self, fact: Fact) -> bool {
        let id = fact.id();
        match self.by_id.entry(id) {
            Slot::Vacant(slot) => {
                let numbers = self.chains.entry(fact.envelope().chain()).or_default();
                let ids = numbers.entry(fact.envelope().number).or_default();
                ids.push(id);
                ids.sort_unstable();
                slot.insert(fact);
                true
            }
            Slot::Occupied(mut slot) => {
                let gains = slot.get().payload().is_none() && fact.payload().is_some();
                if gains {
                    slot.insert(fact);
                }
                gains
            }
        }
    }

    /// A fact by its id.
    #[must_use]
    pub fn get(&self, id: FactId) -> Option<&Fact> {
        self.by_id.get(&id)
    }

    /// All facts, in the order of their ids.
    pub fn iter(&self) -> impl Iterator<Item = &Fact> {
        self.by_id.values()
    }

    /// How many.
    #[must_use]
    pub fn len(&self) -> usize {
        self.by_id.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.by_id.is_empty()
    }

    /// The latest fact of a chain. In a fork, the one with the smaller id.
    #[must_use]
    pub fn last(&self, chain: Chain) -> Option<(u64, FactId)> {
        let (number, ids) = self.chains.get(&chain)?.last_key_value()?;
        Some((*number, *ids.first()?))
    }

    /// The latest facts of all chains but one, in the order of the chains.
    #[must_use]
    pub fn seen_by(&self, own: Chain) -> Vec<Seen> {
        let others = self.chains.keys().filter(|chain| **chain != own);
        others
            .filter_map(|chain| {
                self.last(*chain).map(|(number, id)| Seen {
                    chain: *chain,
                    number,
                    id,
                })
            })
            .collect()
    }

    /// The chains, in order.
    pub fn chains(&self) -> impl Iterator<Item = Chain> {
        self.chains.keys().copied()
    }

    /// The facts of a chain in the order of their numbers.
    pub fn of_chain(&self, chain: Chain) -> impl Iterator<Item = &Fact> {
        let numbers = self.chains.get(&chain).into_iter().flat_map(BTreeMap::values);
        numbers.flatten().filter_map(|id| self.by_id.get(id))
    }

    /// Everything about the chains that does not hold together.
    #[must_use]
    pub fn gaps(&self) -> Vec<Gap> {
        let mut gaps = Vec::new();
        for (chain, numbers) in &self.chains {
            let mut before: Option<(u64, &Vec<FactId>)> = None;
            for (number, ids) in numbers {
                let expected = before.map_or(1, |(last, _)| last + 1);
                if *number != expected {
                    gaps.push(Gap::Missing {
                        chain: *chain,
                        number: expected,
                    });
                } else if let Some((_, previous)) = before {
                    let follows = |id: &FactId| {
                        let named = self.by_id.get(id).and_then(|fact| fact.envelope().previous);
                        named.is_some_and(|named| previous.contains(&named))
                    };
                    if !ids.iter().all(follows) {
                        gaps.push(Gap::Broken {
                            chain: *chain,
                            number: *number,
                        });
                    }
                }
                if ids.len() > 1 {
                    gaps.push(Gap::Forked {
                        chain: *chain,
                        number: *number,
                    });
                }
                before = Some((*number, ids));
            }
        }
        gaps
    }
}

impl Extend<Fact> for Facts {
    fn extend<I: IntoIterator<Item = Fact>>(&mut self, facts: I) {
        for fact in facts {
            self.insert(fact);
        }
    }
}

impl FromIterator<Fact> for Facts {
    fn from_iter<I: IntoIterator<Item = Fact>>(facts: I) -> Self {
        let mut set = Self::new();
        set.extend(facts);
        set
    }
}
