//! What a cord weighs and gives, by species, from two published tables.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::energy::joule;
use uom::si::mass::kilogram;

use crate::customary::{MMBTU, POUND};
use crate::quantities::{Energy, Mass};

/// Which of the two tables the figures follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WoodTable {
    /// Dry weights, fifteen species.
    A,
    /// Weights at 20 % moisture, ten species.
    B,
}

/// A cord of one species.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cord {
    /// Dry mass.
    pub dry_mass: Mass,
    /// Heat at 20 % moisture, dry basis.
    pub heat: Energy,
}

/// A species in one or both tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Species {
    /// It stands in both.
    Both(Cord, Cord),
    /// It stands in one, which then serves for both.
    One(Cord),
}

impl Species {
    /// Its cord by table a and by table b.
    #[must_use]
    pub fn cord_by_table(&self) -> [Cord; 2] {
        match *self {
            Self::Both(a, b) => [a, b],
            Self::One(only) => [only, only],
        }
    }
}

/// The species of that name, in the words of the data file (`white_oak`).
#[must_use]
pub fn species(name: &str) -> Option<Species> {
    all().get(name).copied()
}

/// The names of all species, in order.
pub fn names() -> impl Iterator<Item = &'static str> {
    all().keys().map(String::as_str)
}

fn all() -> &'static BTreeMap<String, Species> {
    static ALL: LazyLock<BTreeMap<String, Species>> =
        LazyLock::new(|| read(include_str!("../../../data/firewood.toml")).unwrap_or_default());
    &ALL
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    a: BTreeMap<String, RowA>,
    b: BTreeMap<String, RowB>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RowA {
    dry_lb: f64,
    mmbtu: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RowB {
    lb_at_20_percent: f64,
    mmbtu: f64,
}

/// Reads both tables and joins them by name; every figure is above 0.
fn read(text: &str) -> Result<BTreeMap<String, Species>, String> {
    let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
    let mut all = BTreeMap::new();
    for (name, row) in file.a {
        all.insert(name.clone(), Species::One(cord(&name, row.dry_lb, row.mmbtu)?));
    }
    for (name, row) in file.b {
        let b = cord(&name, row.lb_at_20_percent / 1.2, row.mmbtu)?;
        let joined = match all.get(&name) {
            Some(Species::One(a)) => Species::Both(*a, b),
            _ => Species::One(b),
        };
        all.insert(name, joined);
    }
    Ok(all)
}

fn cord(name: &str, dry_pounds: f64, mmbtu: f64) -> Result<Cord, String> {
    if dry_pounds <= 0.0 || mmbtu <= 0.0 {
        return Err(format!("{name} weighs or gives nothing"));
    }
    Ok(Cord {
        dry_mass: Mass::new::<kilogram>(dry_pounds * POUND),
        heat: Energy::new::<joule>(mmbtu * MMBTU),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_tables_hold_fifteen_and_ten_species() {
        let all = read(include_str!("../../../data/firewood.toml")).unwrap();
        let both = all.values().filter(|s| matches!(s, Species::Both(..)));
        assert_eq!((all.len(), both.count()), (17, 8));
    }

    #[test]
    fn the_tables_differ_by_a_few_percent_and_are_not_mixed() {
        let [a, b] = species("white_oak").unwrap().cord_by_table();
        assert!((a.dry_mass.value / POUND - 3392.0).abs() < 1e-9);
        assert!((b.dry_mass.value / POUND - 3863.0 / 1.2).abs() < 1e-9);
        assert!(matches!(species("box_elder"), Some(Species::One(_))));
        assert!(matches!(species("beech"), Some(Species::One(_))));
        assert_eq!(species("balsa"), None);
    }

    #[test]
    fn a_row_without_weight_is_refused() {
        assert!(read("[a]\nx = { dry_lb = 0, mmbtu = 1 }\n[b]").is_err());
    }
}
