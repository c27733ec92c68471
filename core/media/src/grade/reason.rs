use std::fmt;

use serde::{Deserialize, Serialize};

/// How good a photo is as evidence, from best to worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Nothing stands against it.
    Good,
    /// It shows what it should; something about it is less than wished.
    Usable,
    /// A reviewer may well send it back.
    Weak,
    /// It shows nothing, or speaks against itself.
    Poor,
}

impl Grade {
    /// The stable code.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Usable => "usable",
            Self::Weak => "weak",
            Self::Poor => "poor",
        }
    }
}

/// A grade with its reasons, as it is kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Graded {
    /// [`super::GRADE_VERSION`] of the rules that gave it.
    pub version: u32,
    /// The worst that any reason makes it.
    pub grade: Grade,
    /// Why, worst first. Some reasons only note and leave the grade as it is.
    pub reasons: Vec<Reason>,
}

/// One thing that is so about a photo. Lengths are metres, times seconds unless said otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "code", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Reason {
    /// The picture has few pixels.
    FewPixels {
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
    /// Edges are a little soft.
    Soft {
        /// Spread of edges, pixels of the preview.
        spread: f64,
    },
    /// Edges are blurred.
    Blurred {
        /// Spread of edges, pixels of the preview; `None` if none is steep enough to measure.
        spread: Option<f64>,
    },
    /// There is nothing to see: no edges, hardly any difference between dark and bright.
    NothingToSee,
    /// The picture is dark.
    Dark {
        /// Brightness that nine tenths stay below, 0 to 255.
        high: u8,
    },
    /// The picture is so dark that hardly anything shows.
    TooDark {
        /// Brightness that nine tenths stay below, 0 to 255.
        high: u8,
    },
    /// Parts are burnt out.
    Bright {
        /// Percent of the picture that is pure white.
        percent: u8,
    },
    /// So much is burnt out that hardly anything shows.
    TooBright {
        /// Percent of the picture that is pure white.
        percent: u8,
    },
    /// The file breaks off before its end.
    CutShort,
    /// The file does not say which way is up.
    TurnUnknown,
    /// The picture has not been looked at, as this device cannot decode it and no preview was given.
    NotLookedAt,
    /// The file carries no metadata, as when it was sent through a messenger.
    MetadataMissing,
    /// The metadata is damaged in part.
    MetadataDamaged,
    /// The file was written again after the photo was taken, or its size was changed.
    Edited {
        /// `program` (a picture editor named itself), `written_later`, or `size`.
        by: String,
    },
    /// It is a picture of this or another screen's contents.
    Screenshot,
    /// It looks like a photo of a screen: a regular dot pattern both ways.
    OffAScreen,
    /// The file does not say when the photo was taken.
    TimeMissing,
    /// It says a time and not the offset from UTC; it was read on this phone's clock.
    OffsetMissing,
    /// The offset was missing and follows from the satellites' time in the same file.
    OffsetFromFix {
        /// Minutes east of UTC.
        minutes: i32,
    },
    /// Its clock is off by whole hours: a time zone set wrong, not an untruth.
    ZoneFault {
        /// Minutes by which the camera's clock is ahead.
        minutes: i32,
    },
    /// It says it was taken later than now.
    TimeAhead {
        /// Seconds ahead.
        seconds: i64,
    },
    /// It was just taken, and its time says it was not.
    TimeBehind {
        /// Seconds behind.
        seconds: i64,
    },
    /// It says it was taken after the office already had it.
    TimeAfterArrival {
        /// Seconds after.
        seconds: i64,
    },
    /// It says a time before there were such cameras.
    TimeImpossible,
    /// Neither the file nor the phone says where it was taken.
    PlaceMissing,
    /// The place is the phone's and not in the file.
    PlaceOfPhone,
    /// The place in the file is zero, zero: a program wrote it that knew none.
    PlaceZero,
    /// The place is known only roughly.
    PlaceRough {
        /// The radius that the device stated.
        error_m: f64,
    },
    /// It was taken away from the house.
    FarFromSite {
        /// Distance.
        distance_m: f64,
        /// The radius that the device stated, if it did.
        error_m: Option<f64>,
    },
    /// The place in the file and the phone's own are apart.
    PlacesApart {
        /// Distance.
        distance_m: f64,
    },
    /// The place is from some time before the photo.
    FixStale {
        /// Seconds before.
        seconds: i64,
    },
    /// The tag that this ask wants is not in the frame, or cannot be read.
    TagMissing,
    /// The tag in the frame is another job's.
    TagOfAnotherJob,
    /// The tag in the frame names this job and was signed by nobody known here.
    TagNotGenuine,
    /// The very same file was recorded before in this job.
    SamePhoto,
    /// The very same file was recorded before in another job.
    SamePhotoInAnotherJob,
    /// It looks like a photo recorded before.
    LooksTheSame {
        /// Whether that one is in another job.
        other_job: bool,
        /// Bits of 64 that differ.
        distance: u32,
    },
}

impl Reason {
    /// Every code that [`Reason::code`] gives, so that a catalogue of messages can be checked.
    pub const CODES: [&str; 37] = [
        "few_pixels",
        "soft",
        "blurred",
        "nothing_to_see",
        "dark",
        "too_dark",
        "bright",
        "too_bright",
        "cut_short",
        "turn_unknown",
        "not_looked_at",
        "metadata_missing",
        "metadata_damaged",
        "edited",
        "screenshot",
        "off_a_screen",
        "time_missing",
        "offset_missing",
        "offset_from_fix",
        "zone_fault",
        "time_ahead",
        "time_behind",
        "time_after_arrival",
        "time_impossible",
        "place_missing",
        "place_of_phone",
        "place_zero",
        "place_rough",
        "far_from_site",
        "places_apart",
        "fix_stale",
        "tag_missing",
        "tag_of_another_job",
        "tag_not_genuine",
        "same_photo",
        "same_photo_in_another_job",
        "looks_the_same",
    ];

    /// The grade that this reason alone makes a photo: [`Grade::Good`] if it only notes.
    #[must_use]
    pub const fn grade(&self) -> Grade {
        match self {
            Self::TurnUnknown
            | Self::OffsetMissing
            | Self::OffsetFromFix { .. }
            | Self::PlaceOfPhone
            | Self::ZoneFault { .. }
            | Self::LooksTheSame { other_job: false, .. } => Grade::Good,
            Self::Soft { .. }
            | Self::Dark { .. }
            | Self::Bright { .. }
            | Self::NotLookedAt
            | Self::MetadataDamaged
            | Self::PlaceMissing
            | Self::PlaceZero
            | Self::PlaceRough { .. }
            | Self::FixStale { .. }
            | Self::LooksTheSame { other_job: true, .. } => Grade::Usable,
            Self::FewPixels { width, height } => few_pixels(*width, *height),
            Self::Blurred { .. }
            | Self::CutShort
            | Self::MetadataMissing
            | Self::Edited { .. }
            | Self::OffAScreen
            | Self::TimeMissing
            | Self::TimeAhead { .. }
            | Self::TimeBehind { .. }
            | Self::TimeAfterArrival { .. }
            | Self::TimeImpossible
            | Self::FarFromSite { .. }
            | Self::PlacesApart { .. }
            | Self::TagMissing => Grade::Weak,
            Self::NothingToSee
            | Self::TooDark { .. }
            | Self::TooBright { .. }
            | Self::Screenshot
            | Self::TagOfAnotherJob
            | Self::TagNotGenuine
            | Self::SamePhoto
            | Self::SamePhotoInAnotherJob => Grade::Poor,
        }
    }

    /// The stable code, as in JSON.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::FewPixels { .. } => "few_pixels",
            Self::Soft { .. } => "soft",
            Self::Blurred { .. } => "blurred",
            Self::NothingToSee => "nothing_to_see",
            Self::Dark { .. } => "dark",
            Self::TooDark { .. } => "too_dark",
            Self::Bright { .. } => "bright",
            Self::TooBright { .. } => "too_bright",
            Self::CutShort => "cut_short",
            Self::TurnUnknown => "turn_unknown",
            Self::NotLookedAt => "not_looked_at",
            Self::MetadataMissing => "metadata_missing",
            Self::MetadataDamaged => "metadata_damaged",
            Self::Edited { .. } => "edited",
            Self::Screenshot => "screenshot",
            Self::OffAScreen => "off_a_screen",
            Self::TimeMissing => "time_missing",
            Self::OffsetMissing => "offset_missing",
            Self::OffsetFromFix { .. } => "offset_from_fix",
            Self::ZoneFault { .. } => "zone_fault",
            Self::TimeAhead { .. } => "time_ahead",
            Self::TimeBehind { .. } => "time_behind",
            Self::TimeAfterArrival { .. } => "time_after_arrival",
            Self::TimeImpossible => "time_impossible",
            Self::PlaceMissing => "place_missing",
            Self::PlaceOfPhone => "place_of_phone",
            Self::PlaceZero => "place_zero",
            Self::PlaceRough { .. } => "place_rough",
            Self::FarFromSite { .. } => "far_from_site",
            Self::PlacesApart { .. } => "places_apart",
            Self::FixStale { .. } => "fix_stale",
            Self::TagMissing => "tag_missing",
            Self::TagOfAnotherJob => "tag_of_another_job",
            Self::TagNotGenuine => "tag_not_genuine",
            Self::SamePhoto => "same_photo",
            Self::SamePhotoInAnotherJob => "same_photo_in_another_job",
            Self::LooksTheSame { .. } => "looks_the_same",
        }
    }
}

impl Reason {
    /// Its figures by name, in a fixed order, as messages and kept lines want them. Names end in the
    /// unit where there is one.
    #[must_use]
    pub fn figures(&self) -> Vec<(&'static str, String)> {
        match self {
            Self::FewPixels { width, height } => {
                vec![("width", width.to_string()), ("height", height.to_string())]
            }
            Self::Soft { spread } => vec![("spread", spread.to_string())],
            Self::Blurred { spread } => spread
                .iter()
                .map(|spread| ("spread", spread.to_string()))
                .collect(),
            Self::Dark { high } | Self::TooDark { high } => vec![("high", high.to_string())],
            Self::Bright { percent } | Self::TooBright { percent } => vec![("percent", percent.to_string())],
            Self::Edited { by } => vec![("by", by.clone())],
            Self::OffsetFromFix { minutes } | Self::ZoneFault { minutes } => {
                vec![("minutes", minutes.to_string())]
            }
            Self::TimeAhead { seconds }
            | Self::TimeBehind { seconds }
            | Self::TimeAfterArrival { seconds }
            | Self::FixStale { seconds } => vec![("seconds", seconds.to_string())],
            Self::PlaceRough { error_m } => vec![("error_m", error_m.to_string())],
            Self::FarFromSite { distance_m, error_m } => {
                let error = error_m.map(|error_m| ("error_m", error_m.to_string()));
                std::iter::once(("distance_m", distance_m.to_string()))
                    .chain(error)
                    .collect()
            }
            Self::PlacesApart { distance_m } => vec![("distance_m", distance_m.to_string())],
            Self::LooksTheSame { other_job, distance } => {
                vec![
                    ("other_job", other_job.to_string()),
                    ("distance", distance.to_string()),
                ]
            }
            _ => Vec::new(),
        }
    }
}

/// The line that is kept: the code, then each figure as `name=value`, apart by spaces.
impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())?;
        self.figures()
            .iter()
            .try_for_each(|(name, value)| write!(f, " {name}={value}"))
    }
}

/// Under 640 x 480 hardly anything can be read off; under 1024 x 768 a plate cannot.
const fn few_pixels(width: u32, height: u32) -> Grade {
    let longest = if width > height { width } else { height };
    match longest {
        0..640 => Grade::Poor,
        640..1024 => Grade::Weak,
        _ => Grade::Usable,
    }
}
