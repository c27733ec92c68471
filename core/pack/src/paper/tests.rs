//! The layout checked against itself.

use std::sync::Arc;

use wythe_drawing::{Drawing, Measure as _, Pen, Point, Role, Space, Weight};

use super::compose::{Child, Kind, Layout, Meaning, lay_out};
use super::fonts::Fonts;
use super::ops::{Area, Op};
use super::styles::{BODY, MARGIN};
use super::wrap::wrap;
use super::*;
use crate::paper;

#[path = "../../examples/paper_sample/sample.rs"]
mod sample;

const SIZES: [PageSize; 2] = [PageSize::Letter, PageSize::A4];

fn blank(size: PageSize, blocks: Vec<Block>) -> Document {
    Document {
        title: "A test".to_owned(),
        language: "en".to_owned(),
        as_of: Day {
            year: 2031,
            month: 1,
            day: 2,
        },
        author: "Ninefold Hearth".to_owned(),
        creator: "test".to_owned(),
        id: "test".to_owned(),
        size,
        foot: Foot {
            left: "left".to_owned(),
            pages: "{page}/{pages}".to_owned(),
            right: "right".to_owned(),
        },
        blocks,
    }
}

fn check(document: &Document) -> Layout {
    let fonts = Fonts::load().unwrap();
    let layout = lay_out(document, &fonts).unwrap();
    for page in &layout.pages {
        let frame = Area {
            left: MARGIN - 0.05,
            top: MARGIN - 0.05,
            right: page.width - MARGIN + 0.05,
            bottom: page.height - MARGIN + 0.05,
        };
        for (index, placed) in page.boxes.iter().enumerate() {
            let area = placed.area;
            assert!(
                area.left >= frame.left
                    && area.right <= frame.right
                    && area.top >= frame.top
                    && area.bottom <= frame.bottom,
                "{placed:?} leaves the margins"
            );
            for other in &page.boxes[index + 1..] {
                let apart = area.right <= other.area.left + 0.05
                    || other.area.right <= area.left + 0.05
                    || area.bottom <= other.area.top + 0.05
                    || other.area.bottom <= area.top + 0.05;
                assert!(apart, "{placed:?} lies over {other:?}");
            }
        }
        for piece in &page.pieces {
            // What is clipped is part of a tile, which has been checked as a box.
            if piece.ops.iter().any(|op| matches!(op, Op::Clip(_))) {
                continue;
            }
            for op in &piece.ops {
                let Op::Text {
                    x,
                    y,
                    size,
                    bold,
                    text,
                    turn,
                    ..
                } = op
                else {
                    continue;
                };
                let width = fonts.width(text.trim_end(), *size, *bold);
                let (sin, cos) = turn.to_radians().sin_cos();
                for (x, y) in [(*x, *y), (x + width * cos, y - width * sin)] {
                    assert!((frame.left..=frame.right).contains(&x), "{text:?} at {x}");
                    let within = (frame.top..=frame.bottom).contains(&y) || piece.kind == Kind::Foot;
                    assert!(within, "{text:?} at {y}");
                }
            }
        }
    }
    leaves_in_order(&layout);
    layout
}

/// Every content piece is in the tree, once, in the order it is painted.
fn leaves_in_order(layout: &Layout) {
    fn gather(children: &[Child], found: &mut Vec<(usize, usize)>) {
        for child in children {
            match child {
                Child::Node(node) => gather(&node.children, found),
                Child::Leaf { page, piece } => found.push((*page, *piece)),
            }
        }
    }
    let mut found = Vec::new();
    gather(&layout.tree, &mut found);
    let painted: Vec<(usize, usize)> = layout
        .pages
        .iter()
        .enumerate()
        .flat_map(|(number, page)| {
            let content = |(piece, what): (usize, &super::compose::Piece)| {
                (what.kind == Kind::Content).then_some((number, piece))
            };
            page.pieces
                .iter()
                .enumerate()
                .filter_map(content)
                .collect::<Vec<_>>()
        })
        .collect();
    assert_eq!(found, painted);
}

#[test]
fn the_sample_keeps_its_margins_and_its_blocks_apart() {
    for size in SIZES {
        let layout = check(&sample::document(size).unwrap());
        assert_eq!(layout.pages.len(), 12, "{size:?}");
    }
}

#[test]
fn documents_of_any_length_keep_their_margins() {
    let words = "a crew of two took the old stove out and kept its door for the inspection ";
    for round in 0..40_usize {
        let text = |share: usize| Rich::from(words.repeat(1 + (round * share) % 23));
        let mut row = vec![text(7), text(11), text(3)];
        row.rotate_left(round % 3);
        let column = |share| Column {
            head: "Head of a column".to_owned(),
            share,
            align: Align::Start,
        };
        let table = Table {
            summary: "a table".to_owned(),
            columns: vec![column(1.0), column(2.0), column(0.6)],
            rows: vec![row; 1 + round % 5],
        };
        let notice = Notice {
            kind: [NoticeKind::Note, NoticeKind::Caution, NoticeKind::Stop][round % 3],
            word: "Caution".to_owned(),
            text: vec![text(5); 1 + round % 12],
        };
        let blocks = vec![
            Block::Heading(Level::One, words.repeat(1 + round % 3)),
            Block::Paragraph(text(13)),
            Block::Notice(notice),
            Block::Heading(Level::Two, "A table".to_owned()),
            Block::Table(table),
            Block::Pairs(vec![(words.to_owned(), text(19)), ("name".to_owned(), text(2))]),
            Block::List(vec![text(17), text(4), text(9)]),
            Block::Heading(Level::Three, "At the end".to_owned()),
            Block::Together(vec![Block::Paragraph(text(21)), Block::Paragraph(text(8))]),
        ];
        check(&blank(SIZES[round % 2], blocks));
    }
}

#[test]
fn a_heading_stays_with_what_follows() {
    let line = Rich::from("a line");
    for lines in 30..60 {
        let mut blocks = vec![Block::Heading(Level::One, "Top".to_owned())];
        blocks.extend((0..lines).map(|_| Block::Paragraph(line.clone())));
        blocks.push(Block::Heading(Level::Two, "Followed".to_owned()));
        blocks.push(Block::Paragraph(Rich::from("what follows")));
        let layout = check(&blank(PageSize::Letter, blocks));
        for page in &layout.pages {
            assert_ne!(page.boxes.last().unwrap().what, "heading");
        }
    }
}

#[test]
fn a_row_higher_than_a_page_goes_on_on_the_next() {
    let column = |share| Column {
        head: "Head".to_owned(),
        share,
        align: Align::Start,
    };
    let long = Rich::from("as long as a person can type on a phone ".repeat(400));
    let table = Table {
        summary: "a long row".to_owned(),
        columns: vec![column(1.0), column(1.0)],
        rows: vec![vec!["short".into(), long]],
    };
    let layout = check(&blank(PageSize::A4, vec![Block::Table(table)]));
    assert!(layout.pages.len() > 2);
}

#[test]
fn a_photo_with_more_words_than_a_page_holds_beside_it_stands_alone() {
    let mut bytes = Vec::new();
    let picture = image::GrayImage::from_pixel(80, 60, image::Luma([128]));
    image::codecs::jpeg::JpegEncoder::new(&mut bytes)
        .encode_image(&picture)
        .unwrap();
    let photo = |words: usize| Photo {
        jpeg: Arc::new(bytes.clone()),
        alt: "a grey picture".to_owned(),
        caption: vec![Rich::from("many words below a photo ".repeat(words))],
    };
    let photos = Photos {
        columns: 4,
        photos: vec![photo(1), photo(200), photo(2)],
    };
    check(&blank(PageSize::Letter, vec![Block::Photos(photos)]));
}

#[test]
fn a_line_is_as_wide_as_its_advances_and_never_wider_than_its_room() {
    let fonts = Fonts::load().unwrap();
    let rich = Rich::new()
        .plain("El niño midió ")
        .bold("11 3/8 in")
        .plain(" y 12 °C; 0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef");
    for room in [40.0, 75.0, 130.0, 400.0] {
        let lines = wrap(&fonts, &rich, BODY, room);
        for line in &lines {
            assert!(line.width <= room + 1e-6, "{} > {room}", line.width);
            let width: f64 = line
                .runs
                .iter()
                .map(|run| fonts.width(&run.text, BODY.size, run.bold))
                .sum::<f64>();
            assert!(width >= line.width - 1e-9);
        }
        let joined: String = lines
            .iter()
            .flat_map(|line| &line.runs)
            .map(|run| run.text.as_str())
            .collect();
        let whole: String = rich.0.iter().map(|span| span.text.as_str()).collect();
        assert_eq!(joined, whole, "nothing is lost at the ends of lines");
    }
}

#[test]
fn a_figure_is_not_parted_from_its_unit() {
    let fonts = Fonts::load().unwrap();
    for room in 30..120 {
        for line in wrap(
            &fonts,
            &Rich::from("wet below −4 °C outside, 11 3/8 in wide"),
            BODY,
            f64::from(room),
        ) {
            let text: String = line.runs.iter().map(|run| run.text.as_str()).collect();
            assert!(
                !text.trim_end().ends_with('4') && !text.trim_end().ends_with("/8"),
                "{room}: {text:?}"
            );
        }
    }
}

#[test]
fn figures_are_all_of_one_width() {
    let fonts = Fonts::load().unwrap();
    for bold in [false, true] {
        let first = fonts.advance('0', bold);
        assert!(('1'..='9').all(|figure| (fonts.advance(figure, bold) - first).abs() < 1e-9));
    }
}

#[test]
fn the_font_has_what_the_languages_and_the_trade_write() {
    let fonts = Fonts::load().unwrap();
    let text = "áéíóúüñÁÉÍÓÚÜÑ¿¡ºªàâæçèéêëîïôœùûüÿÀÂÆÇÈÉÊËÎÏÔŒÙÛÜŸ«»“”‘’…–—\
                °²³½¼¾⅛⅜⅝⅞′″≤≥−±×·•→≈µΔΩ€$%&@§☐✓\u{a0}";
    assert_eq!(fonts.printable(text), text);
    assert!(fonts.unprintable().is_empty());
    assert_eq!(
        fonts.printable("a\u{202f}b\u{2011}c\u{200b}\u{7}中"),
        "a\u{a0}b-c?"
    );
    assert_eq!(fonts.unprintable(), ['中']);
}

#[test]
fn what_cannot_be_printed_is_named() {
    let refused = |block: Block| print(&blank(PageSize::A4, vec![block])).unwrap_err();
    let heading = Block::Heading(Level::Two, "Low".to_owned());
    assert_eq!(
        refused(heading),
        PaperError::HeadingSkips {
            heading: "Low".to_owned()
        }
    );

    let table = Table {
        summary: String::new(),
        columns: vec![Column {
            head: "A".to_owned(),
            share: 1.0,
            align: Align::Start,
        }],
        rows: vec![vec!["one".into()], vec!["one".into(), "two".into()]],
    };
    assert_eq!(
        refused(Block::Table(table)),
        PaperError::RowShape {
            row: 2,
            cells: 2,
            columns: 1
        }
    );

    let mut drawing = Drawing::new(Space::Metres, "a long line");
    drawing.line(
        [Point::at(0.0, 0.0), Point::at(6.4, 0.0)],
        Pen::new(Role::Ink, Weight::Medium),
    );
    let figure = |size| Figure {
        drawing: drawing.clone(),
        size,
        caption: Rich::new(),
    };
    let PaperError::TooLarge { width, .. } = refused(Block::Figure(figure(FigureSize::Scale(10.0)))) else {
        panic!("too large");
    };
    assert!((width - 640.0).abs() < 0.5, "{width}");
    assert_eq!(
        refused(Block::Figure(figure(FigureSize::Scale(0.0)))),
        PaperError::NoScale
    );
    let mut silent = figure(FigureSize::Scale(100.0));
    silent.drawing.alt = " ".to_owned();
    assert_eq!(refused(Block::Figure(silent)), PaperError::NoAlt);

    let photo = Photo {
        jpeg: Arc::new(b"no picture".to_vec()),
        alt: "a photo".to_owned(),
        caption: vec![],
    };
    let photos = Photos {
        columns: 1,
        photos: vec![photo],
    };
    assert!(matches!(refused(Block::Photos(photos)), PaperError::Photo { .. }));

    let full = |length: f64| {
        let mut drawing = Drawing::new(Space::Metres, "a square");
        drawing.rect(
            Point::at(0.0, 0.0),
            Point::at(length, length),
            wythe_drawing::Fill::None,
            Some(Pen::new(Role::Ink, Weight::Medium)),
        );
        Block::FullSize(FullSize {
            drawing,
            head: "{tile}".to_owned(),
            join: "{tile}".to_owned(),
            check: "check".to_owned(),
            bars: ("100 mm".to_owned(), "4 in".to_owned()),
        })
    };
    assert!(matches!(refused(full(30.0)), PaperError::TooManyPages { .. }));
}

#[test]
fn a_skipped_rank_inside_a_group_is_seen_too() {
    let blocks = vec![
        Block::Heading(Level::One, "One".to_owned()),
        Block::Together(vec![Block::Heading(Level::Three, "Three".to_owned())]),
    ];
    assert!(matches!(
        print(&blank(PageSize::A4, blocks)),
        Err(PaperError::HeadingSkips { heading }) if heading == "Three"
    ));
}

#[test]
fn a_repeated_head_is_not_read_twice() {
    let layout = check(&sample::document(PageSize::Letter).unwrap());
    let heads = |children: &[Child]| -> usize {
        fn count(children: &[Child]) -> usize {
            children
                .iter()
                .map(|child| match child {
                    Child::Node(node) => usize::from(node.tag == Meaning::TableHead) + count(&node.children),
                    Child::Leaf { .. } => 0,
                })
                .sum()
        }
        count(children)
    };
    assert_eq!(heads(&layout.tree), 1);
    let repeated = layout
        .pages
        .iter()
        .flat_map(|page| &page.pieces)
        .filter(|piece| piece.kind == Kind::Repeated)
        .count();
    assert_eq!(repeated, 2);
}

/// PDF/UA-1 (ISO 14289-1:2014), 7.2: all rows of a table have the same number of columns.
#[test]
fn an_empty_cell_counts_as_a_cell() {
    fn rows(children: &[Child]) -> Vec<usize> {
        let nodes = children.iter().filter_map(|child| match child {
            Child::Node(node) => Some(node),
            Child::Leaf { .. } => None,
        });
        nodes
            .flat_map(|node| match node.tag {
                Meaning::Row => vec![node.children.len()],
                _ => rows(&node.children),
            })
            .collect()
    }
    let column = |head: &str| Column {
        head: head.to_owned(),
        share: 1.0,
        align: Align::Start,
    };
    let table = Table {
        summary: String::new(),
        columns: vec![column("Asked for"), column("Shown"), column("")],
        rows: vec![
            vec!["one".into(), "".into(), "three".into()],
            vec!["".into(), "two".into(), "".into()],
        ],
    };
    let document = blank(PageSize::A4, vec![Block::Table(table)]);
    assert_eq!(rows(&check(&document).tree), [3, 3, 3]);
    print(&document).unwrap();
}
