//! What the phone owns, and how `app` asks for it.

use std::sync::Arc;

use wythe_app::job::{Moment, Position};
use wythe_app::{Chance, KeyBox as AppKeyBox, Services, TimeSource};

/// Wraps the device's key with the platform's key store, so that it lies on disk only wrapped.
/// Called from inside other calls: it must not call a `Field`.
#[uniffi::export(with_foreign)]
pub trait KeyBox: Send + Sync {
    /// Wraps a key of 32 bytes.
    fn wrap(&self, key: Vec<u8>) -> Vec<u8>;
    /// Opens what was wrapped; nothing when the box is another's.
    fn open(&self, wrapped: Vec<u8>) -> Option<Vec<u8>>;
}

/// A moment as the phone's clock shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct PhoneTime {
    /// Milliseconds since 1970 UTC.
    pub utc_ms: i64,
    /// Minutes by which local time is ahead of UTC.
    pub offset_min: i16,
}

/// The phone's clock. Called from inside other calls: it must not call a `Field`.
#[uniffi::export(with_foreign)]
pub trait PhoneClock: Send + Sync {
    /// Now.
    fn now(&self) -> PhoneTime;
}

/// Where the phone is.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Fix {
    /// Degrees north, -90 to 90.
    pub latitude: f64,
    /// Degrees east, -180 to 180.
    pub longitude: f64,
    /// The stated error in metres.
    pub error_m: Option<f64>,
}

/// Says where the phone is, if the person allows it. Asked before anything else is done.
#[uniffi::export(with_foreign)]
pub trait Locator: Send + Sync {
    /// The latest place that is good enough to keep with a photograph; nothing where there is none.
    fn here(&self) -> Option<Fix>;
}

/// Told whenever something was recorded. Called with nothing held: it may call the `Field`.
#[uniffi::export(with_foreign)]
pub trait ChangeSignal: Send + Sync {
    /// Something changed: of a job, by its id, or of the whole store.
    fn changed(&self, job: Option<String>);
}

struct TheirClock(Arc<dyn PhoneClock>);

impl TimeSource for TheirClock {
    fn now(&self) -> Moment {
        let now = self.0.now();
        Moment {
            utc_ms: now.utc_ms,
            offset_min: now.offset_min,
        }
    }
}

struct TheirBox(Arc<dyn KeyBox>);

impl AppKeyBox for TheirBox {
    fn wrap(&self, key: &[u8; 32]) -> Vec<u8> {
        self.0.wrap(key.to_vec())
    }

    fn open(&self, wrapped: &[u8]) -> Option<[u8; 32]> {
        self.0.open(wrapped.to_vec())?.try_into().ok()
    }
}

/// The machine's own source of chance.
struct MachineChance;

impl Chance for MachineChance {
    #[expect(
        clippy::expect_used,
        reason = "without chance there are no keys: going on would be worse"
    )]
    fn fill(&self, bytes: &mut [u8]) {
        getrandom::fill(bytes).expect("the machine gives no chance");
    }
}

pub(crate) fn services(keys: Arc<dyn KeyBox>, clock: Arc<dyn PhoneClock>) -> Services {
    Services {
        time: Box::new(TheirClock(clock)),
        chance: Box::new(MachineChance),
        keys: Box::new(TheirBox(keys)),
    }
}

pub(crate) fn position(fix: Fix) -> Option<Position> {
    Position::new(fix.latitude, fix.longitude, fix.error_m)
}
