//! The stove as the flue sees it: gas rate, flue temperature, resistance; and the two streams at a given
//! air ratio.

use super::input::{Appliance, InputBasis, OutletModel};
use super::plan::Plan;
use crate::atmosphere::air_mixture;
use crate::combustion::Products;
use crate::constants::STANDARD_PRESSURE;
use crate::error::PhysicsError;
use crate::fuel::Fuel;
use crate::gas::Mixture;
use crate::quantities::Length;

/// Flue temperatures of the exchanger model are held to this range, K.
const COLDEST_FLUE: f64 = 205.0;
const HOTTEST_FLUE: f64 = 1140.0;

#[derive(Debug, Clone)]
pub(super) struct AppliancePlan {
    /// Input at the site, W, on the basis it was given in.
    pub input: f64,
    /// Fuel, mol/s.
    fuel_rate: f64,
    /// Net heat, W.
    net_heat: f64,
    outlet: Outlet,
    /// Exhaust mass flow at the rating, kg/s, and its density there, kg/m3.
    rated_flow: f64,
    rated_density: f64,
    /// Pressure drop at the rating, Pa.
    pub rated_drop: Option<f64>,
    pub internal_height: f64,
    /// Smallest and largest air ratio.
    pub limits: (f64, f64),
}

#[derive(Debug, Clone, Copy)]
enum Outlet {
    Fixed(f64),
    /// Transfer units of the room-side exchanger at the rated flow.
    Exchanger(f64),
}

impl AppliancePlan {
    pub fn of(appliance: &Appliance, fuel: &Fuel, altitude: Length) -> Result<Self, PhysicsError> {
        let factor = appliance.derate_rule.factor(altitude).filter(|f| *f > 0.0).ok_or_else(|| {
            PhysicsError::inconsistent(
                "appliance/derate_rule",
                "this rule gives no input at this altitude. Take the input from the listing or the manual.",
            )
        })?;
        let heat = match appliance.input_basis {
            InputBasis::Gross => fuel.gross,
            InputBasis::Net => fuel.net,
        };
        let rated_rate = appliance.input.value / 1000.0 / heat;
        let rated_temperature = appliance.flue_temperature.value;
        // The rating is in dry air at 25 degC and standard pressure, with the input of the plate.
        let products = Products::of(fuel, appliance.air_ratio, 0.0);
        let exhaust = products.mixture();
        let air = air_mixture(0.0).grams_per_mole();
        let rated_flow = rated_rate * (fuel.molar_mass + products.air * air) / 1000.0;
        let outlet = match appliance.outlet {
            OutletModel::Fixed => Outlet::Fixed(rated_temperature),
            OutletModel::Exchanger => {
                let left = rated_flow * exhaust.h(rated_temperature) / (1000.0 * rated_rate * fuel.net);
                if !(left > 0.0 && left < 1.0) {
                    return Err(PhysicsError::inconsistent(
                        "appliance/flue_temperature",
                        "a heat exchanger that burns this input at this air ratio cannot have this flue \
                         temperature. Look at the three in the manual, or take the fixed outlet.",
                    ));
                }
                Outlet::Exchanger(-libm::log(left))
            }
        };
        Ok(Self {
            input: appliance.input.value * factor,
            fuel_rate: rated_rate * factor,
            net_heat: 1000.0 * rated_rate * factor * fuel.net,
            outlet,
            rated_flow,
            rated_density: exhaust.rho(STANDARD_PRESSURE, rated_temperature),
            rated_drop: appliance.pressure_drop.map(|d| d.value),
            internal_height: appliance.internal_height.value,
            limits: appliance.air_ratio_limits(),
        })
    }

    /// Flue temperature, K, when the air arrives at a temperature that depends on it. The exchanger keeps its
    /// conductance: `N = N_r m_r/m`, `h(T) = (net heat + heat of the air) exp(-N)/m`. Newton's method: exhaust
    /// takes more heat per kelvin than the air can bring back, so that there is one root.
    pub fn flue_temperature(&self, flow: &Flow, air: &Mixture, arriving: Line, guess: f64) -> f64 {
        let rated_units = match self.outlet {
            Outlet::Fixed(t) => return t,
            Outlet::Exchanger(rated_units) => rated_units,
        };
        let kept = libm::exp(-rated_units * self.rated_flow / flow.exhaust_flow) / flow.exhaust_flow;
        let mut t = guess.clamp(COLDEST_FLUE, HOTTEST_FLUE);
        for _ in 0..50 {
            let air_bottom = arriving.at(t);
            let off = flow.exhaust.h(t) - kept * (self.net_heat + flow.air_flow * air.h(air_bottom));
            let slope = flow.exhaust.cp(t) - kept * flow.air_flow * air.cp(air_bottom) * arriving.slope;
            let next = (t - off / slope).clamp(COLDEST_FLUE, HOTTEST_FLUE);
            let moved = (next - t).abs();
            t = next;
            if moved < 1e-10 {
                break;
            }
        }
        t
    }

    /// Whether the flue temperature depends on the air that arrives.
    pub fn follows_the_air(&self) -> bool {
        matches!(self.outlet, Outlet::Exchanger(_))
    }

    /// What the pressure drop at the rating is multiplied with at this flow and exhaust density.
    pub fn drop_factor(&self, flow: &Flow, exhaust_density: f64) -> f64 {
        let relative = flow.exhaust_flow / self.rated_flow;
        relative * relative * self.rated_density / exhaust_density
    }
}

/// A temperature that depends on the flue temperature along a straight line, K.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    pub slope: f64,
    pub offset: f64,
}

impl Line {
    /// A temperature that does not depend on it.
    pub fn level(temperature: f64) -> Self {
        Self {
            slope: 0.0,
            offset: temperature,
        }
    }

    pub fn at(self, flue_temperature: f64) -> f64 {
        self.slope * flue_temperature + self.offset
    }
}

/// The two streams at one air ratio.
#[derive(Debug, Clone)]
pub(super) struct Flow {
    pub air_ratio: f64,
    pub products: Products,
    pub exhaust: Mixture,
    /// kg/s.
    pub fuel_flow: f64,
    pub air_flow: f64,
    pub exhaust_flow: f64,
}

impl Flow {
    pub fn of(plan: &Plan, air_ratio: f64) -> Self {
        let x = plan.vapour_fraction;
        let products = Products::of(&plan.fuel, air_ratio, x);
        let rate = plan.appliance.fuel_rate;
        let fuel_flow = rate * plan.fuel.molar_mass / 1000.0;
        let air_flow = rate * products.air / (1.0 - x) * plan.air.grams_per_mole() / 1000.0;
        Self {
            air_ratio,
            products,
            exhaust: products.mixture(),
            fuel_flow,
            air_flow,
            exhaust_flow: air_flow + fuel_flow,
        }
    }

    /// Share of water in the wet exhaust.
    pub fn water_share(&self) -> f64 {
        self.products.water / self.products.wet()
    }
}
