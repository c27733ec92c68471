//! Heat in the house: what it loses, whether the stove fits it, what the change avoids.

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[];
