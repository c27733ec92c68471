//! The guide and the programmes that are carried along are read whole.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a test that cannot go on stops, and reads the files it speaks of"
)]

use wythe_guide::{Guide, Programme};

#[test]
fn the_guide_and_the_demo_programme_load() {
    let guide = Guide::embedded().unwrap();
    assert_eq!(guide.stages.len(), 11);
    for stage in &guide.stages {
        assert!(guide.asks_of_stage(&stage.id).count() >= 3, "{}", stage.id);
    }
    let text = include_str!("../../../fixtures/programmes/larkspur.toml");
    let programme = Programme::load("larkspur.toml", text, &guide).unwrap();
    assert!(programme.requirements.len() > 30);
}
