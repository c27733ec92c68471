//! How the command line says that it did not do something.

use wythe_app::AppError;
use wythe_app::guide::{Language, Words};

/// Why a command ended without doing what was asked. Exit status 2.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// A use case refused.
    #[error(transparent)]
    App(#[from] AppError),
    /// A reckoning refused its input: one JSON object on standard error.
    #[error("{0}")]
    Reckoning(String),
    /// A claim pack is not in order.
    #[error("{0}")]
    Pack(String),
    /// A scenario with a mistake.
    #[error("{file}, {place}: {why}")]
    Scenario {
        /// The file's name.
        file: String,
        /// Which act.
        place: String,
        /// What is wrong, and what to write.
        why: String,
    },
    /// A file that could not be read or written.
    #[error("{what}: {why}")]
    File {
        /// Which.
        what: String,
        /// What the system said.
        why: String,
    },
    /// Words of the command line that do not fit.
    #[error("{0}")]
    Usage(String),
}

impl Trouble {
    /// A file's trouble.
    pub fn file(what: impl Into<String>, why: &std::io::Error) -> Self {
        Self::File {
            what: what.into(),
            why: why.to_string(),
        }
    }

    /// The stable code.
    pub fn code(&self) -> &str {
        match self {
            Self::App(wrong) => wrong.code(),
            Self::Reckoning(_) => "reckoning",
            Self::Pack(_) => "pack",
            Self::Scenario { .. } => "scenario",
            Self::File { .. } => "file",
            Self::Usage(_) => "usage",
        }
    }

    /// What is written to standard error: plain, or one JSON object.
    pub fn written(&self, json: bool, language: Language) -> String {
        if let Self::Reckoning(text) = self {
            return text.clone();
        }
        let message = match self {
            Self::App(wrong) => wrong.told(None, &Words::of(language)).message,
            other => other.to_string(),
        };
        if json {
            let object = serde_json::json!({ "error": { "code": self.code(), "message": message } });
            object.to_string()
        } else {
            message
        }
    }
}
