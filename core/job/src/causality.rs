use std::collections::BTreeMap;

use crate::facts::Facts;
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
        }
        // Depth first with a list of our own: chains can be long.
        let mut open: Vec<(FactId, bool)> = facts.iter().map(|fact| (fact.id(), false)).collect();
        while let Some((id, ready)) = open.pop() {
            if causality.reach.contains_key(&id) {
                continue;
            }
            let Some(fact) = facts.get(id) else { continue };
            let envelope = fact.envelope();
            let parents = || {
                envelope
                    .previous
                    .into_iter()
                    .chain(envelope.seen.iter().map(|seen| seen.id))
            };
            if !ready {
                open.push((id, true));
                let unknown = parents().filter(|parent| !causality.reach.contains_key(parent));
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
            for parent in parents() {
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

    fn reaches(&self, later: FactId, earlier: FactId) -> bool {
        let Some((chain, number)) = self.place.get(&earlier) else {
            return false;
        };
        let reach = self.reach.get(&later).and_then(|reach| reach.get(chain));
        later != earlier && reach.is_some_and(|reach| reach >= number)
    }
}
