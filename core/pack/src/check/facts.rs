//! Steps 14 to 18: the facts, their signatures, chains, links and payloads.

use std::collections::{BTreeMap, BTreeSet};

use wythe_job::{Body, Chain, Fact, FactId, Refusal, Stream, canonical, may_be_erased};

use super::contents::{Signers, verify};
use crate::fault::PackFault;
use crate::manifest::{ChainLine, ForkLine, Manifest, PackReader};
use crate::members::MAX_FACTS;

/// The facts of a pack, checked.
pub(crate) struct CheckedFacts {
    /// In the order of the file.
    pub(crate) in_order: Vec<Fact>,
    /// Those whose payload an `erased` fact accounts for.
    pub(crate) erased: Vec<FactId>,
    /// The names of the packed originals.
    pub(crate) packed: BTreeSet<String>,
}

pub(crate) fn check_facts(
    bytes: &[u8],
    manifest: &Manifest,
    signers: &Signers,
) -> Result<CheckedFacts, PackFault> {
    let in_order = read(bytes, manifest, signers)?;
    check_chains(&in_order, manifest)?;
    check_told(&in_order, manifest, signers)?;
    check_links(&in_order)?;
    let erased = check_payloads(&in_order, manifest)?;
    let packed = manifest.members.iter().map(|line| line.name.clone()).collect();
    Ok(CheckedFacts {
        in_order,
        erased,
        packed,
    })
}

/// The order of facts in `facts.cbor`.
pub(crate) fn place(fact: &Fact) -> (Chain, u64, FactId) {
    (fact.envelope().chain(), fact.envelope().number, fact.id())
}

fn read(bytes: &[u8], manifest: &Manifest, signers: &Signers) -> Result<Vec<Fact>, PackFault> {
    let mut facts: Vec<Fact> = Vec::new();
    let mut rest = bytes;
    while !rest.is_empty() {
        if facts.len() == MAX_FACTS {
            return Err(PackFault::TooLong("facts.cbor".into()));
        }
        let unreadable = |refusal: Refusal| PackFault::Fact {
            index: facts.len() + 1,
            refusal,
        };
        let (item, after) = canonical::split_first(rest).map_err(unreadable)?;
        let fact = Fact::decode(item).map_err(unreadable)?;
        if facts.last().is_some_and(|last| place(last) >= place(&fact)) {
            return Err(PackFault::FactOrder(fact.id()));
        }
        if fact.envelope().business != manifest.business {
            return Err(PackFault::WrongBusiness(fact.id()));
        }
        if fact.envelope().stream != Stream::from(manifest.job) {
            return Err(PackFault::WrongJob(fact.id()));
        }
        verify(&fact, signers).map_err(|refusal| match refusal {
            Refusal::UnknownDevice(id) => PackFault::UnknownDevice(id),
            _ => PackFault::FactSignature(fact.id()),
        })?;
        facts.push(fact);
        rest = after;
    }
    Ok(facts)
}

fn check_chains(facts: &[Fact], manifest: &Manifest) -> Result<(), PackFault> {
    let told: BTreeSet<ForkLine> = manifest.forks.iter().copied().collect();
    let mut found: BTreeSet<ForkLine> = BTreeSet::new();
    let mut last: Option<(Chain, u64)> = None;
    let mut before: Vec<FactId> = Vec::new();
    let mut here: Vec<FactId> = Vec::new();
    for fact in facts {
        let (chain, number) = (fact.envelope().chain(), fact.envelope().number);
        let follows = last.filter(|(before, _)| *before == chain).map(|(_, n)| n);
        if follows == Some(number) {
            let fork = ForkLine {
                device: chain.device,
                epoch: chain.epoch,
                number,
            };
            if !told.contains(&fork) {
                return Err(PackFault::ChainFork { chain, number });
            }
            found.insert(fork);
        } else if number == follows.map_or(1, |n| n + 1) {
            before = if follows.is_some() { here } else { Vec::new() };
            here = Vec::new();
        } else {
            return Err(PackFault::ChainGap(fact.id()));
        }
        let previous = fact.envelope().previous;
        if previous.is_some_and(|previous| !before.contains(&previous)) {
            return Err(PackFault::ChainBroken(fact.id()));
        }
        here.push(fact.id());
        last = Some((chain, number));
    }
    match told.difference(&found).next() {
        Some(fork) => Err(PackFault::ChainFork {
            chain: Chain {
                device: fork.device,
                epoch: fork.epoch,
            },
            number: fork.number,
        }),
        None => Ok(()),
    }
}

/// The chains as the manifest has to tell them.
pub(crate) fn chain_lines(facts: &[Fact], revoked: impl Fn(Chain) -> bool) -> Vec<ChainLine> {
    let mut lines: BTreeMap<Chain, (u64, u64, FactId)> = BTreeMap::new();
    for fact in facts {
        let number = fact.envelope().number;
        let line = lines
            .entry(fact.envelope().chain())
            .or_insert((0, number, fact.id()));
        line.0 += 1;
        // Of a number that stands twice the smaller id is told, which comes first.
        if number > line.1 {
            (line.1, line.2) = (number, fact.id());
        }
    }
    let line = |(chain, (facts, _, last)): (Chain, (u64, u64, FactId))| ChainLine {
        device: chain.device,
        epoch: chain.epoch,
        facts,
        last,
        revoked: revoked(chain),
    };
    lines.into_iter().map(line).collect()
}

fn check_told(facts: &[Fact], manifest: &Manifest, signers: &Signers) -> Result<(), PackFault> {
    let lines = chain_lines(facts, |chain| signers.revoked.contains(&chain.device));
    if u64::try_from(facts.len()).ok() != Some(manifest.facts) {
        return Err(PackFault::Chains("their number".into()));
    }
    if lines != manifest.chains {
        return Err(PackFault::Chains("its chains".into()));
    }
    let mut used = signers.used.clone();
    used.extend(facts.iter().map(|fact| fact.envelope().chain()));
    let mut numbered = (1..).zip(signers.certificates.keys());
    match numbered.find(|(_, chain)| !used.contains(chain)) {
        Some((index, _)) => Err(PackFault::Certificate {
            index,
            why: "nothing here needs it".into(),
        }),
        None => Ok(()),
    }
}

fn check_links(facts: &[Fact]) -> Result<(), PackFault> {
    let places: BTreeMap<FactId, (Chain, u64)> = facts
        .iter()
        .map(|fact| (fact.id(), (fact.envelope().chain(), fact.envelope().number)))
        .collect();
    for fact in facts {
        let envelope = fact.envelope();
        let mut seen = envelope.seen.iter();
        let unseen = seen.find(|seen| places.get(&seen.id) != Some(&(seen.chain, seen.number)));
        let mut replaced = envelope.replaces.iter();
        let missing = unseen
            .map(|seen| seen.id)
            .or_else(|| replaced.find(|id| !places.contains_key(id)).copied());
        if let Some(missing) = missing {
            return Err(PackFault::FactMissing {
                fact: fact.id(),
                missing,
            });
        }
    }
    Ok(())
}

/// The facts that an `erased` fact names. One that names a strike or an erasure does not count.
pub(crate) fn erased_by(facts: &[Fact]) -> BTreeSet<FactId> {
    let kinds: BTreeMap<FactId, &str> = facts
        .iter()
        .map(|fact| (fact.id(), fact.envelope().kind.as_str()))
        .collect();
    facts
        .iter()
        .filter_map(|fact| match fact.body() {
            Some(Body::Erased(body)) => Some(body.fact),
            _ => None,
        })
        .filter(|id| kinds.get(id).is_none_or(|kind| may_be_erased(kind)))
        .collect()
}

fn check_payloads(facts: &[Fact], manifest: &Manifest) -> Result<Vec<FactId>, PackFault> {
    let erased = erased_by(facts);
    let listed: BTreeSet<FactId> = manifest.left_out.iter().map(|line| line.fact).collect();
    for fact in facts {
        let explained = erased.contains(&fact.id()) || listed.contains(&fact.id());
        match fact.payload() {
            None if !explained => return Err(PackFault::PayloadMissing(fact.id())),
            Some(_) if explained => return Err(PackFault::PayloadPresent(fact.id())),
            _ => {}
        }
    }
    let kinds: BTreeMap<FactId, &str> = facts
        .iter()
        .map(|fact| (fact.id(), fact.envelope().kind.as_str()))
        .collect();
    for id in &listed {
        let fits = kinds.get(id).is_some_and(|kind| may_be_erased(kind)) && !erased.contains(id);
        if !fits || manifest.reader == PackReader::Full {
            return Err(PackFault::LeftOut(format!("fact {id}")));
        }
    }
    let here = facts.iter().map(Fact::id);
    Ok(here.filter(|id| erased.contains(id)).collect())
}
