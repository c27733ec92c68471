//! Tables, and names with values.

use wythe_drawing::Role;

use super::blocks::BETWEEN;
use super::compose::{Composer, Meaning, text_ops};
use super::document::{Align, Rich, Table};
use super::error::PaperError;
use super::ops::{Area, Line, Op, rule};
use super::styles::{CELL, Style, colour};
use super::wrap::{Line as TextLine, wrap};

/// Room in a cell: left and right, above and below.
const PAD: (f64, f64) = (4.0, 2.5);
/// The share of the width that names take beside their values.
const NAMES: f64 = 0.3;

/// One column on the page.
#[derive(Debug, Clone, Copy)]
struct Track {
    left: f64,
    width: f64,
    align: Align,
}

/// The lines of one row, a list for each column.
type Cells = Vec<Vec<TextLine>>;

impl Composer<'_> {
    /// A table that breaks between rows and repeats its head.
    pub fn table(&mut self, table: &Table) -> Result<(), PaperError> {
        let tracks = self.tracks(table)?;
        for (index, row) in table.rows.iter().enumerate() {
            if row.len() != table.columns.len() {
                return Err(PaperError::RowShape {
                    row: index + 1,
                    cells: row.len(),
                    columns: table.columns.len(),
                });
            }
        }
        let heads: Vec<Rich> = table
            .columns
            .iter()
            .map(|column| Rich::from(column.head.as_str()))
            .collect();
        let head = self.cells(&heads, &tracks, CELL.bold());
        let rows: Vec<Cells> = table
            .rows
            .iter()
            .map(|row| self.cells(row, &tracks, CELL))
            .collect();
        let first = rows.first().map_or(0.0, height);
        self.gap(BETWEEN + 2.0);
        self.ensure(height(&head) + first.min(self.frame.height() - height(&head)));
        self.under(Meaning::Table(table.summary.clone()), |composer| {
            composer.under(Meaning::TableHead, |composer| {
                composer.row(&head, &tracks, CELL.bold(), |_| Meaning::ColumnHead);
            });
            composer.line_below(0.9);
            composer.under(Meaning::TableBody, |composer| {
                for row in &rows {
                    for part in composer.parts(row, height(&head)) {
                        composer.next_row(&part, &tracks, &head);
                    }
                }
            });
        });
        self.y += BETWEEN;
        Ok(())
    }

    /// Names on the left, values on the right.
    pub fn pairs(&mut self, pairs: &[(String, Rich)]) -> Result<(), PaperError> {
        let whole = self.width();
        let (left, names) = (self.frame.left, NAMES * whole);
        let tracks = [
            Track {
                left,
                width: names,
                align: Align::Start,
            },
            Track {
                left: left + names,
                width: whole - names,
                align: Align::Start,
            },
        ];
        self.gap(BETWEEN);
        self.under(Meaning::Table(String::new()), |composer| {
            for (name, value) in pairs {
                let row = composer.cells(&[Rich::from(name.as_str()), value.clone()], &tracks, CELL);
                for part in composer.parts(&row, 0.0) {
                    composer.ensure(height(&part));
                    composer.row(&part, &tracks, CELL, |column| {
                        if column == 0 {
                            Meaning::RowHead
                        } else {
                            Meaning::Cell
                        }
                    });
                    composer.line_below(0.3);
                }
            }
        });
        self.y += BETWEEN;
        Ok(())
    }

    fn tracks(&self, table: &Table) -> Result<Vec<Track>, PaperError> {
        let sound = |share: f64| share.is_finite() && share > 0.0;
        if table.columns.is_empty() || !table.columns.iter().all(|column| sound(column.share)) {
            return Err(PaperError::NoColumns);
        }
        let sum: f64 = table.columns.iter().map(|column| column.share).sum();
        let mut left = self.frame.left;
        Ok(table
            .columns
            .iter()
            .map(|column| {
                let track = Track {
                    left,
                    width: column.share / sum * self.width(),
                    align: column.align,
                };
                left += track.width;
                track
            })
            .collect())
    }

    fn cells(&self, row: &[Rich], tracks: &[Track], style: Style) -> Cells {
        row.iter()
            .zip(tracks)
            .map(|(cell, track)| wrap(self.fonts, cell, style, track.width - 2.0 * PAD.0))
            .collect()
    }

    /// A row whole, or in parts if it is higher than a page.
    fn parts(&self, row: &Cells, head: f64) -> Vec<Cells> {
        let room = self.frame.height() - head;
        if height(row) <= room {
            return vec![row.clone()];
        }
        let mut fit = 1;
        while CELL.leading * (fit + 1) as f64 + 2.0 * PAD.1 <= room {
            fit += 1;
        }
        let longest = row.iter().map(Vec::len).max().unwrap_or(0);
        (0..longest.div_ceil(fit))
            .map(|part| {
                row.iter()
                    .map(|cell| cell.iter().skip(part * fit).take(fit).cloned().collect())
                    .collect()
            })
            .collect()
    }

    fn next_row(&mut self, row: &Cells, tracks: &[Track], head: &Cells) {
        if height(row) > self.room() + 0.01 && !self.at_top() {
            self.break_page();
            let (ops, area) = self.row_ops(head, tracks, CELL.bold());
            self.repeated(ops.into_iter().flatten().collect());
            self.record("row", area);
            self.y = area.bottom;
            self.line_below(0.9);
        }
        self.row(row, tracks, CELL, |_| Meaning::Cell);
        self.line_below(0.3);
    }

    fn row(&mut self, row: &Cells, tracks: &[Track], style: Style, meaning: impl Fn(usize) -> Meaning) {
        let (cells, area) = self.row_ops(row, tracks, style);
        self.under(Meaning::Row, |composer| {
            for (column, ops) in cells.into_iter().enumerate() {
                composer.under(meaning(column), |composer| composer.content(ops));
            }
        });
        self.record("row", area);
        self.y = area.bottom;
    }

    fn row_ops(&self, row: &Cells, tracks: &[Track], style: Style) -> (Vec<Vec<Op>>, Area) {
        let area = Area {
            left: self.frame.left,
            top: self.y,
            right: self.frame.right,
            bottom: self.y + height(row),
        };
        let ops = row
            .iter()
            .zip(tracks)
            .map(|(lines, track)| {
                let mut ops = Vec::new();
                let mut top = area.top + PAD.1;
                for line in lines {
                    let left = match track.align {
                        Align::Start => track.left + PAD.0,
                        Align::End => track.left + track.width - PAD.0 - line.width,
                    };
                    ops.extend(text_ops(std::slice::from_ref(line), style, (left, top)));
                    top += style.leading;
                }
                ops
            })
            .collect();
        (ops, area)
    }

    fn line_below(&mut self, width: f64) {
        let (left, right, y) = (self.frame.left, self.frame.right, self.y);
        self.ornament(vec![rule(
            (left, y),
            (right, y),
            Line::plain(colour(Role::Mortar), width),
        )]);
    }
}

fn height(row: &Cells) -> f64 {
    let most = row.iter().map(Vec::len).max().unwrap_or(0).max(1);
    CELL.leading * most as f64 + 2.0 * PAD.1
}
