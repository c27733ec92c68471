use serde::{Deserialize, Serialize};

use crate::Grey;

/// What a picture looks like in 64 bits, to find the same picture saved anew.
///
/// The picture is averaged to 32 by 32 fields of brightness; of its cosine transform (DCT-II) the
/// 8 by 8 slowest waves that run both ways are kept, a bit each: whether it is above zero. Saving at
/// another size, quality or brightness leaves nearly all bits; another subject leaves about half.
/// Letters and other small things leave no mark at all, so that two plates of one make look the same:
/// it is a hint for a person to look at both, never a proof. What it does was measured on made photos.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Fingerprint(u64);

/// Fields each way.
const FIELDS: usize = 32;

/// Waves each way.
const WAVES: usize = 8;

/// Mean square of the kept waves below which a picture is too even to have a fingerprint: a covered
/// lens, a blank wall. In squares of brightness.
const EVEN: f64 = 0.02;

impl Fingerprint {
    /// From the number as it was stored.
    #[must_use]
    pub const fn from_bits(bits: u64) -> Self {
        Self(bits)
    }

    /// As a number; rows of waves from the most significant byte, slowest first.
    #[must_use]
    pub const fn bits(self) -> u64 {
        self.0
    }

    /// Of an upright picture; `None` for one of fewer than 32 pixels either way, or an even one.
    #[must_use]
    pub fn of(picture: &Grey) -> Option<Self> {
        let fields: Vec<f64> = picture
            .fields(FIELDS, FIELDS)?
            .into_iter()
            .map(|f| f64::from(f) / 256.0)
            .collect();
        let waves = waves();
        // Along rows first, then down the columns of what that gives.
        let across: Vec<[f64; WAVES]> = fields
            .chunks_exact(FIELDS)
            .map(|row| {
                let mut sums = [0.0; WAVES];
                for (sum, wave) in sums.iter_mut().zip(&waves) {
                    *sum = row.iter().zip(wave).map(|(field, value)| field * value).sum();
                }
                sums
            })
            .collect();
        let mut bits = 0_u64;
        let mut squares = 0.0;
        for wave in &waves {
            let mut sums = [0.0; WAVES];
            for (row, value) in across.iter().zip(wave) {
                for (sum, coefficient) in sums.iter_mut().zip(row) {
                    *sum += coefficient * value;
                }
            }
            for sum in sums {
                squares += sum * sum;
                bits = (bits << 1) | u64::from(sum > 0.0);
            }
        }
        (squares / 64.0 > EVEN).then_some(Self(bits))
    }

    /// How many of the 64 bits differ.
    #[must_use]
    pub const fn distance(self, other: Self) -> u32 {
        (self.0 ^ other.0).count_ones()
    }
}

/// The waves 1 to 8 of the DCT-II over 32 fields, orthonormal along one direction.
fn waves() -> [Vec<f64>; WAVES] {
    const HALVES: u32 = 64;
    let mut number = 0_u32;
    [(); WAVES].map(|()| {
        number += 1;
        (0..FIELDS)
            .map(|field| 2 * u32::try_from(field).unwrap_or(0) + 1)
            .map(|odd| libm::cos(std::f64::consts::PI * f64::from(odd * number) / f64::from(HALVES)) / 16.0)
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Picture;

    #[test]
    fn an_even_picture_has_none() {
        assert_eq!(
            Fingerprint::of(&Picture::new(100, 100, vec![90; 30_000]).unwrap().grey()),
            None
        );
    }

    #[test]
    fn a_mirrored_picture_is_another() {
        let draw = |mirrored: bool| {
            let value = |n: usize| {
                let (x, y) = (n % 96, n / 96);
                let x = if mirrored { 95 - x } else { x };
                if x * x + 2 * y * y < 4000 || x + y > 150 {
                    200
                } else {
                    30
                }
            };
            Picture::new(96, 96, (0..96 * 96).flat_map(|n| [value(n); 3]).collect())
                .unwrap()
                .grey()
        };
        let (plain, mirrored) = (
            Fingerprint::of(&draw(false)).unwrap(),
            Fingerprint::of(&draw(true)).unwrap(),
        );
        assert_eq!(plain.distance(plain), 0);
        assert!(plain.distance(mirrored) >= 24, "{}", plain.distance(mirrored));
    }
}
