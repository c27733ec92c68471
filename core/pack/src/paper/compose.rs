//! Laying blocks out on pages, and keeping the tree of what they mean beside the marks.

use super::document::{Block, Document};
use super::error::PaperError;
use super::fonts::Fonts;
use super::ops::{Area, Line, Op, rule};
use super::styles::{BODY, FOOT, MARGIN, SMALL, Style, colour};
use super::wrap;
use wythe_drawing::{Measure as _, Role};

/// A document laid out.
#[derive(Debug, Default)]
pub(super) struct Layout {
    pub pages: Vec<Sheet>,
    pub tree: Vec<Child>,
    pub outline: Vec<Entry>,
}

/// One page.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    pub width: f64,
    pub height: f64,
    pub pieces: Vec<Piece>,
    /// What stands where, for checking the layout against itself.
    pub boxes: Vec<Placed>,
}

/// Marks that belong together.
#[derive(Debug)]
pub(super) struct Piece {
    pub ops: Vec<Op>,
    pub kind: Kind,
}

/// Whether marks are part of what the document says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Content,
    /// Rules and bars.
    Ornament,
    /// The page foot.
    Foot,
    /// A table head repeated on a further page.
    Repeated,
}

/// Where a block, or a part of one, stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    pub what: &'static str,
    pub area: Area,
}

/// A line of the outline.
#[derive(Debug)]
pub(super) struct Entry {
    pub rank: u16,
    pub text: String,
    pub page: usize,
    pub y: f64,
}

/// A part of the tree.
#[derive(Debug)]
pub(super) enum Child {
    Node(Node),
    Leaf { page: usize, piece: usize },
}

/// A meaning and what carries it.
#[derive(Debug)]
pub(super) struct Node {
    pub tag: Meaning,
    pub children: Vec<Child>,
}

/// What a part of the document is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Meaning {
    Heading(u16, String),
    Paragraph,
    List,
    Item,
    Bullet,
    ItemBody,
    Table(String),
    TableHead,
    TableBody,
    Row,
    ColumnHead,
    RowHead,
    Cell,
    Figure { alt: String, page: usize, area: Area },
    Group,
}

impl Meaning {
    fn is_cell(&self) -> bool {
        matches!(self, Self::Cell | Self::ColumnHead | Self::RowHead)
    }
}

/// Lays a document out.
pub(super) fn lay_out(document: &Document, fonts: &Fonts) -> Result<Layout, PaperError> {
    check_headings(&document.blocks)?;
    let mut composer = Composer::new(document.size.points(), fonts);
    composer.blocks(&document.blocks)?;
    let mut layout = Layout {
        pages: composer.pages,
        tree: composer.root,
        outline: composer.outline,
    };
    let pages = layout.pages.len();
    for (index, page) in layout.pages.iter_mut().enumerate() {
        foot(page, document, index + 1, pages, fonts);
    }
    Ok(layout)
}

fn check_headings(blocks: &[Block]) -> Result<(), PaperError> {
    fn walk(blocks: &[Block], last: &mut u16) -> Result<(), PaperError> {
        for block in blocks {
            match block {
                Block::Heading(level, heading) => {
                    if level.rank() > *last + 1 {
                        return Err(PaperError::HeadingSkips {
                            heading: heading.clone(),
                        });
                    }
                    *last = level.rank();
                }
                Block::Together(inner) => walk(inner, last)?,
                _ => {}
            }
        }
        Ok(())
    }
    walk(blocks, &mut 0)
}

fn foot(page: &mut Sheet, document: &Document, number: usize, pages: usize, fonts: &Fonts) {
    let (left, right) = (MARGIN, page.width - MARGIN);
    let y = page.height - FOOT;
    let third = (right - left) / 3.0 - 6.0;
    let numbers = document
        .foot
        .pages
        .replace("{page}", &number.to_string())
        .replace("{pages}", &pages.to_string());
    let above = y - SMALL.size - 3.0;
    let mut ops = vec![rule(
        (left, above),
        (right, above),
        Line::plain(colour(Role::Mortar), 0.4),
    )];
    for (text, share) in [
        (&document.foot.left, 0.0),
        (&numbers, 0.5),
        (&document.foot.right, 1.0),
    ] {
        let text = shortened(fonts, &fonts.printable(text), third);
        let width = fonts.width(&text, SMALL.size, false);
        ops.push(Op::Text {
            x: left + share * (right - left - width),
            y,
            size: SMALL.size,
            bold: false,
            colour: colour(SMALL.role),
            text,
            turn: 0.0,
        });
    }
    page.pieces.push(Piece {
        ops,
        kind: Kind::Foot,
    });
}

/// A line cut at `room` with an ellipsis.
fn shortened(fonts: &Fonts, text: &str, room: f64) -> String {
    let line = text.replace('\n', " ");
    if fonts.width(&line, SMALL.size, false) <= room {
        return line;
    }
    let mut kept = String::new();
    for character in line.chars() {
        kept.push(character);
        if fonts.width(&kept, SMALL.size, false) + SMALL.size > room {
            break;
        }
    }
    kept.push('…');
    kept
}

/// Where the next block goes, and all that has been placed.
pub(super) struct Composer<'a> {
    pub fonts: &'a Fonts,
    pub frame: Area,
    pub y: f64,
    size: (f64, f64),
    real_height: f64,
    pages: Vec<Sheet>,
    root: Vec<Child>,
    open: Vec<Node>,
    outline: Vec<Entry>,
    /// Above zero while the parts of a block are placed that records its own box.
    quiet: u32,
}

impl<'a> Composer<'a> {
    fn new(size: (f64, f64), fonts: &'a Fonts) -> Self {
        let frame = Area {
            left: MARGIN,
            top: MARGIN,
            right: size.0 - MARGIN,
            bottom: size.1 - MARGIN,
        };
        let mut composer = Self {
            fonts,
            frame,
            y: frame.top,
            size,
            real_height: size.1,
            pages: Vec::new(),
            root: Vec::new(),
            open: Vec::new(),
            outline: Vec::new(),
            quiet: 0,
        };
        composer.break_page();
        composer
    }

    /// How high blocks would be on a page without end.
    pub fn height_of(&self, blocks: &[Block]) -> Result<f64, PaperError> {
        let mut scratch = Composer::new((self.size.0, 1.0e6), self.fonts);
        scratch.real_height = self.real_height;
        scratch.frame.left = self.frame.left;
        scratch.frame.right = self.frame.right;
        scratch.blocks(blocks)?;
        Ok(scratch.y - scratch.frame.top)
    }

    pub fn width(&self) -> f64 {
        self.frame.width()
    }

    /// From the upper to the lower margin of a real page, also where the page has no end.
    pub fn page_height(&self) -> f64 {
        self.real_height - 2.0 * MARGIN
    }

    pub fn page(&self) -> usize {
        self.pages.len().saturating_sub(1)
    }

    pub fn room(&self) -> f64 {
        self.frame.bottom - self.y
    }

    pub fn at_top(&self) -> bool {
        self.y <= self.frame.top + 0.01
    }

    pub fn break_page(&mut self) {
        self.pages.push(Sheet {
            width: self.size.0,
            height: self.size.1,
            ..Sheet::default()
        });
        self.y = self.frame.top;
    }

    /// A page without anything on it, if this one has something.
    pub fn fresh_page(&mut self) {
        if self.pages.last().is_some_and(|page| !page.pieces.is_empty()) {
            self.break_page();
        }
    }

    /// Breaks the page unless `height` still fits it.
    pub fn ensure(&mut self, height: f64) {
        if height > self.room() + 0.01 && !self.at_top() {
            self.break_page();
        }
    }

    /// Room between blocks; none at the top of a page.
    pub fn gap(&mut self, points: f64) {
        if !self.at_top() {
            self.y += points;
        }
    }

    /// Marks that are part of what is said, under the innermost open meaning.
    pub fn content(&mut self, ops: Vec<Op>) {
        if let Some(piece) = self.put(ops, Kind::Content) {
            let leaf = Child::Leaf {
                page: self.page(),
                piece,
            };
            match self.open.last_mut() {
                Some(node) => node.children.push(leaf),
                None => self.root.push(Child::Node(Node {
                    tag: Meaning::Paragraph,
                    children: vec![leaf],
                })),
            }
        }
    }

    /// Marks that are not part of what is said.
    pub fn ornament(&mut self, ops: Vec<Op>) {
        self.put(ops, Kind::Ornament);
    }

    pub fn repeated(&mut self, ops: Vec<Op>) {
        self.put(ops, Kind::Repeated);
    }

    fn put(&mut self, ops: Vec<Op>, kind: Kind) -> Option<usize> {
        let page = self.pages.last_mut()?;
        if ops.is_empty() {
            return None;
        }
        page.pieces.push(Piece { ops, kind });
        Some(page.pieces.len() - 1)
    }

    /// Does `inner` under a meaning. One that holds nothing is left out, but for a table's cells: a
    /// reader counts them.
    pub fn under<T>(&mut self, tag: Meaning, inner: impl FnOnce(&mut Self) -> T) -> T {
        self.open.push(Node {
            tag,
            children: Vec::new(),
        });
        let result = inner(self);
        if let Some(node) = self.open.pop()
            && (!node.children.is_empty() || node.tag.is_cell())
        {
            let child = Child::Node(node);
            match self.open.last_mut() {
                Some(parent) => parent.children.push(child),
                None => self.root.push(child),
            }
        }
        result
    }

    /// Does `inner` without recording the boxes of its parts.
    pub fn quietly<T>(&mut self, inner: impl FnOnce(&mut Self) -> T) -> T {
        self.quiet += 1;
        let result = inner(self);
        self.quiet -= 1;
        result
    }

    pub fn record(&mut self, what: &'static str, area: Area) {
        if self.quiet == 0
            && let Some(page) = self.pages.last_mut()
        {
            page.boxes.push(Placed { what, area });
        }
    }

    pub fn outline(&mut self, rank: u16, text: &str) {
        let text = self.fonts.printable(text).replace('\n', " ");
        self.outline.push(Entry {
            rank,
            text,
            page: self.page(),
            y: self.y,
        });
    }

    /// Sets lines from the current place down, over as many pages as they take. Neither the first nor
    /// the last line of a longer text stands alone on a page.
    pub fn set(&mut self, what: &'static str, lines: &[wrap::Line], style: Style, indent: f64) {
        let mut rest = lines;
        while !rest.is_empty() {
            let fit = self.lines_that_fit(style);
            let take = match rest.len() {
                all if all <= fit => all,
                _ if fit < 2 && !self.at_top() => 0,
                all if all == fit + 1 && fit > 2 => fit - 1,
                all => fit.clamp(1, all),
            };
            let (now, later) = rest.split_at(take.min(rest.len()));
            if !now.is_empty() {
                let left = self.frame.left + indent;
                let area = Area {
                    left,
                    top: self.y,
                    right: left + wrap::widest(now),
                    bottom: self.y + style.leading * now.len() as f64,
                };
                let ops = text_ops(now, style, (left, self.y));
                self.content(ops);
                self.record(what, area);
                self.y = area.bottom;
            }
            rest = later;
            if !rest.is_empty() {
                self.break_page();
            }
        }
    }

    fn lines_that_fit(&self, style: Style) -> usize {
        let mut count = 0;
        let mut height = style.leading;
        while height <= self.room() + 0.01 && count < 10_000 {
            count += 1;
            height += style.leading;
        }
        count
    }

    /// Blocks one after the other.
    pub fn blocks(&mut self, blocks: &[Block]) -> Result<(), PaperError> {
        for (index, block) in blocks.iter().enumerate() {
            self.block(block, blocks.get(index + 1))?;
        }
        Ok(())
    }

    /// The least height in which a block can begin.
    pub fn opening(&self, block: &Block) -> Result<f64, PaperError> {
        Ok(match block {
            Block::PageBreak | Block::FullSize(_) => 0.0,
            Block::Heading(level, _) => level.room().0 + level.style().leading + 2.0 * BODY.leading,
            Block::Paragraph(_) | Block::List(_) | Block::Pairs(_) => 2.0 * BODY.leading,
            Block::Table(table) => {
                let mut first = table.clone();
                first.rows.truncate(1);
                self.height_of(&[Block::Table(first)])?
            }
            Block::Photos(photos) => {
                let mut first = photos.clone();
                first.photos.truncate(usize::from(photos.columns.clamp(1, 4)));
                self.height_of(&[Block::Photos(first)])?
            }
            Block::Figure(_) | Block::Signature(_) | Block::Notice(_) | Block::Together(_) => {
                self.height_of(std::slice::from_ref(block))?
            }
        }
        .min(self.frame.height()))
    }
}

/// The marks of lines with the upper left corner of the first at `(left, top)`.
pub(super) fn text_ops(lines: &[wrap::Line], style: Style, (left, top): (f64, f64)) -> Vec<Op> {
    let mut ops = Vec::new();
    let mut y = top + style.ascent();
    for line in lines {
        for run in &line.runs {
            ops.push(Op::Text {
                x: left + run.x,
                y,
                size: style.size,
                bold: run.bold,
                colour: colour(style.role),
                text: run.text.clone(),
                turn: 0.0,
            });
        }
        y += style.leading;
    }
    ops
}
