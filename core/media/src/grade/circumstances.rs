use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::{Fingerprint, Position, PositionFix};

/// What is known around a photo when it is graded. All of it comes in as arguments; nothing is
/// looked up. What is `None` is not judged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Circumstances {
    /// How the photo came in.
    pub added: HowAdded,
    /// The phone's clock when it came in.
    pub device_time: Option<DateTime<Utc>>,
    /// The phone's offset from UTC then, minutes east.
    pub device_offset_minutes: Option<i32>,
    /// The office's clock when the photo arrived there.
    pub office_time: Option<DateTime<Utc>>,
    /// Where the house is.
    pub site: Option<Position>,
    /// How far from the house's point a photo may be, metres; `None`: [`Self::NEAR_M`].
    pub near_m: Option<f64>,
    /// Where the phone itself was when the photo came in.
    pub phone: Option<PositionFix>,
    /// What the ask's tag in the frame is, if it wants one.
    pub tag: TagInFrame,
    /// Photos recorded before, of this job and others.
    pub known: Vec<Known>,
}

impl Circumstances {
    /// How far from the house's point a photo may be if nobody says otherwise, metres: a lot, the
    /// street and a map's point set roughly. Common practice, no source.
    pub const NEAR_M: f64 = 150.0;
}

/// How a photo came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HowAdded {
    /// Taken with the camera just now.
    JustTaken,
    /// Added from the phone's files, taken some time before.
    #[default]
    FromFiles,
}

/// The job's tag in the frame, as the caller judged the texts that were read in the photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TagInFrame {
    /// The ask wants none; a tag in the frame is not judged.
    #[default]
    NotWanted,
    /// This job's tag is there.
    Own,
    /// Only another job's tag is there.
    OtherJob,
    /// There is a tag of this job's number that nobody known here signed.
    NotGenuine,
    /// None was read.
    Missing,
}

/// A photo recorded before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Known {
    /// SHA-256 of its original.
    #[serde(with = "hex::serde")]
    pub sha256: [u8; 32],
    /// What it looks like.
    pub fingerprint: Option<Fingerprint>,
    /// Whether it belongs to another job.
    pub other_job: bool,
}
