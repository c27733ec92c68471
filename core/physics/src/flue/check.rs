//! The bounds of every input of a flue. Afterwards the kernel may rely on them.

use super::input::{FlueInput, Intake, Liner, Restrictor, Segment, Wall};
use super::{AIR_RATIOS, GREATEST_LENGTH, MOST_SEGMENTS};
use crate::constants::ICE_POINT;
use crate::error::PhysicsError;
use crate::geometry::Tile;
use crate::masonry::LayerKind;

/// Losses beyond this many velocity heads are no flue; also the bound of a restrictor.
const GREATEST_LOSS: f64 = 1e9;
/// Bounds are inclusive with this slack, relative to the larger bound.
const SLACK: f64 = 1e-9;

type Checked = Result<(), PhysicsError>;

pub(super) fn check(input: &FlueInput) -> Checked {
    site(input)?;
    appliance(input)?;
    segments(&input.segments)?;
    within("cap/exhaust_loss", input.cap.exhaust_loss, 0.0, GREATEST_LOSS, "")?;
    within("cap/intake_loss", input.cap.intake_loss, 0.0, GREATEST_LOSS, "")?;
    match input.restrictor {
        Some(Restrictor::LossCoefficient(loss)) => {
            within("restrictor/loss_coefficient", loss, 0.0, GREATEST_LOSS, "")?
        }
        Some(Restrictor::OpenFraction(open)) => above_zero("restrictor/open_fraction", open, 1.0, "")?,
        None => {}
    }
    options(input)
}

fn site(input: &FlueInput) -> Checked {
    let site = &input.site;
    within("site/altitude", site.altitude.value, -500.0, 9000.0, "m")?;
    if let Some(barometer) = site.barometer {
        within("site/barometer", barometer.value, 25e3, 110e3, "Pa")?;
    }
    celsius(
        "site/outdoor_temperature",
        site.outdoor_temperature.value,
        -60.0,
        60.0,
    )?;
    within("site/relative_humidity", site.relative_humidity, 0.0, 1.0, "")?;
    within("site/wind", site.wind.value, 0.0, 100.0, "m/s")?;
    within("site/wind_coefficient", site.wind_coefficient, -10.0, 10.0, "")
}

fn appliance(input: &FlueInput) -> Checked {
    let appliance = &input.appliance;
    above_zero("appliance/input", appliance.input.value, 200e3, "W")?;
    let outdoor = input.site.outdoor_temperature.value - ICE_POINT;
    celsius(
        "appliance/flue_temperature",
        appliance.flue_temperature.value,
        outdoor,
        600.0,
    )?;
    let (low, high) = (*AIR_RATIOS.start(), *AIR_RATIOS.end());
    within("appliance/air_ratio", appliance.air_ratio, low, high, "")?;
    if let Some(drop) = appliance.pressure_drop {
        within("appliance/pressure_drop", drop.value, 0.0, 1e5, "Pa")?;
    }
    within(
        "appliance/internal_height",
        appliance.internal_height.value,
        0.0,
        GREATEST_LENGTH,
        "m",
    )?;
    if let Some(ratio) = appliance.air_ratio_min {
        within("appliance/air_ratio_min", ratio, low, 100.0, "")?;
    }
    if let Some(ratio) = appliance.air_ratio_max {
        within("appliance/air_ratio_max", ratio, low, 100.0, "")?;
    }
    let (least, most) = appliance.air_ratio_limits();
    if least > most {
        let field = if appliance.air_ratio_max.is_some() {
            "air_ratio_max"
        } else {
            "air_ratio_min"
        };
        return Err(PhysicsError::inconsistent(
            format!("appliance/{field}"),
            "the largest air ratio lies below the smallest. Look at both in the manual.",
        ));
    }
    Ok(())
}

fn segments(segments: &[Segment]) -> Checked {
    if segments.is_empty() || segments.len() > MOST_SEGMENTS {
        return Err(PhysicsError::Count {
            field: "segments".into(),
            found: segments.len(),
            most: MOST_SEGMENTS,
        });
    }
    for (i, segment) in segments.iter().enumerate() {
        one_segment(&format!("segments/{i}"), segment)?;
    }
    let total: f64 = segments.iter().map(|s| s.length.value).sum();
    within("segments", total, 0.0, GREATEST_LENGTH, "m of length in all")
}

fn one_segment(at: &str, segment: &Segment) -> Checked {
    above_zero(
        &format!("{at}/length"),
        segment.length.value,
        GREATEST_LENGTH,
        "m",
    )?;
    within(
        &format!("{at}/rise"),
        segment.rise.value,
        0.0,
        GREATEST_LENGTH,
        "m",
    )?;
    if segment.rise.value > segment.length.value * (1.0 + SLACK) {
        return Err(PhysicsError::inconsistent(
            format!("{at}/rise"),
            "this piece rises more than it is long. Measure both again.",
        ));
    }
    liner(&format!("{at}/exhaust"), &segment.exhaust)?;
    let outside = segment.exhaust.outside_diameter.value;
    match &segment.intake {
        Intake::Coaxial {
            tile,
            roughness,
            roughness_inner,
            loss_coefficient,
        } => {
            tile_bounds(&format!("{at}/intake/tile"), tile)?;
            within(
                &format!("{at}/intake/roughness"),
                roughness.value,
                0.0,
                GREATEST_LENGTH,
                "m",
            )?;
            within(
                &format!("{at}/intake/roughness_inner"),
                roughness_inner.value,
                0.0,
                GREATEST_LENGTH,
                "m",
            )?;
            within(
                &format!("{at}/intake/loss_coefficient"),
                *loss_coefficient,
                0.0,
                GREATEST_LOSS,
                "",
            )?;
            if !tile.takes_one(outside) {
                return Err(does_not_fit(
                    format!("{at}/exhaust/outside_diameter"),
                    "The liner does not fit",
                ));
            }
        }
        Intake::Colinear { liner: intake, tile } => {
            liner(&format!("{at}/intake"), intake)?;
            tile_bounds(&format!("{at}/intake/tile"), tile)?;
            if !tile.takes_two(outside, intake.outside_diameter.value) {
                return Err(does_not_fit(
                    format!("{at}/intake/outside_diameter"),
                    "The two liners do not fit",
                ));
            }
        }
    }
    wall(&format!("{at}/wall"), &segment.wall)?;
    celsius(&format!("{at}/ambient"), segment.ambient.value, -60.0, 60.0)
}

fn liner(at: &str, liner: &Liner) -> Checked {
    above_zero(
        &format!("{at}/inside_diameter"),
        liner.inside_diameter.value,
        GREATEST_LENGTH,
        "m",
    )?;
    above_zero(
        &format!("{at}/outside_diameter"),
        liner.outside_diameter.value,
        GREATEST_LENGTH,
        "m",
    )?;
    if liner.outside_diameter < liner.inside_diameter {
        return Err(PhysicsError::inconsistent(
            format!("{at}/outside_diameter"),
            "the outside diameter is smaller than the inside diameter. Measure both again.",
        ));
    }
    within(
        &format!("{at}/roughness"),
        liner.roughness.value,
        0.0,
        GREATEST_LENGTH,
        "m",
    )?;
    within(
        &format!("{at}/loss_coefficient"),
        liner.loss_coefficient,
        0.0,
        GREATEST_LOSS,
        "",
    )?;
    match liner.insulation {
        Some(insulation) => above_zero(&format!("{at}/insulation"), insulation.value, 1000.0, "m2K/W"),
        None => Ok(()),
    }
}

fn tile_bounds(at: &str, tile: &Tile) -> Checked {
    match tile {
        Tile::Rectangle { a, b, area_factor } => {
            above_zero(&format!("{at}/a"), a.value, GREATEST_LENGTH, "m")?;
            above_zero(&format!("{at}/b"), b.value, GREATEST_LENGTH, "m")?;
            above_zero(&format!("{at}/area_factor"), *area_factor, 1.0, "")
        }
        Tile::Round { diameter } => {
            above_zero(&format!("{at}/diameter"), diameter.value, GREATEST_LENGTH, "m")
        }
    }
}

fn wall(at: &str, wall: &Wall) -> Checked {
    match wall {
        Wall::HeldAt(temperature) => celsius(&format!("{at}/held_at"), temperature.value, -60.0, 60.0),
        Wall::Masonry {
            layers,
            outside_coefficient,
        } => {
            for (i, layer) in layers.iter().enumerate() {
                let at = format!("{at}/layers/{i}");
                above_zero(
                    &format!("{at}/thickness"),
                    layer.thickness.value,
                    GREATEST_LENGTH,
                    "m",
                )?;
                match layer.kind {
                    LayerKind::Solid(k) => {
                        above_zero(&format!("{at}/conductivity"), k.value, 1000.0, "W/mK")?
                    }
                    LayerKind::Gap(r) => above_zero(&format!("{at}/resistance"), r.value, 1000.0, "m2K/W")?,
                }
            }
            above_zero(
                &format!("{at}/outside_coefficient"),
                outside_coefficient.value,
                1e4,
                "W/m2K",
            )
        }
    }
}

fn options(input: &FlueInput) -> Checked {
    let options = &input.options;
    above_zero("options/flow_safety", options.flow_safety, 10.0, "")?;
    within(
        "options/radiation_factor",
        options.radiation_factor,
        0.0,
        10.0,
        "",
    )?;
    let instead = !options.natural_convection && !options.radiation;
    if !instead && (options.radiation_factor - 1.0).abs() > SLACK {
        return Err(PhysicsError::inconsistent(
            "options/radiation_factor",
            "a radiation factor stands for free convection and radiation, and one of them is computed already. \
             Switch both off or leave the factor at 1.",
        ));
    }
    within(
        "options/liner_emissivity",
        options.liner_emissivity,
        0.01,
        1.0,
        "",
    )?;
    within("options/tile_emissivity", options.tile_emissivity, 0.01, 1.0, "")?;
    within("options/cell", options.cell.value, 0.005, GREATEST_LENGTH, "m")
}

fn does_not_fit(field: String, what: &str) -> PhysicsError {
    PhysicsError::inconsistent(
        field,
        format!("{what} in this tile. Measure the tile at its narrowest place."),
    )
}

fn celsius(field: &str, kelvins: f64, low: f64, high: f64) -> Checked {
    within(field, kelvins - ICE_POINT, low, high, "degC")
}

fn within(field: &str, value: f64, low: f64, high: f64, unit: &'static str) -> Checked {
    let slack = SLACK * low.abs().max(high.abs());
    if value >= low - slack && value <= high + slack {
        return Ok(());
    }
    Err(PhysicsError::OutOfRange {
        field: field.into(),
        low,
        high,
        unit,
    })
}

fn above_zero(field: &str, value: f64, high: f64, unit: &'static str) -> Checked {
    if value > 0.0 {
        return within(field, value, 0.0, high, unit);
    }
    Err(PhysicsError::OutOfRange {
        field: field.into(),
        low: 0.0,
        high,
        unit,
    })
}
