//! Facts, their canonical bytes, hashes and signatures, and the folding of facts into a job.
//!
//! Invariant: folding is a pure function of the set of facts; order and duplicates change nothing.
//!
//! A [`Fact`] is an [`Envelope`] (who, where, when, after what), a signature over it, and a
//! [`Payload`] (what was recorded) that lies beside it and can be dropped without breaking the chain.
//! [`Facts`] is a set of them; [`fold`] makes a [`Job`] of the set. `fixtures/formats` describes every
//! byte; what breaks a rule there can neither be written nor read here.

mod address;
mod arrival;
mod body;
mod calendar;
pub mod canonical;
mod causality;
mod certificate;
mod clock;
mod envelope;
mod fact;
mod facts;
mod fold;
mod id;
pub mod json;
pub mod limits;
mod payload;
mod readable;
mod refusal;
mod rules;
mod strikes;
mod tag;
mod value;
mod value_form;

pub use address::{Address, NoAddress, Place};
pub use arrival::{ArrivalRecord, OfficeArrival, OfficeArrivals};
pub use body::*;
pub use calendar::{is_date, local_text};
pub use causality::{Causality, Order};
pub use certificate::{Certificate, Fingerprint, Trust};
pub use clock::{Clock, Stamp};
pub use envelope::{ALGORITHM_ED25519, ENVELOPE_VERSION, Envelope, Seen};
pub use fact::{Draft, Fact, Keeper};
pub use facts::{Facts, Gap};
pub use fold::{Entry, Held, Job, fold};
pub use id::{
    BusinessId, Chain, DeviceId, Digest, FactId, JobId, OfficeEpoch, PersonId, Stream, VisitId, digest_of,
};
pub use limits::MAX_FACT_BYTES;
pub use payload::{Payload, SALT_BYTES};
pub use readable::readable;
pub use refusal::Refusal;
pub use tag::TagRead;
pub use value::{Measured, Moment, Position, UnknownValue, Value};
