//! What can be recorded: one body a kind. Each is a CBOR array in the order of its members; members
//! that are absent at the end are left out, and members that a newer program added are passed over.

use minicbor::{Decode, Encode};

use crate::address::Address;
use crate::canonical::{self, Number};
use crate::id::{Digest, FactId, JobId, PersonId, VisitId};
use crate::refusal::Refusal;
use crate::value::{Measured, Moment, Position, Value};

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
                /// Its canonical bytes.
                bytes: Vec<u8>,
            },
        }

        /// The names of all kinds known here.
        pub const KINDS: &[&str] = &[$($code),*];

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
                    Self::Unknown { .. } => false,
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

            /// Reads a body of the named kind.
            ///
            /// # Errors
            /// [`Refusal::NotCanonical`], or [`Refusal::Unreadable`] for a known kind whose members
            /// do not fit.
            pub fn decode(kind: &str, bytes: &[u8]) -> Result<Self, Refusal> {
                match kind {
                    $($code => canonical::decode($code, bytes).map(Self::$name),)*
                    _ => {
                        canonical::check(bytes)?;
                        Ok(Self::Unknown { kind: kind.to_owned(), bytes: bytes.to_vec() })
                    }
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

/// A job begins: one house, one new stove.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct JobOpened {
    /// What people call the job.
    #[n(0)]
    pub label: String,
    /// The house's address, a line each.
    #[n(1)]
    pub address: Vec<String>,
    /// The site's time zone, as in the IANA database.
    #[n(2)]
    pub zone: String,
    /// Where the house stands, if known.
    #[n(3)]
    pub position: Option<Position>,
}

/// The job's rules, by hash, so that everybody reads the same ones.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct RulesPinned {
    /// The programme's id.
    #[n(0)]
    pub programme: String,
    /// SHA-256 of the programme file.
    #[n(1)]
    pub programme_digest: Digest,
    /// SHA-256 of the guide.
    #[n(2)]
    pub guide_digest: Digest,
    /// Why, when it is not the first pinning.
    #[n(3)]
    pub reason: Option<String>,
}

/// The same house, opened twice.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct JobLinked {
    /// The other job.
    #[n(0)]
    pub other: JobId,
    /// How it was noticed.
    #[n(1)]
    pub reason: String,
}

/// The job rests, goes on, goes to another crew, or ends without a claim.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct JobMoved {
    /// `paused`, `resumed`, `handed_over` or `cancelled`.
    #[n(0)]
    pub to: String,
    /// Why.
    #[n(1)]
    pub reason: String,
    /// What was done to leave the house safe.
    #[n(2)]
    pub left_safe: Vec<String>,
}

/// A moment of a visit. A visit is several of these with one id.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Visit {
    /// Which visit.
    #[n(0)]
    pub visit: VisitId,
    /// What it is for: `survey`, `day_1`, `inspector` ...
    #[n(1)]
    pub sort: String,
    /// `arrived`, `paused`, `resumed` or `left`.
    #[n(2)]
    pub moment: String,
    /// Who is there.
    #[n(3)]
    pub people: Vec<PersonId>,
    /// The weather in words.
    #[n(4)]
    pub weather: Option<String>,
    /// The instruments in use, with the date of their calibration where there is one.
    #[n(5)]
    pub instruments: Vec<Instrument>,
    /// What was done to leave the house safe, when pausing.
    #[n(6)]
    pub left_safe: Vec<String>,
    /// When, if not at entry.
    #[n(7)]
    pub at: Option<Moment>,
}

/// An instrument as used on a visit.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Instrument {
    /// Its name and number.
    #[n(0)]
    pub name: String,
    /// `YYYY-MM-DD`.
    #[n(1)]
    pub calibrated: Option<String>,
}

/// An ask was answered.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Answered {
    /// Of what.
    #[n(0)]
    pub address: Address,
    /// With what.
    #[n(1)]
    pub value: Value,
    /// How it came about.
    #[n(2)]
    pub measured: Measured,
    /// On which visit.
    #[n(3)]
    pub visit: Option<VisitId>,
}

/// One more, or one fewer, of what there are several of.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Instance {
    /// The whole path to it; the ask is empty.
    #[n(0)]
    pub address: Address,
    /// There, or taken away.
    #[n(1)]
    pub there: bool,
    /// What people call it.
    #[n(2)]
    pub name: Option<String>,
}

/// A file kept byte for byte, named by its content.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Original {
    /// SHA-256 of its bytes.
    #[n(0)]
    pub digest: Digest,
    /// Its length in bytes.
    #[n(1)]
    pub bytes: u64,
    /// Its media type: `image/jpeg`, `application/pdf` ...
    #[n(2)]
    pub media_type: String,
    /// What it was called, without its folder.
    #[n(3)]
    pub name: String,
}

/// The time in a photograph's own metadata.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct PhotoTime {
    /// `YYYY-MM-DDTHH:MM:SS`, as the camera wrote it.
    #[n(0)]
    pub local: String,
    /// Minutes east of UTC, where the camera wrote that too.
    #[n(1)]
    pub offset_min: Option<i16>,
}

/// How good a photograph is, as judged at intake by a named version of the rules.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Grade {
    /// The grade's code.
    #[n(0)]
    pub code: String,
    /// The version of the grading rules.
    #[n(1)]
    pub version: u32,
    /// The codes of the reasons, with their figures.
    #[n(2)]
    pub reasons: Vec<String>,
    /// What the person said who could do no better.
    #[n(3)]
    pub best_i_can: Option<String>,
}

/// A photograph was taken.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct PhotoTaken {
    /// For which ask.
    #[n(0)]
    pub address: Address,
    /// The file.
    #[n(1)]
    pub original: Original,
    /// A smaller picture made at intake.
    #[n(2)]
    pub preview: Option<Original>,
    /// Width in pixels, upright.
    #[n(3)]
    pub width: u32,
    /// Height in pixels, upright.
    #[n(4)]
    pub height: u32,
    /// The time in its metadata.
    #[n(5)]
    pub taken: Option<PhotoTime>,
    /// The place in its metadata.
    #[n(6)]
    pub position: Option<Position>,
    /// The place that the phone itself told at intake.
    #[n(7)]
    pub phone_position: Option<Position>,
    /// The metadata's orientation, 1 to 8.
    #[n(8)]
    pub orientation: u8,
    /// The grade given at intake.
    #[n(9)]
    pub grade: Option<Grade>,
    /// A perceptual fingerprint.
    #[n(10)]
    pub fingerprint: Option<u64>,
    /// What tags were read in it.
    #[n(11)]
    pub tags: Vec<String>,
    /// On which visit.
    #[n(12)]
    pub visit: Option<VisitId>,
}

/// A document was added.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct PaperAdded {
    /// For which ask.
    #[n(0)]
    pub address: Address,
    /// The file.
    #[n(1)]
    pub original: Original,
    /// How many pages, where that could be told.
    #[n(2)]
    pub pages: Option<u32>,
    /// A picture of the first page.
    #[n(3)]
    pub preview: Option<Original>,
    /// On which visit.
    #[n(4)]
    pub visit: Option<VisitId>,
}

/// A point of a signature's stroke.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct StrokePoint {
    /// Across, in thousandths of the pad's width.
    #[n(0)]
    pub x: i32,
    /// Down, in thousandths of the pad's width.
    #[n(1)]
    pub y: i32,
    /// Milliseconds since the first touch.
    #[n(2)]
    pub ms: u32,
    /// Pressure in thousandths, where the pad tells it.
    #[n(3)]
    pub pressure: Option<u16>,
}

/// A person signed, declined to, or signed on paper.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Signed {
    /// For which ask.
    #[n(0)]
    pub address: Address,
    /// `signed`, `declined` or `on_paper`.
    #[n(1)]
    pub act: String,
    /// In what role: `owner`, `renter`, `fitter` ...
    #[n(2)]
    pub role: String,
    /// The name as given.
    #[n(3)]
    pub name: String,
    /// The words as shown, in the language shown.
    #[n(4)]
    pub words: String,
    /// That language, as BCP 47.
    #[n(5)]
    pub language: String,
    /// The version of the consent words.
    #[n(6)]
    pub consent_version: u32,
    /// The drawn strokes.
    #[n(7)]
    pub strokes: Vec<Vec<StrokePoint>>,
    /// The facts it covers.
    #[n(8)]
    pub covers: Vec<FactId>,
    /// SHA-256 of the summary as shown.
    #[n(9)]
    pub summary_digest: Digest,
    /// Where, if the signer allowed it.
    #[n(10)]
    pub position: Option<Position>,
    /// Whether a copy was handed over.
    #[n(11)]
    pub copy_given: Option<bool>,
    /// On which visit.
    #[n(12)]
    pub visit: Option<VisitId>,
}

/// A table or book and which edition of it a reckoning used.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Edition {
    /// What was used.
    #[n(0)]
    pub of: String,
    /// Which edition.
    #[n(1)]
    pub edition: String,
}

/// A reckoning's inputs and result, as relied upon.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct FiguresKept {
    /// The reckoning's name.
    #[n(0)]
    pub reckoning: String,
    /// Of which of several, if so; the ask is the reckoning's place in the guide.
    #[n(1)]
    pub address: Address,
    /// The input, as JSON.
    #[n(2)]
    pub input: String,
    /// The result, as JSON.
    #[n(3)]
    pub result: String,
    /// The editions behind it.
    #[n(4)]
    pub editions: Vec<Edition>,
    /// The facts that the input was read from.
    #[n(5)]
    pub from: Vec<FactId>,
}

/// Mistaken entries taken back.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct StruckOut {
    /// Which.
    #[n(0)]
    pub facts: Vec<FactId>,
    /// Why.
    #[n(1)]
    pub reason: String,
}

/// A disagreement decided. The envelope's `replaces` names what it settles.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Agreed {
    /// Of what.
    #[n(0)]
    pub address: Address,
    /// The value that holds.
    #[n(1)]
    pub value: Value,
    /// Why.
    #[n(2)]
    pub reason: String,
    /// How it was typed.
    #[n(3)]
    pub measured: Measured,
}

/// Words for the next reader.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Noted {
    /// About which ask, if one.
    #[n(0)]
    pub about: Option<Address>,
    /// The words.
    #[n(1)]
    pub text: String,
}

/// A person takes part in the job.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Assigned {
    /// Who.
    #[n(0)]
    pub person: PersonId,
    /// The name.
    #[n(1)]
    pub name: String,
    /// The role: `lead`, `installer`, `fitter`, `sweep`, `office`, `owner` ...
    #[n(2)]
    pub role: String,
    /// The licence's number.
    #[n(3)]
    pub licence: Option<String>,
    /// The licence's last valid day.
    #[n(4)]
    pub licence_until: Option<String>,
}

/// A stop was lifted.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct StopLifted {
    /// The stop's code.
    #[n(0)]
    pub stop: String,
    /// By whom: the authority, the laboratory, the maker ...
    #[n(1)]
    pub by: String,
    /// On what it rests.
    #[n(2)]
    pub evidence: Vec<FactId>,
    /// Why.
    #[n(3)]
    pub reason: String,
    /// About which of several.
    #[n(4)]
    pub address: Option<Address>,
}

/// A payload was dropped.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct Erased {
    /// Whose payload.
    #[n(0)]
    pub fact: FactId,
    /// Why.
    #[n(1)]
    pub reason: String,
    /// The original that was dropped with it, if any.
    #[n(2)]
    pub original: Option<Digest>,
}

/// A move of the claim at the programme.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct ClaimMoved {
    /// `sent`, `received`, `queried`, `answered`, `short_paid`, `refused` or `paid`.
    #[n(0)]
    pub to: String,
    /// The date on paper, `YYYY-MM-DD`.
    #[n(1)]
    pub on: String,
    /// Which pack, by its id.
    #[n(2)]
    pub pack: Option<Digest>,
    /// Which sending this is about, counted from 1.
    #[n(3)]
    pub version: u32,
    /// The query, the answer, the reason, the payment's reference.
    #[n(4)]
    pub text: Option<String>,
    /// What was paid, as a decimal.
    #[n(5)]
    pub amount: Option<String>,
    /// ISO 4217.
    #[n(6)]
    pub currency: Option<String>,
}

/// Something of the business's own library.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct LibraryKept {
    /// `person`, `licence`, `insurance`, `instrument`, `model`, `stock`, `programme`, `business` ...
    #[n(0)]
    pub sort: String,
    /// Its id within the sort.
    #[n(1)]
    pub id: String,
    /// Its content, as JSON (a programme: its file's text).
    #[n(2)]
    pub content: String,
    /// Taken off the shelf.
    #[n(3)]
    pub gone: bool,
}

/// A device's certificate, as the business signed it.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct DeviceCertified {
    /// The certificate's bytes.
    #[cbor(n(0), with = "minicbor::bytes")]
    pub certificate: Vec<u8>,
}

/// A device's facts are no longer taken.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
pub struct DeviceRevoked {
    /// Which device.
    #[n(0)]
    pub device: crate::id::DeviceId,
    /// Why.
    #[n(1)]
    pub reason: String,
}

impl Body {
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
            Self::Noted(body) => body.about.as_ref(),
            _ => None,
        }
    }

    /// The originals that the fact names.
    #[must_use]
    pub fn originals(&self) -> Vec<&Original> {
        match self {
            Self::PhotoTaken(body) => std::iter::once(&body.original).chain(&body.preview).collect(),
            Self::PaperAdded(body) => std::iter::once(&body.original).chain(&body.preview).collect(),
            _ => Vec::new(),
        }
    }
}

impl Position {
    /// A place by degrees; `None` when they are not on the earth.
    #[must_use]
    pub fn new(latitude: f64, longitude: f64, error_m: Option<f64>) -> Option<Self> {
        let on_earth = (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude);
        let error_fits = error_m.is_none_or(|error| error.is_finite() && error >= 0.0);
        (on_earth && error_fits).then_some(Self {
            latitude: Number(latitude),
            longitude: Number(longitude),
            error_m: error_m.map(Number),
        })
    }
}
