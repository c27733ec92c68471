use minicbor::{Decode, Encode};
use wythe_job::{BusinessId, Digest, FactId, OfficeEpoch, PersonId};

use super::{Bounded, Bytes, WireFault, fits_batch, read, write};
use crate::cursor::Cursor;
use crate::limits::{MAX_IDS, MAX_ORIGINALS_ASKED, MAX_PIECE_BYTES, MAX_REASON_BYTES};

/// What the office answers.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub enum Reply {
    /// Taken in.
    #[n(0)]
    Enrolled(#[n(0)] Enrolled),
    /// The key is taken, or known again.
    #[n(1)]
    Renewed(#[n(0)] Renewed),
    /// Facts both ways.
    #[n(2)]
    Exchanged(#[n(0)] Exchanged),
    /// How much of an original the office has now.
    #[n(3)]
    Held(#[n(0)] HeldSoFar),
    /// Bytes of an original, which follow the message.
    #[n(4)]
    Fetched(#[n(0)] Fetched),
    /// Refused. This form stays the same in every version.
    #[n(15)]
    Refused(#[n(0)] Refused),
}

/// What a phone that was taken in is told.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
pub struct Enrolled {
    /// The business.
    #[n(0)]
    pub business: BusinessId,
    /// Its name.
    #[n(1)]
    pub business_name: String,
    /// The phone's certificate.
    #[cbor(n(2), with = "minicbor::bytes")]
    pub certificate: Vec<u8>,
    /// The office's own.
    #[cbor(n(3), with = "minicbor::bytes")]
    pub office_certificate: Vec<u8>,
    /// Whose phone it is.
    #[n(4)]
    pub person: PersonId,
}

/// What a phone with a new key is told.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
pub struct Renewed {
    /// The certificate to go on with.
    #[cbor(n(0), with = "minicbor::bytes")]
    pub certificate: Vec<u8>,
    /// The office's own.
    #[cbor(n(1), with = "minicbor::bytes")]
    pub office_certificate: Vec<u8>,
}

/// The answer to facts, with facts.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Exchanged {
    /// The office's epoch. Another than the request's: offer again.
    #[n(0)]
    pub office: OfficeEpoch,
    /// Whether the phone still belongs.
    #[n(1)]
    pub standing: Standing,
    /// What became of the facts that were sent.
    #[n(2)]
    pub taken: Taken,
    /// Which of the facts held the office lacks.
    #[n(3)]
    pub lacking: Vec<FactId>,
    /// How much it has of the originals asked about, in the order of the request.
    #[n(4)]
    pub originals: Vec<HeldSoFar>,
    /// Facts for the phone, as they are carried.
    #[n(5)]
    pub facts: Vec<Bytes>,
    /// Facts that the phone wanted again.
    #[n(6)]
    pub again: Vec<Bytes>,
    /// Where the phone is when it has them.
    #[n(7)]
    pub cursor: Cursor,
    /// Whether there are more.
    #[n(8)]
    pub more: bool,
}

/// Whether a phone belongs to its business.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
#[cbor(index_only)]
pub enum Standing {
    /// It does.
    #[n(0)]
    InOrder,
    /// It was revoked: what it still sends is kept apart, and it is given nothing.
    #[n(1)]
    Revoked,
}

/// What became of the facts that a phone sent. Each is one of: in the record, known before, kept
/// apart, not taken.
#[derive(Debug, Clone, Default, PartialEq, Eq, Encode, Decode)]
pub struct Taken {
    /// Places in the request of those that the office had before.
    #[n(0)]
    pub known: Vec<u32>,
    /// Places of those that are kept apart until somebody in the office decides.
    #[n(1)]
    pub aside: Vec<u32>,
    /// Those that were not taken.
    #[n(2)]
    pub refused: Vec<NotTaken>,
    /// The office's arrival record of all others, in the order of the request; none when there are none.
    #[n(3)]
    pub record: Option<Bytes>,
}

/// A fact that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
pub struct NotTaken {
    /// Its place in the request.
    #[n(0)]
    pub place: u32,
    /// The reason's stable code.
    #[n(1)]
    pub code: String,
}

/// How much of an original the office has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
pub struct HeldSoFar {
    /// So many bytes from its beginning.
    #[n(0)]
    pub bytes: u64,
    /// Whether it is whole, its hash was checked, and it lasts: the receipt.
    #[n(1)]
    pub safe: bool,
    /// Why it is not taken, when it is not.
    #[n(2)]
    pub refused: Option<Code>,
}

/// Bytes of an original. They follow the message.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
pub struct Fetched {
    /// The original.
    #[n(0)]
    pub digest: Digest,
    /// Its length.
    #[n(1)]
    pub bytes: u64,
    /// The place of the first byte that follows.
    #[n(2)]
    pub at: u64,
    /// How many follow.
    #[n(3)]
    pub length: u32,
}

/// Why the office did not do what was asked.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
pub struct Refused {
    /// What kind of reason.
    #[n(0)]
    pub code: Code,
    /// In words, for whoever is called for help; no personal data.
    #[n(1)]
    pub reason: String,
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $number:literal, $text:literal, $status:literal;)*) => {
        /// The kind of a refusal. Numbers are never used twice.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Code {
            $($(#[$doc])* $name,)*
            /// One that a newer office knows.
            Other(u32),
        }

        impl Code {
            /// All kinds known here.
            pub const ALL: &[Self] = &[$(Self::$name),*];

            /// Its number in messages.
            #[must_use]
            pub fn number(self) -> u32 {
                match self {
                    $(Self::$name => $number,)*
                    Self::Other(number) => number,
                }
            }

            /// The kind with a number.
            #[must_use]
            pub fn of(number: u32) -> Self {
                match number {
                    $($number => Self::$name,)*
                    other => Self::Other(other),
                }
            }

            /// Its stable name.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$name => $text,)*
                    Self::Other(_) => "refused",
                }
            }

            /// The status of HTTP (RFC 9110) that goes with it.
            #[must_use]
            pub fn status(self) -> u16 {
                match self {
                    $(Self::$name => $status,)*
                    Self::Other(_) => 400,
                }
            }
        }
    };
}

codes! {
    /// No message.
    Unreadable = 1, "unreadable", 400;
    /// A version of the exchange that the office does not know.
    UnknownVersion = 2, "unknown_version", 400;
    /// Too long, or too many.
    OutOfBounds = 3, "out_of_bounds", 413;
    /// No token, or one that the office does not know.
    UnknownToken = 4, "unknown_token", 401;
    /// The token is another business's, or another phone's.
    NotYours = 5, "not_yours", 403;
    /// The phone was revoked.
    Revoked = 6, "revoked", 403;
    /// The one-time code is unknown, used, or past its time.
    BadCode = 7, "bad_code", 403;
    /// The keys were not proven, or a certificate is none of this business.
    BadProof = 8, "bad_proof", 403;
    /// No fact that the office has names this original.
    NotNamed = 9, "not_named", 409;
    /// The original has another length than the fact says.
    OtherLength = 10, "other_length", 409;
    /// All bytes came, and they are not the original: it begins anew.
    WrongBytes = 11, "wrong_bytes", 422;
    /// The office does not have it yet.
    NotHere = 12, "not_here", 404;
    /// Something in the office does not work for now, or is full.
    TryLater = 13, "try_later", 503;
}

impl<C> Encode<C> for Code {
    fn encode<W: minicbor::encode::Write>(
        &self,
        e: &mut minicbor::Encoder<W>,
        _: &mut C,
    ) -> Result<(), minicbor::encode::Error<W::Error>> {
        e.u32(self.number())?.ok()
    }
}

impl<'b, C> Decode<'b, C> for Code {
    fn decode(d: &mut minicbor::Decoder<'b>, _: &mut C) -> Result<Self, minicbor::decode::Error> {
        Ok(Self::of(d.u32()?))
    }
}

impl Reply {
    /// The message's bytes.
    #[must_use]
    pub fn encode(&self) -> Vec<u8> {
        write(self)
    }

    /// Reads a message, and gives the raw bytes that follow it: those of a fetched piece.
    ///
    /// # Errors
    /// [`WireFault`].
    pub fn decode(bytes: &[u8]) -> Result<(Self, &[u8]), WireFault> {
        let (reply, rest) = read::<Self>(bytes)?;
        let most = match &reply {
            Self::Fetched(fetched) => usize::try_from(fetched.length).unwrap_or(usize::MAX),
            _ => 0,
        };
        if rest.len() > most {
            return Err(WireFault::OutOfBounds("what follows"));
        }
        Ok((reply, rest))
    }

    /// A refusal.
    #[must_use]
    pub fn refused(code: Code, reason: impl Into<String>) -> Self {
        let mut reason: String = reason.into();
        while reason.len() > MAX_REASON_BYTES {
            reason.pop();
        }
        Self::Refused(Refused { code, reason })
    }
}

impl Bounded for Reply {
    fn out_of_bounds(&self) -> Option<&'static str> {
        let fits = |fits: bool, member| (!fits).then_some(member);
        match self {
            Self::Exchanged(it) => fits(fits_batch(&it.facts), "the batch of facts")
                .or_else(|| fits(fits_batch(&it.again), "the batch of facts wanted"))
                .or_else(|| fits(it.lacking.len() <= MAX_IDS, "the list of facts lacking"))
                .or_else(|| fits(it.originals.len() <= MAX_ORIGINALS_ASKED, "the list of originals")),
            Self::Fetched(it) => {
                let length = usize::try_from(it.length).unwrap_or(usize::MAX);
                let end = it.at.saturating_add(u64::from(it.length));
                fits(length <= MAX_PIECE_BYTES && end <= it.bytes, "the piece")
            }
            Self::Refused(it) => fits(it.reason.len() <= MAX_REASON_BYTES, "the reason"),
            Self::Enrolled(_) | Self::Renewed(_) | Self::Held(_) => None,
        }
    }
}
