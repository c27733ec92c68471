//! From the input as written to the flue as computed.

use wythe_physics::PhysicsError;
use wythe_physics::derate::DerateRule;
use wythe_physics::flue;
use wythe_physics::friction::Closure;
use wythe_physics::geometry;
use wythe_physics::masonry;
use wythe_physics::quantities::HeatTransfer;

use super::input::{
    Basis, ClosureChoice, Coaxial, Colinear, Exhaust, Input, Intake, Layer, Outlet, Restrictor, Segment,
    Solve, Tile, Wall,
};
use crate::form::{Pointer, Refusal, RefusalCode, exactly_one};
use crate::quantities::{Length, Quantity};

/// What a liner is thicker outside than inside when nobody measured it.
const THICKNESS_OVERALL: f64 = 0.002;
/// The film outside a wall indoors (EN 13384-1, from memory), W/m2K.
const INDOORS: f64 = 8.0;

/// The flue, checked.
///
/// # Errors
/// What contradicts another key, and what the physics refuses, with the key it concerns.
pub(super) fn flue(input: &Input) -> Result<flue::Flue, Refusal> {
    flue::Flue::new(&whole(input)?).map_err(refused)
}

/// A refusal of the physics as a refusal of the input. Its paths are those of the input.
pub(in crate::flue) fn refused(trouble: PhysicsError) -> Refusal {
    let code = match trouble {
        PhysicsError::OutOfRange { .. } => RefusalCode::OutOfRange,
        PhysicsError::Missing { .. } => RefusalCode::Missing,
        PhysicsError::Count { found: 0, .. } => RefusalCode::EmptyList,
        PhysicsError::Count { .. } => RefusalCode::TooMany,
        PhysicsError::NotConverged { .. } => RefusalCode::NotConverged,
        _ => RefusalCode::Inconsistent,
    };
    let at = trouble.field().map_or_else(Pointer::root, |path| {
        path.split('/').fold(Pointer::root(), |at, key| at.key(key))
    });
    Refusal::new(code, &at, sentence(&trouble.to_string()))
}

/// The message as a sentence.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The flue as it is written, not yet checked as a whole.
///
/// # Errors
/// What contradicts another key.
pub(in crate::flue) fn whole(input: &Input) -> Result<flue::FlueInput, Refusal> {
    let root = Pointer::root();
    let fuel = input.gas.gas()?;
    let mut segments = Vec::with_capacity(input.segments.len());
    for (place, segment) in input.segments.iter().enumerate() {
        segments.push(one_segment(segment, &root.key("segments").item(place))?);
    }
    let restrictor = input
        .restrictor
        .as_ref()
        .map(|r| restrictor(r, &root.key("restrictor")))
        .transpose()?;
    belongs_together(input, &root)?;
    let options = &input.options;
    Ok(flue::FlueInput {
        site: flue::Site {
            altitude: input.site.altitude,
            barometer: input.site.barometer.map(|barometer| barometer.0),
            outdoor_temperature: input.site.outdoor_temperature,
            relative_humidity: input.site.relative_humidity,
            wind: input.site.wind,
            wind_coefficient: input.site.wind_coefficient,
        },
        fuel,
        appliance: appliance(input),
        segments,
        cap: flue::Cap {
            exhaust_loss: input.cap.exhaust_loss,
            intake_loss: input.cap.intake_loss,
        },
        restrictor,
        options: flue::Options {
            flow_safety: options.flow_safety,
            closure: match options.closure {
                ClosureChoice::Floor2300 => Closure::Floor2300,
                ClosureChoice::Physical => Closure::Physical,
            },
            natural_convection: options.natural_convection,
            radiation: options.radiation,
            radiation_factor: options.radiation_factor,
            ..flue::Options::default()
        },
    })
}

/// Keys that this task does not take or does not do without.
fn belongs_together(input: &Input, root: &Pointer) -> Result<(), Refusal> {
    let pressure_drop = root.key("appliance").key("pressure_drop");
    let calibrating = matches!(input.solve, Solve::PressureDropFor(_));
    if calibrating && input.appliance.pressure_drop.is_some() {
        return Err(Refusal::inconsistent(
            &pressure_drop,
            "The pressure drop is what is asked for here. Leave it out, or ask for something else.",
        ));
    }
    if !calibrating && input.appliance.pressure_drop.is_none() {
        return Err(Refusal::missing(
            &pressure_drop,
            "The stove's pressure drop is needed. Take it from the model library, or find it with \
             pressure_drop_for from a flue that the manual approves.",
        ));
    }
    if input.restrictor.is_some() && (calibrating || matches!(input.solve, Solve::RestrictorFor(_))) {
        return Err(Refusal::inconsistent(
            root.key("restrictor"),
            "This is asked for a flue without a restrictor. Leave it out, or ask for the operating point.",
        ));
    }
    if input.band.is_some() && calibrating {
        return Err(Refusal::inconsistent(
            root.key("band"),
            "A pressure drop is found from one flue as it stands. Leave the band out.",
        ));
    }
    Ok(())
}

fn appliance(input: &Input) -> flue::Appliance {
    let given = &input.appliance;
    flue::Appliance {
        input: given.input,
        input_basis: match given.input_basis {
            Basis::Gross => flue::InputBasis::Gross,
            Basis::Net => flue::InputBasis::Net,
        },
        derate_rule: given.derate_rule.rule(),
        outlet: match given.outlet {
            Outlet::Fixed => flue::OutletModel::Fixed,
            Outlet::Exchanger => flue::OutletModel::Exchanger,
        },
        flue_temperature: given.flue_temperature,
        air_ratio: given.air_ratio,
        pressure_drop: given.pressure_drop,
        internal_height: given.internal_height,
        air_ratio_min: Some(given.air_ratio_min),
        air_ratio_max: given.air_ratio_max,
    }
}

fn one_segment(segment: &Segment, at: &Pointer) -> Result<flue::Segment, Refusal> {
    let exhaust = exhaust(&segment.exhaust);
    Ok(flue::Segment {
        length: segment.length,
        rise: segment.rise.unwrap_or(segment.length),
        intake: match &segment.intake {
            Intake::Coaxial(coaxial) => annulus(coaxial, &exhaust),
            Intake::Colinear(colinear) => second_liner(colinear),
        },
        exhaust,
        wall: wall(&segment.wall, &at.key("wall"))?,
        ambient: segment.ambient,
    })
}

fn exhaust(liner: &Exhaust) -> flue::Liner {
    flue::Liner {
        inside_diameter: liner.inside_diameter,
        outside_diameter: outside(liner.inside_diameter, liner.outside_diameter),
        roughness: liner.roughness,
        loss_coefficient: liner.loss_coefficient,
        insulation: liner.insulation,
    }
}

fn annulus(coaxial: &Coaxial, exhaust: &flue::Liner) -> flue::Intake {
    flue::Intake::Coaxial {
        tile: tile(&coaxial.tile),
        roughness: coaxial.roughness,
        roughness_inner: coaxial.roughness_inner.unwrap_or(exhaust.roughness),
        loss_coefficient: coaxial.loss_coefficient,
    }
}

fn second_liner(colinear: &Colinear) -> flue::Intake {
    flue::Intake::Colinear {
        liner: flue::Liner {
            inside_diameter: colinear.inside_diameter,
            outside_diameter: outside(colinear.inside_diameter, colinear.outside_diameter),
            roughness: colinear.roughness,
            loss_coefficient: colinear.loss_coefficient,
            insulation: None,
        },
        tile: tile(&colinear.tile),
    }
}

fn outside(inside: Length, given: Option<Length>) -> Length {
    given.unwrap_or_else(|| inside + Length::from_base(THICKNESS_OVERALL))
}

fn tile(tile: &Tile) -> geometry::Tile {
    match tile {
        Tile::Rectangle(sides) => geometry::Tile::Rectangle {
            a: sides.a,
            b: sides.b,
            area_factor: sides.area_factor,
        },
        Tile::Round(round) => geometry::Tile::Round {
            diameter: round.diameter,
        },
    }
}

fn wall(wall: &Wall, at: &Pointer) -> Result<flue::Wall, Refusal> {
    exactly_one(
        at,
        &[
            ("layers", wall.layers.is_some()),
            ("held_at", wall.held_at.is_some()),
        ],
    )?;
    if let Some(held) = wall.held_at {
        if wall.outside_coefficient.is_some() {
            return Err(Refusal::inconsistent(
                at.key("outside_coefficient"),
                "A tile that is held at a temperature has no film outside. Leave one of both out.",
            ));
        }
        return Ok(flue::Wall::HeldAt(held));
    }
    let mut layers = Vec::new();
    for (place, layer) in wall.layers.iter().flatten().enumerate() {
        layers.push(one_layer(layer, &at.key("layers").item(place))?);
    }
    let outside_coefficient = wall
        .outside_coefficient
        .unwrap_or_else(|| HeatTransfer::from_base(INDOORS));
    Ok(flue::Wall::Masonry {
        layers,
        outside_coefficient,
    })
}

fn one_layer(layer: &Layer, at: &Pointer) -> Result<masonry::Layer, Refusal> {
    let given = [
        ("conductivity", layer.conductivity.is_some()),
        ("resistance", layer.resistance.is_some()),
    ];
    exactly_one(at, &given)?;
    let kind = match (layer.conductivity, layer.resistance) {
        (Some(conductivity), _) => masonry::LayerKind::Solid(conductivity),
        (None, resistance) => masonry::LayerKind::Gap(resistance.unwrap_or_default()),
    };
    Ok(masonry::Layer {
        thickness: layer.thickness,
        kind,
    })
}

fn restrictor(restrictor: &Restrictor, at: &Pointer) -> Result<flue::Restrictor, Refusal> {
    let given = [
        ("loss_coefficient", restrictor.loss_coefficient.is_some()),
        ("open_fraction", restrictor.open_fraction.is_some()),
    ];
    exactly_one(at, &given)?;
    Ok(match (restrictor.loss_coefficient, restrictor.open_fraction) {
        (Some(loss), _) => flue::Restrictor::LossCoefficient(loss),
        (None, open) => flue::Restrictor::OpenFraction(open.unwrap_or(1.0)),
    })
}

/// The rule's name, when it reduces anything here.
pub(super) fn reduces(input: &Input) -> Option<DerateRule> {
    let rule = input.appliance.derate_rule.rule();
    rule.factor(input.site.altitude)
        .filter(|factor| *factor < 1.0)
        .map(|_| rule)
}
