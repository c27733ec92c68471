//! Where the repository and its build folder are, and who is asking.

use std::cell::OnceCell;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::story::{self, Played};

/// The repository at hand.
#[derive(Debug)]
pub struct House {
    /// The top of the repository.
    pub root: PathBuf,
    /// The one build folder; everything that is made here lies in it.
    pub target: PathBuf,
    /// Whether this is continuous integration, where nothing may be skipped.
    pub ci: bool,
    played: OnceCell<Result<Played, String>>,
}

impl House {
    /// Finds the repository from where cargo says that this crate lies.
    ///
    /// # Errors
    /// When it was started in some other way than `cargo xtask`.
    pub fn find() -> Result<Self, String> {
        let manifest = env::var_os("CARGO_MANIFEST_DIR").ok_or("Start this as `cargo xtask`.")?;
        let root = Path::new(&manifest)
            .ancestors()
            .nth(2)
            .filter(|root| root.join("Cargo.lock").is_file())
            .ok_or("The repository was not found above this crate. Start this as `cargo xtask`.")?
            .to_owned();
        let here = env::current_dir().map_err(|why| format!("The current folder cannot be read: {why}"))?;
        let target =
            env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), |folder| here.join(folder));
        let ci = env::var_os("CI").is_some_and(|value| value == "true" || value == "1");
        Ok(Self {
            root,
            target,
            ci,
            played: OnceCell::new(),
        })
    }

    /// A command at the top of the repository, with the one build folder.
    #[must_use]
    pub fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command
            .current_dir(&self.root)
            .env("CARGO_TARGET_DIR", &self.target);
        command
    }

    /// An empty folder of that name inside the build folder.
    ///
    /// # Errors
    /// Why it could not be made.
    pub fn empty_folder(&self, name: &str) -> Result<PathBuf, String> {
        let folder = self.folder(name);
        if folder.exists() {
            fs::remove_dir_all(&folder)
                .map_err(|why| format!("{} cannot be emptied: {why}", folder.display()))?;
        }
        fs::create_dir_all(&folder).map_err(|why| format!("{} cannot be made: {why}", folder.display()))?;
        Ok(folder)
    }

    /// Where the folder of that name lies inside the build folder.
    #[must_use]
    pub fn folder(&self, name: &str) -> PathBuf {
        self.target.join("xtask").join(name)
    }

    /// What the demonstration left behind. It is played once a run, by the first check that asks.
    ///
    /// # Errors
    /// Why it did not end well, or left no claim pack.
    pub fn demo(&self) -> Result<&Played, String> {
        self.played
            .get_or_init(|| story::play(self))
            .as_ref()
            .map_err(Clone::clone)
    }
}
