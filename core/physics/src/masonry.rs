//! Heat through the wall around the tile.

use crate::geometry::Tile;
use crate::quantities::{HeatTransfer, Insulance, Length, ThermalConductivity, watt_per_square_meter_kelvin};

/// One layer of the wall, from the tile outwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Thickness.
    pub thickness: Length,
    /// How it resists.
    pub kind: LayerKind,
}

/// How a layer resists.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LayerKind {
    /// A solid of this conductivity.
    Solid(ThermalConductivity),
    /// A closed air gap (or a product) of this resistance, per square metre of its own inner face.
    Gap(Insulance),
}

/// Heat transfer of the wall per square metre of tile inner surface, outside film included; the form of
/// EN 13384-1 with shape factor 1.0 for round and 1.1 for rectangular tiles (from memory).
#[must_use]
pub fn wall_transfer(tile: &Tile, layers: &[Layer], outside: HeatTransfer) -> HeatTransfer {
    let wall = Wall::of(tile, layers);
    HeatTransfer::new::<watt_per_square_meter_kelvin>(wall.transfer(outside.value, 1.0))
}

/// The wall's own resistance and where its outside film acts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wall {
    /// m2 K/W of tile inner surface.
    resistance: f64,
    /// Hydraulic diameter of the tile over that of the outside.
    outward: f64,
}

impl Wall {
    pub(crate) fn of(tile: &Tile, layers: &[Layer]) -> Self {
        let shape = match tile {
            Tile::Rectangle { .. } => 1.1,
            Tile::Round { .. } => 1.0,
        };
        let inside = 4.0 * tile.section() / tile.around();
        let mut diameter = inside;
        let mut resistance = 0.0;
        for layer in layers {
            let next = diameter + 2.0 * layer.thickness.value;
            resistance += match layer.kind {
                LayerKind::Solid(conductivity) => {
                    shape * inside / (2.0 * conductivity.value)
                        * libm::log1p(2.0 * layer.thickness.value / diameter)
                }
                LayerKind::Gap(gap) => gap.value * inside / diameter,
            };
            diameter = next;
        }
        Self {
            resistance,
            outward: inside / diameter,
        }
    }

    /// W/(m2 K) with an outside film in W/(m2 K); the wall's own resistance is taken `factor` times.
    pub(crate) fn transfer(&self, outside: f64, factor: f64) -> f64 {
        1.0 / (self.resistance * factor + self.outward / outside)
    }
}
