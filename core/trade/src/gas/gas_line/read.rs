//! From what was asked to a line that can be solved.

use std::collections::{BTreeMap, BTreeSet};

use super::equations::{CR_NATURAL_GAS, CR_PROPANE, Equation, code_atmosphere, cr, high_from};
use super::input::{
    ApplianceInput, EquationChoice, Input, MaterialChoice, MethodChoice, SegmentInput, SizeOrFind,
};
use super::line::{Appliance, Bore, Fittings, Line, ListedTube, Method, Segment};
use crate::compare::at_most;
use crate::customary::ATMOSPHERE;
use crate::form::{Pointer, Refusal, exactly_one};
use crate::gas::gas_weight::Gas;
use crate::gas::pipe_sizes::PipeMaterial;
use crate::words::both;

/// The line of an input.
///
/// # Errors
/// `missing` or `inconsistent` where keys lack or contradict one another, `unknown_choice` for a size that
/// is not in the table.
pub(super) fn line(input: &Input) -> Result<Line, Refusal> {
    let root = Pointer::root();
    let specific_gravity = input.gas.weight()?;
    if !at_most(input.allowed_drop.value, input.inlet_pressure.value) {
        return Err(Refusal::inconsistent(
            root.key("allowed_drop"),
            format!(
                "A drop of {} is allowed, and there are only {} at the supply. Look at both figures again.",
                both(input.allowed_drop),
                both(input.inlet_pressure)
            ),
        ));
    }
    let places = places(&input.segments, &root.key("segments"))?;
    let segments: Result<Vec<Segment>, Refusal> = input
        .segments
        .iter()
        .enumerate()
        .map(|(place, asked)| segment(asked, &places, &root.key("segments").item(place)))
        .collect();
    Ok(Line {
        equation: equation(input, specific_gravity),
        method: match input.method {
            MethodChoice::LongestLength => Method::LongestLength,
            MethodChoice::BranchLength => Method::BranchLength,
            MethodChoice::PressureDrop => Method::PressureDrop,
        },
        inlet: input.inlet_pressure,
        allowed_drop: input.allowed_drop,
        heating_value: input.heating_value,
        flow_factor: if input.adjust_flow_for_altitude {
            ATMOSPHERE / input.site.pressure().value
        } else {
            1.0
        },
        segments: segments?,
        appliances: appliances(&input.appliances, &places, &root.key("appliances"))?,
    })
}

/// The refusal of a circle of parents, found at a segment.
pub(super) fn circle(input: &Input, place: usize) -> Refusal {
    let id = input
        .segments
        .get(place)
        .map_or("", |segment| segment.id.as_str());
    Refusal::inconsistent(
        Pointer::root().key("segments").item(place).key("parent"),
        format!("Segment {id} hangs on itself by way of its parents. One of them must come from the supply."),
    )
}

fn equation(input: &Input, specific_gravity: f64) -> Equation {
    let gas = input.gas.gas;
    let printed = match gas {
        Gas::NaturalGas => Some(CR_NATURAL_GAS),
        Gas::Propane => Some(CR_PROPANE),
        Gas::Other => None,
    };
    let as_printed = input.gas.specific_gravity.is_none() && input.viscosity_cp.is_none();
    let (viscosity, y) = match gas {
        Gas::Propane => (0.008, 0.9910),
        Gas::NaturalGas => (0.012, 0.9992),
        Gas::Other => (0.012, 1.0),
    };
    let cr = printed
        .filter(|_| as_printed)
        .unwrap_or_else(|| cr(specific_gravity, input.viscosity_cp.unwrap_or(viscosity)));
    let high = match input.equation {
        EquationChoice::Auto => at_most(high_from().value, input.inlet_pressure.value),
        EquationChoice::Low => false,
        EquationChoice::High => true,
    };
    if !high {
        return Equation::Low { cr };
    }
    Equation::High {
        cr,
        y: input.super_expansion.unwrap_or(y),
        atmosphere: if input.adjust_flow_for_altitude {
            input.site.pressure()
        } else {
            code_atmosphere()
        },
    }
}

fn places<'a>(segments: &'a [SegmentInput], list: &Pointer) -> Result<BTreeMap<&'a str, usize>, Refusal> {
    let mut places = BTreeMap::new();
    for (place, segment) in segments.iter().enumerate() {
        if places.insert(segment.id.as_str(), place).is_some() {
            return Err(Refusal::inconsistent(
                list.item(place).key("id"),
                format!("Two segments are called {}. Give each its own name.", segment.id),
            ));
        }
    }
    Ok(places)
}

fn segment(asked: &SegmentInput, places: &BTreeMap<&str, usize>, at: &Pointer) -> Result<Segment, Refusal> {
    let parent = match &asked.parent {
        None => None,
        Some(parent) => Some(*places.get(parent.as_str()).ok_or_else(|| {
            Refusal::inconsistent(
                at.key("parent"),
                format!("No segment is called {parent}. Name the one it hangs on, or leave parent out at the supply."),
            )
        })?),
    };
    let fittings = asked
        .fittings
        .as_ref()
        .map_or_else(Fittings::default, |fittings| Fittings {
            ell45: fittings.ell45,
            ell90: fittings.ell90,
            return180: fittings.return180,
            tee_branch: fittings.tee_branch,
        });
    Ok(Segment {
        parent,
        length: asked.length + asked.extra_length,
        bore: bore(asked, at)?,
        fittings,
    })
}

fn bore(asked: &SegmentInput, at: &Pointer) -> Result<Bore, Refusal> {
    let material = match asked.material {
        MaterialChoice::Schedule40 => PipeMaterial::Schedule40,
        MaterialChoice::CopperKL => PipeMaterial::CopperKL,
        MaterialChoice::ListedTube => return listed(asked, at),
    };
    let foreign = [
        ("listed_capacity", asked.listed_capacity.is_some()),
        ("listed_drop", asked.listed_drop.is_some()),
        ("listed_length", asked.listed_length.is_some()),
        ("listed_exponent", asked.listed_exponent.is_some()),
    ];
    refuse(
        &foreign,
        at,
        "This belongs to a listed tube, and the segment is pipe. Leave it out, or name listed_tube.",
    )?;
    exactly_one(
        at,
        &[
            ("size", asked.size.is_some()),
            ("inside_diameter", asked.inside_diameter.is_some()),
        ],
    )?;
    Ok(match (&asked.size, asked.inside_diameter) {
        (Some(SizeOrFind::Find), _) => Bore::Sized {
            material,
            size: 0,
            find: true,
        },
        (Some(SizeOrFind::Given(text)), _) => Bore::Sized {
            material,
            size: text.place(material, &at.key("size"))?,
            find: false,
        },
        (None, given) => Bore::Measured {
            material,
            inside_diameter: given.unwrap_or_default(),
        },
    })
}

fn listed(asked: &SegmentInput, at: &Pointer) -> Result<Bore, Refusal> {
    let foreign = [
        ("size", asked.size.is_some()),
        ("inside_diameter", asked.inside_diameter.is_some()),
        ("fittings", asked.fittings.is_some()),
    ];
    refuse(
        &foreign,
        at,
        "A listed tube goes by its own table, without this. Leave it out, or name another material.",
    )?;
    let lacking = |key| {
        Refusal::missing(
            at.key(key),
            "A listed tube needs a point of its own table: capacity, drop and length. Add what is missing.",
        )
    };
    Ok(Bore::Listed(ListedTube {
        capacity: asked.listed_capacity.ok_or_else(|| lacking("listed_capacity"))?,
        drop: asked.listed_drop.ok_or_else(|| lacking("listed_drop"))?,
        length: asked.listed_length.ok_or_else(|| lacking("listed_length"))?,
        exponent: asked.listed_exponent.unwrap_or(2.0),
    }))
}

fn refuse(foreign: &[(&str, bool)], at: &Pointer, message: &str) -> Result<(), Refusal> {
    match foreign.iter().find(|(_, there)| *there) {
        Some((key, _)) => Err(Refusal::inconsistent(at.key(key), message)),
        None => Ok(()),
    }
}

fn appliances(
    asked: &[ApplianceInput],
    places: &BTreeMap<&str, usize>,
    list: &Pointer,
) -> Result<Vec<Appliance>, Refusal> {
    let mut names = BTreeSet::new();
    let mut appliances = Vec::with_capacity(asked.len());
    for (place, appliance) in asked.iter().enumerate() {
        let at = list.item(place);
        if !names.insert(appliance.id.as_str()) {
            return Err(Refusal::inconsistent(
                at.key("id"),
                format!(
                    "Two appliances are called {}. Give each its own name.",
                    appliance.id
                ),
            ));
        }
        let node = *places.get(appliance.node.as_str()).ok_or_else(|| {
            Refusal::inconsistent(
                at.key("node"),
                format!(
                    "No segment is called {}. Name the one at whose far end the appliance hangs.",
                    appliance.node
                ),
            )
        })?;
        appliances.push(Appliance {
            node,
            input: appliance.input,
            minimum_pressure: appliance.minimum_pressure,
        });
    }
    Ok(appliances)
}
