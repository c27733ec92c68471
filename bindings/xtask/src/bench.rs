//! The benches of all crates that have any.

use std::fs;
use std::path::Path;

use crate::house::House;
use crate::process::{self, minutes};

/// Runs every bench of the named crates, or of all that have one.
///
/// # Errors
/// When a named crate has no bench, or a bench failed.
pub fn run(house: &House, only: &[String]) -> Result<bool, String> {
    let mut benches = found(&house.root)?;
    if let Some(unknown) = only
        .iter()
        .find(|name| benches.iter().all(|bench| bench.package != **name))
    {
        return Err(format!("{unknown} has no bench."));
    }
    benches.retain(|bench| only.is_empty() || only.contains(&bench.package));
    if benches.is_empty() {
        println!("No crate has a bench.");
    }
    for bench in &benches {
        let mut cargo = house.command("cargo");
        cargo.args([
            "bench",
            "--locked",
            "--quiet",
            "--package",
            &bench.package,
            "--bench",
            &bench.name,
        ]);
        process::run(&mut cargo, minutes(20))?;
    }
    Ok(true)
}

#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Bench {
    package: String,
    name: String,
}

/// The benches below `core` and `tests`, by their files.
fn found(root: &Path) -> Result<Vec<Bench>, String> {
    let mut benches = Vec::new();
    for folder in ["core", "tests"] {
        for member in names(&root.join(folder))? {
            let member = root.join(folder).join(member);
            let Some(package) = package_name(&member) else {
                continue;
            };
            for file in names(&member.join("benches")).unwrap_or_default() {
                if let Some(name) = file.strip_suffix(".rs") {
                    benches.push(Bench {
                        package: package.clone(),
                        name: name.to_owned(),
                    });
                }
            }
        }
    }
    benches.sort();
    Ok(benches)
}

fn names(folder: &Path) -> Result<Vec<String>, String> {
    let entries = fs::read_dir(folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    Ok(entries
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect())
}

fn package_name(member: &Path) -> Option<String> {
    let manifest = fs::read_to_string(member.join("Cargo.toml")).ok()?;
    let line = manifest.lines().find_map(|line| line.strip_prefix("name = \""))?;
    line.strip_suffix('"').map(str::to_owned)
}
