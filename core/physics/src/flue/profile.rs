//! Temperatures at every height, and what they say about condensation.

use super::appliance::Flow;
use super::plan::Plan;
use super::temperatures::Field;
use crate::error::PhysicsError;
use crate::network::Walls;

/// Temperatures at one height, K.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    /// Along the flue and upwards from the appliance, m.
    pub along: f64,
    pub height: f64,
    pub exhaust: f64,
    pub air: f64,
    pub inner_wall: f64,
    pub tile: f64,
}

/// Points of all segments, both ends of each included, bottom to top; walls settled to `tolerance` K.
pub(super) fn points(
    plan: &Plan,
    flow: &Flow,
    field: &Field,
    tolerance: f64,
) -> Result<Vec<Point>, PhysicsError> {
    let mut points = Vec::with_capacity(field.segments.iter().map(|cells| cells.len() + 1).sum());
    let (mut along, mut height) = (0.0, 0.0);
    for (segment, cells) in plan.segments.iter().zip(&field.segments) {
        let count = cells.len() as f64;
        let mut at = |share: f64, exhaust: f64, air: f64, walls: Walls| -> Result<(), PhysicsError> {
            let local = settled(plan, flow, segment, exhaust, air, walls, tolerance)?;
            points.push(Point {
                along: along + share * segment.length,
                height: height + share * segment.rise,
                exhaust,
                air,
                inner_wall: local.0,
                tile: local.1,
            });
            Ok(())
        };
        let mut share = 0.0;
        for cell in cells {
            at(share / count, cell.exhaust.0, cell.air.0, cell.local.walls)?;
            share += 1.0;
        }
        if let Some(top) = cells.last() {
            at(1.0, top.exhaust.1, top.air.1, top.local.walls)?;
        }
        along += segment.length;
        height += segment.rise;
    }
    Ok(points)
}

/// Inner wall and tile at one height.
fn settled(
    plan: &Plan,
    flow: &Flow,
    segment: &super::segment::SegmentPlan,
    exhaust: f64,
    air: f64,
    mut walls: Walls,
    tolerance: f64,
) -> Result<(f64, f64), PhysicsError> {
    for _ in 0..100 {
        let local = segment.local(plan, flow, exhaust, air, walls);
        walls = local.walls;
        if local.moved < tolerance {
            return Ok((local.inner_wall, walls.tile));
        }
    }
    Err(PhysicsError::NotConverged {
        air_ratio: flow.air_ratio,
    })
}

/// What the wall temperatures say about condensation at a dew point, K.
#[derive(Debug, Clone, Copy)]
pub(super) struct WallSummary {
    pub top: f64,
    pub lowest: f64,
    /// Along the flue, m.
    pub lowest_at: f64,
    /// Length along the flue on which the inner wall is below the dew point, m.
    pub wet_length: f64,
}

impl WallSummary {
    pub fn of(points: &[Point], dew_point: Option<f64>) -> Self {
        let mut summary = Self {
            top: f64::NAN,
            lowest: f64::INFINITY,
            lowest_at: 0.0,
            wet_length: 0.0,
        };
        for point in points {
            if point.inner_wall < summary.lowest {
                summary.lowest = point.inner_wall;
                summary.lowest_at = point.along;
            }
            summary.top = point.inner_wall;
        }
        if let Some(dew) = dew_point {
            summary.wet_length = points
                .iter()
                .zip(points.iter().skip(1))
                .map(|(a, b)| wet(*a, *b, dew))
                .sum();
        }
        summary
    }
}

/// Length between two neighbouring points on which a straight line of wall temperature is below `dew`.
fn wet(a: Point, b: Point, dew: f64) -> f64 {
    let length = b.along - a.along;
    let (below, above) = (dew - a.inner_wall, dew - b.inner_wall);
    match (below > 0.0, above > 0.0) {
        (true, true) => length,
        (false, false) => 0.0,
        (true, false) => length * below / (below - above),
        (false, true) => length * above / (above - below),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(along: f64, inner_wall: f64) -> Point {
        Point {
            along,
            height: along,
            exhaust: 0.0,
            air: 0.0,
            inner_wall,
            tile: 0.0,
        }
    }

    #[test]
    fn the_wet_length_ends_where_the_wall_crosses_the_dew_point() {
        let points = [
            point(0.0, 350.0),
            point(1.0, 330.0),
            point(2.0, 310.0),
            point(3.0, 305.0),
        ];
        let summary = WallSummary::of(&points, Some(315.0));
        assert!((summary.wet_length - (0.25 + 1.0)).abs() < 1e-12);
        assert!((summary.lowest - 305.0).abs() < 1e-12 && (summary.lowest_at - 3.0).abs() < 1e-12);
        assert!(WallSummary::of(&points, None).wet_length.abs() < 1e-12);
        // Upwards from a wet wall to a dry one: 15 of 20 K.
        let rising = [point(0.0, 300.0), point(1.0, 320.0)];
        let summary = WallSummary::of(&rising, Some(315.0));
        assert!((summary.wet_length - 0.75).abs() < 1e-12);
    }
}
