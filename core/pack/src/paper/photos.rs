//! Photos in a grid, each with its lines below.

use krilla::Data;
use krilla::image::Image;
use wythe_drawing::Role;

use super::blocks::BETWEEN;
use super::compose::{Composer, Meaning, text_ops};
use super::document::{Photo, Photos};
use super::error::PaperError;
use super::ops::{Area, Line, Op, outline};
use super::styles::{CAPTION, colour};
use super::wrap::{Line as TextLine, wrap};

/// Room between photos side by side, and below a row.
const GUTTER: (f64, f64) = (10.0, 10.0);
/// A photo's height is at most this share of its column's width.
const TALLEST: f64 = 1.0;

struct Cell<'a> {
    photo: &'a Photo,
    size: (f64, f64),
    caption: Vec<TextLine>,
}

impl Composer<'_> {
    /// Photos row by row; a row stays on one page.
    pub fn photos(&mut self, photos: &Photos) -> Result<(), PaperError> {
        let columns = usize::from(photos.columns.clamp(1, 4));
        let width = (self.width() - GUTTER.0 * (columns - 1) as f64) / columns as f64;
        // Large enough to see, small enough to leave room for the lines below.
        let tallest = (TALLEST * width).min(0.6 * self.width());
        for row in photos.photos.chunks(columns) {
            let cells = row
                .iter()
                .map(|photo| {
                    let (across, down) = size_of(photo)?;
                    let scale = (width / across).min(tallest / down);
                    let caption = photo
                        .caption
                        .iter()
                        .flat_map(|line| wrap(self.fonts, line, CAPTION, width))
                        .collect();
                    Ok(Cell {
                        photo,
                        size: (across * scale, down * scale),
                        caption,
                    })
                })
                .collect::<Result<Vec<_>, PaperError>>()?;
            let high = cells.iter().map(|cell| cell.size.1).fold(0.0, f64::max);
            let text = cells.iter().map(|cell| cell.caption.len()).max().unwrap_or(0);
            let height = high + 3.0 + CAPTION.leading * text as f64;
            if height > self.page_height() {
                row.iter().try_for_each(|photo| self.photo_alone(photo))?;
                continue;
            }
            self.gap(GUTTER.1);
            self.ensure(height);
            for (index, cell) in cells.iter().enumerate() {
                self.photo(cell, self.frame.left + (width + GUTTER.0) * index as f64, width);
            }
            self.y += height;
        }
        self.y += BETWEEN;
        Ok(())
    }

    fn photo(&mut self, cell: &Cell<'_>, left: f64, width: f64) {
        let top = self.y;
        let area = Area {
            left,
            top,
            right: left + cell.size.0,
            bottom: top + cell.size.1,
        };
        let image = Op::Image {
            left,
            top,
            width: cell.size.0,
            height: cell.size.1,
            jpeg: cell.photo.jpeg.clone(),
        };
        let tag = Meaning::Figure {
            alt: cell.photo.alt.clone(),
            page: self.page(),
            area,
        };
        self.under(tag, |composer| composer.content(vec![image]));
        let frame = Line::plain(colour(Role::Mortar), 0.4);
        self.ornament(vec![Op::Path {
            steps: outline(area),
            fill: None,
            stroke: Some(frame),
        }]);
        let text = text_ops(&cell.caption, CAPTION, (left, area.bottom + 3.0));
        self.under(Meaning::Paragraph, |composer| composer.content(text));
        let bottom = area.bottom + 3.0 + CAPTION.leading * cell.caption.len() as f64;
        self.record(
            "photo",
            Area {
                left,
                top,
                right: left + width,
                bottom,
            },
        );
    }
}

impl Composer<'_> {
    /// A photo whose lines would not fit below it in its row: its lines take the whole width, and go on
    /// over the page if they must.
    fn photo_alone(&mut self, photo: &Photo) -> Result<(), PaperError> {
        let (across, down) = size_of(photo)?;
        let scale = (0.5 * self.width() / across).min(0.4 * self.width() / down);
        let size = (across * scale, down * scale);
        self.gap(GUTTER.1);
        self.ensure(size.1 + 3.0 + 2.0 * CAPTION.leading);
        let cell = Cell {
            photo,
            size,
            caption: Vec::new(),
        };
        self.photo(&cell, self.frame.left, size.0);
        self.y += size.1 + 3.0;
        let lines: Vec<TextLine> = photo
            .caption
            .iter()
            .flat_map(|line| wrap(self.fonts, line, CAPTION, self.width()))
            .collect();
        self.under(Meaning::Paragraph, |composer| {
            composer.set("caption", &lines, CAPTION, 0.0)
        });
        Ok(())
    }
}

/// Width and height in pixels of a photo that can go into the PDF.
fn size_of(photo: &Photo) -> Result<(f64, f64), PaperError> {
    if photo.alt.trim().is_empty() {
        return Err(PaperError::NoAlt);
    }
    let image = image_of(&photo.jpeg).map_err(|reason| PaperError::Photo {
        alt: photo.alt.clone(),
        reason,
    })?;
    let (across, down) = image.size();
    if across == 0 || down == 0 {
        return Err(PaperError::Photo {
            alt: photo.alt.clone(),
            reason: "it is empty".to_owned(),
        });
    }
    Ok((f64::from(across), f64::from(down)))
}

/// A JPEG as the PDF writer takes it.
pub(super) fn image_of(jpeg: &std::sync::Arc<Vec<u8>>) -> Result<Image, String> {
    if jpeg.get(..3) != Some(&[0xFF, 0xD8, 0xFF]) {
        return Err("it does not begin like a JPEG".to_owned());
    }
    Image::from_jpeg(Data::from(jpeg.clone()), false)
}
