use std::collections::{BTreeMap, BTreeSet};

use crate::facts::{Facts, Gap};
use crate::id::{Chain, FactId};

/// How two facts stand to each other by their chains and by what their authors had seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Order {
    /// The first was known to the author of the second.
    Before,
    /// The second was known to the author of the first.
    After,
    /// Neither author knew of the other's fact; only clocks can tell.
    Unknown,
}

/// Which facts came before which, proven by chains and `seen`, never by clocks.
#[derive(Debug, Clone, Default)]
pub struct Causality {
    place: BTreeMap<FactId, (Chain, u64)>,
    reach: BTreeMap<FactId, BTreeMap<Chain, u64>>,
    parents: BTreeMap<FactId, Vec<FactId>>,
    /// The first number that stands twice, of chains where one does.
    forked: BTreeMap<Chain, u64>,
}

impl Causality {
    /// Works out the order within a set of facts.
    #[must_use]
    pub fn of(facts: &Facts) -> Self {
        let mut causality = Self::default();
        for fact in facts.iter() {
            causality
                .place
                .insert(fact.id(), (fact.envelope().chain(), fact.envelope().number));
            let envelope = fact.envelope();
            let parents = envelope.previous.into_iter();
            let parents = parents.chain(envelope.seen.iter().map(|seen| seen.id));
            causality.parents.insert(fact.id(), parents.collect());
        }
        for gap in facts.gaps() {
            if let Gap::Forked { chain, number } = gap {
                causality.forked.entry(chain).or_insert(number);
            }
        }
        // Depth first with a list of our own: chains can be long.
        let mut open: Vec<(FactId, bool)> = facts.iter().map(|fact| (fact.id(), false)).collect();
        while let Some((id, ready)) = open.pop() {
            if causality.reach.contains_key(&id) {
                continue;
            }
            let Some(fact) = facts.get(id) else { continue };
            let envelope = fact.envelope();
            let parents = causality.parents.get(&id).into_iter().flatten().copied();
            if !ready {
                open.push((id, true));
                let unknown = parents.filter(|parent| !causality.reach.contains_key(parent));
                open.extend(unknown.map(|parent| (parent, false)));
                continue;
            }
            let mut reach: BTreeMap<Chain, u64> = BTreeMap::new();
            let mut widen = |chain: Chain, number: u64| {
                let held = reach.entry(chain).or_default();
                *held = (*held).max(number);
            };
            for seen in &envelope.seen {
                widen(seen.chain, seen.number);
            }
            if envelope.number > 1 {
                widen(envelope.chain(), envelope.number - 1);
            }
            for parent in parents {
                for (chain, number) in causality.reach.get(&parent).into_iter().flatten() {
                    widen(*chain, *number);
                }
            }
            causality.reach.insert(id, reach);
        }
        causality
    }

    /// How `a` stands to `b`. A fact that is not in the set has no known order.
    #[must_use]
    pub fn order(&self, a: FactId, b: FactId) -> Order {
        if self.reaches(b, a) {
            Order::Before
        } else if self.reaches(a, b) {
            Order::After
        } else {
            Order::Unknown
        }
    }

    /// Whether two facts stand in the chain of one device and epoch.
    #[must_use]
    pub fn on_one_chain(&self, a: FactId, b: FactId) -> bool {
        let chain = |fact: FactId| self.place.get(&fact).map(|(chain, _)| *chain);
        chain(a).is_some() && chain(a) == chain(b)
    }

    fn reaches(&self, later: FactId, earlier: FactId) -> bool {
        let Some((chain, number)) = self.place.get(&earlier) else {
            return false;
        };
        let reach = self.reach.get(&later).and_then(|reach| reach.get(chain));
        let reached = later != earlier && reach.is_some_and(|reach| reach >= number);
        // A number names two facts from a fork on; then only the ids tell which one was seen.
        let ambiguous = self.forked.get(chain).is_some_and(|first| number >= first);
        reached && (!ambiguous || self.descends(later, earlier))
    }

    fn descends(&self, later: FactId, earlier: FactId) -> bool {
        let mut open = vec![later];
        let mut met = BTreeSet::new();
        while let Some(id) = open.pop() {
            for parent in self.parents.get(&id).into_iter().flatten() {
                if *parent == earlier {
                    return true;
                }
                if met.insert(*parent) {
                    open.push(*parent);
                }
            }
        }
        false
    }
}
