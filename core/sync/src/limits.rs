//! Every bound of the exchange, by name. `fixtures/formats/exchange.md` states the same numbers.

/// The most bytes of a request or reply; raw bytes of an original come on top.
pub const MAX_MESSAGE_BYTES: usize = 1024 * 1024;
/// The most raw bytes of an original in one request or reply.
pub const MAX_PIECE_BYTES: usize = 1024 * 1024;
/// The most bytes of facts in one request or reply, unless a single fact is longer.
pub const MAX_BATCH_BYTES: usize = 512 * 1024;
/// The most facts in one request or reply.
pub const MAX_BATCH_FACTS: usize = 500;
/// The most ids in one list of a request: facts held, facts wanted.
pub const MAX_IDS: usize = 1_000;
/// The most originals that one request asks about.
pub const MAX_ORIGINALS_ASKED: usize = 32;
/// The longest name of a device.
pub const MAX_NAME_BYTES: usize = 200;
/// The longest reason of a refusal.
pub const MAX_REASON_BYTES: usize = 400;
/// The most facts of one device that are kept apart.
pub const MAX_ASIDE_FACTS: u64 = 20_000;

/// How long a request may take, in milliseconds, before the phone gives it up.
pub const PATIENCE_MS: u64 = 60_000;
/// The first wait after a failure.
pub const FIRST_WAIT_MS: u64 = 1_000;
/// The longest wait after failures.
pub const LONGEST_WAIT_MS: u64 = 15 * 60_000;
/// How long a phone that has nothing to send waits before it asks again.
pub const IDLE_MS: u64 = 10 * 60_000;
/// The smallest batch or piece, after failures.
pub const LEAST_BYTES: usize = 8 * 1024;
/// How often an original may come out wrong before it is set aside for this run.
pub const MAX_WRONG: u32 = 3;
