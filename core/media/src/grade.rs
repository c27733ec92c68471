//! How good a photo is as evidence, in four plain words, with reasons.
//!
//! A grade never drops a photo: it says what is so, and the programme says which grade a requirement
//! needs. The same photo and circumstances give the same grade for the same [`GRADE_VERSION`];
//! whoever keeps a grade keeps its version and the preview's hash with it.

mod circumstances;
mod picture;
mod place;
mod reason;
mod same;
mod source;
mod time;

pub use circumstances::{Circumstances, HowAdded, Known, TagInFrame};
pub use reason::{Grade, Graded, Reason};
pub use same::NEAR_DISTANCE;

use crate::PhotoIntake;

/// Changes whenever a rule or a limit of grading changes.
pub const GRADE_VERSION: u32 = 2;

/// Grades a photo in its circumstances. Reasons come worst first, then in the order of the picture,
/// its source, time, place, tag and sameness.
#[must_use]
pub fn grade(photo: &PhotoIntake, circumstances: &Circumstances) -> Graded {
    let mut reasons = Vec::new();
    picture::reasons(photo, &mut reasons);
    source::reasons(photo, &mut reasons);
    time::reasons(photo, circumstances, &mut reasons);
    place::reasons(photo, circumstances, &mut reasons);
    reasons.extend(same::tag(circumstances.tag));
    same::reasons(photo, circumstances, &mut reasons);
    reasons.sort_by_key(|reason| std::cmp::Reverse(reason.grade()));
    let grade = reasons.first().map_or(Grade::Good, Reason::grade);
    Graded {
        version: GRADE_VERSION,
        grade,
        reasons,
    }
}
