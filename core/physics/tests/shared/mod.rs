//! Arrangements that several tests compute. Not every test uses every one.
#![allow(dead_code, reason = "each test file takes what it needs")]
#![allow(clippy::panic, reason = "a test that cannot be set up has failed")]

pub mod random;

use wythe_physics::constants::ICE_POINT;
use wythe_physics::derate::DerateRule;
use wythe_physics::flue::{
    Appliance, Cap, FlueInput, InputBasis, Intake, Liner, Options, OutletModel, Segment, Site, Wall,
};
use wythe_physics::fuel::Fuel;
use wythe_physics::geometry::Tile;
use wythe_physics::masonry::{Layer, LayerKind};
use wythe_physics::quantities::{
    HeatTransfer, ThermalConductivity, insulance, length, power, pressure, temperature,
    watt_per_meter_kelvin, watt_per_square_meter_kelvin,
};

/// A nominal 8 x 8 tile.
pub fn tile_8x8() -> Tile {
    Tile::Rectangle {
        a: length(0.17145),
        b: length(0.17145),
        area_factor: 0.937174,
    }
}

/// Tile, air gap and one wythe of brick, indoors.
pub fn masonry() -> Wall {
    let solid = |thickness, k| Layer {
        thickness: length(thickness),
        kind: LayerKind::Solid(ThermalConductivity::new::<watt_per_meter_kelvin>(k)),
    };
    Wall::Masonry {
        layers: vec![
            solid(0.016, 1.1),
            Layer {
                thickness: length(0.02),
                kind: LayerKind::Gap(insulance(0.15)),
            },
            solid(0.095, 0.8),
        ],
        outside_coefficient: HeatTransfer::new::<watt_per_square_meter_kelvin>(8.0),
    }
}

/// A 4 in liner in an 8 x 8 tile, 6 m, interior chimney, natural gas, -10 degC, no restrictor.
pub fn coaxial() -> FlueInput {
    FlueInput {
        site: Site::still(length(0.0), -10.0),
        fuel: Fuel::natural_gas(),
        appliance: Appliance {
            input: power(8800.0),
            input_basis: InputBasis::Gross,
            derate_rule: DerateRule::None,
            outlet: OutletModel::Fixed,
            flue_temperature: temperature(230.0 + ICE_POINT),
            air_ratio: 2.2,
            pressure_drop: Some(pressure(6.0)),
            internal_height: length(0.0),
            air_ratio_min: None,
            air_ratio_max: None,
        },
        segments: vec![Segment {
            length: length(6.0),
            rise: length(6.0),
            exhaust: Liner {
                outside_diameter: length(0.1046),
                loss_coefficient: 0.6,
                ..Liner::of(length(0.1016))
            },
            intake: Intake::Coaxial {
                tile: tile_8x8(),
                roughness: length(0.0015),
                roughness_inner: length(0.002),
                loss_coefficient: 0.5,
            },
            wall: masonry(),
            ambient: temperature(20.0 + ICE_POINT),
        }],
        cap: Cap::default(),
        restrictor: None,
        options: Options::default(),
    }
}

/// Two 3 in liners in an 8 x 8 tile, 5 m, propane, +5 degC, with the exchanger model.
pub fn colinear() -> FlueInput {
    let mut input = coaxial();
    input.site = Site {
        relative_humidity: 0.85,
        ..Site::still(length(0.0), 5.0)
    };
    input.fuel = Fuel::propane();
    input.appliance = Appliance {
        input: power(5900.0),
        outlet: OutletModel::Exchanger,
        flue_temperature: temperature(210.0 + ICE_POINT),
        air_ratio: 2.3,
        pressure_drop: Some(pressure(5.0)),
        ..input.appliance
    };
    let liner = Liner {
        outside_diameter: length(0.0792),
        loss_coefficient: 0.6,
        ..Liner::of(length(0.0762))
    };
    for segment in &mut input.segments {
        segment.length = length(5.0);
        segment.rise = length(5.0);
        segment.exhaust = liner;
        segment.intake = Intake::Colinear {
            liner,
            tile: tile_8x8(),
        };
    }
    input
}
