use image::{ExtendedColorType, codecs::jpeg::JpegEncoder};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::{MediaError, Picture, limits};

/// A small upright JPEG of a photo, without metadata: pixels and nothing else.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Preview {
    /// The JPEG.
    pub jpeg: Vec<u8>,
    /// SHA-256 of the JPEG.
    #[serde(with = "hex::serde")]
    pub sha256: [u8; 32],
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
}

impl Preview {
    /// Encodes an upright picture that has been reduced to [`limits::PREVIEW_SIDE`].
    ///
    /// # Errors
    /// [`MediaError::Preview`] if the encoder refuses it.
    pub fn of(picture: &Picture) -> Result<Self, MediaError> {
        let refused = |detail: String| MediaError::Preview { detail };
        let width = u32::try_from(picture.width()).map_err(|said| refused(said.to_string()))?;
        let height = u32::try_from(picture.height()).map_err(|said| refused(said.to_string()))?;
        let mut jpeg = Vec::with_capacity(256 << 10);
        JpegEncoder::new_with_quality(&mut jpeg, limits::PREVIEW_QUALITY)
            .encode(picture.rgb(), width, height, ExtendedColorType::Rgb8)
            .map_err(|said| refused(said.to_string()))?;
        let sha256 = Sha256::digest(&jpeg).into();
        Ok(Self {
            jpeg,
            sha256,
            width,
            height,
        })
    }
}
