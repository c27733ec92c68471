//! From what was asked to zones that can be summed.

use std::collections::BTreeSet;

use super::assembly::{Assembly, Layer, layer_resistance};
use super::envelope::{Beyond, Surface, Zone};
use super::input::{Air, AssemblyInput, Input, LayerInput, SurfaceInput, ZoneInput};
use crate::form::{Pointer, Refusal, exactly_one};
use crate::quantities::{HeatTransfer, Quantity, ThermalInsulance, VolumeRate};

/// What ach50 is divided by unless given (building-performance.org/?p=9709).
const N_FACTOR: f64 = 20.0;

/// The zones of an input.
///
/// # Errors
/// `missing` or `inconsistent` where keys lack or contradict one another, `out_of_range` for layers without
/// any resistance.
pub(super) fn zones(input: &Input) -> Result<Vec<Zone>, Refusal> {
    let list = Pointer::root().key("zones");
    let mut ids = BTreeSet::new();
    let mut zones = Vec::with_capacity(input.zones.len());
    for (place, asked) in input.zones.iter().enumerate() {
        let at = list.item(place);
        if !ids.insert(asked.id.as_str()) {
            return Err(Refusal::inconsistent(
                at.key("id"),
                format!("Two zones are called {}. Give each its own name.", asked.id),
            ));
        }
        zones.push(zone(asked, &at)?);
    }
    Ok(zones)
}

fn zone(asked: &ZoneInput, at: &Pointer) -> Result<Zone, Refusal> {
    let list = at.key("surfaces");
    let surfaces: Result<Vec<Surface>, Refusal> = asked
        .surfaces
        .iter()
        .flatten()
        .enumerate()
        .map(|(place, asked)| surface(asked, &list.item(place)))
        .collect();
    Ok(Zone {
        indoor: asked.indoor_temperature,
        floor_area: asked.floor_area,
        surfaces: surfaces?,
        slab_edges: asked
            .slab_edges
            .iter()
            .flatten()
            .map(|edge| (edge.perimeter, edge.f_factor.0))
            .collect(),
        bridges: asked
            .bridges
            .iter()
            .flatten()
            .map(|bridge| (bridge.length, bridge.psi.0))
            .collect(),
        air_flow: match &asked.air {
            Some(air) => air_flow(air, &at.key("air"))?,
            None => VolumeRate::default(),
        },
    })
}

fn surface(asked: &SurfaceInput, at: &Pointer) -> Result<Surface, Refusal> {
    exactly_one(
        at,
        &[
            ("u_value", asked.u_value.is_some()),
            ("r_value", asked.r_value.is_some()),
            ("assembly", asked.assembly.is_some()),
        ],
    )?;
    let u_value = match (&asked.assembly, asked.r_value, asked.u_value) {
        (Some(layers), ..) => assembly(layers, &at.key("assembly"))?,
        (None, Some(r_value), _) => HeatTransfer::from_base(1.0 / r_value.to_base()),
        (None, None, given) => given.unwrap_or_default(),
    };
    let beyond = match (asked.other_side_temperature, asked.b_factor) {
        (Some(_), Some(_)) => {
            return Err(Refusal::inconsistent(
                at.key("b_factor"),
                "The temperature beyond is known, so the b factor has nothing to say. Leave one of them out.",
            ));
        }
        (Some(temperature), None) => Beyond::Space(temperature),
        (None, b_factor) => Beyond::Outdoors {
            b_factor: b_factor.unwrap_or(1.0),
        },
    };
    Ok(Surface {
        area: asked.area,
        u_value,
        beyond,
    })
}

fn assembly(asked: &AssemblyInput, at: &Pointer) -> Result<HeatTransfer, Refusal> {
    let list = at.key("layers");
    let layers: Result<Vec<Layer>, Refusal> = asked
        .layers
        .iter()
        .enumerate()
        .map(|(place, asked)| layer(asked, &list.item(place)))
        .collect();
    let assembly = Assembly {
        framing_fraction: asked.framing_fraction,
        inside_film: asked.inside_film,
        outside_film: asked.outside_film,
        layers: layers?,
    };
    assembly.u_value().ok_or_else(|| {
        Refusal::out_of_range(
            &list,
            "A path through these layers has no resistance at all. Add the films, or the layer that is missing.",
        )
    })
}

fn layer(asked: &LayerInput, at: &Pointer) -> Result<Layer, Refusal> {
    exactly_one(
        at,
        &[
            ("r_value", asked.r_value.is_some()),
            ("conductivity", asked.conductivity.is_some()),
        ],
    )?;
    let of = |conductivity| -> Result<ThermalInsulance, Refusal> {
        let thickness = asked.thickness.ok_or_else(|| {
            Refusal::missing(
                at.key("thickness"),
                "A conductivity needs the thickness of the layer. Add it.",
            )
        })?;
        Ok(layer_resistance(thickness, conductivity))
    };
    let cavity = match (asked.conductivity, asked.r_value) {
        (Some(conductivity), _) => of(conductivity)?,
        (None, given) => given.unwrap_or_default(),
    };
    let framing = match (asked.framing_r_value, asked.framing_conductivity) {
        (Some(_), Some(_)) => {
            return Err(Refusal::inconsistent(
                at.key("framing_conductivity"),
                "The framing has an R-value and a conductivity. Leave one of them out.",
            ));
        }
        (Some(r_value), None) => r_value,
        (None, Some(conductivity)) => of(conductivity)?,
        (None, None) => cavity,
    };
    Ok(Layer { cavity, framing })
}

fn air_flow(air: &Air, at: &Pointer) -> Result<VolumeRate, Refusal> {
    exactly_one(
        at,
        &[
            ("air_changes", air.air_changes.is_some()),
            ("ach50", air.ach50.is_some()),
            ("air_flow", air.air_flow.is_some()),
        ],
    )?;
    if let Some(flow) = air.air_flow {
        if air.volume.is_some() || air.n_factor.is_some() {
            return Err(Refusal::inconsistent(
                at.key("air_flow"),
                "The flow of air is known, so volume and n_factor have nothing to say. Leave them out.",
            ));
        }
        return Ok(flow);
    }
    if air.n_factor.is_some() && air.ach50.is_none() {
        return Err(Refusal::inconsistent(
            at.key("n_factor"),
            "n_factor divides ach50, which is not given. Leave it out, or give ach50.",
        ));
    }
    let volume = air.volume.ok_or_else(|| {
        Refusal::missing(
            at.key("volume"),
            "Air changes need the volume of the zone. Add it.",
        )
    })?;
    let changes = match (air.air_changes, air.ach50) {
        (Some(changes), _) => changes,
        (None, at_50_pascals) => at_50_pascals.unwrap_or(0.0) / air.n_factor.unwrap_or(N_FACTOR),
    };
    Ok(VolumeRate::from_base(changes * volume.to_base() / 3600.0))
}
