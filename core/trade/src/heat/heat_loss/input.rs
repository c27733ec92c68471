//! What heat_loss is asked with.

use crate::form::{Flat, input, items, over, within};
use crate::gas::site::Site;
use crate::quantities::{
    Area, HeatTransfer, Length, LinearConductance, ThermalConductivity, ThermalInsulance,
    ThermodynamicTemperature, Volume, VolumeRate,
};

input! {
    /// The zones, and the day they are reckoned for.
    pub struct Input {
        /// Where the site lies.
        pub site: Flat<Site>,
        /// Design temperature outdoors.
        pub outdoor_temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// Heat that a cubic metre of air carries per kelvin at sea level, Wh.
        pub air_constant: f64 = within(0.30, 0.37).or(0.335),
        /// Heating degree days, F days to the base of 65 °F.
        pub heating_degree_days_f: Option<f64> = within(0.0, 25_000.0),
        /// Climate band of the rule of thumb.
        pub climate_band: Option<u32> = within(1.0, 5.0),
        /// Rooms, or the house.
        pub zones: Vec<ZoneInput> = items(1, 50),
    }
}

input! {
    /// One room, or all that is heated alike.
    pub struct ZoneInput {
        /// Its name.
        pub id: String,
        /// Temperature indoors.
        pub indoor_temperature: ThermodynamicTemperature = within(-60.0, 60.0),
        /// Floor area.
        pub floor_area: Option<Area> = over(0.0, 1e4),
        /// Walls, windows, floors, ceilings.
        pub surfaces: Option<Vec<SurfaceInput>> = items(0, 200),
        /// Edges of a slab on the ground.
        pub slab_edges: Option<Vec<SlabEdge>> = items(0, 50),
        /// Thermal bridges.
        pub bridges: Option<Vec<Bridge>> = items(0, 100),
        /// Outdoor air that comes in.
        pub air: Option<Air>,
    }
}

input! {
    /// One flat part of the envelope.
    pub struct SurfaceInput {
        /// Its name; its place in the list unless given.
        pub id: Option<String>,
        /// Net area.
        pub area: Area = within(0.0, 1e4),
        /// U-value, films included.
        pub u_value: Option<HeatTransfer> = within(0.0, 20.0),
        /// R-value of the whole, films included.
        pub r_value: Option<ThermalInsulance> = within(0.01, 50.0),
        /// Layers from which the U-value follows.
        pub assembly: Option<AssemblyInput>,
        /// Temperature beyond, when it is not outdoors.
        pub other_side_temperature: Option<ThermodynamicTemperature> = within(-60.0, 60.0),
        /// Share of the difference to outdoors, for a buffer such as a cellar; 1 unless given.
        pub b_factor: Option<f64> = within(0.0, 1.0),
    }
}

input! {
    /// A framed wall, floor or roof by its layers.
    pub struct AssemblyInput {
        /// Share of the area that is framing.
        pub framing_fraction: f64 = within(0.0, 1.0).or(0.0),
        /// Air film inside.
        pub inside_film: ThermalInsulance = within(0.0, 1.0).or("R-0.68"),
        /// Air film outside.
        pub outside_film: ThermalInsulance = within(0.0, 1.0).or("R-0.17"),
        /// Layers, in any order.
        pub layers: Vec<LayerInput> = items(1, 20),
    }
}

input! {
    /// One layer, between the framing and through it.
    pub struct LayerInput {
        /// What it is.
        pub name: Option<String>,
        /// R-value between the framing.
        pub r_value: Option<ThermalInsulance> = within(0.0, 50.0),
        /// Conductivity between the framing, with the thickness.
        pub conductivity: Option<ThermalConductivity> = within(0.005, 500.0),
        /// Thickness of the layer.
        pub thickness: Option<Length> = over(0.0, 3.0),
        /// R-value through the framing, when it is another.
        pub framing_r_value: Option<ThermalInsulance> = within(0.0, 50.0),
        /// Conductivity through the framing, with the thickness.
        pub framing_conductivity: Option<ThermalConductivity> = within(0.005, 500.0),
    }
}

input! {
    /// An edge of a slab.
    pub struct SlabEdge {
        /// Length of the edge.
        pub perimeter: Length = within(0.0, 1000.0),
        /// Heat lost along it.
        pub f_factor: LinearConductance = within(0.0, 5.0),
    }
}

input! {
    /// A thermal bridge.
    pub struct Bridge {
        /// Its length.
        pub length: Length = within(0.0, 1000.0),
        /// Heat lost along it.
        pub psi: LinearConductance = within(-2.0, 5.0),
    }
}

input! {
    /// Outdoor air that comes in.
    pub struct Air {
        /// Air changes an hour.
        pub air_changes: Option<f64> = within(0.0, 100.0),
        /// Air changes an hour at 50 Pa.
        pub ach50: Option<f64> = within(0.0, 100.0),
        /// Flow of outdoor air.
        pub air_flow: Option<VolumeRate> = within(0.0, 10.0),
        /// What ach50 is divided by; 20 unless given.
        pub n_factor: Option<f64> = within(5.0, 40.0),
        /// Volume of the zone.
        pub volume: Option<Volume> = within(0.0, 1e5),
    }
}
