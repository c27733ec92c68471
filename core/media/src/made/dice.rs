/// Numbers that look thrown and are the same each time: SplitMix64 (Steele, Lea, Flood, Fast
/// Splittable Pseudorandom Number Generators, 2014). For drawing only.
#[derive(Debug, Clone)]
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn new(seeds: &[u64]) -> Self {
        let mut dice = Self(0);
        for seed in seeds {
            dice.0 = dice.next() ^ seed;
        }
        dice
    }

    pub(super) const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Between `low` and `high`.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        let [.., a, b, c, d] = self.next().to_be_bytes();
        let unit = f64::from(u32::from_be_bytes([a, b, c, d])) / f64::from(u32::MAX);
        low + (high - low) * unit
    }

    /// One of several.
    pub(super) fn one_of<T: Copy>(&mut self, first: T, others: &[T]) -> T {
        let count = u64::try_from(others.len()).unwrap_or(0) + 1;
        let thrown = usize::try_from(self.next() % count).unwrap_or(0);
        thrown
            .checked_sub(1)
            .and_then(|n| others.get(n))
            .copied()
            .unwrap_or(first)
    }
}
