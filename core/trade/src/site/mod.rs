//! On the site: whether liners go down the flue, the cap fits, the pipe spans, the clearances are kept, the
//! outlet may stand where it does, and how a load and a ladder are handled.

pub mod liner_fit;

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[Entry::of::<liner_fit::LinerFit>()];
