//! Every package that the lock file names, ours and others', for every platform.

use std::fs;
use std::path::Path;

/// Names and versions of all packages in the tree.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tree {
    /// (name, version), as the lock file lists them.
    pub packages: Vec<(String, String)>,
}

impl Tree {
    /// Reads `Cargo.lock` at `root`.
    ///
    /// # Errors
    /// Why the file could not be read.
    pub fn read(root: &Path) -> Result<Self, String> {
        let text = fs::read_to_string(root.join("Cargo.lock")).map_err(|error| error.to_string())?;
        Self::parse(&text)
    }

    /// Reads the text of a lock file.
    ///
    /// # Errors
    /// Why the text is not a lock file.
    pub fn parse(text: &str) -> Result<Self, String> {
        let lock: toml::Table = text.parse().map_err(|error| format!("Cargo.lock: {error}"))?;
        let listed = lock
            .get("package")
            .and_then(toml::Value::as_array)
            .ok_or("Cargo.lock lists no package")?;
        let field = |package: &toml::Value, name: &str| {
            package
                .get(name)
                .and_then(toml::Value::as_str)
                .map(str::to_owned)
                .ok_or("Cargo.lock: no name or version")
        };
        let packages = listed
            .iter()
            .map(|package| Ok((field(package, "name")?, field(package, "version")?)))
            .collect::<Result<_, &str>>()?;
        Ok(Self { packages })
    }

    /// The versions of the named package.
    #[must_use]
    pub fn versions(&self, name: &str) -> Vec<&str> {
        self.packages
            .iter()
            .filter(|(named, _)| named == name)
            .map(|(_, version)| version.as_str())
            .collect()
    }
}
