//! The sealed flue: whether it draws, and what is right for it.

pub mod balanced;
pub mod conditions;

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[
    Entry::of::<balanced::BalancedFlue>(),
    Entry::of::<conditions::FlueConditions>(),
];
