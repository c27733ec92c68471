//! Heat in the house: what it loses, whether the stove fits it, what the change avoids.

pub mod appliance_match;
pub mod emissions_avoided;
pub mod heat_loss;

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[
    Entry::of::<heat_loss::HeatLoss>(),
    Entry::of::<appliance_match::ApplianceMatch>(),
    Entry::of::<emissions_avoided::EmissionsAvoided>(),
];
