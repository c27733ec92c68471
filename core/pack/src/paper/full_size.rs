//! A drawing at full size over pages that are joined: tiles, lines where they join, bars to check.

use wythe_drawing::{Laid, Measure as _, Role};

use super::compose::{Composer, Meaning, text_ops};
use super::document::{FullSize, Rich};
use super::error::PaperError;
use super::figure::to_scale;
use super::ops::{self, Area, Line, Op, outline, rule};
use super::styles::{BODY, CAPTION, MM, SMALL, colour};
use super::wrap::wrap;

/// How much neighbouring pages show of the same.
const OVERLAP: f64 = 12.0 * MM;
/// Room at the top for the head, at the bottom for the bars.
const HEAD: f64 = 24.0;
const BARS: f64 = 46.0;
/// The bars: 100 mm and 4 in.
const BAR_MM: f64 = 100.0 * MM;
const BAR_IN: f64 = 4.0 * 72.0;
/// More pages than anybody would join.
const MOST: usize = 40;

/// One page of the joined sheet, counted from the upper left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Tile {
    row: usize,
    column: usize,
}

impl Tile {
    /// "A1": rows are letters, columns numbers.
    fn name(self) -> String {
        let letter = u32::try_from(self.row)
            .ok()
            .and_then(|row| char::from_u32(u32::from('A') + row))
            .filter(char::is_ascii_uppercase)
            .unwrap_or('Z');
        format!("{letter}{}", self.column + 1)
    }
}

/// The sheet and how it is cut.
struct Sheet {
    rows: usize,
    columns: usize,
    /// What a page shows.
    window: (f64, f64),
}

impl Sheet {
    fn cut(laid: &Laid, room: (f64, f64)) -> Result<Self, PaperError> {
        let pieces = |length: f64, room: f64| {
            let mut count = 1;
            while room + (room - OVERLAP) * (count - 1) as f64 + 0.01 < length && count <= MOST {
                count += 1;
            }
            count
        };
        let (columns, rows) = (pieces(laid.width, room.0), pieces(laid.height, room.1));
        if rows * columns > MOST {
            return Err(PaperError::TooManyPages {
                pages: rows * columns,
                most: MOST,
            });
        }
        Ok(Self {
            rows,
            columns,
            window: room,
        })
    }

    fn step(&self) -> (f64, f64) {
        (self.window.0 - OVERLAP, self.window.1 - OVERLAP)
    }
}

impl Composer<'_> {
    /// Pages of their own with a drawing at full size.
    pub fn full_size(&mut self, full: &FullSize) -> Result<(), PaperError> {
        if full.drawing.alt.trim().is_empty() {
            return Err(PaperError::NoAlt);
        }
        let laid = to_scale(&full.drawing, 1.0, self.fonts)?;
        let sheet = Sheet::cut(&laid, (self.width(), self.page_height() - HEAD - BARS))?;
        for row in 0..sheet.rows {
            for column in 0..sheet.columns {
                self.fresh_page();
                self.tile(full, &laid, &sheet, Tile { row, column });
            }
        }
        self.y = self.frame.bottom;
        Ok(())
    }

    fn tile(&mut self, full: &FullSize, laid: &Laid, sheet: &Sheet, tile: Tile) {
        let head = full
            .head
            .replace("{tile}", &tile.name())
            .replace("{across}", &sheet.columns.to_string())
            .replace("{down}", &sheet.rows.to_string());
        let lines = wrap(self.fonts, &Rich::new().bold(head.clone()), BODY, self.width());
        let lines = lines.get(..1).unwrap_or_default();
        self.under(Meaning::Paragraph, |composer| {
            composer.set("head", lines, BODY, 0.0)
        });

        let step = sheet.step();
        let left = self.frame.left;
        let top = self.frame.top + HEAD;
        let shown = (
            (laid.width - step.0 * tile.column as f64).min(sheet.window.0),
            (laid.height - step.1 * tile.row as f64).min(sheet.window.1),
        );
        let area = Area {
            left,
            top,
            right: left + shown.0,
            bottom: top + shown.1,
        };
        let origin = (left - step.0 * tile.column as f64, top - step.1 * tile.row as f64);
        let mut marks = vec![Op::Clip(area)];
        marks.extend(ops::drawing(self.fonts, laid, origin));
        marks.push(Op::Unclip);
        marks.extend(self.joins(full, sheet, tile, area));
        let alt = format!("{} ({head})", full.drawing.alt);
        let tag = Meaning::Figure {
            alt,
            page: self.page(),
            area,
        };
        self.under(tag, |composer| composer.content(marks));
        self.record("tile", area);
        self.bars(full);
    }

    /// Lines where the neighbours join. The line at the right edge of a page lies on the left edge of
    /// the next, so that pages are laid line on line.
    fn joins(&self, full: &FullSize, sheet: &Sheet, tile: Tile, area: Area) -> Vec<Op> {
        let step = sheet.step();
        let (x, y) = (area.left + step.0, area.top + step.1);
        let mut ops = Vec::new();
        if tile.column > 0 {
            let other = Tile {
                column: tile.column - 1,
                ..tile
            };
            ops.extend(self.join(full, other, (area.left, area.bottom), (area.left, area.top)));
        }
        if tile.column + 1 < sheet.columns {
            let other = Tile {
                column: tile.column + 1,
                ..tile
            };
            ops.extend(self.join(full, other, (x, area.bottom), (x, area.top)));
        }
        if tile.row > 0 {
            let other = Tile {
                row: tile.row - 1,
                ..tile
            };
            ops.extend(self.join(full, other, (area.left, area.top), (area.right, area.top)));
        }
        if tile.row + 1 < sheet.rows {
            let other = Tile {
                row: tile.row + 1,
                ..tile
            };
            ops.extend(self.join(full, other, (area.left, y), (area.right, y)));
        }
        ops
    }

    fn join(&self, full: &FullSize, other: Tile, from: (f64, f64), to: (f64, f64)) -> Vec<Op> {
        let dash = vec![7.0, 3.0];
        let line = Line {
            dash,
            ..Line::plain(colour(Role::Mortar), 0.6)
        };
        let text = self.fonts.printable(&full.join.replace("{tile}", &other.name()));
        let width = self.fonts.width(&text, SMALL.size, false);
        let upright = (from.0 - to.0).abs() < 0.01;
        // Beside the line, on the side of the page's own part, away from its ends.
        let (x, y, turn) = if upright {
            (
                from.0 + SMALL.size + 2.0,
                0.5 * (from.1 + to.1) + 0.5 * width,
                90.0,
            )
        } else {
            (
                0.5 * (from.0 + to.0) - 0.5 * width,
                from.1 + SMALL.size + 2.0,
                0.0,
            )
        };
        let (size, colour) = (SMALL.size, colour(SMALL.role));
        vec![
            rule(from, to, line),
            Op::Text {
                x,
                y,
                size,
                bold: false,
                colour,
                text,
                turn,
            },
        ]
    }

    fn bars(&mut self, full: &FullSize) {
        let foot = self.frame.top + self.page_height();
        let (left, top) = (self.frame.left, foot - BARS + 8.0);
        let mut marks = Vec::new();
        for (y, length, label) in [
            (top + 12.0, BAR_MM, &full.bars.0),
            (top + 30.0, BAR_IN, &full.bars.1),
        ] {
            marks.extend(self.bar((left, y), length, label));
        }
        let beside = left + BAR_MM.max(BAR_IN) + 14.0;
        let lines = wrap(
            self.fonts,
            &Rich::from(full.check.as_str()),
            CAPTION,
            self.frame.right - beside,
        );
        self.under(Meaning::Paragraph, |composer| {
            marks.extend(text_ops(&lines, CAPTION, (beside, top)));
            composer.content(marks);
        });
        self.record(
            "bars",
            Area {
                left,
                top: top - 2.0,
                right: self.frame.right,
                bottom: foot,
            },
        );
    }

    fn bar(&self, (x, y): (f64, f64), length: f64, label: &str) -> Vec<Op> {
        let ink = colour(Role::Ink);
        let half = Area {
            left: x,
            top: y - 1.5,
            right: x + 0.5 * length,
            bottom: y,
        };
        let text = self.fonts.printable(label);
        let width = self.fonts.width(&text, SMALL.size, false);
        let mut ops = vec![
            rule((x, y), (x + length, y), Line::plain(ink, 0.4)),
            Op::Path {
                steps: outline(half),
                fill: Some(ink),
                stroke: None,
            },
        ];
        for end in [x, x + length] {
            ops.push(rule((end, y - 5.0), (end, y + 2.0), Line::plain(ink, 0.4)));
        }
        ops.push(Op::Text {
            x: x + 0.75 * length - 0.5 * width,
            y: y - 2.5,
            size: SMALL.size,
            bold: false,
            colour: ink,
            text,
            turn: 0.0,
        });
        ops
    }
}
