//! The sealed flue: whether it draws, and what is right for it.

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[];
