//! What the person asked for, read from the command line.

/// What to say to somebody who asks for help, or for something that is not there.
pub const USAGE: &str = "\
cargo xtask check [--list] [--only NAME]...   run all checks, or the named ones; or say what they are
cargo xtask bench [CRATE]...                  run the benches of all crates that have any, or of the named ones
cargo xtask bindings                          write the Kotlin and Swift bindings anew from the library
cargo xtask fresh                             clone the last commit and run the README's commands there

With CI=true a check that could not be run counts as failed.";

/// One chore.
#[derive(Debug, PartialEq, Eq)]
pub enum Errand {
    /// Say how to use it.
    Help,
    /// Say which checks there are.
    List,
    /// Run checks: all, when none is named.
    Check {
        /// Names of checks.
        only: Vec<String>,
    },
    /// Run benches: all, when no crate is named.
    Bench {
        /// Names of crates.
        only: Vec<String>,
    },
    /// Write the bindings anew.
    Bindings,
    /// Run the README's commands in a fresh clone.
    Fresh,
}

/// Reads the words after `cargo xtask`.
///
/// # Errors
/// Which word was not understood.
pub fn read(words: &[String]) -> Result<Errand, String> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        [] | ["help" | "--help" | "-h", ..] | [_, "--help" | "-h"] => Ok(Errand::Help),
        ["check", "--list"] => Ok(Errand::List),
        ["check", rest @ ..] => Ok(Errand::Check { only: named(rest)? }),
        ["bench", rest @ ..] => Ok(Errand::Bench {
            only: rest.iter().map(|&word| word.to_owned()).collect(),
        }),
        ["bindings"] => Ok(Errand::Bindings),
        ["fresh"] => Ok(Errand::Fresh),
        [word, ..] => Err(format!("\"{word}\" is not a chore that is known here.")),
    }
}

fn named(words: &[&str]) -> Result<Vec<String>, String> {
    match words {
        [] => Ok(Vec::new()),
        ["--only", name, rest @ ..] => {
            let mut all = vec![(*name).to_owned()];
            all.extend(named(rest)?);
            Ok(all)
        }
        ["--only"] => Err("\"--only\" wants the name of a check; \"--list\" lists them.".to_owned()),
        [word, ..] => Err(format!("\"{word}\" was not understood.")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str) -> Result<Errand, String> {
        read(&line.split_whitespace().map(str::to_owned).collect::<Vec<_>>())
    }

    #[test]
    fn chores_are_read() {
        assert_eq!(check(""), Ok(Errand::Help));
        assert_eq!(check("check --list"), Ok(Errand::List));
        assert_eq!(check("check"), Ok(Errand::Check { only: vec![] }));
        let only = vec!["style".to_owned(), "rust".to_owned()];
        assert_eq!(
            check("check --only style --only rust"),
            Ok(Errand::Check { only })
        );
        assert_eq!(
            check("bench wythe-physics"),
            Ok(Errand::Bench {
                only: vec!["wythe-physics".to_owned()]
            })
        );
        assert_eq!(check("bindings"), Ok(Errand::Bindings));
        assert_eq!(check("fresh"), Ok(Errand::Fresh));
    }

    #[test]
    fn a_word_that_is_not_known_is_named() {
        assert!(check("chekc").is_err_and(|why| why.contains("chekc")));
        assert!(check("check --onyl style").is_err_and(|why| why.contains("--onyl")));
        assert!(check("check --only").is_err());
    }
}
