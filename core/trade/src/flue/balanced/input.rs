//! What the sum is told.

use serde_json::{Map, Value};
use uom::si::f64::Velocity;

use crate::form::{
    Described, Flat, Pointer, Record, Refusal, any, choice, input, items, over, tagged, within,
};
use crate::gas::derate_rule::DerateRuleChoice;
use crate::gas::fuel_gas::FuelGas;
use crate::quantities::{
    AbsolutePressure, HeatTransfer, Length, Power, Pressure, ThermalConductivity, ThermalInsulance,
    ThermodynamicTemperature,
};

/// Loss coefficients up to here are taken, in velocity heads.
const MOST_LOSS: f64 = 1e9;
/// The most draws of a band.
const MOST_DRAWS: f64 = 10_000.0;

input! {
    /// A balanced flue and what is asked about it.
    pub struct Input {
        /// The place and its weather.
        pub site: Site,
        /// The gas.
        pub gas: Flat<FuelGas>,
        /// The stove.
        pub appliance: Appliance,
        /// The flue from the stove up to the cap.
        pub segments: Vec<Segment> = items(1, 50),
        /// The cap, without the exhaust's exit velocity.
        pub cap: Cap = any().or_empty(),
        /// The restrictor in the exhaust at the stove.
        pub restrictor: Option<Restrictor>,
        /// How it is computed.
        pub options: Options = any().or_empty(),
        /// What is asked; the operating point when it is not given.
        pub solve: Solve = any().or_empty(),
        /// Draws over the inputs that nobody knows well.
        pub band: Option<Band>,
    }
}

input! {
    /// The place and its weather.
    pub struct Site {
        /// Altitude above sea level.
        pub altitude: Length = within(-500.0, 9000.0),
        /// Barometer at the site as it stands there, not corrected to sea level; wins over the altitude.
        pub barometer: Option<AbsolutePressure> = within(25e3, 110e3),
        /// Outdoor temperature.
        pub outdoor_temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// Relative humidity, 0 to 1.
        pub relative_humidity: f64 = within(0.0, 1.0).or(0.8),
        /// Wind speed at the cap.
        pub wind: Velocity = within(0.0, 100.0).or("0 m/s"),
        /// Pressure coefficient at the intake less that at the exhaust; positive helps. A balanced cap has little:
        /// try -0.2, 0 and 0.2 without test data.
        pub wind_coefficient: f64 = within(-10.0, 10.0).or(0.0),
    }
}

choice! {
    /// On which heat of combustion an input is counted.
    pub enum Basis {
        /// Gross (higher).
        Gross = "gross",
        /// Net (lower).
        Net = "net",
    }
}

choice! {
    /// How the flue temperature follows the flow.
    pub enum Outlet {
        /// It stays at the rated one.
        Fixed = "fixed",
        /// The stove's heat exchanger keeps its conductance.
        Exchanger = "exchanger",
    }
}

input! {
    /// The stove.
    pub struct Appliance {
        /// Input; in a job the settled input at the site.
        pub input: Power = over(0.0, 200e3),
        /// On which heat of combustion it is counted.
        pub input_basis: Basis = any().or("gross"),
        /// By which rule it is reduced at altitude; none when the input is the site's already.
        pub derate_rule: DerateRuleChoice = any().or("none"),
        /// How the flue temperature follows the flow.
        pub outlet: Outlet = any().or("fixed"),
        /// Flue temperature at the rating, from outdoors to 600 degC.
        pub flue_temperature: ThermodynamicTemperature = within(-60.0, 600.0),
        /// Air ratio at the rating.
        pub air_ratio: f64 = within(1.0, 40.0),
        /// Static pressure drop from intake collar to exhaust collar at the rating.
        pub pressure_drop: Option<Pressure> = within(0.0, 1e5),
        /// Height between the collars inside the stove, where the pressure drop does not contain it.
        pub internal_height: Length = within(0.0, 100.0).or("0 m"),
        /// The smallest air ratio the stove takes (1.4: an assumption).
        pub air_ratio_min: f64 = within(1.0, 100.0).or(1.4),
        /// The largest; 1.5 times the rated one when it is not given (an assumption).
        pub air_ratio_max: Option<f64> = within(1.0, 100.0),
    }
}

input! {
    /// A piece of the flue.
    pub struct Segment {
        /// What it is called.
        pub name: Option<String>,
        /// Along the flue; all pieces together at most 100 m.
        pub length: Length = over(0.0, 100.0),
        /// Upwards; the length when it is not given.
        pub rise: Option<Length> = within(0.0, 100.0),
        /// The exhaust liner.
        pub exhaust: Exhaust,
        /// Where the air comes down.
        pub intake: Intake,
        /// What is around the tile.
        pub wall: Wall,
        /// The temperature outside the wall.
        pub ambient: ThermodynamicTemperature = within(-60.0, 60.0),
    }
}

input! {
    /// The exhaust liner.
    pub struct Exhaust {
        /// Inside diameter.
        pub inside_diameter: Length = over(0.0, 100.0),
        /// Outside diameter, over the crests; 2 mm more than inside when it is not given.
        pub outside_diameter: Option<Length> = over(0.0, 100.0),
        /// Equivalent sand roughness.
        pub roughness: Length = within(0.0, 100.0).or("2 mm"),
        /// Form losses of the piece, in velocity heads.
        pub loss_coefficient: f64 = within(0.0, MOST_LOSS).or(0.0),
        /// Resistance of an insulation around the liner, per area of its inside.
        pub insulation: Option<ThermalInsulance> = over(0.0, 1000.0),
    }
}

tagged! {
    /// Where the air comes down.
    pub enum Intake by "kind" {
        /// In the space between liner and tile.
        Coaxial(Coaxial) = "coaxial",
        /// In a liner of its own.
        Colinear(Colinear) = "colinear",
    }
}

input! {
    /// The space between liner and tile.
    pub struct Coaxial {
        /// The tile, or the outer pipe of a factory-made one.
        pub tile: Tile,
        /// Roughness of the tile.
        pub roughness: Length = within(0.0, 100.0).or("1.5 mm"),
        /// Roughness of the liner's outside; as its inside when it is not given.
        pub roughness_inner: Option<Length> = within(0.0, 100.0),
        /// Form losses of the piece, in velocity heads of the air.
        pub loss_coefficient: f64 = within(0.0, MOST_LOSS).or(0.0),
    }
}

input! {
    /// A liner for the air, in the same tile.
    pub struct Colinear {
        /// Inside diameter.
        pub inside_diameter: Length = over(0.0, 100.0),
        /// Outside diameter; 2 mm more than inside when it is not given.
        pub outside_diameter: Option<Length> = over(0.0, 100.0),
        /// Equivalent sand roughness.
        pub roughness: Length = within(0.0, 100.0).or("2 mm"),
        /// Form losses of the piece, in velocity heads of the air.
        pub loss_coefficient: f64 = within(0.0, MOST_LOSS).or(0.0),
        /// The tile around both.
        pub tile: Tile,
    }
}

tagged! {
    /// The inside of a flue tile.
    pub enum Tile by "shape" {
        /// Four sides.
        Rectangle(Rectangle) = "rectangle",
        /// Round.
        Round(Round) = "round",
    }
}

input! {
    /// A rectangular tile.
    pub struct Rectangle {
        /// Inside size.
        pub a: Length = over(0.0, 100.0),
        /// Inside size the other way.
        pub b: Length = over(0.0, 100.0),
        /// True area over a times b, for rounded corners.
        pub area_factor: f64 = over(0.0, 1.0).or(1.0),
    }
}

input! {
    /// A round tile or pipe.
    pub struct Round {
        /// Inside diameter.
        pub diameter: Length = over(0.0, 100.0),
    }
}

input! {
    /// Layers around the tile, or a temperature at which it is held.
    pub struct Wall {
        /// From the tile outwards.
        pub layers: Option<Vec<Layer>> = items(1, 20),
        /// Film outside them: 8 indoors when it is not given, 23 outdoors.
        pub outside_coefficient: Option<HeatTransfer> = over(0.0, 1e4),
        /// Temperature of the tile: the bound for a cold start.
        pub held_at: Option<ThermodynamicTemperature> = within(-60.0, 60.0),
    }
}

input! {
    /// One layer: a solid by its conductivity, a closed air gap by its resistance.
    pub struct Layer {
        /// Thickness.
        pub thickness: Length = over(0.0, 100.0),
        /// Conductivity.
        pub conductivity: Option<ThermalConductivity> = over(0.0, 1000.0),
        /// Resistance, per area of its own inner face.
        pub resistance: Option<ThermalInsulance> = over(0.0, 1000.0),
    }
}

input! {
    /// Losses at the cap, in velocity heads of the top piece.
    pub struct Cap {
        /// Of the exhaust.
        pub exhaust_loss: f64 = within(0.0, MOST_LOSS).or(1.0),
        /// Of the air.
        pub intake_loss: f64 = within(0.0, MOST_LOSS).or(1.5),
    }
}

input! {
    /// The restrictor: one of both.
    pub struct Restrictor {
        /// Its loss, in velocity heads of the exhaust pipe at the stove.
        pub loss_coefficient: Option<f64> = within(0.0, MOST_LOSS),
        /// Its open share of that pipe's area.
        pub open_fraction: Option<f64> = over(0.0, 1.0),
    }
}

choice! {
    /// How low Reynolds numbers are closed.
    pub enum ClosureChoice {
        /// With at least 2300, as EN 13384-1 does.
        Floor2300 = "floor2300",
        /// Laminar to 2000, turbulent from 4000.
        Physical = "physical",
    }
}

input! {
    /// How it is computed.
    pub struct Options {
        /// Factor on friction, form and cap losses: 1.0 physics, 1.2 design.
        pub flow_safety: f64 = over(0.0, 10.0).or(1.0),
        /// How low Reynolds numbers are closed.
        pub closure: ClosureChoice = any().or("floor2300"),
        /// Whether walls drive free convection.
        pub natural_convection: bool = any().or(true),
        /// Whether liner and tile radiate.
        pub radiation: bool = any().or(true),
        /// Factor on the film from liner to air, which stands for both when both are off.
        pub radiation_factor: f64 = within(0.0, 10.0).or(1.0),
    }
}

tagged! {
    /// What is asked.
    pub enum Solve by "mode" or "operating_point" {
        /// At which air ratio does it run?
        OperatingPoint(Nothing) = "operating_point",
        /// Which restrictor gives this air ratio?
        RestrictorFor(Target) = "restrictor_for",
        /// What happens at this air ratio?
        At(Target) = "at",
        /// Which pressure drop of the stove gives this air ratio, without a restrictor?
        PressureDropFor(Target) = "pressure_drop_for",
    }
}

input! {
    /// The air ratio asked for.
    pub struct Target {
        /// Air supplied over air needed.
        pub air_ratio: f64 = within(1.0, 40.0),
    }
}

input! {
    /// How often, and from which seed.
    pub struct Band {
        /// How many draws.
        pub draws: u32 = within(1.0, MOST_DRAWS).or(1000_u32),
        /// The same seed gives the same band everywhere.
        pub seed: u64 = any().or(0_u32),
    }
}

/// No further keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nothing;

impl Record for Nothing {
    fn keys() -> Vec<&'static str> {
        Vec::new()
    }

    fn read_keys(_: &Map<String, Value>, _: &Pointer) -> Result<Self, Refusal> {
        Ok(Self)
    }

    fn describe(_: &mut Described) {}
}
