//! Making a picture smaller by averaging the area that each new pixel covers.
//!
//! Exact area averages with weights in 1/256: rows first, which is where nearly all of the work is
//! and runs along whole rows, then columns of what is left.

use std::thread;

use crate::{Grey, Picture};

/// Decoded bytes from which on a second thread wins more than it costs, and the most threads.
const WORTH_A_THREAD: usize = 3 << 20;
const MOST_THREADS: usize = 4;

/// Weights of one new pixel sum to this.
const WHOLE: u64 = 256;

/// The old pixels that one new pixel covers.
struct Cover {
    first: usize,
    weights: Vec<u16>,
}

impl Picture {
    /// The picture with its longest side at most `side` pixels, sides in proportion; itself if it
    /// is small enough.
    #[must_use]
    pub fn reduced_to(&self, side: usize) -> Self {
        let longest = self.width().max(self.height());
        if longest <= side || side == 0 {
            return self.clone();
        }
        let scaled = |old: usize| ((old * side * 2 + longest) / (longest * 2)).max(1);
        self.reduced(scaled(self.width()), scaled(self.height()))
    }

    /// The picture at `width` x `height`, neither larger than now and neither nothing.
    fn reduced(&self, width: usize, height: usize) -> Self {
        let columns = &covers(self.width(), width);
        let rows = covers(self.height(), height);
        // Each band of new rows is worked out by itself; the result is the same however many there are.
        let bands = if self.rgb().len() < WORTH_A_THREAD {
            1
        } else {
            thread::available_parallelism().map_or(1, |cores| cores.get().min(MOST_THREADS))
        };
        let rgb = thread::scope(|scope| {
            let bands: Vec<_> = rows
                .chunks(rows.len().div_ceil(bands).max(1))
                .map(|band| scope.spawn(move || self.band(band, columns)))
                .collect();
            let mut rgb = Vec::with_capacity(width * height * 3);
            for band in bands {
                rgb.extend(band.join().unwrap_or_default());
            }
            rgb
        });
        Self::new(width, height, rgb).unwrap_or_else(|| self.clone())
    }

    /// Some rows of the reduced picture.
    fn band(&self, rows: &[Cover], columns: &[Cover]) -> Vec<u8> {
        let row_bytes = self.width() * 3;
        let mut sums = vec![0_u16; row_bytes];
        let mut rgb = Vec::with_capacity(columns.len() * rows.len() * 3);
        for cover in rows {
            sums.fill(0);
            let old = self
                .rgb()
                .get(cover.first * row_bytes..)
                .unwrap_or_default()
                .chunks_exact(row_bytes);
            for (row, &weight) in old.zip(&cover.weights) {
                for (sum, &byte) in sums.iter_mut().zip(row) {
                    // At most 255 x 256, as the weights sum to 256.
                    *sum = sum.wrapping_add(u16::from(byte).wrapping_mul(weight));
                }
            }
            narrow(&sums, columns, &mut rgb);
        }
        rgb
    }
}

impl Grey {
    /// Brightness averaged over `width` by `height` fields, in 1/256; `None` if the picture has fewer
    /// pixels than that either way.
    pub(crate) fn fields(&self, width: usize, height: usize) -> Option<Vec<u32>> {
        if self.width() < width || self.height() < height || width == 0 || height == 0 {
            return None;
        }
        let columns = covers(self.width(), width);
        let mut fields = Vec::with_capacity(width * height);
        for cover in covers(self.height(), height) {
            let lines = self.rows().skip(cover.first);
            let mut row = vec![0_u64; width];
            for (line, &down) in lines.zip(&cover.weights) {
                for (field, column) in row.iter_mut().zip(&columns) {
                    let covered = line
                        .get(column.first..)
                        .unwrap_or_default()
                        .iter()
                        .zip(&column.weights);
                    let sum: u64 = covered
                        .map(|(value, across)| u64::from(*value) * u64::from(*across))
                        .sum();
                    *field += sum * u64::from(down);
                }
            }
            fields.extend(
                row.into_iter()
                    .map(|sum| u32::try_from(sum >> 8).unwrap_or(u32::MAX)),
            );
        }
        Some(fields)
    }
}

/// Averages one row of sums (in 1/256) over the columns that each new pixel covers.
fn narrow(sums: &[u16], columns: &[Cover], rgb: &mut Vec<u8>) {
    let (pixels, _) = sums.as_chunks::<3>();
    for cover in columns {
        let covered = pixels.get(cover.first..).unwrap_or_default();
        let [mut r, mut g, mut b] = [0x8000_u32; 3];
        for (pixel, &weight) in covered.iter().zip(&cover.weights) {
            let weight = u32::from(weight);
            r += u32::from(pixel[0]) * weight;
            g += u32::from(pixel[1]) * weight;
            b += u32::from(pixel[2]) * weight;
        }
        let byte = |sum: u32| {
            let [_, byte, ..] = sum.to_be_bytes();
            byte
        };
        rgb.extend_from_slice(&[byte(r), byte(g), byte(b)]);
    }
}

/// For `new` pixels over `old`, which old ones each covers and how much, summing to [`WHOLE`].
fn covers(old: usize, new: usize) -> Vec<Cover> {
    // In units of 1/new of an old pixel, old pixel i spans [i new, (i+1) new), new pixel j spans
    // [j old, (j+1) old).
    (0..new)
        .map(|j| {
            let (from, to) = (j * old, (j + 1) * old);
            let first = from / new;
            let mut given = 0;
            let mut covered = 0;
            let weights = (first..to.div_ceil(new))
                .map(|i| {
                    covered += ((i + 1) * new).min(to) - (i * new).max(from);
                    // Rounding the running total, not each weight, makes the sum come out whole.
                    let total =
                        u64::try_from(covered).unwrap_or(0) * WHOLE / u64::try_from(old).unwrap_or(1).max(1);
                    let weight = total - given;
                    given = total;
                    u16::try_from(weight).unwrap_or(0)
                })
                .collect();
            Cover { first, weights }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_sum_to_the_whole() {
        for (old, new) in [
            (4000, 1280),
            (3000, 960),
            (20_000, 1280),
            (1281, 1280),
            (7, 3),
            (5, 5),
            (9, 1),
        ] {
            for cover in covers(old, new) {
                let sum: u64 = cover.weights.iter().map(|&w| u64::from(w)).sum();
                assert_eq!(sum, WHOLE, "{old} -> {new}");
                assert!(cover.first + cover.weights.len() <= old);
            }
        }
    }

    #[test]
    fn bands_make_the_same_picture_as_one() {
        let rgb = (0..1500_u32 * 1000 * 3).map(|n| n.wrapping_mul(2_654_435_761).to_be_bytes()[0]);
        let picture = Picture::new(1500, 1000, rgb.collect()).unwrap();
        let whole = picture.band(&covers(1000, 853), &covers(1500, 1280));
        assert!(picture.rgb().len() >= WORTH_A_THREAD);
        assert_eq!(picture.reduced_to(1280).rgb(), whole);
    }

    #[test]
    fn an_even_picture_stays_even() {
        let picture = Picture::new(300, 200, [255, 128, 1].repeat(60_000)).unwrap();
        let reduced = picture.reduced_to(70);
        assert_eq!((reduced.width(), reduced.height()), (70, 47));
        assert!(reduced.rgb().chunks_exact(3).all(|p| p == [255, 128, 1]));
    }

    #[test]
    fn a_checkerboard_averages_to_grey() {
        let rgb = (0..64 * 64)
            .flat_map(|n| [if (n % 64 + n / 64) % 2 == 0 { 0 } else { 255 }; 3])
            .collect();
        let reduced = Picture::new(64, 64, rgb).unwrap().reduced_to(16);
        assert!(reduced.rgb().iter().all(|&b| (127..=128).contains(&b)));
    }

    #[test]
    fn a_ramp_keeps_its_mean() {
        let rgb: Vec<u8> = (0..100 * 10)
            .flat_map(|n| [u8::try_from(n % 100).unwrap(); 3])
            .collect();
        let picture = Picture::new(100, 10, rgb).unwrap();
        let mean = |p: &Picture| p.rgb().iter().map(|&b| f64::from(b)).sum::<f64>() / p.rgb().len() as f64;
        assert!((mean(&picture) - mean(&picture.reduced_to(33))).abs() < 0.3);
    }

    #[test]
    fn a_small_picture_is_left_alone() {
        let picture = Picture::new(3, 2, vec![9; 18]).unwrap();
        assert_eq!(picture.reduced_to(1280), picture);
    }
}
