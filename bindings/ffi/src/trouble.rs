//! Why a call did not do what was asked.

use std::panic::{AssertUnwindSafe, catch_unwind};

use wythe_app::AppError;
use wythe_app::guide::Words;

/// What is told of a trouble.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Told {
    /// Stable, for programs: `held`, `no_space`, `closed` ...
    pub code: String,
    /// The ask's address or the JSON pointer it is about, where it is about one.
    pub field: Option<String>,
    /// What is so and what to do, in the person's language.
    pub message: String,
    /// The same in English, for whoever is called for help.
    pub detail: String,
}

/// Why a call did not do what was asked.
#[derive(Debug, thiserror::Error, uniffi::Error)]
pub enum Trouble {
    /// The one form of all troubles.
    #[error("{}", told.detail)]
    Refused {
        /// What is told of it.
        told: Told,
    },
}

impl Trouble {
    pub(crate) fn of(error: &AppError, field: Option<&str>, words: &Words) -> Self {
        let told = error.told(field, words);
        Self::Refused {
            told: Told {
                code: told.code,
                field: told.field,
                message: told.message,
                detail: told.detail,
            },
        }
    }

    pub(crate) fn plain(code: &str, message: String) -> Self {
        Self::Refused {
            told: Told {
                code: code.to_owned(),
                field: None,
                detail: message.clone(),
                message,
            },
        }
    }
}

/// Does something, and gives a panic inside it as an error: none crosses to the shell.
pub(crate) fn caught<T>(work: impl FnOnce() -> Result<T, AppError>) -> Result<T, AppError> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<&str>().map(|said| (*said).to_owned());
        let said = said.or_else(|| panic.downcast_ref::<String>().cloned());
        Err(AppError::Fault(said.unwrap_or_else(|| "a panic".to_owned())))
    })
}
