//! Gas at the site: air, combustion, input at altitude, orifice, meter, pressure test, piping.

use crate::form::Entry;

/// The reckonings of this group.
pub(crate) const TABLE: &[Entry] = &[];
