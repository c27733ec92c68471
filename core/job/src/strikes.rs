use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Body, StruckOut};
use crate::fact::Fact;
use crate::id::FactId;

/// Which facts are struck out, by which strike and why.
pub(crate) type Strikes = BTreeMap<FactId, (FactId, String)>;

/// Finds the facts that are struck out. A strike that is itself struck out does not count, so that
/// taking back a strike restores what it struck; and so on. A fact can only name facts that were
/// there before it, so this needs no clock: a strike is judged after all that name it.
///
/// `bodies` are in the order of display; of several strikes of one fact the first is told.
pub(crate) fn strikes(bodies: &[(&Fact, Option<Body>)]) -> Strikes {
    let all: BTreeMap<FactId, &StruckOut> = bodies
        .iter()
        .filter_map(|(fact, body)| match body {
            Some(Body::StruckOut(strike)) => Some((fact.id(), strike)),
            _ => None,
        })
        .collect();
    let counting = counting(&all);
    let mut struck = Strikes::new();
    for (fact, _) in bodies {
        let strike = all.get(&fact.id()).filter(|_| counting.contains(&fact.id()));
        for id in strike.into_iter().flat_map(|strike| &strike.facts) {
            struck
                .entry(*id)
                .or_insert_with(|| (fact.id(), strike.map(|s| s.reason.clone()).unwrap_or_default()));
        }
    }
    struck
}

/// The strikes that no counting strike names.
fn counting(all: &BTreeMap<FactId, &StruckOut>) -> BTreeSet<FactId> {
    let mut open: BTreeMap<FactId, usize> = all.keys().map(|id| (*id, 0)).collect();
    for named in all.values().flat_map(|strike| &strike.facts) {
        if let Some(strikers) = open.get_mut(named) {
            *strikers += 1;
        }
    }
    let mut ready: Vec<FactId> = open
        .iter()
        .filter(|(_, strikers)| **strikers == 0)
        .map(|(id, _)| *id)
        .collect();
    let mut counting = BTreeSet::new();
    let mut out = BTreeSet::new();
    while let Some(id) = ready.pop() {
        let counts = !out.contains(&id);
        if counts {
            counting.insert(id);
        }
        for named in all.get(&id).into_iter().flat_map(|strike| &strike.facts) {
            if counts {
                out.insert(*named);
            }
            if let Some(strikers) = open.get_mut(named) {
                *strikers -= 1;
                if *strikers == 0 {
                    ready.push(*named);
                }
            }
        }
    }
    counting
}
