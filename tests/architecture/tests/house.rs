//! Each rule of the house, held against the repository as it is.

use std::path::Path;

use wythe_test_architecture::{
    Files, Tree, Workspace, broken_arrows, careless_crates, impure_clippy, impure_libraries, long_files,
    machine_paths, missing_libraries, missing_maths, readme_without_job, registry_hosts, strange_top_level,
    strayed_libraries, twofold_versions, unmapped_crates, unpromising_crates, weakened_lints,
};

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

fn workspace() -> Result<Workspace, String> {
    Workspace::read(root())
}

fn tree() -> Result<Tree, String> {
    Tree::read(root())
}

fn files() -> Result<Files, String> {
    Files::read(root())
}

#[track_caller]
fn holds(breaches: Vec<String>) {
    assert!(breaches.is_empty(), "\n{}\n", breaches.join("\n"));
}

#[test]
fn the_repository_is_read() {
    assert!(workspace().unwrap().member("wythe-cli").is_some());
    assert!(!tree().unwrap().versions("wythe-cli").is_empty());
    assert!(files().unwrap().text("core/cli/src/main.rs").is_some());
}

#[test]
fn arrows_point_down_only() {
    holds(broken_arrows(&workspace().unwrap()));
}

#[test]
fn libraries_with_few_users_stay_at_home() {
    holds(strayed_libraries(&workspace().unwrap()));
}

#[test]
fn the_foundation_is_in_the_tree() {
    holds(missing_libraries(&tree().unwrap()));
}

#[test]
fn figures_use_one_maths_library() {
    holds(missing_maths(&workspace().unwrap()));
}

#[test]
fn what_we_use_directly_stands_in_the_tree_once() {
    holds(twofold_versions(&workspace().unwrap(), &tree().unwrap()));
}

#[test]
fn pure_crates_forbid_files_clocks_threads_and_networks() {
    holds(impure_clippy(&files().unwrap()));
}

#[test]
fn pure_crates_use_no_library_that_brings_them() {
    holds(impure_libraries(&workspace().unwrap()));
}

#[test]
fn every_core_crate_takes_the_lints() {
    holds(careless_crates(&files().unwrap(), &workspace().unwrap()));
}

#[test]
fn the_lints_are_as_strict_as_they_were() {
    holds(weakened_lints(&files().unwrap()));
}

#[test]
fn the_top_of_the_repository_is_tidy() {
    holds(strange_top_level(&files().unwrap()));
}

#[test]
fn files_stay_short() {
    holds(long_files(&files().unwrap()));
}

#[test]
fn no_text_names_one_machine_s_folders() {
    holds(machine_paths(&files().unwrap()));
}

#[test]
fn no_text_names_a_package_registry() {
    holds(registry_hosts(&files().unwrap()));
}

#[test]
fn the_readme_opens_with_the_job() {
    holds(readme_without_job(&files().unwrap()));
}

#[test]
fn every_crate_is_on_the_map() {
    holds(unmapped_crates(&files().unwrap(), &workspace().unwrap()));
}

#[test]
fn every_core_crate_says_what_it_promises() {
    holds(unpromising_crates(&files().unwrap(), &workspace().unwrap()));
}
