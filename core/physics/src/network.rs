//! The wall network of one metre of height: liner, tile and what lies between them.
//!
//! Nodes inside the network are settled by Newton's method; then they are eliminated one after another
//! (star to mesh), which leaves the three conductances between exhaust, air and surroundings as sums and
//! products of positive terms: they cannot become negative.

use crate::convection::radiant;
use crate::two_stream::Conductances;

/// A conductance, W/(m K), and its slope: how the heat flow grows with the difference.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Link {
    pub conductance: f64,
    pub slope: f64,
}

impl Link {
    /// A conductance that grows with the difference as `growth` says (d ln G/d ln dT).
    pub(crate) fn growing(conductance: f64, growth: f64) -> Self {
        Self {
            conductance,
            slope: conductance * (1.0 + growth),
        }
    }

    pub(crate) fn steady(conductance: f64) -> Self {
        Self {
            conductance,
            slope: conductance,
        }
    }
}

/// Radiation between two nodes, per kelvin^4: W/(m K4).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Radiation(pub f64);

/// Temperatures of the wall nodes, K. The vent and the cavity exist only with two liners.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Walls {
    pub liner: f64,
    pub vent: f64,
    pub cavity: f64,
    pub tile: f64,
}

/// What the network hangs on: exhaust, air and surroundings, K.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Around {
    pub exhaust: f64,
    pub air: f64,
    pub outside: f64,
}

impl Around {
    fn hold(&self, t: f64) -> f64 {
        let low = self.exhaust.min(self.air).min(self.outside);
        let high = self.exhaust.max(self.air).max(self.outside);
        t.max(low).min(high)
    }
}

/// Liner in the tile, air between them. Without `tile_outside` the tile is held at the surroundings.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Coaxial {
    pub exhaust_liner: f64,
    pub liner_air: Link,
    pub liner_tile: Radiation,
    pub tile_air: Link,
    pub tile_outside: Option<f64>,
}

impl Coaxial {
    /// One step of Newton's method. Gives the new nodes; the links are those of the old ones.
    pub(crate) fn settle(&self, at: Around, old: Walls) -> Walls {
        let Walls {
            liner: w, tile: t, ..
        } = old;
        let k = self.liner_tile.0;
        let radiant_flow = radiant(k, w, t) * (w - t);
        let (slope_w, slope_t) = (4.0 * k * w * w * w, 4.0 * k * t * t * t);
        let off_liner =
            self.exhaust_liner * (at.exhaust - w) - self.liner_air.conductance * (w - at.air) - radiant_flow;
        let diagonal_w = self.exhaust_liner + self.liner_air.slope + slope_w;
        let Some(outward) = self.tile_outside else {
            return Walls {
                liner: at.hold(w + off_liner / diagonal_w),
                tile: at.outside,
                ..old
            };
        };
        let off_tile = radiant_flow - self.tile_air.conductance * (t - at.air) - outward * (t - at.outside);
        let diagonal_t = slope_t + self.tile_air.slope + outward;
        let determinant = diagonal_w * diagonal_t - slope_w * slope_t;
        let dw = (off_liner * diagonal_t + slope_t * off_tile) / determinant;
        let dt = (diagonal_w * off_tile + slope_w * off_liner) / determinant;
        Walls {
            liner: at.hold(w + dw),
            tile: at.hold(t + dt),
            ..old
        }
    }

    /// The three conductances that are left when liner and tile are eliminated.
    pub(crate) fn reduce(&self, walls: Walls) -> Conductances {
        let (e, a) = (self.exhaust_liner, self.liner_air.conductance);
        let t = radiant(self.liner_tile.0, walls.liner, walls.tile);
        let star = e + a + t;
        let tile = Tile {
            exhaust: e * t / star,
            air: a * t / star + self.tile_air.conductance,
        };
        tile.reduce(e * a / star, self.tile_outside)
    }
}

/// Two liners in the tile, still air around both.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Colinear {
    pub exhaust_liner: f64,
    pub liner_cavity: Link,
    pub liner_tile: Radiation,
    pub air_vent: f64,
    pub vent_cavity: Link,
    pub vent_tile: Radiation,
    pub tile_cavity: Link,
    pub tile_outside: Option<f64>,
}

impl Colinear {
    /// One step of Newton's method. Gives the new nodes; the links are those of the old ones.
    pub(crate) fn settle(&self, at: Around, old: Walls) -> Walls {
        let Walls {
            liner: w,
            vent: v,
            cavity: c,
            tile: t,
        } = old;
        let (kw, kv) = (self.liner_tile.0, self.vent_tile.0);
        let (wc, vc, tc) = (self.liner_cavity, self.vent_cavity, self.tile_cavity);
        let (flow_w, flow_v) = (radiant(kw, w, t) * (w - t), radiant(kv, v, t) * (v - t));
        let cube = t * t * t;
        let (w_slope, v_slope) = (4.0 * kw * w * w * w, 4.0 * kv * v * v * v);
        let (tw_slope, tv_slope) = (4.0 * kw * cube, 4.0 * kv * cube);

        let off_w = self.exhaust_liner * (at.exhaust - w) - wc.conductance * (w - c) - flow_w;
        let off_v = self.air_vent * (at.air - v) - vc.conductance * (v - c) - flow_v;
        let off_c = wc.conductance * (w - c) + tc.conductance * (t - c) + vc.conductance * (v - c);
        let diagonal_w = self.exhaust_liner + wc.slope + w_slope;
        let diagonal_v = self.air_vent + vc.slope + v_slope;

        // Liner and vent are eliminated first; cavity and tile remain.
        let (share_w, share_v) = (wc.slope / diagonal_w, vc.slope / diagonal_v);
        let cc = wc.slope + tc.slope + vc.slope - share_w * wc.slope - share_v * vc.slope;
        let ct = tc.slope + share_w * tw_slope + share_v * tv_slope;
        let right_c = off_c + share_w * off_w + share_v * off_v;
        let (dc, dt) = match self.tile_outside {
            None => (right_c / cc, 0.0),
            Some(outward) => {
                let off_t = flow_w + flow_v - tc.conductance * (t - c) - outward * (t - at.outside);
                let (back_w, back_v) = (w_slope / diagonal_w, v_slope / diagonal_v);
                let tt = tw_slope + tv_slope + tc.slope + outward - back_w * tw_slope - back_v * tv_slope;
                let tc_off = tc.slope + back_w * wc.slope + back_v * vc.slope;
                let right_t = off_t + back_w * off_w + back_v * off_v;
                let determinant = cc * tt - ct * tc_off;
                (
                    (right_c * tt + ct * right_t) / determinant,
                    (cc * right_t + tc_off * right_c) / determinant,
                )
            }
        };
        let dw = (off_w + wc.slope * dc + tw_slope * dt) / diagonal_w;
        let dv = (off_v + vc.slope * dc + tv_slope * dt) / diagonal_v;
        Walls {
            liner: at.hold(w + dw),
            vent: at.hold(v + dv),
            cavity: at.hold(c + dc),
            tile: if self.tile_outside.is_some() {
                at.hold(t + dt)
            } else {
                at.outside
            },
        }
    }

    /// The three conductances that are left when liner, vent, cavity and tile are eliminated.
    pub(crate) fn reduce(&self, walls: Walls) -> Conductances {
        let (e, ec, et) = (
            self.exhaust_liner,
            self.liner_cavity.conductance,
            radiant(self.liner_tile.0, walls.liner, walls.tile),
        );
        let star_w = e + ec + et;
        let (a, ac, at) = (
            self.air_vent,
            self.vent_cavity.conductance,
            radiant(self.vent_tile.0, walls.vent, walls.tile),
        );
        let star_v = a + ac + at;
        let exhaust_cavity = e * ec / star_w;
        let air_cavity = a * ac / star_v;
        let cavity_tile = self.tile_cavity.conductance + ec * et / star_w + ac * at / star_v;
        let star_c = exhaust_cavity + air_cavity + cavity_tile;
        let tile = Tile {
            exhaust: e * et / star_w + exhaust_cavity * cavity_tile / star_c,
            air: a * at / star_v + air_cavity * cavity_tile / star_c,
        };
        tile.reduce(exhaust_cavity * air_cavity / star_c, self.tile_outside)
    }
}

/// The tile as the last node, with its conductances to exhaust and air.
struct Tile {
    exhaust: f64,
    air: f64,
}

impl Tile {
    fn reduce(&self, exhaust_air: f64, outward: Option<f64>) -> Conductances {
        match outward {
            None => Conductances {
                exhaust_air,
                exhaust_outside: self.exhaust,
                air_outside: self.air,
            },
            Some(outward) => {
                let star = self.exhaust + self.air + outward;
                Conductances {
                    exhaust_air: exhaust_air + self.exhaust * self.air / star,
                    exhaust_outside: self.exhaust * outward / star,
                    air_outside: self.air * outward / star,
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const AT: Around = Around {
        exhaust: 480.0,
        air: 275.0,
        outside: 293.0,
    };

    fn settled(settle: impl Fn(Walls) -> Walls) -> Walls {
        let start = Walls {
            liner: 380.0,
            vent: 280.0,
            cavity: 300.0,
            tile: 290.0,
        };
        (0..60).fold(start, |walls, _| settle(walls))
    }

    fn flows(u: Conductances) -> (f64, f64) {
        let between = u.exhaust_air * (AT.exhaust - AT.air);
        let out = u.exhaust_outside * (AT.exhaust - AT.outside);
        (between + out, between - u.air_outside * (AT.air - AT.outside))
    }

    #[test]
    fn eliminated_nodes_leave_the_heat_flows_of_the_liner_in_the_tile() {
        for tile_outside in [Some(1.3), Some(1e-9), None] {
            let network = Coaxial {
                exhaust_liner: 3.1,
                liner_air: Link::steady(2.0),
                liner_tile: Radiation(3e-9),
                tile_air: Link::steady(2.6),
                tile_outside,
            };
            let walls = settled(|w| network.settle(AT, w));
            let (out_of_exhaust, into_air) = flows(network.reduce(walls));
            let direct = 3.1 * (AT.exhaust - walls.liner);
            let gained = 2.0 * (walls.liner - AT.air) + 2.6 * (walls.tile - AT.air);
            assert!((out_of_exhaust - direct).abs() < 1e-9);
            assert!((into_air - gained).abs() < 1e-9);
        }
    }

    #[test]
    fn eliminated_nodes_leave_the_heat_flows_of_two_liners() {
        for tile_outside in [Some(1.3), Some(1e-9), None] {
            let network = Colinear {
                exhaust_liner: 3.1,
                liner_cavity: Link::steady(1.2),
                liner_tile: Radiation(3e-9),
                air_vent: 2.2,
                vent_cavity: Link::steady(0.7),
                vent_tile: Radiation(2e-9),
                tile_cavity: Link::steady(2.6),
                tile_outside,
            };
            let walls = settled(|w| network.settle(AT, w));
            let (out_of_exhaust, into_air) = flows(network.reduce(walls));
            assert!((out_of_exhaust - 3.1 * (AT.exhaust - walls.liner)).abs() < 1e-9);
            assert!((into_air - 2.2 * (walls.vent - AT.air)).abs() < 1e-9);
            let still = 1.2 * (walls.liner - walls.cavity)
                + 2.6 * (walls.tile - walls.cavity)
                + 0.7 * (walls.vent - walls.cavity);
            assert!(still.abs() < 1e-9);
        }
    }

    /// A seeded spread over many decades, without any source of chance.
    fn spread(step: u32) -> impl FnMut() -> f64 {
        let mut state = u64::from(step) * 2_654_435_761 + 1;
        move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            libm::exp(((state >> 40) as f64 / 16_777_216.0 - 0.5) * 40.0)
        }
    }

    #[test]
    fn no_conductance_becomes_negative_and_no_wall_leaves_its_surroundings() {
        for step in 0..2000 {
            let mut g = spread(step);
            let tile_outside = (step % 3 > 0).then(&mut g);
            let coaxial = Coaxial {
                exhaust_liner: g(),
                liner_air: Link::growing(g(), 1.0 / 3.0),
                liner_tile: Radiation(1e-9 * g()),
                tile_air: Link::steady(g()),
                tile_outside,
            };
            let colinear = Colinear {
                exhaust_liner: g(),
                liner_cavity: Link::growing(g(), 1.0 / 3.0),
                liner_tile: Radiation(1e-9 * g()),
                air_vent: g(),
                vent_cavity: Link::growing(g(), 1.0 / 3.0),
                vent_tile: Radiation(1e-9 * g()),
                tile_cavity: Link::growing(g(), 1.0 / 3.0),
                tile_outside,
            };
            let one = settled(|w| coaxial.settle(AT, w));
            let two = settled(|w| colinear.settle(AT, w));
            for u in [coaxial.reduce(one), colinear.reduce(two)] {
                let all = [u.exhaust_air, u.exhaust_outside, u.air_outside];
                assert!(
                    all.iter().all(|g| *g >= 0.0 && g.is_finite()),
                    "step {step}: {u:?}"
                );
            }
            for t in [one.liner, one.tile, two.liner, two.vent, two.cavity, two.tile] {
                assert!((AT.air..=AT.exhaust).contains(&t), "step {step}: {t}");
            }
        }
    }
}
