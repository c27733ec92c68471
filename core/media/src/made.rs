//! Photographs drawn by program: for the demonstration and the test corpus.
//!
//! A description of some twenty words gives a JPEG of several megapixels with its metadata: the same
//! bytes for the same description, on every machine. They are drawings and are meant to look it:
//! nobody will take them for photographs of a real house.

mod canvas;
mod description;
mod dice;
mod exif_block;
mod finish;
mod letters;
mod pen;
mod scenes;

pub use description::{MadePhoto, MadePosition, Scene};

use crate::{Orientation, Picture};
use canvas::Canvas;
use dice::Dice;
use pen::Pen;

/// Why a photo was not drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum MadeError {
    /// A value of the description is out of its range.
    #[error("{field} is {value}; write {range}")]
    OutOfRange {
        /// The key of the description.
        field: &'static str,
        /// What stood there.
        value: String,
        /// What may stand there.
        range: &'static str,
    },
    /// The picture or its metadata could not be encoded.
    #[error("the photo could not be encoded: {0}")]
    Encode(String),
}

impl MadeError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "made_out_of_range",
            Self::Encode(_) => "made_encode",
        }
    }
}

/// Draws the picture that is described, upright, without encoding it.
///
/// # Errors
/// [`MadeError::OutOfRange`].
pub fn draw(photo: &MadePhoto) -> Result<Picture, MadeError> {
    photo.check()?;
    let side = |n: u32| usize::try_from(n).unwrap_or(1);
    let house = Dice::new(&[photo.seed]);
    let shot = Dice::new(&[photo.seed, photo.scene.number(), photo.view]);
    let canvas = Canvas::new(side(photo.width), side(photo.height));
    let mut pen = Pen::new(canvas, house, shot);
    scenes::draw(&mut pen, photo);
    let canvas = finish::finish(pen.into_canvas(), photo);
    canvas
        .into_picture()
        .ok_or_else(|| MadeError::Encode("no pixels".to_owned()))
}

/// Draws and encodes the photo that is described.
///
/// # Errors
/// [`MadeError`].
pub fn make(photo: &MadePhoto) -> Result<Vec<u8>, MadeError> {
    let turn = Orientation::from_exif(photo.orientation.into()).unwrap_or_default();
    let stored = draw(photo)?.turned(turn.inverse());
    finish::encode(&stored, photo)
}
