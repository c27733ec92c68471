//! The generated Kotlin and Swift against the library that they call.

use super::Check;
use crate::generated;
use crate::need::{Need, Source};

pub const CHECK: Check = Check {
    name: "bindings",
    what: "the Kotlin and Swift that are kept are what the library says now",
    needs: &[Need::Program {
        name: "cargo",
        proof: &["--version"],
        source: Source::ByHand("It comes with the Rust tool chain; rust-version in Cargo.toml says which."),
    }],
    wants: &[],
    run: generated::compare,
};
