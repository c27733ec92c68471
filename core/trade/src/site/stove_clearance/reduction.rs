//! What a protection lets a clearance be reduced to, by edition.

use std::sync::OnceLock;

use serde::Deserialize;
use uom::si::f64::Length;

use super::input::{Edition, Protection};
use crate::compare::exceeds;
use crate::data::table;
use crate::form::ChoiceText;
use crate::site::inches;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    irc_columns: Vec<f64>,
    imc_columns: Vec<f64>,
    protection: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    code: String,
    what: String,
    nfpa211_wall: Part,
    nfpa211_ceiling: Option<Part>,
    irc_g2409_above: Option<Vec<f64>>,
    irc_g2409_sides: Vec<f64>,
    imc_308_above: Option<Vec<f64>>,
    imc_308_sides: Option<Vec<f64>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Part {
    part: (f64, f64),
    floor: f64,
}

fn protections() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| table(include_str!("protections.toml")))
}

/// How a table answers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Reduction {
    /// The clearance behind the protection, never above the base.
    To(Length),
    /// The protection does not count above the stove.
    NotForCeiling,
    /// The edition has no such protection.
    NotInTable,
    /// The base clearance is larger or smaller than the table's columns.
    OutsideTable,
}

/// What is on the wall, in words.
pub(super) fn in_words(protection: Protection) -> &'static str {
    row(protection).map_or("no protection", |row| row.what.as_str())
}

fn row(protection: Protection) -> Option<&'static Row> {
    protections()
        .protection
        .iter()
        .find(|row| row.code == protection.as_str())
}

/// The clearance that a protection leaves of a base clearance; `above` for the ceiling.
///
/// NFPA 211: base (1 - part), not below the floor. IRC: the cell of the smallest column that the base does not
/// exceed. IMC: on a straight line between the two neighbouring columns.
pub(super) fn reduced(edition: Edition, protection: Protection, base: Length, above: bool) -> Reduction {
    let Some(row) = row(protection) else {
        return Reduction::NotInTable;
    };
    let table = protections();
    match edition {
        Edition::Nfpa211 => {
            let part = if above {
                row.nfpa211_ceiling.as_ref()
            } else {
                Some(&row.nfpa211_wall)
            };
            let Some(Part {
                part: (top, bottom),
                floor,
            }) = part
            else {
                return Reduction::NotForCeiling;
            };
            Reduction::To(base.min((base * (1.0 - top / bottom)).max(inches(*floor))))
        }
        Edition::IrcG2409 => {
            let cells = if above {
                row.irc_g2409_above.as_ref()
            } else {
                Some(&row.irc_g2409_sides)
            };
            let Some(cells) = cells else {
                return Reduction::NotForCeiling;
            };
            let columns = table.irc_columns.iter().copied().map(inches);
            let smallest = columns.zip(cells).rfind(|(column, _)| !exceeds(base, *column));
            smallest.map_or(Reduction::OutsideTable, |(_, cell)| {
                Reduction::To(base.min(inches(*cell)))
            })
        }
        Edition::Imc308 => {
            let Some(sides) = row.imc_308_sides.as_ref() else {
                return Reduction::NotInTable;
            };
            let cells = if above {
                row.imc_308_above.as_ref()
            } else {
                Some(sides)
            };
            let Some(cells) = cells else {
                return Reduction::NotForCeiling;
            };
            let columns: Vec<(Length, Length)> = table
                .imc_columns
                .iter()
                .zip(cells)
                .map(|(column, cell)| (inches(*column), inches(*cell)))
                .collect();
            between(&columns, base).map_or(Reduction::OutsideTable, |left| Reduction::To(base.min(left)))
        }
    }
}

/// The value on the straight line between two neighbouring columns, which fall; none outside them.
fn between(columns: &[(Length, Length)], base: Length) -> Option<Length> {
    columns.windows(2).find_map(|pair| {
        let [(high, high_cell), (low, low_cell)] = pair else {
            return None;
        };
        let outside = exceeds(base, *high) || exceeds(*low, base);
        (!outside).then(|| *low_cell + (*high_cell - *low_cell) * ((base - *low) / (*high - *low)).value)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_protection_has_a_whole_row() {
        let table = protections();
        assert_eq!(table.protection.len() + 1, Protection::ALL.len());
        for (protection, _) in Protection::ALL
            .iter()
            .filter(|(choice, _)| *choice != Protection::None)
        {
            let row = row(*protection).unwrap();
            let irc = [row.irc_g2409_above.as_ref(), Some(&row.irc_g2409_sides)];
            assert!(
                irc.into_iter()
                    .flatten()
                    .all(|cells| cells.len() == table.irc_columns.len())
            );
            let imc = [row.imc_308_above.as_ref(), row.imc_308_sides.as_ref()];
            assert!(
                imc.into_iter()
                    .flatten()
                    .all(|cells| cells.len() == table.imc_columns.len())
            );
            for cells in irc.into_iter().chain(imc).flatten() {
                assert!(
                    cells.is_sorted_by(|high, low| high >= low),
                    "{}: cells fall with the columns",
                    row.code
                );
            }
        }
    }
}
