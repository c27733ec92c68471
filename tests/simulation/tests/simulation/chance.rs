/// Chance from a seed (SplitMix64, Steele, Lea and Flood 2014), so that each run can be replayed.
#[derive(Debug, Clone)]
pub struct Chance(u64);

impl Chance {
    pub fn of(seed: u64) -> Self {
        Self(seed)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `limit`.
    pub fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(limit.max(1)).unwrap()).unwrap()
    }

    /// True so many times in a thousand.
    pub fn happens(&mut self, in_a_thousand: usize) -> bool {
        self.below(1_000) < in_a_thousand
    }

    pub fn bytes<const N: usize>(&mut self) -> [u8; N] {
        std::array::from_fn(|_| self.next().to_le_bytes()[0])
    }

    pub fn many_bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next().to_le_bytes()[0]).collect()
    }
}
