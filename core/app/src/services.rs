use wythe_job::Moment;

/// Tells the time.
pub trait TimeSource: Send + Sync {
    /// Now, with the offset that the device's clock shows.
    fn now(&self) -> Moment;
}

/// Gives unpredictable bytes: keys, salts, ids.
pub trait Chance: Send + Sync {
    /// Fills the bytes.
    fn fill(&self, bytes: &mut [u8]);
}

/// Wraps a device's key, so that it lies on disk only wrapped. Keys are software keys: whoever can
/// open the box can sign.
pub trait KeyBox: Send + Sync {
    /// Wraps a key.
    fn wrap(&self, key: &[u8; 32]) -> Vec<u8>;
    /// Opens a wrapped key; `None` when the box is another's.
    fn open(&self, wrapped: &[u8]) -> Option<[u8; 32]>;
}

/// What the platform owns.
pub struct Services {
    /// The clock.
    pub time: Box<dyn TimeSource>,
    /// Chance.
    pub chance: Box<dyn Chance>,
    /// The key box.
    pub keys: Box<dyn KeyBox>,
}

/// A box without a lock, for a store that lies in a folder only its owner can read.
#[derive(Debug, Clone, Copy, Default)]
pub struct OpenBox;

impl KeyBox for OpenBox {
    fn wrap(&self, key: &[u8; 32]) -> Vec<u8> {
        key.to_vec()
    }

    fn open(&self, wrapped: &[u8]) -> Option<[u8; 32]> {
        wrapped.try_into().ok()
    }
}

/// Chance from a seed, for the demonstration and for tests: the same seed gives the same bytes.
#[derive(Debug)]
pub struct SeededChance(std::sync::Mutex<rand_chacha::ChaCha20Rng>);

impl SeededChance {
    /// Chance from a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        use rand_core::SeedableRng;
        Self(std::sync::Mutex::new(rand_chacha::ChaCha20Rng::seed_from_u64(
            seed,
        )))
    }
}

impl Chance for SeededChance {
    fn fill(&self, bytes: &mut [u8]) {
        use rand_core::Rng;
        let mut held = self.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        held.fill_bytes(bytes);
    }
}
