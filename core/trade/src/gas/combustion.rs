//! Burning a fuel gas completely: air, products, dew point, heating values.

use serde::Serialize;
use uom::si::f64::MassPerEnergy;

use wythe_physics::atmosphere::{MOLAR_MASS_DRY_AIR, MoistAir};
use wythe_physics::combustion::{Products, Stoichiometry};
use wythe_physics::constants::GAS_CONSTANT;
use wythe_physics::fuel::Fuel;
use wythe_physics::saturation::dew_point;

use crate::form::{Answer, Figure, Flat, Pointer, Reckoning, Refusal, Trace, exactly_one, input, within};
use crate::gas::fuel_gas::FuelGas;
use crate::gas::site::{Base, Site};
use crate::notes::GOVERNS;
use crate::quantities::{HeatingValue, Pressure, Quantity, ThermodynamicTemperature};
use crate::words::percent;

/// The reckoning.
#[derive(Debug, Clone, Copy)]
pub struct Combustion;

input! {
    /// A gas, how much air it gets, and where.
    pub struct Input {
        /// The gas.
        pub gas: Flat<FuelGas>,
        /// Air supplied over air needed.
        pub air_ratio: Option<f64> = within(1.0, 20.0),
        /// Oxygen in dry products as a fraction; 5.2 % is 0.052.
        pub o2_dry: Option<f64> = within(0.0, 0.20),
        /// Carbon dioxide in dry products as a fraction.
        pub co2_dry: Option<f64> = within(0.005, 0.20),
        /// The site.
        pub site: Flat<Site>,
        /// Temperature of the combustion air.
        pub air_temperature: ThermodynamicTemperature = within(-60.0, 60.0).or("20 degC"),
        /// Relative humidity of the combustion air, 0 to 1.
        pub relative_humidity: f64 = within(0.0, 1.0).or(0.0),
        /// What a standard volume is.
        pub base: Flat<Base>,
    }
}

/// What comes out; amounts in moles per mole of fuel, which is volume per volume.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    air_ratio: f64,
    excess_air: f64,
    stoichiometric_air: f64,
    air: f64,
    products: Wet,
    wet_products: f64,
    dry_products: f64,
    wet_fractions: Wet,
    dry_fractions: Dry,
    co2_max_dry: f64,
    dew_point: Option<Figure<ThermodynamicTemperature>>,
    water_per_heat: Figure<MassPerEnergy>,
    heating_value_gross: Figure<HeatingValue>,
    heating_value_net: Figure<HeatingValue>,
    specific_gravity: f64,
    wobbe_gross: Figure<HeatingValue>,
    net_to_gross: f64,
}

/// The five products, water included.
#[derive(Debug, Clone, Copy, Serialize)]
struct Wet {
    carbon_dioxide: f64,
    water: f64,
    oxygen: f64,
    nitrogen: f64,
    argon: f64,
}

/// The four products without water.
#[derive(Debug, Clone, Copy, Serialize)]
struct Dry {
    carbon_dioxide: f64,
    oxygen: f64,
    nitrogen: f64,
    argon: f64,
}

impl Reckoning for Combustion {
    const NAME: &'static str = "combustion";
    const PURPOSE: &'static str = "What air does the gas need, what comes out of it, and what heat is in it?";
    type Input = Input;
    type Figures = Figures;

    fn reckon(input: &Input) -> Result<Answer<Figures>, Refusal> {
        let fuel = input.gas.gas()?;
        let need = Stoichiometry::of(&fuel);
        let air_ratio = air_ratio(input, &need)?;
        let pressure = input.site.pressure();
        let moist = MoistAir::new(pressure, input.air_temperature, input.relative_humidity);
        let vapour = moist.held_vapour_fraction();
        let products = Products::of(&fuel, air_ratio, vapour);
        let (wet, dry) = (products.wet(), products.dry());
        let in_products = Pressure::from_base(products.water / wet * pressure.value);

        let mut trace = Trace::default();
        trace.quantity("air pressure", pressure);
        trace.number("moles of vapour per mole of air", vapour);
        trace.number("oxygen needed per mole of fuel", need.oxygen);
        trace.number("dry air needed per mole of fuel", need.air);
        trace.number("dry products at air ratio 1", need.dry_products);
        trace.number("air ratio", air_ratio);
        trace.quantity("partial pressure of water in the products", in_products);
        let heat = HeatPerVolume::of(&fuel, input, &mut trace);

        Ok(Answer {
            verdict: None,
            figures: Figures {
                air_ratio,
                excess_air: air_ratio - 1.0,
                stoichiometric_air: need.air,
                air: products.air,
                products: Wet::of(&products, 1.0),
                wet_products: wet,
                dry_products: dry,
                wet_fractions: Wet::of(&products, wet),
                dry_fractions: Dry::of(&products, dry),
                co2_max_dry: need.co2_max_dry,
                dew_point: dew_point(in_products).map(Figure::from),
                water_per_heat: Figure::from_base(fuel.water_per_heat()),
                heating_value_gross: HeatingValue(heat.gross).into(),
                heating_value_net: HeatingValue(heat.net).into(),
                specific_gravity: heat.specific_gravity,
                wobbe_gross: HeatingValue(heat.gross / heat.specific_gravity.sqrt()).into(),
                net_to_gross: heat.net / heat.gross,
            },
            findings: Vec::new(),
            trace: trace.finish(),
            notes: vec![GOVERNS],
        })
    }
}

/// The air ratio, as given or from a reading of dry products.
fn air_ratio(input: &Input, need: &Stoichiometry) -> Result<f64, Refusal> {
    let root = Pointer::root();
    let given = [
        ("air_ratio", input.air_ratio.is_some()),
        ("o2_dry", input.o2_dry.is_some()),
        ("co2_dry", input.co2_dry.is_some()),
    ];
    exactly_one(&root, &given)?;
    if let Some(oxygen) = input.o2_dry {
        return Ok(need.air_ratio_from_oxygen(oxygen));
    }
    let Some(carbon_dioxide) = input.co2_dry else {
        return Ok(input.air_ratio.unwrap_or(1.0));
    };
    let most = need.co2_max_dry;
    if carbon_dioxide > most * (1.0 + 1e-9) {
        return Err(Refusal::inconsistent(
            root.key("co2_dry"),
            format!(
                "This gas cannot give more than {} of carbon dioxide. Look at the gas and at the reading.",
                percent(most)
            ),
        ));
    }
    let reading = carbon_dioxide.min(most);
    need.air_ratio_from_carbon_dioxide(reading).ok_or_else(|| {
        Refusal::inconsistent(
            root.key("co2_dry"),
            "This is no more carbon dioxide than air has itself. Read the analyser again.",
        )
    })
}

/// Heat in a standard volume, and how heavy the gas is.
struct HeatPerVolume {
    gross: f64,
    net: f64,
    specific_gravity: f64,
}

impl HeatPerVolume {
    fn of(fuel: &Fuel, input: &Input, trace: &mut Trace) -> Self {
        // Ideal gas; the kelvins of the base temperature are those inside the quantity.
        let molar_volume =
            GAS_CONSTANT * input.base.base_temperature.value / input.base.base_pressure.to_base();
        trace.line("molar volume at the base", molar_volume, "m3/mol");
        Self {
            gross: fuel.gross_kilojoules_per_mole() * 1000.0 / molar_volume,
            net: fuel.net_kilojoules_per_mole() * 1000.0 / molar_volume,
            specific_gravity: fuel.grams_per_mole() / MOLAR_MASS_DRY_AIR,
        }
    }
}

impl Wet {
    fn of(products: &Products, over: f64) -> Self {
        Self {
            carbon_dioxide: products.carbon_dioxide / over,
            water: products.water / over,
            oxygen: products.oxygen / over,
            nitrogen: products.nitrogen / over,
            argon: products.argon / over,
        }
    }
}

impl Dry {
    fn of(products: &Products, over: f64) -> Self {
        Self {
            carbon_dioxide: products.carbon_dioxide / over,
            oxygen: products.oxygen / over,
            nitrogen: products.nitrogen / over,
            argon: products.argon / over,
        }
    }
}
