//! The use cases of a phone, the office and the command line, over any log of facts.
//!
//! Invariant: nothing is acknowledged before the log has it; every refusal has a code and a way out.
//!
//! [`App`] is the one entry. What the platform owns comes in as [`Services`]. [`App::look`] gives a
//! [`Look`] at one job: folded, with its figures; from it come screens and readiness.

mod app;
mod begin;
mod carry;
mod claiming;
mod error;
mod exchange;
mod grading;
mod jobs;
mod listing;
mod look;
mod packing;
mod phone;
mod pictures;
mod pressing;
mod printing;
mod projector;
mod record;
mod rules;
mod services;
mod settings;
mod signing;
mod tags;
mod timing;
mod visiting;

pub use app::App;
pub use begin::{Enrolment, NewDevice};
pub use carry::{Carried, MAX_CARRY_BYTES};
pub use claiming::CLAIM_MOVES;
pub use error::{AppError, Told, became};
pub use exchange::{Exchanged, Line, LogStore};
pub use jobs::NewJob;
pub use listing::{JobLine, JobLines};
pub use look::Look;
pub use packing::{PackOptions, Packed, SOFTWARE};
pub use phone::{PHONE_SENTENCES, PHONE_WORDS, phone_sentence, phone_words, picture, stroke_of};
pub use pictures::{AddedPaper, AddedPhoto, PhotoOptions};
pub use pressing::{JobPage, JobRow, Standing};
pub use printing::PrintedPaper;
pub use projector::JobProjector;
pub use record::{Recorded, Recording};
pub use rules::RulesShown;
pub use services::{Chance, KeyBox, OpenBox, SeededChance, Services, TimeSource};
pub use settings::{Settings, Who};
pub use signing::{Signing, ToSign};
pub use timing::TimerDeed;
pub use visiting::{VisitMoment, VisitRecorded};

pub use wythe_drawing as drawing;
pub use wythe_guide as guide;
pub use wythe_job as job;
pub use wythe_media as media;
pub use wythe_pack as pack;
pub use wythe_store as store;
pub use wythe_sync as sync;
pub use wythe_trade as trade;
pub use wythe_units as units;
