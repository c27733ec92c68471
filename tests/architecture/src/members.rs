//! The crates of the workspace and what each says it uses.

use std::path::Path;

use cargo_metadata::{DependencyKind, MetadataCommand};

/// What a dependency is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Part of what is shipped.
    Normal,
    /// Tests, examples and benches only.
    Dev,
    /// The build script only.
    Build,
}

/// One line of a crate's dependencies, by the package's own name (not the name it is renamed to).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dependency {
    /// The package's name.
    pub name: String,
    /// What it is for.
    pub kind: Kind,
    /// Features asked for.
    pub features: Vec<String>,
}

/// One crate of the workspace.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// The package's name.
    pub name: String,
    /// Its folder, from the top of the repository, with `/` between names.
    pub folder: String,
    /// Everything it says it uses, of every kind.
    pub uses: Vec<Dependency>,
}

impl Member {
    /// Whether what is shipped of this crate uses the package.
    #[must_use]
    pub fn ships_with(&self, package: &str) -> bool {
        self.uses
            .iter()
            .any(|used| used.name == package && used.kind == Kind::Normal)
    }

    /// Whether the crate is shipped or makes what is shipped (as against a crate of tests).
    #[must_use]
    pub fn is_product(&self) -> bool {
        !self.folder.starts_with("tests/")
    }
}

/// The crates of the workspace.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Workspace {
    /// In the order in which cargo names them.
    pub members: Vec<Member>,
}

impl Workspace {
    /// Asks cargo for the members below `root`. Needs no network: nothing is resolved.
    ///
    /// # Errors
    /// What cargo said, when it could not read the manifests.
    pub fn read(root: &Path) -> Result<Self, String> {
        let metadata = MetadataCommand::new()
            .manifest_path(root.join("Cargo.toml"))
            .no_deps()
            .exec()
            .map_err(|error| error.to_string())?;
        let mut members = Vec::new();
        for package in &metadata.packages {
            let folder = package
                .manifest_path
                .parent()
                .and_then(|folder| folder.strip_prefix(&metadata.workspace_root).ok())
                .ok_or_else(|| format!("{} lies outside the workspace", package.name))?;
            let uses = package.dependencies.iter().map(dependency).collect();
            members.push(Member {
                name: package.name.to_string(),
                folder: folder.as_str().replace('\\', "/"),
                uses,
            });
        }
        Ok(Self { members })
    }

    /// The member of that name.
    #[must_use]
    pub fn member(&self, name: &str) -> Option<&Member> {
        self.members.iter().find(|member| member.name == name)
    }
}

fn dependency(declared: &cargo_metadata::Dependency) -> Dependency {
    Dependency {
        name: declared.name.clone(),
        kind: match declared.kind {
            DependencyKind::Development => Kind::Dev,
            DependencyKind::Build => Kind::Build,
            _ => Kind::Normal,
        },
        features: declared.features.clone(),
    }
}

#[cfg(test)]
pub(crate) mod made {
    //! Workspaces written by hand, for breaking rules on purpose.

    use super::{Dependency, Kind, Member, Workspace};

    pub(crate) fn member(name: &str, folder: &str, uses: &[&str]) -> Member {
        Member {
            name: name.to_owned(),
            folder: folder.to_owned(),
            uses: uses.iter().map(|name| used(name, Kind::Normal)).collect(),
        }
    }

    pub(crate) fn used(name: &str, kind: Kind) -> Dependency {
        Dependency {
            name: name.to_owned(),
            kind,
            features: Vec::new(),
        }
    }

    pub(crate) fn workspace(members: &[Member]) -> Workspace {
        Workspace {
            members: members.to_vec(),
        }
    }
}
