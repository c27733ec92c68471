//! Where in the input something stands.

use std::fmt;

/// A JSON pointer (RFC 6901): `/tile/inside_a`, empty for the whole input.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pointer(String);

impl Pointer {
    /// The whole input.
    #[must_use]
    pub fn root() -> Self {
        Self::default()
    }

    /// The value behind a key of this object.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        let mut longer = String::with_capacity(self.0.len() + 1 + key.len());
        longer.push_str(&self.0);
        longer.push('/');
        for letter in key.chars() {
            match letter {
                '~' => longer.push_str("~0"),
                '/' => longer.push_str("~1"),
                other => longer.push(other),
            }
        }
        Self(longer)
    }

    /// An item of this list, counted from 0.
    #[must_use]
    pub fn item(&self, place: usize) -> Self {
        Self(format!("{}/{place}", self.0))
    }

    /// The pointer as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Pointer {
    fn from(text: &str) -> Self {
        Self(text.to_owned())
    }
}

impl From<&Pointer> for Pointer {
    fn from(pointer: &Pointer) -> Self {
        pointer.clone()
    }
}

impl fmt::Display for Pointer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
