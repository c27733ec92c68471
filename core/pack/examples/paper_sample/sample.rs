//! A document with every kind of block. Everything in it is invented.

use std::sync::Arc;

use super::paper::{
    Align, Block, Column, Day, Document, Figure, FigureSize, Foot, FullSize, Level, Notice, NoticeKind,
    PageSize, Photo, Photos, Rich, Signature, Table,
};
use wythe_drawing::{
    Axis, Brick, BrickState, Course, Dash, Dimension, Drawing, DrawingError, Fill, Hatch, Marker, Pen, Plot,
    Point, Role, ScaleBar, ScaleUnit, Side, Space, Wall, WallSize, Weight, wall,
};

/// The sample on one size of paper.
pub fn document(size: PageSize) -> Result<Document, Box<dyn std::error::Error>> {
    let mut blocks = first_page();
    blocks.extend(figures()?);
    blocks.extend(readings());
    blocks.extend(photos()?);
    blocks.extend(signed());
    blocks.push(full_size());
    Ok(Document {
        title: "Claim 7-0031, Larkspur Basin Clean Hearth Grant".to_owned(),
        language: "en".to_owned(),
        as_of: Day {
            year: 2031,
            month: 5,
            day: 17,
        },
        author: "Ninefold Hearth".to_owned(),
        creator: "Wythe 0.1.0".to_owned(),
        id: "sample-0031".to_owned(),
        size,
        foot: Foot {
            left: "Job 31, 14 Sample Lane".to_owned(),
            pages: "Page {page} of {pages}".to_owned(),
            right: "Pack 4f2a 9c07 e1d5".to_owned(),
        },
        blocks,
    })
}

fn first_page() -> Vec<Block> {
    vec![
        Block::Heading(Level::One, "Claim for a wood stove changed out".to_owned()),
        Block::Paragraph(
            Rich::new()
                .plain("Ninefold Hearth claims ")
                .bold("$1,500.00")
                .plain(
                    " under the Larkspur Basin Clean Hearth Grant for the house at 14 Sample Lane. The old \
                     stove was photographed in place and connected, was made inoperable, and went to the \
                     recycler; the new stove was started up and its readings lie within its plate. ",
                )
                .bold("Everything the programme asks for is here.")
                .plain(" Due 2031-06-30, 44 days left as of 2031-05-17."),
        ),
        Block::Figure(Figure {
            drawing: wall(&sample_wall(), WallSize::Page),
            size: FigureSize::Fit {
                share: 1.0,
                height: 95.0,
            },
            caption: "The job as a wall: one course for each stage, one brick for each thing needed.".into(),
        }),
        Block::Pairs(vec![
            (
                "House".to_owned(),
                "14 Sample Lane, one storey, at 1,864 m".into(),
            ),
            (
                "Old stove".to_owned(),
                "Invented Model A, built 1979, no certification label on its plate".into(),
            ),
            (
                "New stove".to_owned(),
                Rich::new().plain("Invented Model B, serial ").bold("B-104477"),
            ),
            (
                "Other languages".to_owned(),
                "El niño midió la válvula: ¿cuántos m²? Œuvre achevée à 8 h 30, mesurée çà et là — 12 °C, \
                 ½ po, ⅜ po, 7′ 4½″, ≤ 25 Pa, −4 °C, 3 · 10³"
                    .into(),
            ),
        ]),
        Block::Heading(Level::Two, "What was asked, and what shows it".to_owned()),
        Block::Table(evidence()),
    ]
}

fn evidence() -> Table {
    let column = |head: &str, share, align| Column {
        head: head.to_owned(),
        share,
        align,
    };
    let rows = (1..=34)
        .map(|number| {
            let asked = match number % 4 {
                0 => "Weight ticket that names the stove",
                1 => "Old stove in place, connected and working, photographed before removal",
                2 => "Each hinge cut, with its photo",
                _ => "Serial of the new stove on plate, photo and invoice, the same on all three",
            };
            vec![
                Rich::from(format!("{number}")),
                Rich::from(asked),
                Rich::new()
                    .bold("There. ")
                    .plain("Photo taken 2031-05-02 10:14, 6 m from the house"),
                Rich::from(format!("{}", 3 + number / 5)),
            ]
        })
        .collect();
    Table {
        summary: "Each thing the programme asks for, what shows it, and on which page.".to_owned(),
        columns: vec![
            column("No.", 0.07, Align::End),
            column("Asked for", 0.42, Align::Start),
            column("Shown by", 0.41, Align::Start),
            column("Page", 0.1, Align::End),
        ],
        rows,
    }
}

fn figures() -> Result<Vec<Block>, DrawingError> {
    let x = Axis::round("outdoor temperature, °C", -23.0, 18.0, 8)?;
    let y = Axis::round("heat, kW", 0.0, 11.4, 6)?;
    let mut plot = Plot::new(
        x,
        y,
        1.8,
        "Heat load falls from 11.4 kW at −23 °C to nothing at 18 °C.",
    );
    let line = |share: f64| -> Vec<(f64, f64)> {
        [-23.0, 18.0]
            .iter()
            .map(|t| (*t, share * (18.0 - t) * 0.278))
            .collect()
    };
    plot.band(
        &line(0.85),
        &line(1.2),
        Hatch::Band,
        Role::Mortar,
        "range of the heat load",
    )
    .curve(&line(1.0), Pen::new(Role::Ink, Weight::Thick), "heat load")
    .level(
        8.0,
        Pen::new(Role::Clay, Weight::Medium).dashed(Dash::Dashed),
        "high fire 8.0 kW",
    )
    .level(
        2.6,
        Pen::new(Role::Clay, Weight::Medium).dashed(Dash::DashDot),
        "low fire 2.6 kW",
    )
    .point(-10.8, 8.0, Marker::Ring, Role::Ink, "balance");
    Ok(vec![
        Block::Heading(Level::One, "Figures".to_owned()),
        Block::Figure(Figure {
            drawing: section(),
            size: FigureSize::Scale(10.0),
            caption: "Flue top, 1:10. Chimney to be swept before lining.".into(),
        }),
        Block::Heading(Level::Two, "Heat load".to_owned()),
        Block::Figure(Figure {
            drawing: plot.finish(),
            size: FigureSize::Fit {
                share: 0.8,
                height: 90.0,
            },
            caption: Rich::new(),
        }),
        Block::Notice(Notice {
            kind: NoticeKind::Note,
            word: "Note".to_owned(),
            text: vec!["Local code, the listing and the manual govern.".into()],
        }),
        Block::Notice(Notice {
            kind: NoticeKind::Caution,
            word: "Caution".to_owned(),
            text: vec![
                "The liner's top is wet below −4 °C outside. Look at the manual: the restrictor zone for \
                 this rise is B. A second sentence makes the caution long enough to wrap on any paper that \
                 this is printed on."
                    .into(),
            ],
        }),
        Block::Notice(Notice {
            kind: NoticeKind::Stop,
            word: "Stop".to_owned(),
            text: vec![
                "Gas pressure fell during the test. Nobody lifts this: only a newer test that passes ends it."
                    .into(),
                "The failed test stays in the record.".into(),
            ],
        }),
    ])
}

fn readings() -> Vec<Block> {
    let long = "The owner was shown the stove, the shut-off and the alarm, and was left the manual. ";
    vec![
        Block::Heading(Level::Two, "Start-up".to_owned()),
        Block::Heading(Level::Three, "Readings".to_owned()),
        Block::List(vec![
            Rich::new()
                .plain("Manifold pressure ")
                .bold("3.5 in w.c.")
                .plain(", plate 3.5 ± 0.3"),
            "Input by clocking the meter 26,100 Btu/h, plate 26,000".into(),
            Rich::from(format!("Walk-through done. {}", long.repeat(3))),
        ]),
        Block::Paragraph(Rich::from(long.repeat(14))),
        Block::Together(vec![
            Block::Heading(Level::Three, "Kept together".to_owned()),
            Block::Paragraph(Rich::from(long.repeat(5))),
        ]),
    ]
}

fn photos() -> Result<Vec<Block>, Box<dyn std::error::Error>> {
    let photos = (0..7_u8)
        .map(|number| {
            let (across, down) = if number % 3 == 2 { (240, 320) } else { (400, 300) };
            Ok(Photo {
                jpeg: Arc::new(jpeg(number, across, down)?),
                alt: format!("Photo {}: a plain invented picture.", number + 1),
                caption: vec![
                    Rich::new().bold(format!("Photo {}. Hinge cut", number + 1)),
                    "2031-05-02 10:14, 6 m from the house, strong".into(),
                ],
            })
        })
        .collect::<Result<Vec<_>, image::ImageError>>()?;
    Ok(vec![
        Block::Heading(Level::One, "Photos".to_owned()),
        Block::Photos(Photos {
            columns: 2,
            photos: photos.iter().take(2).cloned().collect(),
        }),
        Block::Photos(Photos { columns: 3, photos }),
    ])
}

fn jpeg(seed: u8, across: u32, down: u32) -> Result<Vec<u8>, image::ImageError> {
    let mut picture = image::RgbImage::new(across, down);
    for (x, y, pixel) in picture.enumerate_pixels_mut() {
        let brick = (x / 40 + (y / 20) % 2 + u32::from(seed)) % 3 == 0 || x % 40 < 3 || y % 20 < 3;
        *pixel = image::Rgb(if brick {
            [200, 190, 175]
        } else {
            [120_u8.saturating_add(seed * 8), 60, 40]
        });
    }
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 80).encode_image(&picture)?;
    Ok(bytes)
}

fn signed() -> Vec<Block> {
    let stroke = |phase: f64| -> Vec<(f64, f64)> {
        let mut at = 0.0;
        std::iter::from_fn(|| {
            at += 0.15;
            (at < 9.0).then_some((
                at + phase + 0.8 * (3.0 * at).sin(),
                (2.1 * at + phase).cos() * (10.0 - at),
            ))
        })
        .collect()
    };
    vec![
        Block::Heading(Level::One, "Signatures".to_owned()),
        Block::Paragraph(
            "“I was shown how to shut off the gas and how to reach Ninefold Hearth. The old stove was taken \
             out of my house and will not be used again.”"
                .into(),
        ),
        Block::Signature(Signature {
            strokes: vec![stroke(0.0), stroke(9.0)],
            alt: "Signature of Wilhelmina Inventedname".to_owned(),
            lines: vec![
                Rich::new().bold("Wilhelmina Inventedname").plain(", owner"),
                "Signed 2031-05-09 16:02 on the phone of Placeholder Crewlead".into(),
            ],
        }),
    ]
}

fn full_size() -> Block {
    Block::FullSize(FullSize {
        drawing: trim(),
        head: "Cap trim, full size, page {tile} of {across} across and {down} down".to_owned(),
        join: "joins {tile} at this line".to_owned(),
        check: "Measure both bars before cutting. Print at 100 %, not fitted to the page.".to_owned(),
        bars: ("100 mm".to_owned(), "4 in".to_owned()),
    })
}

fn trim() -> Drawing {
    let mut d = Drawing::new(
        Space::Metres,
        "Trim of a cap: a square of 14 in with its corners cut.",
    );
    let side = 14.0 * 0.0254;
    let cut = 1.5 * 0.0254;
    let corners = [
        (cut, 0.0),
        (side - cut, 0.0),
        (side, cut),
        (side, side - cut),
        (side - cut, side),
        (cut, side),
        (0.0, side - cut),
        (0.0, cut),
    ]
    .map(|(x, y)| Point::at(x, y));
    d.polygon(corners, Fill::None, Some(Pen::new(Role::Ink, Weight::Medium)));
    d.line(
        [Point::at(0.5 * side, 0.0), Point::at(0.5 * side, side)],
        Pen::new(Role::Mortar, Weight::Hair).dashed(Dash::DashDot),
    );
    d.dimension(Dimension::new(
        Point::at(cut, 0.0),
        Point::at(side - cut, 0.0),
        Side::Below,
        "11 in",
    ));
    d.dimension(
        Dimension::new(Point::at(0.0, cut), Point::at(side, cut), Side::Below, "14 in")
            .clearing(0.0)
            .in_row(2),
    );
    d.dimension(Dimension::new(
        Point::at(0.0, 0.0),
        Point::at(0.0, side),
        Side::Left,
        "14 in",
    ));
    d.dimension(Dimension::new(
        Point::at(side - cut, side),
        Point::at(side, side - cut),
        Side::Along,
        "2 1/8 in",
    ));
    d
}

fn section() -> Drawing {
    let mut d = Drawing::new(
        Space::Metres,
        "The flue top, cut upright: masonry, tile, liner, crown.",
    );
    let ink = Some(Pen::new(Role::Ink, Weight::Medium));
    for (left, right) in [(0.0, 0.1), (0.5, 0.6)] {
        d.rect(
            Point::at(left, 0.0),
            Point::at(right, 0.5),
            Fill::Hatched(Hatch::Masonry, Role::Ink),
            ink,
        );
    }
    for (left, right) in [(0.12, 0.145), (0.455, 0.48)] {
        d.rect(
            Point::at(left, 0.0),
            Point::at(right, 0.55),
            Fill::Hatched(Hatch::Tile, Role::Clay),
            ink,
        );
    }
    d.rect(
        Point::at(0.25, 0.0),
        Point::at(0.35, 0.68),
        Fill::None,
        Some(Pen::new(Role::Ink, Weight::Thick)),
    );
    d.rect(
        Point::at(0.255, 0.4),
        Point::at(0.345, 0.67),
        Fill::Hatched(Hatch::Wet, Role::Water),
        None,
    );
    d.dimension(
        Dimension::new(
            Point::at(0.145, 0.55),
            Point::at(0.455, 0.55),
            Side::Above,
            "12 1/4 in",
        )
        .clearing(0.68),
    );
    d.dimension(Dimension::new(
        Point::at(0.0, 0.0),
        Point::at(0.6, 0.0),
        Side::Below,
        "23 5/8 in",
    ));
    d.dimension(Dimension::new(
        Point::at(0.6, 0.0),
        Point::at(0.6, 0.5),
        Side::Right,
        "19 3/4 in",
    ));
    d.leader(Point::at(0.3, 0.6), Point::at(0.72, 0.62), "wet below −4 °C");
    d.scale_bar(ScaleBar::Round {
        at: Point::at(0.0, 0.0).nudged(0.0, -40.0),
        unit: ScaleUnit::Inches,
    });
    d.scale_bar(ScaleBar::Check {
        at: Point::at(0.0, 0.0).nudged(110.0, -40.0),
        length: 1.0,
        label: "1 m".to_owned(),
    });
    d
}

fn sample_wall() -> Wall {
    let course = |name: &str, note: &str, marks: &str| Course {
        name: name.to_owned(),
        note: note.to_owned(),
        bricks: marks
            .chars()
            .enumerate()
            .map(|(index, mark)| Brick {
                id: format!("{name}/{index}"),
                label: format!("{name} {}", index + 1),
                state: match mark {
                    '_' => BrickState::Missing,
                    '%' => BrickState::Disagreeing,
                    'x' => BrickState::DoesNotCount,
                    '.' => BrickState::Waiting,
                    '/' => BrickState::Doubtful,
                    _ => BrickState::There,
                },
            })
            .collect(),
    };
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
            course("Walk-through", "5 of 6", "#####_"),
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
