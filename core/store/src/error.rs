use wythe_job::{BusinessId, Digest, FactId, Refusal};

/// Why the store could not do what was asked. Each has a stable code.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Another process has this store open.
    #[error("another program has this store open; close it there and try again")]
    InUse,
    /// The store was paused; nothing is read or written until it goes on.
    #[error("the store rests while the app is in the background; it goes on when the app is shown again")]
    Paused,
    /// A newer program wrote the file.
    #[error(
        "the store was written by a newer Wythe (its form is {found}, this one knows {known}); update this one"
    )]
    Newer {
        /// The form found.
        found: i64,
        /// The newest form known here.
        known: i64,
    },
    /// The file does not hold what was written to it.
    #[error("the store's file is damaged ({what}); open it again: readable facts are saved from it")]
    Damaged {
        /// Where it was noticed.
        what: String,
    },
    /// No room on the disk.
    #[error("there is no room left on this device; free some, then do it again: nothing is lost")]
    NoSpace,
    /// The disk or the operating system refused.
    #[error("{what} did not work: {source}; try again")]
    Disk {
        /// What was being done.
        what: &'static str,
        /// The operating system's words.
        #[source]
        source: std::io::Error,
    },
    /// SQLite refused.
    #[error("the store's database did not take it: {0}; try again")]
    Database(String),
    /// The SQLite linked here has known faults.
    #[error("SQLite {found} is older than {least}; build with a newer one")]
    OldSqlite {
        /// Found.
        found: i32,
        /// The oldest taken.
        least: i32,
    },
    /// A fact of another business: everything in a store belongs to exactly one.
    #[error("fact {fact} belongs to business {found}; this store is of {expected}")]
    OtherBusiness {
        /// The fact.
        fact: FactId,
        /// Its business.
        found: BusinessId,
        /// The store's.
        expected: BusinessId,
    },
    /// Bytes that are no fact.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A fact recorded here names an original that is not here.
    #[error("fact {fact} names original {digest}, which is not here; put the file first")]
    OriginalMissing {
        /// The fact.
        fact: FactId,
        /// The original.
        digest: Digest,
    },
    /// An original that is not here, or not yet whole.
    #[error("original {0} is not on this device; fetch it from the office")]
    NoOriginal(Digest),
    /// The bytes of an original are not those its name says.
    #[error("original {0} does not hold the bytes that were recorded; fetch it again from the office")]
    OriginalDamaged(Digest),
    /// An original larger than any that is taken.
    #[error("the file is larger than {limit} bytes; add a smaller one")]
    OriginalTooLong {
        /// The most bytes taken.
        limit: u64,
    },
    /// Bytes of an original that do not follow those already here.
    #[error("the next byte wanted of original {digest} is {wanted}, not {found}; send from there")]
    OutOfPlace {
        /// The original.
        digest: Digest,
        /// The next byte wanted.
        wanted: u64,
        /// The first byte that was sent.
        found: u64,
    },
    /// An original or fact that the office has not yet acknowledged.
    #[error("original {0} is not yet safe at the office; it stays on this device until it is")]
    NotYetSafe(Digest),
    /// A fact that was to erase and says nothing of the kind.
    #[error("fact {0} is no erasure")]
    NoErasure(FactId),
    /// The fact to erase is not here, or of another stream.
    #[error("fact {0} is not in this job; there is nothing to erase")]
    NothingToErase(FactId),
    /// Erasures themselves are never erased.
    #[error("fact {0} records an erasure; those stay")]
    NotErasable(FactId),
    /// A device keeps the epochs it had.
    #[error("epoch {found} of this device does not follow its epoch {held}; take the next one")]
    OldEpoch {
        /// Held.
        held: u32,
        /// Offered.
        found: u32,
    },
}

impl StoreError {
    /// The stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::InUse => "store_in_use",
            Self::Paused => "store_paused",
            Self::Newer { .. } => "store_newer",
            Self::Damaged { .. } => "store_damaged",
            Self::NoSpace => "no_space",
            Self::Disk { .. } => "disk",
            Self::Database(_) => "database",
            Self::OldSqlite { .. } => "old_sqlite",
            Self::OtherBusiness { .. } => "other_business",
            Self::Refused(refusal) => refusal.code(),
            Self::OriginalMissing { .. } => "original_missing",
            Self::NoOriginal(_) => "no_original",
            Self::OriginalDamaged(_) => "original_damaged",
            Self::OriginalTooLong { .. } => "original_too_long",
            Self::OutOfPlace { .. } => "out_of_place",
            Self::NotYetSafe(_) => "not_yet_safe",
            Self::NoErasure(_) => "no_erasure",
            Self::NothingToErase(_) => "nothing_to_erase",
            Self::NotErasable(_) => "not_erasable",
            Self::OldEpoch { .. } => "old_epoch",
        }
    }

    /// An error of the operating system while doing `what`.
    #[must_use]
    pub fn disk(what: &'static str, source: std::io::Error) -> Self {
        match source.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => Self::NoSpace,
            _ => Self::Disk { what, source },
        }
    }

    pub(crate) fn damaged(what: impl Into<String>) -> Self {
        Self::Damaged { what: what.into() }
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode::{
            DatabaseBusy, DatabaseCorrupt, DatabaseLocked, DiskFull, NotADatabase, SystemIoFailure,
        };
        match error.sqlite_error_code() {
            Some(DiskFull) => Self::NoSpace,
            Some(DatabaseCorrupt | NotADatabase) => Self::damaged(error.to_string()),
            Some(SystemIoFailure) => Self::Disk {
                what: "reading or writing the store's file",
                source: std::io::Error::other(error.to_string()),
            },
            Some(DatabaseBusy | DatabaseLocked) => Self::InUse,
            _ => Self::Database(error.to_string()),
        }
    }
}
