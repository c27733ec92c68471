//! The U-value of a framed wall, floor or roof by parallel paths.

use uom::si::heat_transfer::watt_per_square_meter_kelvin;

use crate::quantities::{HeatTransfer, Length, ThermalConductivity, ThermalInsulance};

/// A framed assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// Share of the area that is framing, 0 to 1.
    pub framing_fraction: f64,
    /// Resistance of the air film inside; for a wall.
    pub inside_film: ThermalInsulance,
    /// Resistance of the air film outside; in winter.
    pub outside_film: ThermalInsulance,
    /// Layers, in any order.
    pub layers: Vec<Layer>,
}

/// One layer through both paths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Resistance between the framing.
    pub cavity: ThermalInsulance,
    /// Resistance through the framing; the same where the layer runs across.
    pub framing: ThermalInsulance,
}

/// Resistance of a thickness of a material.
#[must_use]
pub fn layer_resistance(thickness: Length, conductivity: ThermalConductivity) -> ThermalInsulance {
    thickness / conductivity
}

impl Assembly {
    /// Resistance from air to air between the framing and through it.
    #[must_use]
    pub fn paths(&self) -> (ThermalInsulance, ThermalInsulance) {
        let films = self.inside_film + self.outside_film;
        self.layers
            .iter()
            .fold((films, films), |(cavity, framing), layer| {
                (cavity + layer.cavity, framing + layer.framing)
            })
    }

    /// `U = ff/R_framing + (1 - ff)/R_cavity`, each path its films and layers; `None` when a path
    /// that counts has no resistance.
    ///
    /// Parallel paths, from memory; a 15 % framing example is at
    /// residentialshippingcontainerprimer.com/r-value-table.
    #[must_use]
    pub fn u_value(&self) -> Option<HeatTransfer> {
        let (cavity, framing) = self.paths();
        if cavity.value <= 0.0 || framing.value <= 0.0 {
            return None;
        }
        Some(HeatTransfer::new::<watt_per_square_meter_kelvin>(
            self.framing_fraction / framing.value + (1.0 - self.framing_fraction) / cavity.value,
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 h·ft²·°F/Btu in m²K/W.
    const R: f64 = 1.0 / 5.678_263_337;

    fn r(customary: f64) -> ThermalInsulance {
        use uom::si::length::meter;
        use uom::si::thermal_conductivity::watt_per_meter_kelvin;
        Length::new::<meter>(customary * R) / ThermalConductivity::new::<watt_per_meter_kelvin>(1.0)
    }

    fn wall(framing_fraction: f64, films: (f64, f64), layers: &[(f64, f64)]) -> Assembly {
        Assembly {
            framing_fraction,
            inside_film: r(films.0),
            outside_film: r(films.1),
            layers: layers
                .iter()
                .map(|(cavity, framing)| Layer {
                    cavity: r(*cavity),
                    framing: r(*framing),
                })
                .collect(),
        }
    }

    #[test]
    fn fifteen_percent_framing_gives_the_published_u_value() {
        let found = wall(0.15, (0.0, 0.0), &[(13.73, 7.12)]).u_value().unwrap();
        assert!((found.value * R - 0.0830).abs() < 5e-5);
    }

    #[test]
    fn without_framing_layers_add_up_with_the_films() {
        let found = wall(0.0, (0.68, 0.17), &[(13.0, 13.0), (0.45, 0.45)]);
        let u = found.u_value().unwrap().value * R;
        assert!((u - 1.0 / 14.30).abs() < 1e-12);
    }

    #[test]
    fn a_path_without_resistance_has_no_u_value() {
        assert_eq!(wall(0.1, (0.0, 0.0), &[(2.0, 0.0)]).u_value(), None);
    }
}
