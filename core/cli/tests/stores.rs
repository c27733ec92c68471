//! Stores that something happened to, as a person at the command line meets them: copied, put back,
//! damaged. What is said, what still works, and how to go on.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::process::Command;

const PROGRAMME: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../fixtures/programmes/larkspur.toml"
);
const WIDTH: &str = "survey.tile_inside_a@tile_section:1";

struct Said {
    good: bool,
    out: String,
    err: String,
}

/// A business with an office, a phone in the room and one job.
struct World {
    folder: tempfile::TempDir,
    job: String,
}

impl World {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut world = Self {
            folder,
            job: String::new(),
        };
        let business = ["--business", "Ninefold Hearth", "--person", "Odalys Inkwell"];
        world.good("office", "begin", &business);
        world.good("office", "programme", &[PROGRAMME]);
        let office = world.path("office");
        let join = [
            "--join",
            office.to_str().unwrap(),
            "--person",
            "Bram Copperkettle",
        ];
        world.good("room", "begin", &join);
        let new = [
            "new",
            "--label",
            "Featherstep",
            "--zone",
            "America/Denver",
            "--programme",
            "larkspur",
        ];
        let opened = world.good("room", "job", &new);
        world.job = opened.out.split(' ').nth(1).unwrap().to_owned();
        world
    }

    fn path(&self, store: &str) -> PathBuf {
        self.folder.path().join(store)
    }

    fn run(&self, store: &str, command: &str, rest: &[&str]) -> Said {
        let out = Command::new(env!("CARGO_BIN_EXE_wythe"))
            .args([command, "--store"])
            .arg(self.path(store))
            .args(rest)
            .output()
            .unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
        Said {
            good: out.status.success(),
            out: text(out.stdout),
            err: text(out.stderr),
        }
    }

    fn good(&self, store: &str, command: &str, rest: &[&str]) -> Said {
        let said = self.run(store, command, rest);
        assert!(said.good, "{command} {rest:?}: {}", said.err);
        said
    }

    fn answer(&self, store: &str, typed: &str) -> Said {
        self.run(store, "job", &["answer", &self.job, WIDTH, typed])
    }

    fn entries(&self, store: &str) -> Vec<String> {
        let said = self.good(store, "job", &["entries", &self.job, WIDTH]);
        said.out.lines().map(str::to_owned).collect()
    }

    /// Carries everything from one store to another.
    fn carry(&self, from: &str, to: &str) {
        let file = self.path("carried.wythe");
        self.good(from, "carry", &["out", file.to_str().unwrap()]);
        let said = self.good(to, "carry", &["in", file.to_str().unwrap()]);
        assert!(!said.out.contains("Set aside"), "{}", said.out);
    }

    fn begin_epoch(&self, store: &str) -> Said {
        let office = self.path("office");
        self.good(
            store,
            "begin",
            &["--new-epoch", "--join", office.to_str().unwrap()],
        )
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let goal = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &goal);
        } else {
            std::fs::copy(entry.path(), goal).unwrap();
        }
    }
}

/// Overwrites part of a store's file.
fn spoil(store: &Path, at: u64, length: usize) {
    let file = store.join("log.sqlite");
    let mut file = std::fs::OpenOptions::new().write(true).open(file).unwrap();
    file.seek(SeekFrom::Start(at)).unwrap();
    file.write_all(&vec![0xa5; length]).unwrap();
}

#[test]
fn a_copied_phone_is_read_and_records_again_after_a_new_epoch() {
    let world = World::new();
    assert!(world.answer("room", "6 1/2 in").good);
    copy(&world.path("room"), &world.path("clone"));
    assert_eq!(world.entries("clone").len(), 1, "what is there can be read");
    let refused = world.answer("clone", "6 3/8 in");
    assert!(
        !refused.good && refused.err.contains("--new-epoch"),
        "{}",
        refused.err
    );
    let other = World::new();
    let strangers = other.path("office");
    let foreign = world.run(
        "clone",
        "begin",
        &["--new-epoch", "--join", strangers.to_str().unwrap()],
    );
    assert!(
        !foreign.good && foreign.err.contains("another business"),
        "{}",
        foreign.err
    );
    world.begin_epoch("clone");
    assert!(world.answer("clone", "6 3/8 in").good);
    assert!(
        world.answer("room", "6 5/8 in").good,
        "the first phone goes on as before"
    );
    world.carry("clone", "office");
    world.carry("room", "office");
    let entries = world.entries("office");
    assert_eq!(entries.len(), 3, "both branches are kept and shown: {entries:?}");
    let pack = world.path("claim.zip");
    let file = pack.to_str().unwrap();
    world.good(
        "office",
        "pack",
        &[&world.job, "--out", file, "--today", "2026-03-03"],
    );
    let checked = Command::new(env!("CARGO_BIN_EXE_wythe"))
        .args(["check-pack", file])
        .output();
    assert!(checked.unwrap().status.success());
}

#[test]
fn a_phone_put_back_from_a_copy_again_and_again_never_gives_a_number_twice() {
    let world = World::new();
    assert!(world.answer("room", "6 1/2 in").good);
    let (room, backup) = (world.path("room"), world.path("backup"));
    copy(&room, &backup);
    for typed in ["6 5/8 in", "6 3/4 in", "6 7/8 in"] {
        let office = world.path("office");
        let _told = world.run(
            "room",
            "begin",
            &["--new-epoch", "--join", office.to_str().unwrap()],
        );
        assert!(world.answer("room", typed).good);
        world.carry("room", "office");
        for file in ["log.sqlite", "log.sqlite-wal"] {
            let _gone = std::fs::remove_file(room.join(file));
            let _none = std::fs::copy(backup.join(file), room.join(file));
        }
        let refused = world.answer("room", "7 in");
        assert!(
            !refused.good && refused.err.contains("--new-epoch"),
            "{}",
            refused.err
        );
    }
    let held = world.entries("office");
    assert_eq!(held.len(), 4, "{held:?}");
}

#[test]
fn an_office_that_was_put_back_certifies_itself_and_goes_on() {
    let world = World::new();
    world.carry("room", "office");
    copy(&world.path("office"), &world.path("elsewhere"));
    assert!(!world.answer("elsewhere", "6 1/2 in").good);
    world.good("elsewhere", "begin", &["--new-epoch"]);
    assert!(world.answer("elsewhere", "6 1/2 in").good);
    world.carry("elsewhere", "room");
    assert_eq!(world.entries("room").len(), 1, "the phones believe its new key");
    let phone = world.run("room", "begin", &["--new-epoch"]);
    assert!(!phone.good, "a phone cannot certify itself");
}

#[test]
fn a_damaged_store_says_so_once_and_keeps_what_can_be_read() {
    let world = World::new();
    for typed in ["6 1/2 in", "6 5/8 in", "6 3/4 in"] {
        assert!(world.answer("room", typed).good);
    }
    // The head of the file, so that SQLite itself would not open it.
    spoil(&world.path("room"), 0, 100);
    let first = world.good("room", "job", &["entries", &world.job, WIDTH]);
    assert!(
        first.err.contains("The store's file was damaged. Saved from it"),
        "{}",
        first.err
    );
    assert!(
        first.err.contains("set-aside"),
        "it says where the damaged file lies: {}",
        first.err
    );
    assert_eq!(first.out.lines().count(), 3, "{}", first.out);
    let again = world.good("room", "job", &["entries", &world.job, WIDTH]);
    assert!(!again.err.contains("damaged. Saved"), "said once: {}", again.err);
    let refused = world.answer("room", "7 in");
    assert!(
        !refused.good && refused.err.contains("salvaged"),
        "{}",
        refused.err
    );
    world.begin_epoch("room");
    assert!(world.answer("room", "7 in").good);
    world.carry("room", "office");
    assert_eq!(world.entries("office").len(), 4);
}

#[test]
fn notices_are_json_for_programs() {
    let world = World::new();
    spoil(&world.path("room"), 0, 100);
    let said = world.good("room", "job", &["--json", "list"]);
    let notices: Vec<serde_json::Value> = said
        .err
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let codes: Vec<&str> = notices
        .iter()
        .filter_map(|n| n["notice"]["code"].as_str())
        .collect();
    assert_eq!(
        codes,
        ["salvaged", "epoch_due"],
        "what was saved, and that a new epoch is due"
    );
}
