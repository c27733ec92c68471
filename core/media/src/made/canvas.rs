use crate::Picture;

/// Red, green, blue.
pub(super) type Colour = [u8; 3];

/// Pixels being drawn on.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) rgb: Vec<u8>,
}

impl Canvas {
    pub(super) fn new(width: usize, height: usize) -> Self {
        Self {
            width,
            height,
            rgb: vec![128; width * height * 3],
        }
    }

    pub(super) fn into_picture(self) -> Option<Picture> {
        Picture::new(self.width, self.height, self.rgb)
    }

    /// Fills a polygon (even-odd rule, pixel corners) with a colour that runs from `top` at its
    /// highest row to `bottom` at its lowest.
    pub(super) fn fill(&mut self, corners: &[(f64, f64)], top: Colour, bottom: Colour) {
        let highest = corners.iter().map(|c| c.1).fold(f64::INFINITY, f64::min);
        let lowest = corners.iter().map(|c| c.1).fold(f64::NEG_INFINITY, f64::max);
        let rows = nearest(highest, self.height)..nearest(lowest, self.height);
        let (first, count) = (rows.start, rows.len());
        let row_bytes = self.width * 3;
        let mut crossings = Vec::new();
        let lines = self
            .rgb
            .chunks_exact_mut(row_bytes)
            .enumerate()
            .skip(first)
            .take(count);
        for (y, line) in lines {
            let middle = float(y) + 0.5;
            cross(corners, middle, &mut crossings);
            let down = (middle - highest) / (lowest - highest).max(1.0);
            let colour = mix(top, bottom, down);
            for pair in crossings.chunks_exact(2) {
                let [from, to] = pair else { continue };
                let from = nearest(*from, self.width);
                let to = nearest(*to, self.width).max(from);
                for pixel in line
                    .get_mut(from * 3..to * 3)
                    .unwrap_or_default()
                    .as_chunks_mut::<3>()
                    .0
                {
                    *pixel = colour;
                }
            }
        }
    }
}

/// Where the polygon's edges cross the line at height `y`, from left to right.
fn cross(corners: &[(f64, f64)], y: f64, crossings: &mut Vec<f64>) {
    crossings.clear();
    for (&(x0, y0), &(x1, y1)) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        if (y0 <= y) != (y1 <= y) {
            crossings.push(x0 + (y - y0) / (y1 - y0) * (x1 - x0));
        }
    }
    crossings.sort_by(f64::total_cmp);
}

/// A share of `b` in `a`, 0 to 1.
pub(super) fn mix(a: Colour, b: Colour, share: f64) -> Colour {
    let share = share.clamp(0.0, 1.0);
    let [r, g, bl] = a;
    let [r2, g2, b2] = b;
    let one = |from: u8, to: u8| byte(f64::from(from) + (f64::from(to) - f64::from(from)) * share);
    [one(r, r2), one(g, g2), one(bl, b2)]
}

/// Nearest whole number, 0 to `most`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range first"
)]
pub(super) fn nearest(value: f64, most: usize) -> usize {
    (value.clamp(0.0, float(most)) + 0.5).floor() as usize
}

/// Nearest byte.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a byte first"
)]
pub(super) fn byte(value: f64) -> u8 {
    (value.clamp(0.0, 255.0) + 0.5).floor() as u8
}

/// A count of pixels as a number; exact below 2^52.
pub(super) fn float(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}
