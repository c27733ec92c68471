//! What is known about a balanced flue.

use crate::derate::DerateRule;
use crate::friction::Closure;
use crate::fuel::Fuel;
use crate::geometry::Tile;
use crate::masonry::Layer;
use crate::quantities::{
    HeatTransfer, Insulance, Length, Power, Pressure, ThermodynamicTemperature, Velocity, length, temperature,
};

/// Everything that one sum needs.
#[derive(Debug, Clone, PartialEq)]
pub struct FlueInput {
    /// The place and its weather.
    pub site: Site,
    /// What is burned.
    pub fuel: Fuel,
    /// The stove.
    pub appliance: Appliance,
    /// The flue from the appliance up to the cap, 1 to 50 pieces, together at most 100 m.
    pub segments: Vec<Segment>,
    /// The cap, where exhaust leaves and air enters.
    pub cap: Cap,
    /// The restrictor in the exhaust at the appliance.
    pub restrictor: Option<Restrictor>,
    /// How it is computed.
    pub options: Options,
}

/// The place and its weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// -500..9,000 m.
    pub altitude: Length,
    /// Absolute station pressure; where given it wins over the standard pressure at that altitude.
    pub barometer: Option<Pressure>,
    /// -60..60 degC.
    pub outdoor_temperature: ThermodynamicTemperature,
    /// 0..1.
    pub relative_humidity: f64,
    /// Wind speed.
    pub wind: Velocity,
    /// Pressure coefficient at the intake less that at the exhaust; positive helps.
    pub wind_coefficient: f64,
}

/// On which heat of combustion an input is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum InputBasis {
    /// Gross (higher), as in North America.
    #[default]
    Gross,
    /// Net (lower).
    Net,
}

/// How the temperature of the exhaust at the collar follows the flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum OutletModel {
    /// It stays at the rated flue temperature.
    #[default]
    Fixed,
    /// The appliance's heat exchanger keeps its conductance. Uncalibrated beyond 0.6 to 1.6 of the rated air
    /// ratio, where it is right in direction only.
    Exchanger,
}

/// The stove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Appliance {
    /// Rated input.
    pub input: Power,
    /// On which heat of combustion it is counted.
    pub input_basis: InputBasis,
    /// By which rule it is reduced at altitude.
    pub derate_rule: DerateRule,
    /// How the flue temperature follows the flow.
    pub outlet: OutletModel,
    /// Flue temperature at the rating, outdoor temperature..600 degC.
    pub flue_temperature: ThermodynamicTemperature,
    /// Air ratio at the rating, 1..40.
    pub air_ratio: f64,
    /// Static pressure drop from intake collar to exhaust collar at the rating.
    pub pressure_drop: Option<Pressure>,
    /// Height between the collars inside the appliance, where the pressure drop does not contain it.
    pub internal_height: Length,
    /// The smallest air ratio that the appliance takes; 1.4 when not known (an assumption).
    pub air_ratio_min: Option<f64>,
    /// The largest; 1.5 times the rated one when not known (an assumption).
    pub air_ratio_max: Option<f64>,
}

/// A piece of the flue.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// Along the flue.
    pub length: Length,
    /// Upwards, 0..length.
    pub rise: Length,
    /// The exhaust liner.
    pub exhaust: Liner,
    /// Where the air comes down.
    pub intake: Intake,
    /// What is around the tile.
    pub wall: Wall,
    /// The temperature outside the wall.
    pub ambient: ThermodynamicTemperature,
}

/// A liner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liner {
    /// Inside diameter.
    pub inside_diameter: Length,
    /// Outside diameter, over the crests of a corrugated liner.
    pub outside_diameter: Length,
    /// Equivalent sand roughness.
    pub roughness: Length,
    /// Form losses of this piece, in velocity heads.
    pub loss_coefficient: f64,
    /// Resistance of an insulation around it, per square metre of its inside.
    pub insulation: Option<Insulance>,
}

/// Where the air comes down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Intake {
    /// In the space between liner and tile.
    Coaxial {
        /// The tile, or the outer factory pipe.
        tile: Tile,
        /// Roughness of the tile.
        roughness: Length,
        /// Roughness of the liner's outside.
        roughness_inner: Length,
        /// Form losses of this piece, in velocity heads of the air.
        loss_coefficient: f64,
    },
    /// In a liner of its own; the rest of the tile is still air.
    Colinear {
        /// The intake liner. Its insulation is not used.
        liner: Liner,
        /// The tile around both.
        tile: Tile,
    },
}

/// What is around the tile.
#[derive(Debug, Clone, PartialEq)]
pub enum Wall {
    /// Layers from the tile outwards and the film outside them: 8 indoors, 23 outdoors (EN 13384-1, from
    /// memory), 8 to 10 W/m2K for a connector in a room.
    Masonry {
        /// From the tile outwards.
        layers: Vec<Layer>,
        /// The film outside.
        outside_coefficient: HeatTransfer,
    },
    /// The tile held at a temperature: the bound for a cold start, a few minutes after lighting, when the
    /// liner is warm and the masonry is not.
    HeldAt(ThermodynamicTemperature),
}

/// The cap, in velocity heads; the exhaust's exit velocity is not counted here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cap {
    /// Of the exhaust in the top segment.
    pub exhaust_loss: f64,
    /// Of the air in the top segment.
    pub intake_loss: f64,
}

impl Default for Cap {
    fn default() -> Self {
        Self {
            exhaust_loss: 1.0,
            intake_loss: 1.5,
        }
    }
}

/// The restrictor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Restrictor {
    /// Loss in velocity heads of the exhaust pipe at the appliance.
    LossCoefficient(f64),
    /// Open share of the pipe's area, 0..1 exclusive of 0.
    OpenFraction(f64),
}

/// How it is computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Factor on friction, form and cap losses: 1.0 for the physics, 1.2 for a design.
    pub flow_safety: f64,
    /// How low Reynolds numbers are closed.
    pub closure: Closure,
    /// Whether walls drive free convection in the annulus. In the still cavity of a co-linear flue, air at
    /// least conducts.
    pub natural_convection: bool,
    /// Whether liner and tile radiate.
    pub radiation: bool,
    /// Factor on the film from liner to air in the annulus; may differ from 1 only without free convection
    /// and radiation, which it then stands for (2 in EN 13384-1, from memory).
    pub radiation_factor: f64,
    /// Emissivity of the liner: bright 0.15 to 0.25, oxidised 0.3 to 0.6.
    pub liner_emissivity: f64,
    /// Emissivity of the tile.
    pub tile_emissivity: f64,
    /// The longest cell of the sum.
    pub cell: Length,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            flow_safety: 1.0,
            closure: Closure::Floor2300,
            natural_convection: true,
            radiation: true,
            radiation_factor: 1.0,
            liner_emissivity: 0.3,
            tile_emissivity: 0.9,
            cell: length(0.25),
        }
    }
}

impl Appliance {
    /// The smallest and the largest air ratio, given or assumed.
    #[must_use]
    pub fn air_ratio_limits(&self) -> (f64, f64) {
        (
            self.air_ratio_min.unwrap_or(1.4),
            self.air_ratio_max.unwrap_or(1.5 * self.air_ratio),
        )
    }
}

impl Liner {
    /// A liner of this inside diameter with the usual figures for a flexible corrugated one: 1 mm thick
    /// overall, 2 mm rough, straight, bare.
    #[must_use]
    pub fn of(inside_diameter: Length) -> Self {
        Self {
            inside_diameter,
            outside_diameter: inside_diameter + length(0.002),
            roughness: length(0.002),
            loss_coefficient: 0.0,
            insulation: None,
        }
    }
}

impl Site {
    /// A site with still, rather moist air.
    #[must_use]
    pub fn still(altitude: Length, outdoor_celsius: f64) -> Self {
        Self {
            altitude,
            barometer: None,
            outdoor_temperature: temperature(outdoor_celsius + crate::constants::ICE_POINT),
            relative_humidity: 0.8,
            wind: Velocity::new::<uom::si::velocity::meter_per_second>(0.0),
            wind_coefficient: 0.0,
        }
    }
}
