//! The plain blocks: headings, paragraphs, lists, signatures, notices.

use wythe_drawing::{Role, Step};

use super::compose::{Composer, Meaning, text_ops};
use super::document::{Block, Level, Notice, NoticeKind, Rich, Signature};
use super::error::PaperError;
use super::ops::{Area, Line, Op, outline, rule};
use super::styles::{BODY, CAPTION, MM, colour};
use super::wrap::{self, wrap};

/// Room between blocks.
pub(super) const BETWEEN: f64 = 6.0;
const INDENT: f64 = 14.0;
/// A signature's height and the length of its rule.
const SIGNATURE: (f64, f64) = (18.0 * MM, 75.0 * MM);

impl Composer<'_> {
    /// One block; `next` is what a heading stays with.
    pub fn block(&mut self, block: &Block, next: Option<&Block>) -> Result<(), PaperError> {
        match block {
            Block::Heading(level, text) => {
                let with = next.map_or(Ok(0.0), |next| self.opening(next))?;
                self.heading(*level, text, with);
                Ok(())
            }
            Block::Paragraph(text) => {
                self.gap(BETWEEN);
                self.paragraph(text);
                Ok(())
            }
            Block::List(items) => {
                self.list(items);
                Ok(())
            }
            Block::Pairs(pairs) => self.pairs(pairs),
            Block::Table(table) => self.table(table),
            Block::Figure(figure) => self.figure(figure),
            Block::Photos(photos) => self.photos(photos),
            Block::Signature(signature) => self.signature(signature),
            Block::Notice(notice) => {
                self.notice(notice);
                Ok(())
            }
            Block::PageBreak => {
                self.fresh_page();
                Ok(())
            }
            Block::Together(blocks) => {
                let height = self.height_of(blocks)?;
                if height + 2.0 * BETWEEN <= self.frame.height() {
                    self.ensure(height + 2.0 * BETWEEN);
                }
                self.blocks(blocks)
            }
            Block::FullSize(full) => self.full_size(full),
        }
    }

    fn heading(&mut self, level: Level, text: &str, with: f64) {
        let style = level.style();
        let (above, below) = level.room();
        let lines = wrap(self.fonts, &Rich::from(text), style, self.width());
        let height = style.leading * lines.len() as f64;
        self.ensure((above + height + below + BETWEEN + with).min(self.frame.height()));
        self.gap(above);
        self.outline(level.rank(), text);
        self.under(Meaning::Heading(level.rank(), text.to_owned()), |composer| {
            composer.set("heading", &lines, style, 0.0);
        });
        self.y += below;
    }

    fn paragraph(&mut self, text: &Rich) {
        let lines = wrap(self.fonts, text, BODY, self.width());
        self.under(Meaning::Paragraph, |composer| {
            composer.set("paragraph", &lines, BODY, 0.0)
        });
    }

    fn list(&mut self, items: &[Rich]) {
        self.gap(BETWEEN);
        self.under(Meaning::List, |composer| {
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    composer.gap(2.0);
                }
                composer.item(item);
            }
        });
    }

    fn item(&mut self, item: &Rich) {
        let lines = wrap(self.fonts, item, BODY, self.width() - INDENT);
        self.ensure(BODY.leading * lines.len().min(2) as f64);
        self.under(Meaning::Item, |composer| {
            composer.under(Meaning::Bullet, |composer| {
                let bullet = wrap(composer.fonts, &Rich::from("•"), BODY, INDENT);
                let at = (composer.frame.left + 3.0, composer.y);
                composer.content(text_ops(&bullet, BODY, at));
            });
            composer.under(Meaning::ItemBody, |composer| {
                composer.set("item", &lines, BODY, INDENT)
            });
        });
    }

    fn signature(&mut self, signature: &Signature) -> Result<(), PaperError> {
        if signature.alt.trim().is_empty() {
            return Err(PaperError::NoAlt);
        }
        let lines: Vec<_> = signature
            .lines
            .iter()
            .flat_map(|line| wrap(self.fonts, line, CAPTION, self.width()))
            .collect();
        let height = SIGNATURE.0 + 4.0 + CAPTION.leading * lines.len() as f64;
        self.gap(2.0 * BETWEEN);
        self.ensure(height);
        let top = self.y;
        let (left, foot) = (self.frame.left, top + SIGNATURE.0);
        let area = Area {
            left,
            top,
            right: left + SIGNATURE.1,
            bottom: foot,
        };
        let ops = strokes(signature, area);
        let tag = Meaning::Figure {
            alt: signature.alt.clone(),
            page: self.page(),
            area,
        };
        self.under(tag, |composer| composer.content(ops));
        let ink = Line::plain(colour(Role::Ink), 0.7);
        self.ornament(vec![rule((left, foot), (left + SIGNATURE.1, foot), ink)]);
        self.y = foot + 4.0;
        self.quietly(|composer| {
            composer.under(Meaning::Paragraph, |composer| {
                composer.set("", &lines, CAPTION, 0.0)
            });
        });
        let right = left + SIGNATURE.1.max(wrap::widest(&lines));
        self.record(
            "signature",
            Area {
                left,
                top,
                right,
                bottom: self.y,
            },
        );
        Ok(())
    }

    fn notice(&mut self, notice: &Notice) {
        let (role, bar) = notice.kind.face();
        let indent = if notice.kind == NoticeKind::Note {
            0.0
        } else {
            14.0
        };
        let style = BODY;
        let word = wrap(
            self.fonts,
            &Rich::new().bold(notice.word.clone()),
            style,
            self.width() - indent,
        );
        let texts: Vec<Vec<wrap::Line>> = notice
            .text
            .iter()
            .map(|text| wrap(self.fonts, text, style, self.width() - indent))
            .collect();
        let all = word.len() + texts.iter().map(Vec::len).sum::<usize>();
        let height = style.leading * all as f64 + 2.0 * texts.len() as f64;
        self.gap(2.0 * BETWEEN);
        if height <= self.frame.height() {
            self.ensure(height);
        } else {
            self.ensure(3.0 * style.leading);
        }
        self.under(Meaning::Group, |composer| {
            composer.under(Meaning::Paragraph, |composer| {
                composer.beside_a_bar(bar, role, |composer| {
                    composer.set("notice", &word, style.bold().painted(role), indent);
                });
            });
            for lines in &texts {
                composer.under(Meaning::Paragraph, |composer| {
                    composer.beside_a_bar(bar, role, |composer| {
                        composer.set("notice", lines, style, indent);
                    });
                });
            }
        });
        self.y += BETWEEN;
    }

    /// Draws a bar beside what `inner` sets, on each page it reaches.
    fn beside_a_bar(&mut self, width: f64, role: Role, inner: impl FnOnce(&mut Self)) {
        let (page, top) = (self.page(), self.y);
        inner(self);
        if width <= 0.0 {
            return;
        }
        let top = if self.page() == page { top } else { self.frame.top };
        let area = Area {
            left: self.frame.left,
            top,
            right: self.frame.left + width,
            bottom: self.y,
        };
        self.ornament(vec![Op::Path {
            steps: outline(area),
            fill: Some(colour(role)),
            stroke: None,
        }]);
    }
}

/// A signature's strokes fitted into its area, its shape kept.
fn strokes(signature: &Signature, area: Area) -> Vec<Op> {
    let points = || {
        signature
            .strokes
            .iter()
            .flatten()
            .filter(|(x, y)| x.is_finite() && y.is_finite())
    };
    let low = points().fold((f64::INFINITY, f64::INFINITY), |low, p| {
        (low.0.min(p.0), low.1.min(p.1))
    });
    let high = points().fold((f64::NEG_INFINITY, f64::NEG_INFINITY), |high, p| {
        (high.0.max(p.0), high.1.max(p.1))
    });
    let room = (area.width() - 8.0, area.height() - 4.0);
    let scale = (room.0 / (high.0 - low.0).max(1e-9)).min(room.1 / (high.1 - low.1).max(1e-9));
    let pen = Line {
        colour: colour(Role::Ink),
        width: 1.1,
        dash: Vec::new(),
        round: true,
    };
    let place = |(x, y): (f64, f64)| {
        (
            area.left + 4.0 + (x - low.0) * scale,
            area.bottom - 2.0 - (high.1 - y) * scale,
        )
    };
    signature
        .strokes
        .iter()
        .filter_map(|stroke| {
            let mut steps: Vec<Step<(f64, f64)>> = Vec::new();
            for &(x, y) in stroke.iter().filter(|(x, y)| x.is_finite() && y.is_finite()) {
                let at = place((x, y));
                steps.push(if steps.is_empty() {
                    Step::Move(at)
                } else {
                    Step::Line(at)
                });
            }
            if let [Step::Move(dot)] = *steps.as_slice() {
                // A dot: a line too short to see the length of.
                steps.push(Step::Line((dot.0 + 0.1, dot.1)));
            }
            (!steps.is_empty()).then(|| Op::Path {
                steps,
                fill: None,
                stroke: Some(pen.clone()),
            })
        })
        .collect()
}
