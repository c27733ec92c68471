//! The tag in the frame, and photos that were recorded before.

use super::{Circumstances, Reason, TagInFrame};
use crate::PhotoIntake;

/// Bits of 64 by which fingerprints of one picture, saved anew, may differ. Chosen on made photos.
pub const NEAR_DISTANCE: u32 = 4;

pub(super) fn tag(in_frame: TagInFrame) -> Option<Reason> {
    match in_frame {
        TagInFrame::NotWanted | TagInFrame::Own => None,
        TagInFrame::OtherJob => Some(Reason::TagOfAnotherJob),
        TagInFrame::NotGenuine => Some(Reason::TagNotGenuine),
        TagInFrame::Missing => Some(Reason::TagMissing),
    }
}

pub(super) fn reasons(photo: &PhotoIntake, around: &Circumstances, reasons: &mut Vec<Reason>) {
    let same = |other_job: bool| {
        around
            .known
            .iter()
            .any(|known| known.sha256 == photo.original.sha256 && known.other_job == other_job)
    };
    if same(true) {
        reasons.push(Reason::SamePhotoInAnotherJob);
    }
    if same(false) {
        reasons.push(Reason::SamePhoto);
    }
    if same(true) || same(false) {
        return;
    }
    let near = around
        .known
        .iter()
        .filter_map(|known| Some((known.fingerprint?.distance(photo.fingerprint?), known.other_job)))
        .filter(|(distance, _)| *distance <= NEAR_DISTANCE)
        .min_by_key(|(distance, other_job)| (*distance, !other_job));
    reasons.extend(near.map(|(distance, other_job)| Reason::LooksTheSame { other_job, distance }));
}
