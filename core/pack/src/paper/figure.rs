//! Drawings in the text: fitted, or to scale.

use wythe_drawing::{Drawing, Fit, Laid, Lay, Space, lay};

use super::blocks::BETWEEN;
use super::compose::{Composer, Meaning};
use super::document::{Figure, FigureSize};
use super::error::PaperError;
use super::ops::{self, Area};
use super::styles::{CAPTION, METRE, MM};
use super::wrap::wrap;

impl Composer<'_> {
    /// A drawing with its caption; both stay on one page.
    pub fn figure(&mut self, figure: &Figure) -> Result<(), PaperError> {
        if figure.drawing.alt.trim().is_empty() {
            return Err(PaperError::NoAlt);
        }
        let caption = if figure.caption.0.is_empty() {
            Vec::new()
        } else {
            wrap(self.fonts, &figure.caption, CAPTION, self.width())
        };
        let under = if caption.is_empty() {
            0.0
        } else {
            4.0 + CAPTION.leading * caption.len() as f64
        };
        let room = (self.width(), self.page_height() - under);
        let laid = self.sized(&figure.drawing, figure.size, room)?;
        self.gap(2.0 * BETWEEN);
        self.ensure(laid.height + under);
        let (left, top) = (self.frame.left, self.y);
        let area = Area {
            left,
            top,
            right: left + laid.width,
            bottom: top + laid.height,
        };
        let marks = ops::drawing(self.fonts, &laid, (left, top));
        let tag = Meaning::Figure {
            alt: figure.drawing.alt.clone(),
            page: self.page(),
            area,
        };
        self.under(tag, |composer| composer.content(marks));
        self.record("figure", area);
        self.y = area.bottom;
        if !caption.is_empty() {
            self.y += 4.0;
            self.under(Meaning::Paragraph, |composer| {
                composer.set("caption", &caption, CAPTION, 0.0)
            });
        }
        self.y += BETWEEN;
        Ok(())
    }

    fn sized(&self, drawing: &Drawing, size: FigureSize, room: (f64, f64)) -> Result<Laid, PaperError> {
        match size {
            FigureSize::Fit { share, height } => {
                let share = if share.is_finite() {
                    share.clamp(0.05, 1.0)
                } else {
                    1.0
                };
                let height = if height.is_finite() {
                    (height * MM).clamp(10.0, room.1)
                } else {
                    room.1
                };
                let fit = Fit::Into {
                    width: share * room.0,
                    height,
                };
                Ok(lay(drawing, &Lay::new(fit), self.fonts)?)
            }
            FigureSize::Scale(n) => {
                let laid = to_scale(drawing, n, self.fonts)?;
                if laid.width > room.0 + 0.01 || laid.height > room.1 + 0.01 {
                    return Err(PaperError::TooLarge {
                        scale: n,
                        width: laid.width / MM,
                        height: laid.height / MM,
                        room_width: room.0 / MM,
                        room_height: room.1 / MM,
                    });
                }
                Ok(laid)
            }
        }
    }
}

/// A drawing in metres laid at 1:n.
pub(super) fn to_scale(drawing: &Drawing, n: f64, fonts: &super::fonts::Fonts) -> Result<Laid, PaperError> {
    if drawing.space != Space::Metres || !(n.is_finite() && n > 0.0) {
        return Err(PaperError::NoScale);
    }
    Ok(lay(drawing, &Lay::new(Fit::Scale(METRE / n)), fonts)?)
}
