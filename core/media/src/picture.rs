use std::io::Cursor;

use image::{ImageFormat, ImageReader, Limits};
use zune_jpeg::{
    JpegDecoder,
    zune_core::{bytestream::ZCursor, colorspace::ColorSpace, options::DecoderOptions},
};

use crate::{Format, MediaError, Orientation, limits};

/// Decoded pixels in memory: rows from the top, three bytes a pixel, red, green, blue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
}

/// Brightness of a picture's pixels, 0 to 255, rows from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grey {
    width: usize,
    values: Vec<u8>,
}

impl Grey {
    /// Width, pixels.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Height, pixels.
    #[must_use]
    pub fn height(&self) -> usize {
        self.rows().len()
    }

    /// All values.
    #[must_use]
    pub fn values(&self) -> &[u8] {
        &self.values
    }

    /// The rows, from the top.
    pub fn rows(&self) -> std::slice::ChunksExact<'_, u8> {
        self.values.chunks_exact(self.width.max(1))
    }
}

impl Picture {
    /// A picture of `width` x `height` pixels; `None` unless `rgb` has three bytes for each.
    #[must_use]
    pub fn new(width: usize, height: usize, rgb: Vec<u8>) -> Option<Self> {
        let wanted = width.checked_mul(height)?.checked_mul(3)?;
        (wanted == rgb.len() && wanted > 0).then_some(Self { width, height, rgb })
    }

    /// Width, pixels.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Height, pixels.
    #[must_use]
    pub const fn height(&self) -> usize {
        self.height
    }

    /// All pixels.
    #[must_use]
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// All pixels, taken out.
    #[must_use]
    pub fn into_rgb(self) -> Vec<u8> {
        self.rgb
    }

    /// The rows, from the top.
    pub fn rows(&self) -> impl DoubleEndedIterator<Item = &[u8]> {
        self.rgb.chunks_exact(self.width * 3)
    }

    /// The brightness of its pixels: ITU-R BT.601 luma, as JPEG stores it.
    #[must_use]
    pub fn grey(&self) -> Grey {
        let (pixels, _) = self.rgb.as_chunks::<3>();
        let values = pixels
            .iter()
            .map(|&[r, g, b]| {
                let sum = u32::from(r) * 19595 + u32::from(g) * 38470 + u32::from(b) * 7471 + 32768;
                let [_, luma, ..] = sum.to_be_bytes();
                luma
            })
            .collect();
        Grey {
            width: self.width,
            values,
        }
    }

    /// The picture as `orientation` wants it shown.
    #[must_use]
    pub fn turned(self, orientation: Orientation) -> Self {
        if orientation == Orientation::Upright {
            return self;
        }
        let (width, height) = if orientation.swaps_sides() {
            (self.height, self.width)
        } else {
            (self.width, self.height)
        };
        let (pixels, _) = self.rgb.as_chunks::<3>();
        let mut rgb = Vec::with_capacity(self.rgb.len());
        for y in 0..height {
            for x in 0..width {
                let (from_x, from_y) = orientation.stored(x, y, self.width, self.height);
                rgb.extend_from_slice(pixels.get(from_y * self.width + from_x).unwrap_or(&[0; 3]));
            }
        }
        Self { width, height, rgb }
    }

    /// Decodes a JPEG or PNG within [`limits`]. The header is looked at first, so a picture that
    /// claims too much costs nothing. A JPEG that breaks off is decoded as far as it goes.
    ///
    /// # Errors
    /// [`MediaError::TooManyPixels`], [`MediaError::TooMuchWork`], [`MediaError::Undecodable`];
    /// [`MediaError::NotAPhoto`] for another format.
    pub fn decode(bytes: &[u8], format: Format) -> Result<Self, MediaError> {
        match format {
            Format::Jpeg => decode_jpeg(bytes),
            Format::Png => decode_png(bytes),
            Format::Heic | Format::Pdf => Err(MediaError::NotAPhoto),
        }
    }
}

fn decode_jpeg(bytes: &[u8]) -> Result<Picture, MediaError> {
    let options = DecoderOptions::default()
        .set_strict_mode(false)
        // Its own limits are on sides; ours, on pixels, are held to its header below.
        .set_max_width(usize::MAX)
        .set_max_height(usize::MAX)
        .jpeg_set_max_scans(limits::PROGRESSIVE_PASSES)
        .jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder
        .decode_headers()
        .map_err(|said| undecodable(&said.to_string()))?;
    let info = decoder.info().ok_or_else(|| undecodable("no header"))?;
    let limit = if info.sof.is_sequential_dct() {
        limits::PIXELS
    } else {
        limits::PROGRESSIVE_PIXELS
    };
    check_pixels(u64::from(info.width), u64::from(info.height), limit)?;
    let rgb = decoder.decode().map_err(|said| undecodable(&said.to_string()))?;
    Picture::new(usize::from(info.width), usize::from(info.height), rgb)
        .ok_or_else(|| undecodable("fewer pixels than the header claims"))
}

fn decode_png(bytes: &[u8]) -> Result<Picture, MediaError> {
    let reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Png);
    let (width, height) = reader
        .into_dimensions()
        .map_err(|said| undecodable(&said.to_string()))?;
    check_pixels(u64::from(width), u64::from(height), limits::PIXELS)?;

    let mut reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Png);
    let mut bounds = Limits::default();
    bounds.max_alloc = Some(limits::DECODED_BYTES);
    bounds.max_image_width = Some(limits::SIDE);
    bounds.max_image_height = Some(limits::SIDE);
    reader.limits(bounds);
    let decoded = reader.decode().map_err(|said| match said {
        image::ImageError::Limits(over) => MediaError::TooMuchWork {
            detail: over.to_string(),
        },
        other => undecodable(&other.to_string()),
    })?;
    let rgb = decoded.into_rgb8();
    let (width, height) = rgb.dimensions();
    let side = |n: u32| usize::try_from(n).unwrap_or(usize::MAX);
    Picture::new(side(width), side(height), rgb.into_raw()).ok_or_else(|| undecodable("no pixels"))
}

fn check_pixels(width: u64, height: u64, limit: u64) -> Result<(), MediaError> {
    let side = u64::from(limits::SIDE);
    if width > side || height > side || width.saturating_mul(height) > limit {
        return Err(MediaError::TooManyPixels { width, height, limit });
    }
    Ok(())
}

fn undecodable(detail: &str) -> MediaError {
    MediaError::Undecodable {
        detail: detail.chars().take(120).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letters(picture: &Picture) -> String {
        picture.rgb().chunks_exact(3).map(|p| char::from(p[0])).collect()
    }

    /// The eight ways to store the picture "ab / cd / ef", each shown upright again.
    #[test]
    fn each_orientation_shows_the_same_picture() {
        let cases = [
            (1, 2, "abcdef"),
            (2, 2, "badcfe"),
            (3, 2, "fedcba"),
            (4, 2, "efcdab"),
            (5, 3, "acebdf"),
            (6, 3, "bdface"),
            (7, 3, "fdbeca"),
            (8, 3, "ecafdb"),
        ];
        for (exif, width, stored) in cases {
            let rgb: Vec<u8> = stored.bytes().flat_map(|b| [b; 3]).collect();
            let picture = Picture::new(width, 6 / width, rgb).unwrap();
            let orientation = Orientation::from_exif(exif).unwrap();
            let shown = picture.clone().turned(orientation);
            assert_eq!(
                (shown.width(), letters(&shown).as_str()),
                (2, "abcdef"),
                "orientation {exif}"
            );
            assert_eq!(
                shown.turned(orientation.inverse()),
                picture,
                "back from orientation {exif}"
            );
        }
    }

    /// A JPEG header that claims 10,000 x 10,000 pixels and holds none.
    #[test]
    fn a_hundred_megapixel_header_is_refused_before_decoding() {
        let mut jpeg = vec![0xFF, 0xD8, 0xFF, 0xC0, 0, 17, 8];
        jpeg.extend([0x27, 0x10, 0x27, 0x10, 3, 1, 0x11, 0, 2, 0x11, 1, 3, 0x11, 1]);
        jpeg.extend([0xFF, 0xDA, 0, 12, 3, 1, 0, 2, 0x11, 3, 0x11, 0, 63, 0, 0xFF, 0xD9]);
        let refused = Picture::decode(&jpeg, Format::Jpeg).unwrap_err();
        assert_eq!(refused.code(), "media_too_many_pixels", "{refused}");
    }

    #[test]
    fn a_gigabyte_of_claimed_png_is_refused_before_decoding() {
        // 18,000 x 18,000 pixels of 3 bytes: 972 MB if it were believed.
        let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        png.extend([0, 0, 0x46, 0x50, 0, 0, 0x46, 0x50, 8, 2, 0, 0, 0]);
        png.extend(0x1855_F615_u32.to_be_bytes());
        png.extend(b"\0\0\0\x08IDAT\x78\x9c");
        let refused = Picture::decode(&png, Format::Png).unwrap_err();
        assert_eq!(refused.code(), "media_too_many_pixels", "{refused}");
    }
}
