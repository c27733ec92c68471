//! Design heat loss of a room or a house.
//!
//! No safety factor is added: the 99 % outdoor temperature contains the margin.

use uom::si::energy::joule;
use uom::si::power::watt;
use uom::si::temperature_interval::kelvin as kelvin_difference;
use uom::si::thermal_conductance::watt_per_kelvin;

use crate::customary::{ATMOSPHERE, BTU_PER_HOUR, FOOT};
use crate::quantities::{
    Area, Energy, HeatTransfer, Length, Power, Pressure, TemperatureInterval, ThermalConductance,
    ThermalConductivity, ThermodynamicTemperature, VolumeRate,
};

/// Heat that a cubic metre of air carries per kelvin at sea level, Wh: 1.2 kg/m³ · 1,005 J/kgK / 3,600.
/// 0.33 is in use too.
pub const AIR_CONSTANT: f64 = 0.335;

/// One flat part of a zone's envelope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Net area.
    pub area: Area,
    /// U-value with films, 0 to 20 W/m²K.
    pub u_value: HeatTransfer,
    /// What lies behind it.
    pub beyond: Beyond,
}

/// What lies behind a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Beyond {
    /// Outdoors, or a buffer that takes this share (0 to 1) of the difference to outdoors.
    Outdoors {
        /// 1 for outdoors.
        b_factor: f64,
    },
    /// A space at a known temperature.
    Space(ThermodynamicTemperature),
}

/// One room, or all that is heated alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// Temperature indoors.
    pub indoor: ThermodynamicTemperature,
    /// Floor area, where known.
    pub floor_area: Option<Area>,
    /// Walls, windows, floors, ceilings.
    pub surfaces: Vec<Surface>,
    /// Slab edges: perimeter and F factor.
    pub slab_edges: Vec<(Length, ThermalConductivity)>,
    /// Thermal bridges: length and psi value.
    pub bridges: Vec<(Length, ThermalConductivity)>,
    /// Outdoor air that comes in.
    pub air_flow: VolumeRate,
}

/// The weather and the air of the site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// Design temperature outdoors.
    pub outdoor: ThermodynamicTemperature,
    /// Absolute air pressure.
    pub pressure: Pressure,
    /// Wh per m³ and K at sea level, 0.30 to 0.37; [`AIR_CONSTANT`].
    pub air_constant: f64,
}

impl Site {
    /// p / 101,325 Pa.
    #[must_use]
    pub fn pressure_ratio(&self) -> f64 {
        self.pressure.value / ATMOSPHERE
    }
}

/// Heat loss by its four ways; they add up to the load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Through surfaces.
    pub surfaces: Power,
    /// Through slab edges.
    pub slab_edges: Power,
    /// Through thermal bridges.
    pub bridges: Power,
    /// With air.
    pub air: Power,
}

impl Balance {
    fn none() -> Self {
        let zero = Power::new::<watt>(0.0);
        Self {
            surfaces: zero,
            slab_edges: zero,
            bridges: zero,
            air: zero,
        }
    }

    /// The sum of the four.
    #[must_use]
    pub fn total(&self) -> Power {
        self.surfaces + self.slab_edges + self.bridges + self.air
    }

    fn add(&mut self, other: &Self) {
        self.surfaces += other.surfaces;
        self.slab_edges += other.slab_edges;
        self.bridges += other.bridges;
        self.air += other.air;
    }
}

/// A surface's loss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceLoss {
    /// U A b.
    pub conductance: ThermalConductance,
    /// Its loss; below 0 where the space beyond is warmer.
    pub load: Power,
    /// Share of the zone's load, `None` when that is not above 0.
    pub share: Option<f64>,
}

/// A zone's loss.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneLoss {
    /// Sum of the four ways.
    pub load: Power,
    /// Conductance towards outdoors.
    pub ua: ThermalConductance,
    /// Each surface, in the order given.
    pub surfaces: Vec<SurfaceLoss>,
    /// Conductance of the air that comes in.
    pub air_conductance: ThermalConductance,
    /// By way.
    pub balance: Balance,
    /// Watts per square metre of floor, where the floor area is known.
    pub load_per_area: Option<f64>,
}

/// The loss of all zones.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatLoss {
    /// Sum over the zones.
    pub load: Power,
    /// Conductance of all zones towards outdoors.
    pub ua: ThermalConductance,
    /// p / 101,325 Pa.
    pub pressure_ratio: f64,
    /// Each zone, in the order given.
    pub zones: Vec<ZoneLoss>,
    /// By way, all zones.
    pub balance: Balance,
    /// Share that leaves with air, `None` when the load is not above 0.
    pub air_share: Option<f64>,
}

/// Air conductance `air constant · 3,600 · r · flow`: thinner air carries less.
#[must_use]
pub fn air_conductance(site: &Site, air_flow: VolumeRate) -> ThermalConductance {
    ThermalConductance::new::<watt_per_kelvin>(
        site.air_constant * 3600.0 * site.pressure_ratio() * air_flow.value,
    )
}

/// Sums the losses: surfaces `U A b (t_in - t_out)` or `U A (t_in - other side)`, slab edges
/// `F P (t_in - t_out)`, bridges `psi L (t_in - t_out)`, air.
///
/// A loss below 0 is a gain and is kept. The conductance counts only what leads outdoors.
#[must_use]
pub fn heat_loss(site: &Site, zones: &[Zone]) -> HeatLoss {
    let zones: Vec<ZoneLoss> = zones.iter().map(|zone| zone_loss(site, zone)).collect();
    let mut balance = Balance::none();
    let mut ua = ThermalConductance::new::<watt_per_kelvin>(0.0);
    for zone in &zones {
        balance.add(&zone.balance);
        ua += zone.ua;
    }
    let load = balance.total();
    HeatLoss {
        load,
        ua,
        pressure_ratio: site.pressure_ratio(),
        zones,
        balance,
        air_share: (load.value > 0.0).then(|| (balance.air / load).value),
    }
}

fn zone_loss(site: &Site, zone: &Zone) -> ZoneLoss {
    let difference = |other: ThermodynamicTemperature| {
        TemperatureInterval::new::<kelvin_difference>(zone.indoor.value - other.value)
    };
    let to_outdoors = difference(site.outdoor);
    let loss = |conductance: ThermalConductance, over: TemperatureInterval| {
        Power::new::<watt>(conductance.value * over.value)
    };
    let along = |(length, per_length): &(Length, ThermalConductivity)| {
        ThermalConductance::new::<watt_per_kelvin>(length.value * per_length.value)
    };
    let mut balance = Balance::none();
    let air_conductance = air_conductance(site, zone.air_flow);
    balance.air = loss(air_conductance, to_outdoors);
    let mut ua = air_conductance;
    for edge in &zone.slab_edges {
        balance.slab_edges += loss(along(edge), to_outdoors);
        ua += along(edge);
    }
    for bridge in &zone.bridges {
        balance.bridges += loss(along(bridge), to_outdoors);
        ua += along(bridge);
    }
    let mut surfaces = Vec::with_capacity(zone.surfaces.len());
    for surface in &zone.surfaces {
        let whole = ThermalConductance::new::<watt_per_kelvin>(surface.u_value.value * surface.area.value);
        let (conductance, load) = match surface.beyond {
            Beyond::Outdoors { b_factor } => {
                let conductance = whole * b_factor;
                ua += conductance;
                (conductance, loss(conductance, to_outdoors))
            }
            Beyond::Space(temperature) => (whole, loss(whole, difference(temperature))),
        };
        balance.surfaces += load;
        surfaces.push(SurfaceLoss {
            conductance,
            load,
            share: None,
        });
    }
    let load = balance.total();
    if load.value > 0.0 {
        for surface in &mut surfaces {
            surface.share = Some((surface.load / load).value);
        }
    }
    ZoneLoss {
        load,
        ua,
        surfaces,
        air_conductance,
        balance,
        load_per_area: zone.floor_area.map(|area| load.value / area.value),
    }
}

/// Heat of a season: conductance · degree days · 86,400 s, with degree days in °F days (base 65 °F).
#[must_use]
pub fn season_heat(ua: ThermalConductance, heating_degree_days_f: f64) -> Energy {
    Energy::new::<joule>(ua.value * heating_degree_days_f * 86_400.0 * 5.0 / 9.0)
}

/// A sales guide's range for a floor area, for comparison only.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RuleOfThumb {
    /// Low end.
    pub low: Power,
    /// High end.
    pub high: Power,
    /// Low end over the load, `None` when the load is not above 0.
    pub ratio_low: Option<f64>,
    /// High end over the load.
    pub ratio_high: Option<f64>,
}

/// The range by climate band, Btu/h per ft² of floor: band 1 30 to 35, each next one 5 more.
///
/// `band` is 1 to 5. Source: a sales guide, looked up; it runs far above a reckoned load.
#[must_use]
pub fn rule_of_thumb(band: u32, floor_area: Area, load: Power) -> RuleOfThumb {
    let square_feet = floor_area.value / (FOOT * FOOT);
    let low_figure = 25.0 + 5.0 * f64::from(band);
    let range = |figure: f64| Power::new::<watt>(figure * square_feet * BTU_PER_HOUR);
    let (low, high) = (range(low_figure), range(low_figure + 5.0));
    let ratio = |power: Power| (load.value > 0.0).then(|| (power / load).value);
    RuleOfThumb {
        low,
        high,
        ratio_low: ratio(low),
        ratio_high: ratio(high),
    }
}

#[cfg(test)]
mod tests {
    use uom::si::area::square_meter;
    use uom::si::heat_transfer::watt_per_square_meter_kelvin;
    use uom::si::length::meter;
    use uom::si::pressure::pascal;
    use uom::si::thermal_conductivity::watt_per_meter_kelvin;
    use uom::si::thermodynamic_temperature::{degree_celsius, degree_fahrenheit};
    use uom::si::volume_rate::cubic_meter_per_second;

    use super::*;
    use crate::customary::{BTU, CUBIC_FOOT};

    /// 1 Btu/h·ft²·°F in W/m²K.
    const U: f64 = 5.678_263_337;

    fn surface(square_metres: f64, u_value: f64) -> Surface {
        Surface {
            area: Area::new::<square_meter>(square_metres),
            u_value: HeatTransfer::new::<watt_per_square_meter_kelvin>(u_value),
            beyond: Beyond::Outdoors { b_factor: 1.0 },
        }
    }

    fn square_feet(feet: f64, u_value: f64) -> Surface {
        surface(feet * FOOT * FOOT, u_value * U)
    }

    fn site(fahrenheit: f64, pressure: f64) -> Site {
        Site {
            outdoor: ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit),
            pressure: Pressure::new::<pascal>(pressure),
            air_constant: AIR_CONSTANT,
        }
    }

    fn zone(fahrenheit: f64, surfaces: Vec<Surface>) -> Zone {
        Zone {
            indoor: ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit),
            floor_area: None,
            surfaces,
            slab_edges: vec![],
            bridges: vec![],
            air_flow: VolumeRate::new::<cubic_meter_per_second>(0.0),
        }
    }

    fn close(found: f64, wanted: f64, relative: f64) {
        assert!(
            (found - wanted).abs() <= relative * wanted.abs(),
            "{found} is not {wanted}"
        );
    }

    #[test]
    fn the_published_room_loses_1387_watts() {
        let site = Site {
            outdoor: ThermodynamicTemperature::new::<degree_celsius>(-1.0),
            air_constant: 0.33,
            ..site(0.0, ATMOSPHERE)
        };
        let room = Zone {
            indoor: ThermodynamicTemperature::new::<degree_celsius>(21.0),
            air_flow: VolumeRate::new::<cubic_meter_per_second>(2.0 * 22.77 / 3600.0),
            ..zone(
                0.0,
                vec![surface(6.0, 2.9), surface(13.8, 1.5), surface(9.9, 1.0)],
            )
        };
        let found = heat_loss(&site, &[room]);
        close(found.ua.value, 63.03, 1e-4);
        close(found.load.value, 1387.0, 1e-3);
    }

    #[test]
    fn a_season_is_degree_days_times_conductance() {
        let zone = zone(
            70.0,
            vec![
                square_feet(380.0, 1.0 / 1.1),
                square_feet(2750.0, 1.0 / 19.0),
                square_feet(1920.0, 1.0 / 30.0),
            ],
        );
        let found = heat_loss(&site(20.0, ATMOSPHERE), &[zone]);
        close(found.ua.value / (BTU_PER_HOUR * 1.8), 554.19, 1e-5);
        close(season_heat(found.ua, 6000.0).value / BTU, 79_803_560.0, 1e-5);
        close(found.zones[0].surfaces[0].share.unwrap(), 0.623, 1e-3);
    }

    #[test]
    fn a_small_house_with_slab_and_air_adds_up() {
        let house = Zone {
            floor_area: Some(Area::new::<square_meter>(1200.0 * FOOT * FOOT)),
            slab_edges: vec![(
                Length::new::<meter>(140.0 * FOOT),
                ThermalConductivity::new::<watt_per_meter_kelvin>(0.73 * 1.730_735),
            )],
            air_flow: VolumeRate::new::<cubic_meter_per_second>(0.35 * 9600.0 * CUBIC_FOOT / 3600.0),
            ..zone(
                70.0,
                vec![
                    square_feet(900.0, 0.057),
                    square_feet(144.0, 0.40),
                    square_feet(40.0, 0.20),
                    square_feet(1200.0, 0.031),
                ],
            )
        };
        let pressure = ATMOSPHERE * libm::pow(1.0 - 2.255_77e-5 * 137.0, 5.255_88);
        let found = heat_loss(&site(28.04, pressure), &[house]);
        close(found.ua.value, 166.565, 1e-5);
        close(found.load.value, 3882.80, 1e-5);
        close(found.balance.slab_edges.value, 1256.78, 1e-5);
        close(found.balance.air.value, 731.016, 1e-5);
        let thumb = rule_of_thumb(1, Area::new::<square_meter>(1200.0 * FOOT * FOOT), found.load);
        close(thumb.low.value, 10_550.6, 1e-5);
        close(thumb.high.value, 12_309.0, 1e-5);
        close(thumb.ratio_low.unwrap(), 2.717_25, 1e-5);
    }

    #[test]
    fn a_warmer_space_beyond_gives_a_gain_and_no_conductance() {
        let beyond = Beyond::Space(ThermodynamicTemperature::new::<degree_fahrenheit>(80.0));
        let zone = zone(
            70.0,
            vec![Surface {
                beyond,
                ..square_feet(100.0, 0.1)
            }],
        );
        let found = heat_loss(&site(20.0, ATMOSPHERE), &[zone]);
        close(found.load.value, -100.0 * BTU_PER_HOUR, 1e-6);
        assert!(found.ua.value.abs() < 1e-15);
        assert_eq!(found.zones[0].surfaces[0].share, None);
        assert_eq!(found.air_share, None);
    }
}
