//! What comes out of gas_line.

use serde::Serialize;

use super::input::{Input, MaterialChoice};
use super::line::{Line, LineAnswer};
use crate::form::Figure;
use crate::quantities::{Length, Power, Pressure, VolumeRate};

/// The line as it came out.
#[derive(Debug, Clone, Serialize)]
pub struct Figures {
    equation: &'static str,
    longest_length: Figure<Length>,
    segments: Vec<SegmentFigures>,
    appliances: Vec<ApplianceFigures>,
}

/// One segment.
#[derive(Debug, Clone, Serialize)]
pub struct SegmentFigures {
    id: String,
    material: MaterialChoice,
    size: Option<String>,
    inside_diameter: Option<Figure<Length>>,
    load: Figure<Power>,
    flow: Figure<VolumeRate>,
    equivalent_length: Figure<Length>,
    drop: Figure<Pressure>,
    pressure_end_gauge: Figure<Pressure>,
    capacity_longest: Option<Figure<VolumeRate>>,
    length_branch: Figure<Length>,
    capacity_branch: Option<Figure<VolumeRate>>,
}

/// One appliance.
#[derive(Debug, Clone, Serialize)]
pub struct ApplianceFigures {
    id: String,
    pressure_gauge: Figure<Pressure>,
    drop: Figure<Pressure>,
    path_length: Figure<Length>,
    within_allowed_drop: bool,
    above_minimum: Option<bool>,
}

pub(super) fn figures(input: &Input, line: &Line, found: &LineAnswer) -> Figures {
    let segments = input
        .segments
        .iter()
        .zip(&found.segments)
        .map(|(asked, found)| SegmentFigures {
            id: asked.id.clone(),
            material: asked.material,
            size: found.segment.trade_size().map(|size| size.name.clone()),
            inside_diameter: found.segment.inside_diameter().map(Figure::from),
            load: found.load.into(),
            flow: found.flow.into(),
            equivalent_length: found.equivalent_length.into(),
            drop: found.drop.into(),
            pressure_end_gauge: found.pressure_end.into(),
            capacity_longest: found.capacity_longest.map(Figure::from),
            length_branch: found.length_branch.into(),
            capacity_branch: found.capacity_branch.map(Figure::from),
        })
        .collect();
    let appliances = input
        .appliances
        .iter()
        .zip(&found.appliances)
        .map(|(asked, found)| ApplianceFigures {
            id: asked.id.clone(),
            pressure_gauge: found.pressure.into(),
            drop: found.drop.into(),
            path_length: found.path_length.into(),
            within_allowed_drop: found.within_allowed_drop,
            above_minimum: found.above_minimum,
        })
        .collect();
    Figures {
        equation: line.equation.word(),
        longest_length: found.longest_length.into(),
        segments,
        appliances,
    }
}
