//! How high the outlet stands above the roof.

use std::sync::OnceLock;

use serde::Deserialize;
use uom::si::f64::Length;

use super::input::{Roof, RoofTable};
use crate::compare::{at_most, reaches};
use crate::data::table;
use crate::form::OrNone;
use crate::site::{feet, inches};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Heights {
    newer: Vec<(f64, f64)>,
    older: Vec<(f64, f64)>,
}

fn heights() -> &'static Heights {
    static TABLE: OnceLock<Heights> = OnceLock::new();
    TABLE.get_or_init(|| table(include_str!("roof_heights.toml")))
}

/// The steepest roof of the table, inches in 12.
const STEEPEST: f64 = 21.0;

/// The height required: the listing's; else by pitch, where no wall stands within 8 ft and the cap is at most
/// 12 in wide; else 2 ft above everything within 10 ft (the 2 ft from memory). None when a figure is lacking.
pub(super) fn required(roof: &Roof) -> Option<Length> {
    if roof.listing_min_height.is_some() {
        return roof.listing_min_height;
    }
    let wall = roof.wall_distance?;
    if !at_most(roof.pitch_in_12, STEEPEST) {
        return None;
    }
    let free = match wall {
        OrNone::NoSuch => true,
        OrNone::At(distance) => reaches(distance, feet(8.0)),
    };
    if free && reaches(inches(12.0), roof.terminal_diameter) {
        return by_pitch(roof);
    }
    roof.highest_within_10_ft
        .map(|highest| feet(2.0).max(highest + feet(2.0)))
}

fn by_pitch(roof: &Roof) -> Option<Length> {
    let rows = match roof.table {
        RoofTable::Newer => &heights().newer,
        RoofTable::Older => &heights().older,
    };
    rows.iter()
        .find(|(pitch, _)| at_most(roof.pitch_in_12, *pitch))
        .map(|(_, height)| feet(*height))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_rise_with_the_pitch_and_end_at_the_steepest() {
        for rows in [&heights().newer, &heights().older] {
            assert!(rows.is_sorted_by(|low, high| low.0 < high.0 && low.1 < high.1));
            assert!((rows.last().unwrap().0 - STEEPEST).abs() < 1e-9);
        }
    }
}
