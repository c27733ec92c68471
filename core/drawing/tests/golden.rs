//! What drawings look like, frozen: a wall, a section with dimensions, a plot, in all the themes.
#![cfg(test)]

use wythe_drawing::{
    Anchor, Axis, Brick, BrickState, Course, Dash, Dimension, Drawing, Fill, Fit, Hatch, Lay, Marker, Pen,
    Plot, Point, Role, ScaleBar, ScaleUnit, Side, Sit, Space, Text, TextClass, Theme, Wall, WallSize, Weight,
    to_svg, wall,
};

fn check(name: &str, drawing: &Drawing, theme: Theme, how: &Lay) {
    let kept = serde_json::to_string(drawing).unwrap();
    let back: Drawing = serde_json::from_str(&kept).unwrap();
    assert_eq!(*drawing, back, "a drawing survives the way to a phone");
    insta::assert_snapshot!(name, to_svg(drawing, theme, how).unwrap());
}

fn course(name: &str, note: &str, marks: &str) -> Course {
    let bricks = marks
        .chars()
        .enumerate()
        .map(|(index, mark)| Brick {
            id: format!("{name}/{index}"),
            label: format!("{name}, thing {}", index + 1),
            state: match mark {
                '#' => BrickState::There,
                '_' => BrickState::Missing,
                '%' => BrickState::Disagreeing,
                'x' => BrickState::DoesNotCount,
                '.' => BrickState::Waiting,
                '/' => BrickState::Doubtful,
                other => panic!("no brick is written {other}"),
            },
        })
        .collect();
    Course {
        name: name.to_owned(),
        note: note.to_owned(),
        bricks,
    }
}

fn demo_wall() -> Wall {
    Wall {
        courses: vec![
            course("Survey", "24 of 24", "########################"),
            course("Plan", "6 of 7", "#####/#"),
            course("Removal", "9 of 12", "####_##x#%##"),
            course("Chimney top", "8 of 9", "####%####"),
            course("Lining", "5 of 5", "#####"),
            course("Setting", "16 of 17", "#########/#######"),
            course("Gas", "7 of 8", "####.###"),
            course("Start-up", "12 of 13", "########x####"),
            course("Walk-through", "0 of 6", "______"),
            course("Destruction", "1 of 5", "#_..."),
            course("Claim", "0 of 2", "_."),
        ],
        alt: "3 missing: hinge cut, weight ticket, permit final.".to_owned(),
        key: vec![
            (BrickState::There, "there".to_owned()),
            (BrickState::Missing, "missing".to_owned()),
            (BrickState::Disagreeing, "people disagree".to_owned()),
            (BrickState::DoesNotCount, "there, does not count".to_owned()),
            (BrickState::Waiting, "waiting".to_owned()),
            (BrickState::Doubtful, "doubtful".to_owned()),
        ],
    }
}

#[test]
fn the_wall_on_a_page() {
    let drawing = wall(&demo_wall(), WallSize::Page);
    check(
        "wall-page-paper",
        &drawing,
        Theme::Paper,
        &Lay::new(Fit::Width(490.0)),
    );
    check(
        "wall-page-dark",
        &drawing,
        Theme::Dark,
        &Lay::new(Fit::Width(490.0)),
    );
}

#[test]
fn the_wall_on_a_phone() {
    let drawing = wall(&demo_wall(), WallSize::Phone);
    check(
        "wall-phone-light",
        &drawing,
        Theme::Light,
        &Lay {
            paper: 1.4,
            ..Lay::new(Fit::Width(360.0))
        },
    );
    check(
        "wall-phone-sunlight",
        &drawing,
        Theme::Sunlight,
        &Lay::new(Fit::Width(330.0)),
    );
}

#[test]
fn the_wall_in_a_list() {
    let drawing = wall(&demo_wall(), WallSize::Thumbnail);
    let fit = Fit::Into {
        width: 72.0,
        height: 56.0,
    };
    check(
        "wall-thumbnail-light",
        &drawing,
        Theme::Light,
        &Lay::thumbnail(fit),
    );
    check("wall-thumbnail-dark", &drawing, Theme::Dark, &Lay::thumbnail(fit));
}

#[test]
fn a_section_with_dimensions() {
    let mut d = Drawing::new(Space::Metres, "A masonry flue with a liner, cut upright.");
    let ink = Some(Pen::new(Role::Ink, Weight::Medium));
    for (left, right) in [(0.0, 0.1), (0.5, 0.6)] {
        let fill = Fill::Hatched(Hatch::Masonry, Role::Ink);
        d.rect(Point::at(left, 0.0), Point::at(right, 1.2), fill, ink);
    }
    for (left, right) in [(0.12, 0.145), (0.455, 0.48)] {
        let fill = Fill::Hatched(Hatch::Tile, Role::Clay);
        d.rect(Point::at(left, 0.0), Point::at(right, 1.25), fill, ink);
    }
    d.rect(
        Point::at(0.25, -0.05),
        Point::at(0.35, 1.4),
        Fill::None,
        Some(Pen::new(Role::Ink, Weight::Thick)),
    );
    d.rect(
        Point::at(0.255, 1.0),
        Point::at(0.345, 1.39),
        Fill::Hatched(Hatch::Wet, Role::Water),
        None,
    );
    d.line(
        [Point::at(0.3, -0.1), Point::at(0.3, 1.45)],
        Pen::new(Role::Mortar, Weight::Hair).dashed(Dash::DashDot),
    );
    d.polygon(
        [Point::at(-0.04, 1.2), Point::at(0.12, 1.26), Point::at(0.12, 1.2)],
        Fill::Hatched(Hatch::Insulation, Role::Ink),
        Some(Pen::new(Role::Ink, Weight::Thin)),
    );
    d.dimension(
        Dimension::new(
            Point::at(0.145, 1.25),
            Point::at(0.455, 1.25),
            Side::Above,
            "11 3/8 in",
        )
        .clearing(1.4),
    );
    d.dimension(
        Dimension::new(Point::at(0.0, 0.0), Point::at(0.6, 0.0), Side::Below, "24 in").clearing(-0.1),
    );
    d.dimension(
        Dimension::new(Point::at(0.25, 0.0), Point::at(0.35, 0.0), Side::Below, "4 in")
            .clearing(-0.1)
            .in_row(2),
    );
    d.dimension(Dimension::new(Point::at(0.6, 0.0), Point::at(0.6, 1.2), Side::Right, "1.20 m").in_row(2));
    d.dimension(Dimension::new(
        Point::at(0.6, 1.2),
        Point::at(0.48, 1.25),
        Side::Right,
        "50 mm",
    ));
    d.dimension(Dimension::new(
        Point::at(0.0, 0.0),
        Point::at(0.0, 1.2),
        Side::Left,
        "47 1/4 in",
    ));
    d.dimension(Dimension::new(
        Point::at(-0.04, 1.2),
        Point::at(0.12, 1.26),
        Side::Along,
        "wash 6 3/4 in",
    ));
    d.leader(Point::at(0.13, 0.6), Point::at(0.05, 0.75), "tile");
    d.leader(
        Point::at(0.3, 1.2),
        Point::at(0.72, 1.35).nudged(10.0, 0.0),
        "wet below −4 °C",
    );
    d.text(
        Text::new(Point::at(0.2, 0.3), TextClass::Note, "clear")
            .placed(Anchor::Middle, Sit::Middle)
            .turned(90.0)
            .on_plate(),
    );
    d.scale_bar(ScaleBar::Round {
        at: Point::at(0.0, -0.1).nudged(0.0, -52.0),
        unit: ScaleUnit::Inches,
    });
    d.scale_bar(ScaleBar::Check {
        at: Point::at(0.0, -0.1).nudged(0.0, -90.0),
        length: 0.1,
        label: "100 mm".to_owned(),
    });
    check(
        "section-paper",
        &d,
        Theme::Paper,
        &Lay::new(Fit::Into {
            width: 360.0,
            height: 480.0,
        }),
    );
}

#[test]
fn a_plot_with_a_band() {
    let x = Axis::round("outdoor temperature, °C", -23.0, 18.0, 8).unwrap();
    let y = Axis::round("heat, kW", 0.0, 11.4, 6).unwrap();
    let mut plot = Plot::new(
        x,
        y,
        1.7,
        "Heat load falls from 11.4 kW at −23 °C to nothing at 18 °C.",
    );
    let line = |share: f64| -> Vec<(f64, f64)> {
        (0..=20)
            .map(|i| f64::from(i).mul_add(2.05, -23.0))
            .map(|t| (t, share * (18.0 - t) * 0.278))
            .collect()
    };
    plot.band(&line(0.85), &line(1.2), Hatch::Band, Role::Mortar, "range")
        .curve(&line(1.0), Pen::new(Role::Ink, Weight::Thick), "heat load")
        .curve(
            &[(-40.0, 7.0), (30.0, 8.2)],
            Pen::new(Role::Clay, Weight::Medium).dashed(Dash::Dashed),
            "stove, high fire",
        )
        .level(
            2.6,
            Pen::new(Role::Clay, Weight::Medium).dashed(Dash::DashDot),
            "low fire 2.6 kW",
        )
        .upright(
            -12.0,
            Pen::new(Role::Mortar, Weight::Thin).dashed(Dash::Dashed),
            "design day",
        )
        .points(
            &[(-5.0, 6.1), (2.0, 4.8), (9.0, 2.2)],
            Marker::Cross,
            Role::Ink,
            "measured",
        )
        .point(-8.7, 7.4, Marker::Ring, Role::Ink, "balance −8.7 °C");
    check(
        "plot-paper",
        &plot.finish(),
        Theme::Paper,
        &Lay::new(Fit::Width(420.0)),
    );
}
