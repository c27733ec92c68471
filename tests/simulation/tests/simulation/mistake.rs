//! Mistakes planted on purpose. They live in wrappers around the storage and the network of the
//! simulation: nothing of them is in what ships.

/// A mistake that somebody could make.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mistake {
    /// The office looks one place past the phone's cursor.
    SkippedCursor,
    /// The office does not look whether it has a fact already.
    DroppedDedupe,
    /// Numbers are taken outside the lock: a later one is seen before an earlier one.
    LostLock,
    /// The office acknowledges what it then does not commit.
    AcknowledgedBeforeCommit,
    /// The phone keeps its cursor before the facts that it passes.
    CursorBeforeFacts,
    /// The office gives a receipt without looking at the hash.
    ReceiptBeforeHash,
    /// What is kept apart is merged as well.
    QuarantineMerged,
    /// One business is given another's facts.
    WrongBusiness,
    /// The phone does not notice that the office was put back.
    EpochIgnored,
    /// The office, put back from a copy, goes on as if nothing had been.
    NoNewLife,
    /// The office says that it has one byte more than it has.
    ResumeOffByOne,
    /// The office does not look which jobs a phone was given.
    GrantsIgnored,
    /// A job that was taken from a phone is still given to it.
    WithdrawalIgnored,
    /// A code lets in more than one phone.
    CodeUsedTwice,
}

impl Mistake {
    pub const ALL: [Self; 14] = [
        Self::SkippedCursor,
        Self::DroppedDedupe,
        Self::LostLock,
        Self::AcknowledgedBeforeCommit,
        Self::CursorBeforeFacts,
        Self::ReceiptBeforeHash,
        Self::QuarantineMerged,
        Self::WrongBusiness,
        Self::EpochIgnored,
        Self::NoNewLife,
        Self::ResumeOffByOne,
        Self::GrantsIgnored,
        Self::WithdrawalIgnored,
        Self::CodeUsedTwice,
    ];
}
