//! Writes the published inputs as seeds for the coverage-guided search, one file each, into a folder.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    reason = "a chore that stops where it cannot go on, and writes files; the crate itself has none"
)]

use std::path::Path;

fn main() {
    let folder = std::env::args().nth(1).unwrap();
    std::fs::create_dir_all(&folder).unwrap();
    let published = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/published");
    for (number, entry) in (0_u8..).zip(wythe_trade::list()) {
        let text = std::fs::read_to_string(published.join(format!("{}.toml", entry.name))).unwrap();
        let file: toml::Table = toml::from_str(&text).unwrap();
        for (place, check) in file["check"].as_array().unwrap().iter().enumerate() {
            let seed = [&[number], check["input"].as_str().unwrap().as_bytes()].concat();
            std::fs::write(format!("{folder}/{}-{place}", entry.name), seed).unwrap();
        }
    }
}
