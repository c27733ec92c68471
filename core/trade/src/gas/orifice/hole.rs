//! The gas orifice: what a drilled hole passes, which drill a burner's input wants, and what
//! altitude does to a drill.
//!
//! The figures are to hold against the maker's stamped orifice; nobody drills one in the field.

use uom::si::area::square_meter;
use uom::si::length::meter;
use uom::si::volume_rate::cubic_meter_per_second;

use super::drills::{self, Drill};
use crate::compare::at_most;
use crate::customary::{ATMOSPHERE, CFH, FOOT, INCH, INCH_WATER};
use crate::quantities::{Area, HeatingValue, Length, Power, Pressure, VolumeRate, flow_for, heat_of};

/// Standard cubic feet an hour through a square inch at 1 in w.c., specific gravity 1 and
/// discharge coefficient 1, at sea level. From memory; reproduces all 189 cells of the open
/// textbook table at opentextbc.ca/plumbing3e/back-matter/imperial-orifice-capacity-table-flow-values-in-cfh
/// within 0.12 % at a coefficient of 0.90.
const FLOW_CONSTANT: f64 = 1658.5;

/// Below this altitude a drill stays as it is: 2,000 ft, which itself counts as altitude.
pub const ALTITUDE_COUNTS_FROM_M: f64 = 2000.0 * FOOT;

/// The gas before a hole and the air behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Specific gravity of the gas, air = 1 (natural gas about 0.60, propane 1.50). Above 0.
    pub specific_gravity: f64,
    /// Manifold pressure, gauge. Above 0.
    pub manifold_pressure: Pressure,
    /// Discharge coefficient of the hole, 0.5 to 1; 0.90 for a drilled spud.
    pub discharge_coefficient: f64,
    /// Absolute air pressure at the site.
    pub site_pressure: Pressure,
}

impl Supply {
    /// sqrt(p / 101,325 Pa): how much less of a standard volume the same hole passes up here.
    #[must_use]
    pub fn altitude_factor(&self) -> f64 {
        libm::sqrt(self.site_pressure.value / ATMOSPHERE)
    }

    /// Standard cubic feet an hour per square inch, `1658.5 K sqrt(h/SG) sqrt(r)` with h in
    /// inches of water: fixed gauge pressure, the gas thins with the air.
    #[must_use]
    pub fn customary_flow_per_area(&self) -> f64 {
        let head = self.manifold_pressure.value / INCH_WATER;
        FLOW_CONSTANT
            * self.discharge_coefficient
            * libm::sqrt(head / self.specific_gravity)
            * self.altitude_factor()
    }

    /// Standard flow through an opening.
    #[must_use]
    pub fn flow(&self, area: Area) -> VolumeRate {
        let square_inches = area.value / (INCH * INCH);
        VolumeRate::new::<cubic_meter_per_second>(self.customary_flow_per_area() * square_inches * CFH)
    }

    /// The opening that passes a standard flow; the inverse of [`Supply::flow`].
    #[must_use]
    pub fn area(&self, flow: VolumeRate) -> Area {
        let square_inches = flow.value / CFH / self.customary_flow_per_area();
        Area::new::<square_meter>(square_inches * INCH * INCH)
    }
}

/// Area of a round hole, pi/4 d².
#[must_use]
pub fn hole_area(diameter: Length) -> Area {
    diameter * diameter * core::f64::consts::FRAC_PI_4
}

/// Diameter of a round hole of that area, sqrt(4A/pi).
#[must_use]
pub fn hole_diameter(area: Area) -> Length {
    Length::new::<meter>(libm::sqrt(area.value / core::f64::consts::FRAC_PI_4))
}

/// The hole that gives a burner its input, between two number drills.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizing {
    /// Standard flow for the wanted input.
    pub flow: VolumeRate,
    /// Opening that passes it.
    pub area: Area,
    /// Diameter of that opening.
    pub diameter: Length,
    /// Largest number drill not above the diameter: never over the wanted input.
    pub below: Option<DrillInput>,
    /// Smallest number drill not below the diameter.
    pub above: Option<DrillInput>,
}

/// What a burner takes through one drill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillInput {
    /// The drill.
    pub drill: Drill,
    /// Input through it.
    pub input: Power,
    /// That input over the wanted one.
    pub ratio: f64,
}

/// The drill for a burner that shall take `input` (above 0, as derated for the site) of a gas
/// of `heating_value` (above 0, per standard volume).
#[must_use]
pub fn size_for_input(supply: &Supply, heating_value: HeatingValue, input: Power) -> Sizing {
    let flow = flow_for(input, heating_value);
    let area = supply.area(flow);
    let diameter = hole_diameter(area);
    let through = |drill: Drill| {
        let taken = heat_of(supply.flow(hole_area(drill.diameter)), heating_value);
        DrillInput {
            drill,
            input: taken,
            ratio: (taken / input).value,
        }
    };
    Sizing {
        flow,
        area,
        diameter,
        below: drills::largest_not_above(diameter).map(through),
        above: drills::smallest_not_below(diameter).map(through),
    }
}

/// A sea-level drill carried to altitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AltitudeEquivalent {
    /// Wanted area over the sea-level drill's.
    pub area_ratio: f64,
    /// Wanted diameter.
    pub diameter: Length,
    /// Nearest number drill (the smaller on a tie).
    pub drill: Drill,
    /// Whether the site lies below 2,000 ft, where the drill stays.
    pub below_2000_ft: bool,
}

/// The drill that takes a sea-level drill's place at altitude:
/// area ratio `(1 - k z_ft/1000)/sqrt(r)` from 2,000 ft up, 1 below.
///
/// `reduction` is the input taken off per 1,000 ft (0 to 0.10; 0.04 by the code). `None` where
/// the reduction leaves no input at that altitude. Exact in 366 of 396 cells of NFPA 54 table
/// E.1.1(d), within one drill in all.
#[must_use]
pub fn altitude_equivalent(
    sea_level: Drill,
    altitude: Length,
    site_pressure: Pressure,
    reduction: f64,
) -> Option<AltitudeEquivalent> {
    if altitude.value < ALTITUDE_COUNTS_FROM_M - 1e-6 {
        return Some(AltitudeEquivalent {
            area_ratio: 1.0,
            diameter: sea_level.diameter,
            drill: sea_level,
            below_2000_ft: true,
        });
    }
    let thousands_of_feet = altitude.value / FOOT / 1000.0;
    let left = 1.0 - reduction * thousands_of_feet;
    if !at_most(1e-9, left) {
        return None;
    }
    let area_ratio = left / libm::sqrt(site_pressure.value / ATMOSPHERE);
    let diameter = sea_level.diameter * libm::sqrt(area_ratio);
    Some(AltitudeEquivalent {
        area_ratio,
        diameter,
        drill: drills::nearest(diameter)?,
        below_2000_ft: false,
    })
}

#[cfg(test)]
mod tests {
    use uom::si::power::watt;
    use uom::si::pressure::pascal;

    use super::*;
    use crate::customary::{BTU, BTU_PER_HOUR, CUBIC_FOOT};

    fn supply(specific_gravity: f64, inches: f64, site_pressure: f64) -> Supply {
        Supply {
            specific_gravity,
            manifold_pressure: Pressure::new::<pascal>(inches * INCH_WATER),
            discharge_coefficient: 0.90,
            site_pressure: Pressure::new::<pascal>(site_pressure),
        }
    }

    fn cfh(specific_gravity: f64, inches: f64, drill: u8) -> f64 {
        let hole = hole_area(drills::by_number(drill).unwrap().diameter);
        supply(specific_gravity, inches, ATMOSPHERE).flow(hole).value / CFH
    }

    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found - wanted).abs() <= relative * wanted.abs(),
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn flows_of_the_open_textbook_table_are_met() {
        close(cfh(0.60, 3.5, 70), 2.220, 1.2e-3);
        close(cfh(1.50, 11.0, 80), 0.579, 1.2e-3);
        close(cfh(1.50, 11.0, 75), 1.400, 1.2e-3);
        close(cfh(1.50, 11.0, 65), 3.889, 1.2e-3);
        close(cfh(1.50, 11.0, 62), 4.584, 1.2e-3);
    }

    #[test]
    fn thirty_thousand_btu_of_natural_gas_lie_between_drills_38_and_37() {
        let heating_value = HeatingValue(1000.0 * BTU / CUBIC_FOOT);
        let input = Power::new::<watt>(30_000.0 * BTU_PER_HOUR);
        let found = size_for_input(&supply(0.60, 3.5, ATMOSPHERE), heating_value, input);
        close(found.diameter.value, 0.002_614_52, 1e-5);
        let below = found.below.unwrap();
        let above = found.above.unwrap();
        assert_eq!((below.drill.number, above.drill.number), (38, 37));
        close(below.ratio, 0.972_338, 1e-5);
        close(above.ratio, 1.020_83, 1e-5);
    }

    #[test]
    fn a_hole_sized_for_a_flow_passes_that_flow() {
        let supply = supply(1.5, 11.0, 80_848.0);
        for litres in 1..200_u32 {
            let flow = VolumeRate::new::<cubic_meter_per_second>(f64::from(litres) * 1e-6);
            let diameter = hole_diameter(supply.area(flow));
            close(supply.flow(hole_area(diameter)).value, flow.value, 1e-12);
        }
    }

    fn at_feet(drill: u8, feet: f64) -> AltitudeEquivalent {
        let altitude = feet * FOOT;
        let pressure = ATMOSPHERE * libm::pow(1.0 - 2.255_77e-5 * altitude, 5.255_88);
        altitude_equivalent(
            drills::by_number(drill).unwrap(),
            Length::new::<meter>(altitude),
            Pressure::new::<pascal>(pressure),
            0.04,
        )
        .unwrap()
    }

    #[test]
    fn drills_step_down_with_altitude_as_the_worked_example_says() {
        let found = at_feet(49, 5000.0);
        assert_eq!(found.drill.number, 51);
        close(found.area_ratio, 0.877_033, 1e-5);
        assert_eq!(at_feet(50, 4000.0).drill.number, 51);
    }

    #[test]
    fn two_thousand_feet_typed_as_feet_counts_as_altitude_and_less_does_not() {
        assert!(!at_feet(49, 2000.0).below_2000_ft);
        let below = at_feet(49, 1999.9);
        assert!(below.below_2000_ft);
        assert_eq!(below.drill.number, 49);
    }

    #[test]
    fn a_reduction_that_leaves_nothing_has_no_drill() {
        let none = altitude_equivalent(
            drills::by_number(49).unwrap(),
            Length::new::<meter>(4000.0),
            Pressure::new::<pascal>(61_640.0),
            0.10,
        );
        assert_eq!(none, None);
    }
}
