//! What the phone shells call. The only crate beside the generator that knows uniffi.
//!
//! Coarse and synchronous; every call answers or says why with a code, a message and the detail. No
//! logic: words go to `app` and back.

mod desk;
mod entry;
mod field;
mod jobs;
mod log;
mod picture;
mod platform;
mod screen;
mod trouble;
mod words;

pub use desk::{Carried, PackReport, Packed, PaperSize, Printed, Reader, check_pack, reckon, reckonings};
pub use entry::{
    How, Move, Moved, PaperTaken, PhotoTaken, Recorded, StrokePoint, TimerDeed, ToSign, Understood,
};
pub use field::{Device, Field, Person, State};
pub use jobs::{Due, JobPage, JobRow, JobStanding, NewJob, Opening, Readiness};
pub use log::{LogSink, log_to};
pub use picture::{Canvas, Mark, Paint, Picture, Step, Touch};
pub use platform::{ChangeSignal, Fix, KeyBox, Locator, PhoneClock, PhoneTime};
pub use screen::{Block, BlockState, Choice, Item, Level, Line, Said, Screen, Timer, TimerAction};
pub use trouble::{Told, Trouble};
pub use words::{languages, sentence, words};

uniffi::setup_scaffolding!();
