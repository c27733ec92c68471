//! A full disk and a failing one: each operation of a script fails once, or from there on. Nothing
//! acknowledged is lost, nothing half there is shown, and work goes on when the trouble is over.
//!
//! `WYTHE_SEED=n` runs one script.

#[cfg(test)]
#[path = "../../../core/store/tests/crew/mod.rs"]
mod crew;
#[cfg(test)]
mod script;

use crew::seeds;
use script::Crew;
use wythe_test_power_loss::disk::{PowerDisk, Trouble};
use wythe_test_power_loss::file_layer;

const SCRIPTS: u64 = 2;
const THINGS: usize = 8;

#[cfg(test)]
fn each_operation_fails(trouble: Trouble, layer: &str) {
    let disk = PowerDisk::new(0);
    file_layer::register(layer, &disk).unwrap();
    for seed in seeds(SCRIPTS) {
        Crew::new(disk.clone(), layer, seed).suffer(THINGS).unwrap();
        let operations = match trouble {
            Trouble::Unreadable => disk.readings(),
            _ => disk.operations(),
        };
        assert!(operations > 60, "there is something to fail: {operations}");
        for after in 1..=operations {
            let mut crew = Crew::new(disk.clone(), layer, seed);
            disk.plan(after, trouble);
            let broken = crew.suffer(THINGS);
            assert_eq!(broken, Ok(()), "WYTHE_SEED={seed}, {trouble:?} at {after}");
        }
    }
}

#[test]
fn a_full_disk_loses_nothing() {
    each_operation_fails(Trouble::Full, "full");
}

#[test]
fn a_fault_in_writing_loses_nothing() {
    each_operation_fails(Trouble::Fault, "fault");
}

#[test]
fn a_fault_in_reading_loses_nothing() {
    each_operation_fails(Trouble::Unreadable, "unreadable");
}
