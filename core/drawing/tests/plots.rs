//! Axes end at round numbers and curves end at the box.
#![cfg(test)]

use wythe_drawing::{
    Axis, Drawing, DrawingError, Hatch, Pen, Plot, Role, Shape, Weight, nice_step, plain_number,
};

const PEN: Pen = Pen::new(Role::Clay, Weight::Thick);

fn plot() -> Plot {
    let x = Axis::round("x", 0.0, 10.0, 5).unwrap();
    let y = Axis::round("y", -3.0, 7.0, 5).unwrap();
    Plot::new(x, y, 2.0, "a plot")
}

fn thick_runs(drawing: &Drawing) -> Vec<Vec<(f64, f64)>> {
    drawing
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Polyline { points, pen } if *pen == PEN => {
                Some(points.iter().map(|point| (point.x, point.y)).collect())
            }
            _ => None,
        })
        .collect()
}

#[test]
fn steps_are_one_two_five() {
    for (least, step) in [
        (0.1, 0.1),
        (0.11, 0.2),
        (3.0, 5.0),
        (7.0, 10.0),
        (1999.0, 2000.0),
        (1e-4, 1e-4),
    ] {
        assert!(
            (nice_step(least) / step - 1.0).abs() < 1e-9,
            "{least}: {}",
            nice_step(least)
        );
    }
}

#[test]
fn numbers_show_the_decimals_of_their_step() {
    assert_eq!(plain_number(0.30000000000000004, 0.1), "0.3");
    assert_eq!(plain_number(-4.0, 2.0), "−4");
    assert_eq!(plain_number(-0.0, 2.0), "0");
    assert_eq!(plain_number(2.5, 2.5), "2.5");
    assert_eq!(plain_number(1000.0, 500.0), "1000");
}

#[test]
fn an_axis_takes_in_its_values_and_ends_at_round_ones() {
    assert_eq!(Axis::round("t", -23.0, 18.0, 8).unwrap().ends(), (-30.0, 20.0));
    assert_eq!(Axis::round("t", 0.0, 10.0, 5).unwrap().ends(), (0.0, 10.0));
    assert_eq!(
        Axis::round("t", 3.0, 3.0, 5),
        Err(DrawingError::FlatAxis {
            label: "t".to_owned()
        })
    );
    assert!(Axis::round("t", f64::NAN, 3.0, 5).is_err());
}

#[test]
fn a_curve_that_leaves_the_box_and_returns_is_two_runs() {
    let mut plot = plot();
    plot.curve(&[(1.0, 0.0), (3.0, 20.0), (5.0, 20.0), (7.0, 0.0)], PEN, "");
    let runs = thick_runs(&plot.finish());
    assert_eq!(runs.len(), 2, "{runs:?}");
    for (x, y) in runs.concat() {
        assert!(
            (0.0..=100.0).contains(&x) && (0.0..=50.0001).contains(&y),
            "{x} {y}"
        );
    }
}

#[test]
fn a_curve_inside_is_one_run_with_all_its_points() {
    let mut plot = plot();
    plot.curve(&[(0.0, -3.0), (2.0, 0.0), (10.0, 7.0)], PEN, "");
    let runs = thick_runs(&plot.finish());
    assert_eq!(runs.iter().map(Vec::len).collect::<Vec<_>>(), [3]);
}

#[test]
fn a_band_is_cut_at_the_box() {
    let mut plot = plot();
    plot.band(
        &[(-5.0, -50.0), (20.0, 0.0)],
        &[(-5.0, 2.0), (20.0, 60.0)],
        Hatch::Band,
        Role::Mortar,
        "",
    );
    let drawing = plot.finish();
    let ring = drawing
        .items
        .iter()
        .find_map(|item| match &item.shape {
            Shape::Polygon { points, .. } => Some(points.clone()),
            _ => None,
        })
        .unwrap();
    assert!(ring.len() >= 4);
    for point in ring {
        assert!((-1e-9..=100.0 + 1e-9).contains(&point.x) && (-1e-9..=50.0 + 1e-9).contains(&point.y));
    }
}
