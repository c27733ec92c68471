//! What this crate refuses, and why.

/// A refusal. Where it concerns an input, `field` is the path of that input in the structure that was
/// handed in, its parts divided by `/` (`segments/0/exhaust/outside_diameter`).
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PhysicsError {
    /// A value lies outside the bounds within which the formulas are meant to be used.
    #[error("{field} must lie within {low} to {high}{gap}{unit}. Measure again, or look at the unit.", gap = gap(.unit))]
    OutOfRange {
        /// Path of the input.
        field: String,
        /// Lower bound in `unit`.
        low: f64,
        /// Upper bound in `unit`.
        high: f64,
        /// The unit in which the bounds are written.
        unit: &'static str,
    },
    /// Two inputs cannot both be true.
    #[error("{why}")]
    Inconsistent {
        /// Path of the input to look at first.
        field: String,
        /// What does not go together, and what to look at.
        why: String,
    },
    /// An input that this task needs is not there.
    #[error("{field} is needed for this. Give it, or choose another task.")]
    Missing {
        /// Path of the input.
        field: String,
    },
    /// A list that needs at least one entry has none, or has too many.
    #[error("{field} needs between 1 and {most} entries.")]
    Count {
        /// Path of the list.
        field: String,
        /// How many it has.
        found: usize,
        /// How many it may have.
        most: usize,
    },
    /// The temperatures along the flue did not settle, or a figure grew beyond what can be written.
    #[error(
        "the sum did not settle at air ratio {air_ratio}. Look for a measurement that is far from real \
         (a diameter in the wrong unit, an input near zero)."
    )]
    NotConverged {
        /// The air ratio at which it was tried.
        air_ratio: f64,
    },
}

/// What stands between a number and its unit, where it has one.
fn gap(unit: &str) -> &'static str {
    if unit.is_empty() { "" } else { " " }
}

impl PhysicsError {
    /// A stable name for the kind of refusal, in snake case.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "out_of_range",
            Self::Inconsistent { .. } => "inconsistent",
            Self::Missing { .. } => "missing",
            Self::Count { found: 0, .. } => "empty_list",
            Self::Count { .. } => "too_many",
            Self::NotConverged { .. } => "not_converged",
        }
    }

    /// The path of the input concerned, when there is one.
    #[must_use]
    pub fn field(&self) -> Option<&str> {
        match self {
            Self::OutOfRange { field, .. }
            | Self::Inconsistent { field, .. }
            | Self::Missing { field }
            | Self::Count { field, .. } => Some(field),
            Self::NotConverged { .. } => None,
        }
    }

    pub(crate) fn inconsistent(field: impl Into<String>, why: impl Into<String>) -> Self {
        Self::Inconsistent {
            field: field.into(),
            why: why.into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_said_with_their_unit_where_they_have_one() {
        let said = |unit| {
            PhysicsError::OutOfRange {
                field: "site/wind".into(),
                low: 0.0,
                high: 100.0,
                unit,
            }
            .to_string()
        };
        assert!(said("m/s").starts_with("site/wind must lie within 0 to 100 m/s. "));
        assert!(said("").starts_with("site/wind must lie within 0 to 100. "));
    }
}
