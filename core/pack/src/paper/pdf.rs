//! Writing a layout as PDF: an archival, accessible file whose tags follow the reading order.

use std::num::NonZeroU16;

use krilla::color::rgb;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, Identifier, ListNumbering, Node as TagNode, TableHeaderScope,
    Tag, TagGroup, TagKind, TagTree,
};
use krilla::{Document as Pdf, SerializeSettings};
use wythe_drawing::{Rgb, Step};

use super::compose::{Child, Entry, Kind, Layout, Meaning, Node, Sheet};
use super::document::Document;
use super::error::PaperError;
use super::fonts::{Fonts, single};
use super::ops::{Area, Line, Op, outline};
use super::photos::image_of;

/// Writes a layout.
pub(super) fn write(document: &Document, layout: &Layout, fonts: &Fonts) -> Result<Vec<u8>, PaperError> {
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A2_A)
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| refused(&error))?;
    let settings = SerializeSettings {
        configuration,
        enable_tagging: true,
        compress_content_streams: true,
        ..SerializeSettings::default()
    };
    let mut pdf = Pdf::new_with(settings);
    let mut identifiers: Vec<Vec<Option<Identifier>>> = Vec::new();
    for page in &layout.pages {
        identifiers.push(write_page(&mut pdf, page, fonts)?);
    }
    let mut tree = TagTree::new().with_lang(Some(document.language.clone()));
    for child in &layout.tree {
        if let Some(node) = tagged(child, &identifiers) {
            tree.push(node);
        }
    }
    pdf.set_tag_tree(tree);
    pdf.set_outline(outlined(&layout.outline));
    pdf.set_metadata(metadata(document));
    pdf.finish().map_err(|error| refused(&error))
}

fn refused(error: &dyn std::fmt::Debug) -> PaperError {
    PaperError::Writer {
        reason: format!("{error:?}"),
    }
}

fn metadata(document: &Document) -> Metadata {
    let day = document.as_of;
    let date = DateTime::new(day.year)
        .month(day.month)
        .day(day.day)
        .hour(0)
        .minute(0)
        .second(0)
        .utc_offset_hour(0)
        .utc_offset_minute(0);
    Metadata::new()
        .title(document.title.clone())
        .language(document.language.clone())
        .authors(vec![document.author.clone()])
        .creator(document.creator.clone())
        .producer(document.creator.clone())
        .creation_date(date)
        .document_id(document.id.clone())
}

fn write_page(pdf: &mut Pdf, page: &Sheet, fonts: &Fonts) -> Result<Vec<Option<Identifier>>, PaperError> {
    let settings =
        PageSettings::from_wh(single(page.width), single(page.height)).ok_or_else(|| PaperError::Writer {
            reason: "a page without size".to_owned(),
        })?;
    let mut written = pdf.start_page_with(settings);
    let mut surface = written.surface();
    let mut identifiers = Vec::with_capacity(page.pieces.len());
    for piece in &page.pieces {
        let tag = match piece.kind {
            Kind::Content => ContentTag::Other,
            Kind::Ornament => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
            Kind::Foot => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Footer)),
            Kind::Repeated => ContentTag::Artifact(Artifact::with_kind(ArtifactType::PaginationOther)),
        };
        let identifier = surface.start_tagged(tag);
        let drawn = piece.ops.iter().try_for_each(|op| draw(&mut surface, op, fonts));
        surface.end_tagged();
        drawn?;
        identifiers.push((piece.kind == Kind::Content).then_some(identifier));
    }
    surface.finish();
    written.finish();
    Ok(identifiers)
}

fn draw(surface: &mut Surface<'_>, op: &Op, fonts: &Fonts) -> Result<(), PaperError> {
    match op {
        Op::Text {
            x,
            y,
            size,
            bold,
            colour,
            text,
            turn,
        } => {
            let glyphs = fonts.glyphs(text, *bold);
            if glyphs.is_empty() {
                return Ok(());
            }
            let (x, y) = (single(*x), single(*y));
            let turned = turn.abs() > 1e-9;
            if turned {
                surface.push_transform(&Transform::from_rotate_at(-single(*turn), x, y));
            }
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*colour)));
            let at = Point::from_xy(x, y);
            surface.draw_glyphs(at, &glyphs, fonts.font(*bold), text, single(*size), false);
            if turned {
                surface.pop();
            }
        }
        Op::Path {
            steps,
            fill: inside,
            stroke: line,
        } => {
            if let Some(path) = path(steps) {
                surface.set_fill(inside.map(fill));
                surface.set_stroke(line.as_ref().map(stroke));
                surface.draw_path(&path);
            }
        }
        Op::Image {
            left,
            top,
            width,
            height,
            jpeg,
        } => {
            let image = image_of(jpeg).map_err(|reason| PaperError::Writer { reason })?;
            if let Some(size) = Size::from_wh(single(*width), single(*height)) {
                surface.push_transform(&Transform::from_translate(single(*left), single(*top)));
                surface.draw_image(image, size);
                surface.pop();
            }
        }
        Op::Clip(area) => {
            let box_path = path(&outline(*area)).ok_or_else(|| PaperError::Writer {
                reason: "an empty window".to_owned(),
            })?;
            surface.push_clip_path(&box_path, &FillRule::NonZero);
        }
        Op::Unclip => surface.pop(),
    }
    Ok(())
}

fn path(steps: &[Step<(f64, f64)>]) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for step in steps {
        match *step {
            Step::Move((x, y)) => builder.move_to(single(x), single(y)),
            Step::Line((x, y)) => builder.line_to(single(x), single(y)),
            Step::Cubic(a, b, c) => builder.cubic_to(
                single(a.0),
                single(a.1),
                single(b.0),
                single(b.1),
                single(c.0),
                single(c.1),
            ),
            Step::Close => builder.close(),
        }
    }
    builder.finish()
}

fn fill(colour: Rgb) -> Fill {
    Fill {
        paint: paint(colour),
        rule: FillRule::EvenOdd,
        ..Fill::default()
    }
}

fn stroke(line: &Line) -> Stroke {
    Stroke {
        paint: paint(line.colour),
        width: single(line.width),
        line_cap: if line.round { LineCap::Round } else { LineCap::Butt },
        line_join: if line.round {
            LineJoin::Round
        } else {
            LineJoin::Miter
        },
        dash: (!line.dash.is_empty()).then(|| StrokeDash {
            array: line.dash.iter().map(|length| single(*length)).collect(),
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn paint(colour: Rgb) -> krilla::paint::Paint {
    rgb::Color::new(colour.0, colour.1, colour.2).into()
}

fn tagged(child: &Child, identifiers: &[Vec<Option<Identifier>>]) -> Option<TagNode> {
    match child {
        Child::Leaf { page, piece } => identifiers
            .get(*page)?
            .get(*piece)
            .copied()
            .flatten()
            .map(TagNode::Leaf),
        Child::Node(node) => {
            let mut group = TagGroup::new(kind(node));
            for child in &node.children {
                if let Some(inner) = tagged(child, identifiers) {
                    group.push(inner);
                }
            }
            Some(TagNode::Group(group))
        }
    }
}

fn kind(node: &Node) -> TagKind {
    match &node.tag {
        Meaning::Heading(rank, text) => {
            let level = NonZeroU16::new(*rank).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(text.clone())).into()
        }
        Meaning::Paragraph => Tag::P.into(),
        Meaning::List => Tag::L(ListNumbering::Disc).into(),
        Meaning::Item => Tag::LI.into(),
        Meaning::Bullet => Tag::Lbl.into(),
        Meaning::ItemBody => Tag::LBody.into(),
        Meaning::Table(summary) => Tag::Table
            .with_summary((!summary.is_empty()).then(|| summary.clone()))
            .into(),
        Meaning::TableHead => Tag::THead.into(),
        Meaning::TableBody => Tag::TBody.into(),
        Meaning::Row => Tag::TR.into(),
        Meaning::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
        Meaning::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Meaning::Cell => Tag::TD.into(),
        Meaning::Figure { alt, page, area } => Tag::Figure(Some(alt.clone()))
            .with_bbox(rectangle(*area).map(|rect| BBox::new(*page, rect)))
            .into(),
        Meaning::Group => Tag::Div.into(),
    }
}

fn rectangle(area: Area) -> Option<Rect> {
    Rect::from_ltrb(
        single(area.left),
        single(area.top),
        single(area.right),
        single(area.bottom),
    )
}

/// The outline as a tree: a line goes under the last line of a lower rank.
fn outlined(entries: &[Entry]) -> Outline {
    let mut root = Outline::new();
    let mut rest = entries;
    while let [first, others @ ..] = rest {
        let below = others.iter().take_while(|entry| entry.rank > first.rank).count();
        let (inner, after) = others.split_at(below);
        root.push_child(branch(first, inner));
        rest = after;
    }
    root
}

fn branch(entry: &Entry, inner: &[Entry]) -> OutlineNode {
    let at = XyzDestination::new(entry.page, Point::from_xy(0.0, single(entry.y)));
    let mut node = OutlineNode::new(entry.text.clone(), at).with_open(entry.rank < 2);
    let mut rest = inner;
    while let [first, others @ ..] = rest {
        let below = others.iter().take_while(|other| other.rank > first.rank).count();
        let (under, after) = others.split_at(below);
        node.push_child(branch(first, under));
        rest = after;
    }
    node
}
