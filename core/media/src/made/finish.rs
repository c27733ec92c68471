//! What lens, sensor and file do to a drawing.

use image::{
    ExtendedColorType, ImageEncoder,
    codecs::{jpeg::JpegEncoder, png::PngEncoder},
};

use super::{
    MadeError, MadePhoto,
    canvas::{Canvas, byte, float, nearest},
    exif_block::exif_block,
};
use crate::Picture;

/// Lens, movement, light and grain, in the order in which light meets them.
pub(super) fn finish(mut canvas: Canvas, photo: &MadePhoto) -> Canvas {
    if photo.off_a_screen {
        show_on_a_screen(&mut canvas);
    }
    if !photo.png {
        // No lens is sharper than this.
        blur(&mut canvas, 1, 1);
    }
    if photo.blur > 0.0 {
        // Three box filters of this half-width have about the wanted standard deviation:
        // 3 ((2 r + 1)^2 - 1) / 12 = sigma^2.
        let half = (((4.0 * photo.blur * photo.blur + 1.0).sqrt() - 1.0) / 2.0).max(0.5);
        let half = nearest(half, 200).max(1);
        for _ in 0..3 {
            blur(&mut canvas, half, half);
        }
    }
    if photo.shake >= 2.0 {
        blur(&mut canvas, nearest(photo.shake / 2.0, 200), 0);
    }
    if !photo.png {
        expose(&mut canvas, photo.exposure);
        grain(&mut canvas, photo.seed ^ photo.view.rotate_left(32));
    }
    canvas
}

/// A display seen by a camera: dark frame, dots whose beat with the sensor gives waves, blue glow.
fn show_on_a_screen(canvas: &mut Canvas) {
    let (width, height) = (canvas.width, canvas.height);
    let frame = width / 28;
    let pitch = float(width) / 1000.0 * 2.07;
    let dot = |n: usize| libm::fabs(libm::sin(float(n) / pitch * std::f64::consts::PI));
    let columns: Vec<f64> = (0..width).map(dot).collect();
    let row_bytes = width * 3;
    for (y, line) in canvas.rgb.chunks_exact_mut(row_bytes).enumerate() {
        let row = 0.55 + 0.45 * dot(y);
        let outside = y < frame || y + frame >= height;
        for (x, (pixel, column)) in line.as_chunks_mut::<3>().0.iter_mut().zip(&columns).enumerate() {
            if outside || x < frame || x + frame >= width {
                *pixel = [14, 14, 16];
                continue;
            }
            let light = row * (0.55 + 0.45 * column);
            let [r, g, b] = *pixel;
            let one = |value: u8, glow: f64| byte(f64::from(value) * light + glow);
            *pixel = [one(r, 8.0), one(g, 12.0), one(b, 20.0)];
        }
    }
}

/// Averages over `across` pixels to either side and `down` pixels up and down.
fn blur(canvas: &mut Canvas, across: usize, down: usize) {
    let (width, height) = (canvas.width, canvas.height);
    if across > 0 {
        let mut row = Vec::with_capacity(width);
        for line in canvas.rgb.chunks_exact_mut(width * 3) {
            average_row(line, across.min(width / 2), &mut row);
        }
    }
    if down > 0 {
        average_columns(canvas, down.min(height / 2));
    }
}

/// A running sum along one row; the edges repeat.
fn average_row(line: &mut [u8], half: usize, old: &mut Vec<[u8; 3]>) {
    let (pixels, _) = line.as_chunks_mut::<3>();
    old.clear();
    let (Some(&first), Some(&last)) = (pixels.first(), pixels.last()) else {
        return;
    };
    old.extend(std::iter::repeat_n(first, half + 1));
    old.extend_from_slice(pixels);
    old.extend(std::iter::repeat_n(last, half));
    let window = 2 * half + 1;
    let divisor = u32::try_from(window).unwrap_or(1);
    let mut sums = [0_u32; 3];
    for pixel in old.iter().take(window) {
        add(&mut sums, pixel);
    }
    for (pixel, (leaving, coming)) in pixels.iter_mut().zip(old.iter().zip(old.iter().skip(window))) {
        for ((sum, gone), new) in sums.iter_mut().zip(leaving).zip(coming) {
            *sum = *sum + u32::from(*new) - u32::from(*gone);
        }
        *pixel = sums.map(|sum| low_byte((sum + divisor / 2) / divisor));
    }
}

fn add(sums: &mut [u32; 3], pixel: &[u8; 3]) {
    for (sum, value) in sums.iter_mut().zip(pixel) {
        *sum += u32::from(*value);
    }
}

/// A running sum of whole rows; the edges repeat.
fn average_columns(canvas: &mut Canvas, half: usize) {
    let row_bytes = canvas.width * 3;
    let old = canvas.rgb.clone();
    let last = canvas.height.saturating_sub(1);
    let row = |n: usize| {
        old.get(n.min(last) * row_bytes..)
            .unwrap_or_default()
            .get(..row_bytes)
            .unwrap_or_default()
    };
    let mut sums = vec![0_u32; row_bytes];
    for n in 0..=2 * half {
        for (sum, value) in sums.iter_mut().zip(row(n.saturating_sub(half))) {
            *sum += u32::from(*value);
        }
    }
    // Division by a fixed-point reciprocal: exact to a byte for windows of at most 401.
    let window = u32::try_from(2 * half + 1).unwrap_or(1);
    let reciprocal = (1 << 22) / window + 1;
    for (y, line) in canvas.rgb.chunks_exact_mut(row_bytes).enumerate() {
        for (value, sum) in line.iter_mut().zip(&sums) {
            *value = low_byte(
                ((u64::from(*sum + window / 2) * u64::from(reciprocal)) >> 22)
                    .min(255)
                    .try_into()
                    .unwrap_or(255),
            );
        }
        let (leaving, coming) = (row(y.saturating_sub(half)), row(y + half + 1));
        for ((sum, gone), new) in sums.iter_mut().zip(leaving).zip(coming) {
            *sum = *sum + u32::from(*new) - u32::from(*gone);
        }
    }
}

const fn low_byte(value: u32) -> u8 {
    let [.., byte] = value.to_be_bytes();
    byte
}

/// Brightness in stops in linear light, with a sensor's hard upper end, and corners a little darker.
fn expose(canvas: &mut Canvas, stops: f64) {
    const GAMMA: f64 = 2.2;
    let gain = libm::exp2(stops);
    let curve: Vec<u8> = (0..=255_u32)
        .map(|value| {
            255.0
                * libm::pow(
                    (libm::pow(f64::from(value) / 255.0, GAMMA) * gain).min(1.0),
                    1.0 / GAMMA,
                )
        })
        .map(byte)
        .collect();
    let darkening = |n: usize, of: usize| {
        let off = (float(n) + 0.5) / float(of) - 0.5;
        u32::from(byte(off * off * 80.0))
    };
    let columns: Vec<u32> = (0..canvas.width).map(|x| darkening(x, canvas.width)).collect();
    let (row_bytes, height) = (canvas.width * 3, canvas.height);
    for (y, line) in canvas.rgb.chunks_exact_mut(row_bytes).enumerate() {
        let row = 256 - darkening(y, height);
        for (pixel, column) in line.as_chunks_mut::<3>().0.iter_mut().zip(&columns) {
            let factor = row - column;
            *pixel = pixel.map(|value| {
                let dimmed = low_byte((u32::from(value) * factor) >> 8);
                curve.get(usize::from(dimmed)).copied().unwrap_or(dimmed)
            });
        }
    }
}

/// Grain of plus or minus two, the same in the three colours: xorshift32 (Marsaglia 2003).
fn grain(canvas: &mut Canvas, seed: u64) {
    let [a, b, c, d, ..] = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).to_be_bytes();
    let mut state = u32::from_be_bytes([a, b, c, d]) | 1;
    for pixel in canvas.rgb.as_chunks_mut::<3>().0 {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let step: i8 = match state >> 29 {
            0 => -2,
            1 | 2 => -1,
            5 | 6 => 1,
            7 => 2,
            _ => 0,
        };
        *pixel = pixel.map(|value| value.saturating_add_signed(step));
    }
}

/// Encodes stored pixels with the metadata of the description.
pub(super) fn encode(stored: &Picture, photo: &MadePhoto) -> Result<Vec<u8>, MadeError> {
    let side = |n: usize| u32::try_from(n).map_err(|said| MadeError::Encode(said.to_string()));
    let (width, height) = (side(stored.width())?, side(stored.height())?);
    let mut file = Vec::with_capacity(512 << 10);
    let block = exif_block(photo, (width, height))?;
    if photo.png {
        let mut encoder = PngEncoder::new(&mut file);
        write(&mut encoder, block)?;
        encoder
            .write_image(stored.rgb(), width, height, ExtendedColorType::Rgb8)
            .map_err(|said| MadeError::Encode(said.to_string()))?;
    } else {
        let mut encoder = JpegEncoder::new_with_quality(&mut file, photo.quality);
        write(&mut encoder, block)?;
        encoder
            .encode(stored.rgb(), width, height, ExtendedColorType::Rgb8)
            .map_err(|said| MadeError::Encode(said.to_string()))?;
    }
    Ok(file)
}

fn write(encoder: &mut impl ImageEncoder, block: Option<Vec<u8>>) -> Result<(), MadeError> {
    match block {
        Some(block) => encoder
            .set_exif_metadata(block)
            .map_err(|said| MadeError::Encode(said.to_string())),
        None => Ok(()),
    }
}
