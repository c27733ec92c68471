//! Random arrangements from a seed: mostly such as a crew meets, some far out, some on the very bounds.

use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};
use wythe_physics::constants::ICE_POINT;
use wythe_physics::derate::DerateRule;
use wythe_physics::flue::{
    Appliance, Cap, FlueInput, InputBasis, Intake, Liner, Options, OutletModel, Restrictor, Segment, Site,
    Wall,
};
use wythe_physics::friction::Closure;
use wythe_physics::fuel::{Fractions, Fuel};
use wythe_physics::geometry::Tile;
use wythe_physics::masonry::{Layer, LayerKind};
use wythe_physics::quantities::{
    HeatTransfer, Length, ThermalConductivity, Velocity, insulance, length, meter_per_second, power,
    pressure, temperature, watt_per_meter_kelvin, watt_per_square_meter_kelvin,
};

/// Where the numbers come from.
pub struct Chance(ChaCha8Rng);

impl Chance {
    pub fn from_seed(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    pub fn share(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn yes(&mut self, share: f64) -> bool {
        self.share() < share
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    pub fn one_of<T: Copy, const N: usize>(&mut self, of: [T; N]) -> T {
        let place = self.share() * N as f64;
        let mut picked = of.into_iter().zip(1_u32..).filter(|(_, n)| place < f64::from(*n));
        picked
            .next()
            .map_or_else(|| panic!("nothing to choose from"), |(item, _)| item)
    }

    /// A number that is usually within `usual`, sometimes anywhere in `bounds`, sometimes on a bound.
    fn number(&mut self, wild: f64, usual: (f64, f64), bounds: (f64, f64)) -> f64 {
        if !self.yes(wild) {
            return self.between(usual.0, usual.1);
        }
        match self.0.next_u64() % 4 {
            0 => bounds.0,
            1 => bounds.1,
            _ => self.between(bounds.0, bounds.1),
        }
    }

    /// The same for what is above zero, wild ones spread over the decades.
    fn size(&mut self, wild: f64, usual: (f64, f64), bounds: (f64, f64)) -> f64 {
        if !self.yes(wild) {
            return self.between(usual.0, usual.1);
        }
        match self.0.next_u64() % 4 {
            0 => bounds.0,
            1 => bounds.1,
            _ => libm::exp(self.between(libm::log(bounds.0), libm::log(bounds.1))),
        }
    }
}

/// An arrangement; `wild` is the share of inputs that leave what is usual.
pub fn arrangement(chance: &mut Chance, wild: f64) -> FlueInput {
    let site = site(chance, wild);
    let fuel = fuel(chance);
    let appliance = appliance(chance, wild, site.outdoor_temperature.value - ICE_POINT);
    let count = if chance.yes(wild) {
        chance.one_of([2, 5, 50])
    } else {
        chance.one_of([1, 1, 1, 2, 3])
    };
    let segments: Vec<Segment> = (0..count).map(|_| segment(chance, wild, count)).collect();
    let natural_convection = chance.yes(0.9);
    let radiation = chance.yes(0.9);
    FlueInput {
        site,
        fuel,
        appliance,
        segments,
        cap: Cap {
            exhaust_loss: chance.number(wild, (0.5, 1.5), (0.0, 1e4)),
            intake_loss: chance.number(wild, (0.5, 3.0), (0.0, 1e4)),
        },
        restrictor: restrictor(chance, wild),
        options: Options {
            flow_safety: if chance.yes(wild) {
                chance.one_of([1e-3, 10.0])
            } else {
                chance.one_of([1.0, 1.2])
            },
            closure: chance.one_of([Closure::Floor2300, Closure::Floor2300, Closure::Physical]),
            natural_convection,
            radiation,
            radiation_factor: if natural_convection || radiation {
                1.0
            } else {
                chance.between(0.0, 10.0)
            },
            ..Options::default()
        },
    }
}

fn site(chance: &mut Chance, wild: f64) -> Site {
    let celsius = chance.number(wild, (-35.0, 30.0), (-60.0, 60.0));
    Site {
        altitude: length(chance.number(wild, (0.0, 3000.0), (-500.0, 9000.0))),
        barometer: chance.yes(0.1).then(|| pressure(chance.between(25e3, 110e3))),
        outdoor_temperature: temperature(ICE_POINT + celsius),
        relative_humidity: chance.number(wild, (0.3, 1.0), (0.0, 1.0)),
        wind: Velocity::new::<meter_per_second>(chance.number(wild, (0.0, 8.0), (0.0, 100.0))),
        wind_coefficient: chance.number(wild, (-0.2, 0.2), (-10.0, 10.0)),
    }
}

fn fuel(chance: &mut Chance) -> Fuel {
    let methane = chance.between(0.01, 1.0);
    let parts = Fractions {
        methane,
        nitrogen: 1.0 - methane,
        ..Fractions::default()
    };
    let mixture = Fuel::mixture(parts).unwrap_or_else(|refusal| panic!("{refusal}"));
    chance.one_of([Fuel::natural_gas(), Fuel::propane(), Fuel::methane(), mixture])
}

fn appliance(chance: &mut Chance, wild: f64, outdoor: f64) -> Appliance {
    Appliance {
        input: power(chance.size(wild, (3e3, 15e3), (1e-6, 200e3))),
        input_basis: chance.one_of([InputBasis::Gross, InputBasis::Net]),
        derate_rule: chance.one_of([
            DerateRule::None,
            DerateRule::None,
            DerateRule::TwoPercentAbove2000Ft,
        ]),
        outlet: chance.one_of([OutletModel::Fixed, OutletModel::Fixed, OutletModel::Exchanger]),
        flue_temperature: temperature(ICE_POINT + chance.number(wild, (120.0, 350.0), (outdoor, 600.0))),
        air_ratio: chance.number(wild, (1.5, 3.0), (1.0, 40.0)),
        pressure_drop: Some(pressure(chance.number(wild, (3.0, 12.0), (0.0, 1e5)))),
        internal_height: length(chance.number(wild, (0.0, 0.5), (0.0, 100.0))),
        air_ratio_min: None,
        air_ratio_max: None,
    }
}

fn segment(chance: &mut Chance, wild: f64, count: usize) -> Segment {
    let long = 100.0 / count as f64;
    let run = chance.size(wild, (0.3, 8.0_f64.min(long)), (1e-6, long));
    let inside = chance.size(wild, (0.06, 0.13), (1e-3, 1.0));
    let outside = inside + chance.size(wild, (0.001, 0.004), (1e-6, 0.1));
    let exhaust = Liner {
        inside_diameter: length(inside),
        outside_diameter: length(outside),
        roughness: rough(chance, wild),
        loss_coefficient: loss(chance, wild),
        insulation: chance
            .yes(0.3)
            .then(|| insulance(chance.size(wild, (0.05, 0.5), (1e-9, 1000.0)))),
    };
    let intake = if chance.yes(0.6) {
        let room = outside * chance.size(wild, (1.2, 2.5), (1.000_001, 100.0));
        Intake::Coaxial {
            tile: tile(chance, room),
            roughness: rough(chance, wild),
            roughness_inner: rough(chance, wild),
            loss_coefficient: loss(chance, wild),
        }
    } else {
        let second = chance.size(wild, (0.06, 0.13), (1e-3, 1.0));
        let liner = Liner {
            loss_coefficient: loss(chance, wild),
            ..Liner::of(length(second))
        };
        let room = (outside + second + 0.002) * chance.size(wild, (1.05, 2.0), (1.000_001, 100.0));
        Intake::Colinear {
            liner,
            tile: tile(chance, room),
        }
    };
    Segment {
        length: length(run),
        rise: length(run * chance.number(wild, (0.7, 1.0), (0.0, 1.0))),
        exhaust,
        intake,
        wall: wall(chance, wild),
        ambient: temperature(ICE_POINT + chance.number(wild, (-10.0, 25.0), (-60.0, 60.0))),
    }
}

fn rough(chance: &mut Chance, wild: f64) -> Length {
    length(chance.number(wild, (0.0005, 0.005), (0.0, 1.0)))
}

fn loss(chance: &mut Chance, wild: f64) -> f64 {
    chance.number(wild, (0.0, 2.0), (0.0, 1e6))
}

fn tile(chance: &mut Chance, room: f64) -> Tile {
    if chance.yes(0.3) {
        return Tile::Round {
            diameter: length(room),
        };
    }
    let area_factor = chance.between(0.9, 1.0);
    Tile::Rectangle {
        a: length(room),
        b: length(room * chance.between(1.0, 2.0)),
        area_factor,
    }
}

fn wall(chance: &mut Chance, wild: f64) -> Wall {
    if chance.yes(0.2) {
        return Wall::HeldAt(temperature(
            ICE_POINT + chance.number(wild, (-10.0, 25.0), (-60.0, 60.0)),
        ));
    }
    let layers = (0..chance.one_of([1, 2, 3])).map(|_| {
        let kind = if chance.yes(0.3) {
            LayerKind::Gap(insulance(chance.size(wild, (0.1, 0.2), (1e-9, 1000.0))))
        } else {
            let k = chance.size(wild, (0.1, 1.5), (1e-6, 1000.0));
            LayerKind::Solid(ThermalConductivity::new::<watt_per_meter_kelvin>(k))
        };
        Layer {
            thickness: length(chance.size(wild, (0.01, 0.12), (1e-6, 100.0))),
            kind,
        }
    });
    let layers = layers.collect();
    let outside = chance.size(wild, (6.0, 25.0), (1e-6, 1e4));
    Wall::Masonry {
        layers,
        outside_coefficient: HeatTransfer::new::<watt_per_square_meter_kelvin>(outside),
    }
}

fn restrictor(chance: &mut Chance, wild: f64) -> Option<Restrictor> {
    match chance.one_of([0, 1, 2]) {
        0 => None,
        1 => Some(Restrictor::LossCoefficient(chance.number(
            wild,
            (0.0, 60.0),
            (0.0, 1e9),
        ))),
        _ => Some(Restrictor::OpenFraction(chance.number(
            wild,
            (0.15, 0.9),
            (1e-6, 1.0),
        ))),
    }
}
