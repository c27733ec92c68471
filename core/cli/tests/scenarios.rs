//! Every scenario file plays to its end; its `expect` acts are its checks.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

use std::path::Path;
use std::process::Command;

fn wythe(args: &[&str]) -> (bool, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_wythe"))
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
    (out.status.success(), text(out.stdout), text(out.stderr))
}

#[test]
fn every_scenario_plays() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/scenarios");
    let mut played = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let out = tempfile::tempdir().unwrap();
        let (good, story, trouble) = wythe(&[
            "demo",
            "--scenario",
            path.to_str().unwrap(),
            "--out",
            out.path().to_str().unwrap(),
        ]);
        assert!(good, "{}: {trouble}", path.display());
        assert!(!story.is_empty());
        played += 1;
    }
    assert!(played >= 1);
}

#[test]
fn the_scenarios_that_come_along_are_known_by_name() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/scenarios");
    let files = std::fs::read_dir(folder).unwrap();
    let paths = files.map(|entry| entry.unwrap().path());
    let mut names: Vec<String> = paths
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    names.sort();
    let (good, list, _) = wythe(&["demo", "--list"]);
    let mut listed: Vec<String> = list
        .lines()
        .map(|line| line.split(' ').next().unwrap().to_owned())
        .collect();
    listed.sort();
    assert!(good);
    assert_eq!(names, listed);
    let out = tempfile::tempdir().unwrap();
    let out = out.path().to_str().unwrap();
    let (good, story, trouble) = wythe(&["demo", "--scenario", "lapsed_licence", "--out", out]);
    assert!(good, "{trouble}");
    assert!(story.contains("Licence good on the day"), "{story}");
}

#[test]
fn a_pack_with_any_byte_changed_is_refused_and_says_what_is_wrong() {
    let out = tempfile::tempdir().unwrap();
    let (good, story, trouble) = wythe(&["demo", "--out", out.path().to_str().unwrap()]);
    assert!(good, "{trouble}");
    let pack = out.path().join("claim-pack.zip");
    let line = story
        .lines()
        .find(|line| line.starts_with("wythe check-pack"))
        .unwrap();
    let fingerprint = line.split(' ').next_back().unwrap();
    let file = pack.to_str().unwrap();
    let (good, said, _) = wythe(&["check-pack", file, "--trust", fingerprint]);
    assert!(
        good && said.contains("signed by the business you named"),
        "{said}"
    );
    let (good, said, _) = wythe(&["check-pack", file]);
    assert!(good && said.contains("signer not known to you"), "{said}");
    let other = "00".repeat(32);
    assert!(!wythe(&["check-pack", file, "--trust", &other]).0);
    let bytes = std::fs::read(&pack).unwrap();
    let broken = out.path().join("broken.zip");
    for part in 0..24 {
        let at = bytes.len() / 24 * part + part;
        let mut flipped = bytes.clone();
        flipped[at] ^= 0x10;
        std::fs::write(&broken, &flipped).unwrap();
        let (good, _, trouble) = wythe(&["check-pack", broken.to_str().unwrap()]);
        assert!(!good, "byte {at}");
        assert!(trouble.trim().len() > 10, "{trouble}");
    }
}

#[test]
fn bad_words_end_with_status_two_and_a_way_out() {
    let out = tempfile::tempdir().unwrap();
    let store = out.path().join("s");
    let store = store.to_str().unwrap();
    let code = |args: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_wythe"))
            .args(args)
            .output()
            .unwrap()
            .status
            .code()
    };
    assert_eq!(code(&["job", "--store", store, "list"]), Some(2));
    assert_eq!(code(&["reckon", "no_such_sum"]), Some(2));
    assert_eq!(code(&["check-pack", "/dev/null"]), Some(2));
    assert_eq!(code(&["begin", "--store", store, "--person", "Nib"]), Some(2));
    let (good, _, trouble) = wythe(&["--json", "job", "--store", store, "see", "ab"]);
    assert!(!good && trouble.contains("\"code\""), "{trouble}");
}
