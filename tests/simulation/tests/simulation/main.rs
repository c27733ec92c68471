//! The exchange, by seed: phones and an office on a network that drops, delays, doubles, reorders and
//! breaks off; clocks that jump; phones that die, are put back, are revoked and replaced; disks that
//! fail. `WYTHE_ROUNDS` asks for more seeds, `WYTHE_FROM` begins at a later one,
//! `WYTHE_SEED` asks for one.

#[cfg(test)]
mod books;
#[cfg(test)]
mod chance;
#[cfg(test)]
mod handset;
#[cfg(test)]
mod mistake;
#[cfg(test)]
mod office_store;
#[cfg(test)]
mod phone_store;
#[cfg(test)]
mod promises;
#[cfg(test)]
mod run;
#[cfg(test)]
mod world;

#[cfg(test)]
mod tests {
    use crate::mistake::Mistake;
    use crate::run::run;
    use crate::world::{Setup, World};

    /// The seeds of the normal tier.
    const SEEDS: u64 = 200;
    /// One seed in so many keeps a phone's log in SQLite.
    const ON_DISK: u64 = 40;
    /// One seed in so many keeps the office's books in SQLite.
    const OFFICE_ON_DISK: u64 = 20;

    fn seeds() -> Vec<u64> {
        let asked = |name| {
            std::env::var(name)
                .ok()
                .map(|number| number.parse::<u64>().unwrap())
        };
        match asked("WYTHE_SEED") {
            Some(seed) => vec![seed],
            None => (asked("WYTHE_FROM").unwrap_or(1)..=asked("WYTHE_ROUNDS").unwrap_or(SEEDS)).collect(),
        }
    }

    fn setup(seed: u64) -> Setup {
        Setup {
            seed,
            phones: 2 + usize::try_from(seed % 3).unwrap(),
            on_disk: seed.is_multiple_of(ON_DISK),
            office_on_disk: seed.is_multiple_of(OFFICE_ON_DISK),
            mistake: None,
        }
    }

    fn sound(world: &World, seed: u64) {
        assert!(
            world.flaws.is_empty(),
            "seed {seed} (WYTHE_SEED={seed} plays it again): {:#?}",
            world.flaws
        );
    }

    #[test]
    fn whatever_happens_nothing_acknowledged_is_lost_and_all_end_equal() {
        for seed in seeds() {
            sound(&run(setup(seed)), seed);
        }
    }

    #[test]
    fn a_seed_plays_the_same_again() {
        for seed in [3, 11] {
            let (first, second) = (run(setup(seed)), run(setup(seed)));
            assert_eq!(first.trace, second.trace, "seed {seed}");
            assert_eq!(first.now, second.now, "seed {seed}");
            assert_ne!(first.trace, run(setup(seed + 1)).trace);
        }
    }

    #[test]
    fn each_planted_mistake_is_noticed() {
        for mistake in Mistake::ALL {
            let caught = (1..=SEEDS).find_map(|seed| {
                let planted = Setup {
                    mistake: Some(mistake),
                    on_disk: false,
                    office_on_disk: false,
                    ..setup(seed)
                };
                let flaws = run(planted).flaws;
                flaws.first().map(|flaw| (seed, flaw.clone()))
            });
            let (seed, flaw) = caught.unwrap_or_else(|| panic!("{mistake:?} is not noticed"));
            println!("{mistake:?}: seed {seed}: {flaw}");
        }
    }
}
