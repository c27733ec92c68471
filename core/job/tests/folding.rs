//! Folding is a pure function of the set of facts, and never loses what stands behind an answer.

#[cfg(test)]
mod crew;

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use proptest::prelude::*;
    use proptest::strategy::ValueTree;
    use proptest::test_runner::{Config, RngSeed, TestRunner};
    use wythe_job::{Body, Causality, Chain, Fact, FactId, Facts, Gap, Job, Order, fold, is_critical};

    use crate::crew::{play, script};

    const SEED: u64 = 0xf01d;

    fn check<S: Strategy>(strategy: S, test: impl Fn(S::Value) -> Result<(), TestCaseError>) {
        println!("seed {SEED:#x}");
        let config = Config {
            cases: 160,
            failure_persistence: None,
            rng_seed: RngSeed::Fixed(SEED),
            ..Config::default()
        };
        TestRunner::new(config).run(&strategy, test).unwrap();
    }

    /// Sorts a list as random numbers tell.
    fn shuffled(facts: &[Fact], keys: &[u64]) -> Vec<Fact> {
        let mut order: Vec<(u64, usize)> = (0..facts.len())
            .map(|index| {
                (
                    keys[index % keys.len()].rotate_left(u32::try_from(index % 64).unwrap()),
                    index,
                )
            })
            .collect();
        order.sort_unstable();
        order.into_iter().map(|(_, index)| facts[index].clone()).collect()
    }

    fn keys() -> impl Strategy<Value = Vec<u64>> {
        prop::collection::vec(any::<u64>(), 7)
    }

    fn part(facts: &[Fact], bits: u64) -> Facts {
        let chosen = facts.iter().enumerate();
        let chosen =
            chosen.filter(|(index, _)| bits.rotate_left(u32::try_from(index % 64).unwrap()) & 1 == 1);
        chosen.map(|(_, fact)| fact.clone()).collect()
    }

    #[test]
    fn order_duplicates_and_detours_change_nothing() {
        check((script(), keys(), any::<u64>()), |(script, keys, bits)| {
            let facts = play(&script);
            let whole = fold(&facts.iter().cloned().collect());
            let mut shuffled = shuffled(&facts, &keys);
            prop_assert_eq!(&fold(&shuffled.iter().cloned().collect()), &whole);
            shuffled.extend(facts.iter().take(9).cloned());
            prop_assert_eq!(&fold(&shuffled.into_iter().collect()), &whole, "with duplicates");
            let mut grown = part(&facts, bits);
            let _halfway = fold(&grown);
            grown.extend(facts.iter().cloned());
            prop_assert_eq!(&fold(&grown), &whole, "a part first, then the rest");
            let read = facts.iter().map(|fact| Fact::decode(&fact.encode()).unwrap());
            prop_assert_eq!(&fold(&read.collect()), &whole, "as they are carried");
            Ok(())
        });
    }

    #[test]
    fn an_erased_payload_counts_for_nothing_whether_it_still_lies_here_or_not() {
        check(script(), |script| {
            let facts = play(&script);
            let whole = fold(&facts.iter().cloned().collect());
            let drop = |fact: &Fact| match whole.erased.contains_key(&fact.id()) {
                true => fact.without_payload(),
                false => fact.clone(),
            };
            prop_assert_eq!(&fold(&facts.iter().map(drop).collect()), &whole);
            Ok(())
        });
    }

    /// What the description says, word for word, without regard for speed.
    struct Plain<'a> {
        facts: BTreeMap<FactId, &'a Fact>,
        strikes: BTreeMap<FactId, Vec<FactId>>,
    }

    impl<'a> Plain<'a> {
        fn of(facts: &'a Facts) -> Self {
            let strikes = facts.iter().filter_map(|fact| match fact.body() {
                Some(Body::StruckOut(body)) => Some((fact.id(), body.facts)),
                _ => None,
            });
            Self {
                facts: facts.iter().map(|fact| (fact.id(), fact)).collect(),
                strikes: strikes.collect(),
            }
        }

        fn struck(&self, id: FactId) -> bool {
            let mut naming = self.strikes.iter().filter(|(_, named)| named.contains(&id));
            naming.any(|(strike, _)| !self.struck(*strike))
        }

        /// Whether `later` replaced `earlier`, directly or through facts that were struck out.
        fn names(&self, later: FactId, earlier: FactId) -> bool {
            let Some(fact) = self.facts.get(&later) else {
                return false;
            };
            let mut named = fact.envelope().replaces.iter();
            named.any(|id| *id == earlier || self.struck(*id) && self.names(*id, earlier))
        }

        fn replaced(&self, id: FactId) -> bool {
            let mut all = self.facts.keys();
            all.any(|later| !self.struck(*later) && self.names(*later, id))
        }
    }

    fn every_answer_is_accounted_for(facts: &Facts, job: &Job) -> Result<(), TestCaseError> {
        let plain = Plain::of(facts);
        for fact in facts.iter() {
            let id = fact.id();
            prop_assert_eq!(job.is_struck(id), plain.struck(id));
            prop_assert_eq!(job.is_replaced(id), plain.replaced(id));
            let Some(Body::Answered(_) | Body::Agreed(_)) = fact.body() else {
                continue;
            };
            if job.erased.contains_key(&id) {
                continue;
            }
            let body = fact.body().unwrap();
            let address = body.address().unwrap();
            let kept = job.record[address].iter().filter(|entry| entry.fact == id);
            let kept: Vec<_> = kept.collect();
            prop_assert_eq!(kept.len(), 1, "once in the record");
            prop_assert_eq!(kept[0].struck.is_some(), plain.struck(id));
            let head = job.heads_of(address).iter().any(|entry| entry.fact == id);
            prop_assert_eq!(head, !plain.struck(id) && !plain.replaced(id));
        }
        Ok(())
    }

    #[test]
    fn every_answer_is_a_head_or_replaced_by_one_that_holds_or_struck() {
        check((script(), any::<u64>()), |(script, bits)| {
            let facts = play(&script);
            for set in [part(&facts, bits), facts.iter().cloned().collect()] {
                every_answer_is_accounted_for(&set, &fold(&set))?;
            }
            Ok(())
        });
    }

    #[test]
    fn an_address_with_an_answer_that_holds_has_a_head() {
        check((script(), any::<u64>()), |(script, bits)| {
            let facts = play(&script);
            let set = part(&facts, bits);
            let job = fold(&set);
            let plain = Plain::of(&set);
            for (address, entries) in &job.record {
                // What an erased answer or one of an unknown kind replaced does not come back.
                let out_of_sight = |id: FactId| {
                    let mut all = plain.facts.iter();
                    all.any(|(later, fact)| {
                        let dark =
                            job.erased.contains_key(later) || is_critical(&fact.envelope().kind).is_none();
                        dark && !plain.struck(*later) && plain.names(*later, id)
                    })
                };
                let holding = |id: FactId| !plain.struck(id) && !out_of_sight(id);
                if entries.iter().any(|entry| holding(entry.fact)) {
                    prop_assert!(!job.heads_of(address).is_empty(), "{address}");
                }
            }
            Ok(())
        });
    }

    #[test]
    fn an_unknown_critical_kind_asks_for_a_newer_program() {
        check(script(), |script| {
            let facts = play(&script);
            let job = fold(&facts.iter().cloned().collect());
            let unknown = |fact: &&Fact| is_critical(&fact.envelope().kind).is_none();
            let critical = facts.iter().filter(unknown).any(|fact| fact.envelope().critical);
            prop_assert_eq!(job.needs_newer_program(), critical);
            prop_assert_eq!(job.unknown.len(), facts.iter().filter(unknown).count());
            let bare: Facts = facts.iter().map(Fact::without_payload).collect();
            prop_assert_eq!(
                fold(&bare).needs_newer_program(),
                critical,
                "the envelope says so"
            );
            Ok(())
        });
    }

    #[test]
    fn instances_are_there_when_one_who_holds_says_so() {
        check(script(), |script| {
            let facts: Facts = play(&script).into_iter().collect();
            let job = fold(&facts);
            let plain = Plain::of(&facts);
            let mut there = BTreeSet::new();
            for fact in facts.iter() {
                let id = fact.id();
                if let Some(Body::Instance(body)) = fact.body()
                    && body.there
                    && !job.erased.contains_key(&id)
                    && !plain.struck(id)
                    && !plain.replaced(id)
                {
                    there.insert(body.address.path[0].number);
                }
            }
            let told = job.instances_of(&wythe_job::Address::of(""), "room");
            prop_assert_eq!(told, there.into_iter().collect::<Vec<_>>());
            Ok(())
        });
    }

    #[test]
    fn forks_are_seen_and_nothing_else_is_wrong_with_the_chains() {
        check(script(), |script| {
            let facts: Facts = play(&script).into_iter().collect();
            let mut places: BTreeMap<(Chain, u64), usize> = BTreeMap::new();
            for fact in facts.iter() {
                let envelope = fact.envelope();
                *places.entry((envelope.chain(), envelope.number)).or_default() += 1;
            }
            let twice = places.iter().filter(|(_, count)| **count > 1);
            let twice: Vec<Gap> = twice
                .map(|((chain, number), _)| Gap::Forked {
                    chain: *chain,
                    number: *number,
                })
                .collect();
            prop_assert_eq!(facts.gaps(), twice);
            Ok(())
        });
    }

    #[test]
    fn order_is_what_was_seen_whatever_the_clocks_say() {
        check(script(), |script| {
            let facts: Facts = play(&script).into_iter().take(40).collect();
            let causality = Causality::of(&facts);
            let mut before: BTreeMap<FactId, BTreeSet<FactId>> = BTreeMap::new();
            for fact in play(&script).iter().take(40) {
                let parents = fact.envelope().previous.into_iter();
                let parents = parents.chain(fact.envelope().seen.iter().map(|seen| seen.id));
                let mut all = BTreeSet::new();
                for parent in parents {
                    all.insert(parent);
                    all.extend(before.get(&parent).into_iter().flatten());
                }
                before.insert(fact.id(), all);
            }
            for (one, known) in &before {
                for other in before.keys() {
                    let expected = if known.contains(other) {
                        Order::After
                    } else if before[other].contains(one) {
                        Order::Before
                    } else {
                        Order::Unknown
                    };
                    prop_assert_eq!(causality.order(*one, *other), expected);
                }
            }
            Ok(())
        });
    }

    #[test]
    fn the_scripts_make_what_they_are_for() {
        let (mut forks, mut struck_strikes, mut disagreements, mut erased) = (0, 0, 0, 0);
        let config = Config {
            rng_seed: RngSeed::Fixed(SEED),
            failure_persistence: None,
            ..Config::default()
        };
        let mut runner = TestRunner::new(config);
        for _ in 0..160 {
            let script = script().new_tree(&mut runner).unwrap().current();
            let facts: Facts = play(&script).into_iter().collect();
            let job = fold(&facts);
            forks += facts.gaps().len();
            erased += job.erased.len();
            disagreements += job.heads.values().filter(|heads| heads.len() > 1).count();
            let strikes = facts.iter().filter(|fact| fact.envelope().kind == "struck_out");
            struck_strikes += strikes.filter(|fact| job.is_struck(fact.id())).count();
        }
        let counts = [forks, struck_strikes, disagreements, erased];
        assert!(counts.iter().all(|count| *count > 10), "{counts:?}");
    }
}
