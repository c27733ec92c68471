//! Power goes at any moment: nothing acknowledged is lost, nothing half there is shown.
//!
//! `WYTHE_SEED=n` replays one life.

#[cfg(test)]
#[path = "../../../core/store/tests/crew/mod.rs"]
mod crew;
#[cfg(test)]
mod script;

use crew::seeds;
use script::Crew;
use wythe_test_power_loss::disk::{Mistake, PowerDisk};
use wythe_test_power_loss::file_layer;

/// Lives, and cuts in each: two thousand cuts.
const LIVES: u64 = 500;
const CUTS: usize = 4;

#[test]
fn nothing_acknowledged_is_lost_and_nothing_half_there_is_shown() {
    let disk = PowerDisk::new(0);
    file_layer::register("cuts", &disk).unwrap();
    for seed in seeds(LIVES) {
        let broken = Crew::new(disk.clone(), "cuts", seed).live(CUTS);
        assert_eq!(broken, Ok(()), "WYTHE_SEED={seed}");
    }
}

/// The test above would be worth nothing if it passed with these.
#[test]
fn each_planted_mistake_is_noticed() {
    let disk = PowerDisk::new(0);
    file_layer::register("mistakes", &disk).unwrap();
    let mistakes = [
        Mistake::Database,
        Mistake::Journal,
        Mistake::Originals,
        Mistake::OriginalsFolders,
        Mistake::StoreFolder,
    ];
    for mistake in mistakes {
        let noticed = (1..=200).find_map(|seed| {
            let mut crew = Crew::new(disk.clone(), "mistakes", seed);
            disk.plant(Some(mistake));
            crew.live(CUTS).err().map(|broken| (seed, broken))
        });
        let (seed, broken) = noticed.unwrap_or_else(|| panic!("{mistake:?} goes unnoticed"));
        println!("{mistake:?}: seed {seed}, {broken}");
    }
}
