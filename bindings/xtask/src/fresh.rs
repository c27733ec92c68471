//! What a newcomer does: clone, and run the commands that the README gives.

use std::env;
use std::fs;
use std::process::{self as system, Command};
use std::time::Instant;

use crate::house::House;
use crate::process::{self, minutes};

/// Clones the last commit into a new folder, runs each command of the README's first code block
/// there with a build folder of its own, and removes the clone if all went well.
///
/// # Errors
/// Which command did not end well; the clone is then kept and named.
pub fn run(house: &House) -> Result<bool, String> {
    let clone = env::temp_dir().join(format!("wythe-fresh-{}", system::id()));
    process::run(
        Command::new("git")
            .args(["clone", "--quiet"])
            .arg(&house.root)
            .arg(&clone),
        minutes(5),
    )?;
    let readme = fs::read_to_string(clone.join("README.md")).map_err(|why| format!("README.md: {why}"))?;
    let commands = commands(&readme);
    if commands.is_empty() {
        return Err("The README's first code block gives no command.".to_owned());
    }
    for line in commands {
        let begun = Instant::now();
        let mut shell = Command::new("sh");
        shell
            .args(["-euc", &line])
            .current_dir(&clone)
            .env_remove("CARGO_TARGET_DIR")
            .env_remove("CARGO_MANIFEST_DIR");
        process::run(&mut shell, minutes(80))
            .map_err(|why| format!("{why}\nThe clone is kept: {}", clone.display()))?;
        println!(
            "{line}: {:.0} s, from nothing built",
            begun.elapsed().as_secs_f64()
        );
    }
    fs::remove_dir_all(&clone).map_err(|why| format!("{}: {why}", clone.display()))?;
    Ok(true)
}

/// The lines of the first code block, without its comments.
fn commands(readme: &str) -> Vec<String> {
    readme
        .lines()
        .skip_while(|line| !line.starts_with("```"))
        .skip(1)
        .take_while(|line| !line.starts_with("```"))
        .map(|line| line.split(" #").next().unwrap_or_default().trim().to_owned())
        .filter(|line| !line.is_empty())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_code_block_s_commands_are_read() {
        let readme =
            "# Thing\n\nWords.\n\n```sh\nmake one   # the first\n\nmake two\n```\n\n```sh\nmake three\n```\n";
        assert_eq!(commands(readme), ["make one", "make two"]);
        assert!(commands("# Thing\n").is_empty());
    }
}
