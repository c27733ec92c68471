/// That a store did not do what was asked; nothing of it is known to be done, and it may be done again.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{code}: {why}")]
pub struct Trouble {
    /// The store's own stable code.
    pub code: &'static str,
    /// In words.
    pub why: String,
}

impl Trouble {
    /// A trouble.
    #[must_use]
    pub fn new(code: &'static str, why: impl Into<String>) -> Self {
        Self {
            code,
            why: why.into(),
        }
    }
}
