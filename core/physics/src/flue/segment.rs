//! One piece of the flue, and the exchange in it at one height.

use super::appliance::Flow;
use super::input::{Intake, Liner, Options, Segment, Wall};
use super::plan::Plan;
use crate::convection::{Film, STILL_AIR, blend, exchange, free};
use crate::friction::{Duct, Shape, power};
use crate::geometry::{Tile, disc};
use crate::masonry;
use crate::network::{Around, Coaxial, Colinear, Link, Radiation, Walls};
use crate::two_stream::Conductances;

use std::f64::consts::PI;

/// More cells than a flue of the greatest length has with the shortest cell.
const MOST_CELLS: usize = 25_000;

#[derive(Debug, Clone)]
pub(super) struct SegmentPlan {
    pub length: f64,
    pub rise: f64,
    pub cells: usize,
    /// Surroundings of the network, K: the ambient, or the temperature at which the tile is held.
    outside: f64,
    pub exhaust_diameter: f64,
    pub exhaust_area: f64,
    pub exhaust_loss: f64,
    exhaust_duct: Duct,
    /// Inside perimeter and resistance of the insulation per metre of height, K m/W.
    exhaust_perimeter: f64,
    insulation: f64,
    outer_perimeter: f64,
    pub air_diameter: f64,
    pub air_area: f64,
    pub air_loss: f64,
    air_duct: Duct,
    tile_perimeter: f64,
    /// From the tile outwards, W/(m K); none where the tile is held.
    outward: Option<f64>,
    liner_radiation: f64,
    kind: Kind,
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    /// Shares of the duct's heat transfer at the liner and at the tile (Petukhov and Roizen, VDI; from
    /// memory).
    Coaxial { at_liner: f64, at_tile: f64 },
    /// Perimeters of the intake liner and its radiation.
    Colinear {
        inner_perimeter: f64,
        outer_perimeter: f64,
        radiation: f64,
    },
}

/// What one height of a segment does.
#[derive(Debug, Clone, Copy)]
pub(super) struct Local {
    pub conductances: Conductances,
    pub exhaust_friction: f64,
    pub air_friction: f64,
    pub walls: Walls,
    /// Inner wall of the exhaust liner, K.
    pub inner_wall: f64,
    /// The largest move of a wall node in the last step, K.
    pub moved: f64,
}

impl SegmentPlan {
    pub fn of(segment: &Segment, options: &Options, flue_length: f64, wall_factor: f64) -> Self {
        let length = segment.length.value;
        let liner = &segment.exhaust;
        let (inside, outer) = (liner.inside_diameter.value, liner.outside_diameter.value);
        let air = AirWay::of(&segment.intake, outer, options, flue_length);
        let tile_perimeter = air.tile.around();
        let shine = |pipe: f64| match options.radiation {
            true => {
                let around = PI * pipe;
                around
                    * exchange(
                        options.liner_emissivity,
                        options.tile_emissivity,
                        around / tile_perimeter,
                    )
            }
            false => 0.0,
        };
        let (outside, outward) = match &segment.wall {
            Wall::HeldAt(t) => (t.value, None),
            Wall::Masonry {
                layers,
                outside_coefficient,
            } => {
                let wall = masonry::Wall::of(&air.tile, layers);
                (
                    segment.ambient.value,
                    Some(tile_perimeter * wall.transfer(outside_coefficient.value, wall_factor)),
                )
            }
        };
        let kind = match &segment.intake {
            Intake::Coaxial { .. } => {
                let ratio = outer / (4.0 * air.tile.section() / PI).sqrt();
                Kind::Coaxial {
                    at_liner: 0.86 * power(ratio, -0.16),
                    at_tile: 1.0 - 0.14 * power(ratio, 0.6),
                }
            }
            Intake::Colinear { liner: intake, .. } => Kind::Colinear {
                inner_perimeter: PI * intake.inside_diameter.value,
                outer_perimeter: PI * intake.outside_diameter.value,
                radiation: shine(intake.outside_diameter.value),
            },
        };
        Self {
            length,
            rise: segment.rise.value.min(length),
            cells: cells(length, options.cell.value),
            outside,
            exhaust_diameter: inside,
            exhaust_area: disc(inside),
            exhaust_loss: liner.loss_coefficient,
            exhaust_duct: liner_duct(liner, options, flue_length),
            exhaust_perimeter: PI * inside,
            insulation: liner.insulation.map_or(0.0, |r| r.value) / (PI * inside),
            outer_perimeter: PI * outer,
            air_diameter: air.diameter,
            air_area: air.area,
            air_loss: air.loss,
            air_duct: air.duct,
            tile_perimeter,
            outward,
            liner_radiation: shine(outer),
            kind,
        }
    }

    pub fn outside(&self) -> f64 {
        self.outside
    }

    /// Wall nodes to begin with.
    pub fn guess(&self, exhaust: f64, air: f64) -> Walls {
        Walls {
            liner: 0.5 * (exhaust + air),
            vent: 0.9 * air + 0.1 * self.outside,
            cavity: 0.5 * air + 0.3 * self.outside + 0.2 * exhaust,
            tile: if self.outward.is_some() {
                0.7 * air + 0.3 * self.outside
            } else {
                self.outside
            },
        }
    }

    /// The exchange at exhaust and air temperature (K), beginning from `walls`, which take one step.
    pub fn local(&self, plan: &Plan, flow: &Flow, exhaust: f64, air: f64, walls: Walls) -> Local {
        let gas = flow.exhaust.transport(exhaust);
        let reynolds = flow.exhaust_flow * self.exhaust_diameter / (self.exhaust_area * gas.viscosity);
        let prandtl = flow.exhaust.cp(exhaust) * gas.viscosity / gas.conductivity;
        let (exhaust_friction, nusselt) = self.exhaust_duct.friction_and_nusselt(reynolds, prandtl);
        let inner = nusselt * gas.conductivity / self.exhaust_diameter * self.exhaust_perimeter;
        let exhaust_liner = 1.0 / (1.0 / inner + self.insulation);

        let bulk = plan.air.transport(air);
        let reynolds = flow.air_flow * self.air_diameter / (self.air_area * bulk.viscosity);
        let prandtl = plan.air.cp(air) * bulk.viscosity / bulk.conductivity;
        let (air_friction, nusselt) = self.air_duct.friction_and_nusselt(reynolds, prandtl);
        let forced = nusselt * bulk.conductivity / self.air_diameter;

        let around = Around {
            exhaust,
            air,
            outside: self.outside,
        };
        let (settled, conductances) = match self.kind {
            Kind::Coaxial { at_liner, at_tile } => {
                let factor = plan.radiation_factor;
                let network = Coaxial {
                    exhaust_liner,
                    liner_air: self.gap(
                        plan,
                        at_liner * forced * factor,
                        walls.liner,
                        air,
                        self.outer_perimeter,
                    ),
                    liner_tile: Radiation(self.liner_radiation),
                    tile_air: self.gap(plan, at_tile * forced, walls.tile, air, self.tile_perimeter),
                    tile_outside: self.outward,
                };
                let settled = network.settle(around, walls);
                (settled, network.reduce(settled))
            }
            Kind::Colinear {
                inner_perimeter,
                outer_perimeter,
                radiation,
            } => {
                let network = Colinear {
                    exhaust_liner,
                    liner_cavity: still(plan, walls.liner, walls.cavity, self.outer_perimeter),
                    liner_tile: Radiation(self.liner_radiation),
                    air_vent: forced * inner_perimeter,
                    vent_cavity: still(plan, walls.vent, walls.cavity, outer_perimeter),
                    vent_tile: Radiation(radiation),
                    tile_cavity: still(plan, walls.tile, walls.cavity, self.tile_perimeter),
                    tile_outside: self.outward,
                };
                let settled = network.settle(around, walls);
                (settled, network.reduce(settled))
            }
        };
        Local {
            conductances,
            exhaust_friction,
            air_friction,
            walls: settled,
            inner_wall: exhaust - exhaust_liner * (exhaust - settled.liner) / inner,
            moved: moved(walls, settled),
        }
    }

    /// The film at a wall of the annulus.
    fn gap(&self, plan: &Plan, forced: f64, wall: f64, air: f64, perimeter: f64) -> Link {
        if !plan.natural_convection {
            return Link::steady(forced * perimeter);
        }
        let film = blend(forced, &plan.air, plan.pressure, wall, air);
        Link::growing(film.film * perimeter, film.growth)
    }
}

/// Where the air comes down.
struct AirWay {
    tile: Tile,
    diameter: f64,
    area: f64,
    loss: f64,
    duct: Duct,
}

impl AirWay {
    fn of(intake: &Intake, liner_outside: f64, options: &Options, flue_length: f64) -> Self {
        match intake {
            Intake::Coaxial {
                tile,
                roughness,
                roughness_inner,
                loss_coefficient,
            } => {
                let (tile_around, liner_around) = (tile.around(), PI * liner_outside);
                let area = tile.section() - disc(liner_outside);
                let around = tile_around + liner_around;
                let diameter = 4.0 * area / around;
                let rough = (roughness.value * tile_around + roughness_inner.value * liner_around) / around;
                let duct = Duct::new(
                    options.closure,
                    Shape::Annulus,
                    rough / diameter,
                    false,
                    diameter / flue_length,
                );
                Self {
                    tile: *tile,
                    diameter,
                    area,
                    loss: *loss_coefficient,
                    duct,
                }
            }
            Intake::Colinear { liner, tile } => Self {
                tile: *tile,
                diameter: liner.inside_diameter.value,
                area: disc(liner.inside_diameter.value),
                loss: liner.loss_coefficient,
                duct: liner_duct(liner, options, flue_length),
            },
        }
    }
}

fn liner_duct(liner: &Liner, options: &Options, flue_length: f64) -> Duct {
    let inside = liner.inside_diameter.value;
    Duct::new(
        options.closure,
        Shape::Round,
        liner.roughness.value / inside,
        true,
        inside / flue_length,
    )
}

/// The film of still air in the cavity of a co-linear flue.
fn still(plan: &Plan, wall: f64, cavity: f64, perimeter: f64) -> Link {
    let film = if plan.natural_convection {
        free(&plan.air, plan.pressure, wall, cavity)
    } else {
        Film {
            film: STILL_AIR,
            growth: 0.0,
        }
    };
    Link::growing(film.film * perimeter, film.growth)
}

fn moved(old: Walls, new: Walls) -> f64 {
    let pairs = [
        (old.liner, new.liner),
        (old.vent, new.vent),
        (old.cavity, new.cavity),
        (old.tile, new.tile),
    ];
    pairs.iter().map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// How many cells a length is cut into.
fn cells(length: f64, longest: f64) -> usize {
    let mut cells = 1;
    let mut cut = longest * (1.0 + 1e-9);
    while cut < length && cells < MOST_CELLS {
        cells += 1;
        cut += longest;
    }
    cells
}
