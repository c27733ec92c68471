//! What can be recorded: one body a kind. Each is a CBOR array in the order of its members; members
//! that are absent at the end are left out, and members that a newer program added are passed over.

mod answer;
mod business;
mod claim;
mod figures;
mod file;
mod job;
mod signature;
mod visit;

pub use answer::{Agreed, Answered, Instance, Noted, StruckOut};
pub use business::{DeviceCertified, DeviceRevoked, LibraryKept};
pub use claim::{ClaimMoved, Erased, StopLifted};
pub use figures::{Edition, FiguresKept};
pub use file::{Grade, Original, PaperAdded, PhotoTaken, PhotoTime};
pub use job::{Assigned, JobLinked, JobMoved, JobOpened, RulesPinned};
pub use signature::{Signed, StrokePoint};
pub use visit::{Instrument, Visit};

use crate::address::Address;
use crate::canonical;
use crate::id::FactId;
use crate::refusal::Refusal;
use crate::rules::Rules;

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident = $code:literal, critical $critical:literal;)*) => {
        /// The content of a fact.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Body {
            $($(#[$doc])* $name($name),)*
            /// A kind that a newer program knows: kept and carried as it is.
            Unknown {
                /// Its name.
                kind: String,
                /// Whether a program that does not know it must not sign off.
                critical: bool,
                /// Its canonical bytes.
                bytes: Vec<u8>,
            },
        }

        /// The names of all kinds known here.
        pub const KINDS: &[&str] = &[$($code),*];

        /// Whether a kind known here is critical; `None` for another.
        #[must_use]
        pub fn is_critical(kind: &str) -> Option<bool> {
            match kind {
                $($code => Some($critical),)*
                _ => None,
            }
        }

        impl Body {
            /// The kind's name, as the envelope carries it.
            #[must_use]
            pub fn kind(&self) -> &str {
                match self {
                    $(Self::$name(_) => $code,)*
                    Self::Unknown { kind, .. } => kind,
                }
            }

            /// Whether a program that does not know the kind must not sign off without it.
            #[must_use]
            pub fn critical(&self) -> bool {
                match self {
                    $(Self::$name(_) => $critical,)*
                    Self::Unknown { critical, .. } => *critical,
                }
            }

            /// The canonical bytes of the body.
            #[must_use]
            pub fn encode(&self) -> Vec<u8> {
                match self {
                    $(Self::$name(body) => canonical::encode(body),)*
                    Self::Unknown { bytes, .. } => bytes.clone(),
                }
            }

            /// Checks the rules of the kind.
            ///
            /// # Errors
            /// [`Refusal::BreaksRule`].
            pub fn check(&self) -> Result<(), Refusal> {
                match self {
                    $(Self::$name(body) => body.keeps().map_err(|broken| Refusal::BreaksRule {
                        what: $code,
                        member: broken.member,
                        why: broken.why,
                    }),)*
                    Self::Unknown { .. } => Ok(()),
                }
            }

            /// Reads a body whose bytes were checked before.
            pub(crate) fn read(kind: &str, critical: bool, bytes: &[u8]) -> Result<Self, Refusal> {
                match kind {
                    $($code => minicbor::decode(bytes).map(Self::$name).map_err(|why| {
                        Refusal::Unreadable { what: $code, why: why.to_string() }
                    }),)*
                    _ => Ok(Self::Unknown {
                        kind: kind.to_owned(),
                        critical,
                        bytes: bytes.to_vec(),
                    }),
                }
            }

            /// The body as JSON: an object of its members, absent ones `null`.
            pub(crate) fn to_json(&self) -> serde_json::Value {
                match self {
                    $(Self::$name(body) => serde_json::to_value(body).unwrap_or_default(),)*
                    Self::Unknown { bytes, .. } => serde_json::json!({ "cbor": hex::encode(bytes) }),
                }
            }
        }

        $(impl From<$name> for Body {
            fn from(body: $name) -> Self {
                Self::$name(body)
            }
        })*
    };
}

kinds! {
    /// A job begins.
    JobOpened = "job_opened", critical false;
    /// The job's programme and guide, by hash.
    RulesPinned = "rules_pinned", critical true;
    /// The same house was opened twice.
    JobLinked = "job_linked", critical false;
    /// The job rests, goes on, or ends without a claim.
    JobMoved = "job_moved", critical true;
    /// A visit's moments.
    Visit = "visit", critical false;
    /// An ask was answered.
    Answered = "answered", critical false;
    /// One more, or one fewer, of what there are several of.
    Instance = "instance", critical false;
    /// A photograph was taken.
    PhotoTaken = "photo_taken", critical false;
    /// A document was added.
    PaperAdded = "paper_added", critical false;
    /// A person signed, declined, or signed on paper.
    Signed = "signed", critical false;
    /// A reckoning's result, as relied upon.
    FiguresKept = "figures_kept", critical false;
    /// Mistaken entries taken back.
    StruckOut = "struck_out", critical true;
    /// A disagreement decided by a named person.
    Agreed = "agreed", critical true;
    /// Words for the next reader.
    Noted = "noted", critical false;
    /// A person takes part in the job.
    Assigned = "assigned", critical false;
    /// A stop was lifted by whoever may lift it.
    StopLifted = "stop_lifted", critical true;
    /// A payload was dropped, and why.
    Erased = "erased", critical true;
    /// The claim's life at the programme.
    ClaimMoved = "claim_moved", critical false;
    /// Business stream: something of the business's own library.
    LibraryKept = "library_kept", critical false;
    /// Business stream: a device's certificate.
    DeviceCertified = "device_certified", critical true;
    /// Business stream: a device's facts are no longer taken.
    DeviceRevoked = "device_revoked", critical true;
}

/// Whether facts of a kind belong in the business's own stream and nowhere else.
#[must_use]
pub fn is_of_business_only(kind: &str) -> bool {
    matches!(kind, "library_kept" | "device_certified" | "device_revoked")
}

/// Whether the payload of a fact of this kind may be dropped. Strikes and erasures change how other
/// facts are read, so theirs must stay.
#[must_use]
pub fn may_be_erased(kind: &str) -> bool {
    !matches!(kind, "struck_out" | "erased")
}

impl Body {
    /// Reads a body of the named kind.
    ///
    /// # Errors
    /// [`Refusal::NotCanonical`], [`Refusal::Unreadable`] for a known kind whose members do not fit,
    /// or [`Refusal::BreaksRule`].
    pub fn decode(kind: &str, critical: bool, bytes: &[u8]) -> Result<Self, Refusal> {
        canonical::check(bytes)?;
        let body = Self::read(kind, critical, bytes)?;
        body.check()?;
        Ok(body)
    }

    /// The same body with its sets of facts in ascending order, each once, as the format wants them.
    #[must_use]
    pub fn in_order(mut self) -> Self {
        let sets: Option<&mut Vec<FactId>> = match &mut self {
            Self::Signed(body) => Some(&mut body.covers),
            Self::FiguresKept(body) => Some(&mut body.from),
            Self::StruckOut(body) => Some(&mut body.facts),
            Self::StopLifted(body) => Some(&mut body.evidence),
            _ => None,
        };
        if let Some(facts) = sets {
            facts.sort_unstable();
            facts.dedup();
        }
        self
    }

    /// The address that the fact is about, where it is about one.
    #[must_use]
    pub fn address(&self) -> Option<&Address> {
        match self {
            Self::Answered(body) => Some(&body.address),
            Self::Agreed(body) => Some(&body.address),
            Self::PhotoTaken(body) => Some(&body.address),
            Self::PaperAdded(body) => Some(&body.address),
            Self::Signed(body) => Some(&body.address),
            Self::FiguresKept(body) => Some(&body.address),
            Self::Instance(body) => Some(&body.address),
            Self::StopLifted(body) => body.address.as_ref(),
            Self::Noted(body) => body.about.as_ref(),
            _ => None,
        }
    }

    /// The originals that the fact names, previews too.
    #[must_use]
    pub fn originals(&self) -> Vec<&Original> {
        match self {
            Self::PhotoTaken(body) => std::iter::once(&body.original).chain(&body.preview).collect(),
            Self::PaperAdded(body) => std::iter::once(&body.original).chain(&body.preview).collect(),
            _ => Vec::new(),
        }
    }

    /// The file that the fact records; its preview is not one.
    #[must_use]
    pub fn original(&self) -> Option<&Original> {
        match self {
            Self::PhotoTaken(body) => Some(&body.original),
            Self::PaperAdded(body) => Some(&body.original),
            _ => None,
        }
    }
}
