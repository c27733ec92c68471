//! The made corpus: photos with one thing wrong, and what should be said of each.
#![allow(dead_code, reason = "each test that shares the corpus uses a part of it")]
#![expect(clippy::unwrap_used, reason = "only tests use it")]

pub mod cases;

use chrono::{DateTime, Utc};
use wythe_media::{
    MemorySink, PhotoIntake, Position, PositionFix, TagLook,
    grade::{Circumstances, Grade, HowAdded, Known, TagInFrame},
    intake_photo_looking,
    made::{MadePhoto, MadePosition, Scene, make},
};

/// The house of the corpus lies in open ocean.
pub const SITE: Position = Position {
    latitude: -40.1,
    longitude: -120.5,
};

/// As long, and of the same signs, as a tag that is signed for a job. Whose they are is for the corpus to
/// say: who signed is not looked at here.
pub const TAG: &str = "WYTHE1:+GM.X1TF.3A7NUFOY6$F0DQHBOA48++S8800DDAAIKCY:-DBCOJ1NQA9G4LJ*%0*:L4JMJUKBUUB3G1MP1ZQNO%0S2B+C7FTMWMXGT6%NI2R5DLW+N";
pub const OTHER_TAG: &str = "WYTHE1:9LHY5J:KJB5-9JUA35*YP2F*MGT.Q93-2VLD8$8-Q6ARN93QI9T+AXTVKUHIUP97OYB-VLB5VHWZWN4M%/2JNZ/HVGIL.B%0UZGK/HTIW.:MMH.MQM";
pub const FORGED_TAG: &str = "WYTHE1:BSNLX9XACNUI5/QA+%X/QJ+Z-H1CA%S+.BE:B-2UEA387KBUCZ2QTMO/+4%DFN0MPHQ7ZN2Z+J6IYWL%IM8QQ$.YNT9A*O$UC8*5M/0O6K$+Y9K-$O";
/// What stands on the plate of some stoves.
pub const OTHER_CODE: &str = "https://example.org/stoves/4471";

/// What happens to a file between the drawing and the intake.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Then {
    Nothing,
    /// The last third is lost.
    CutShort,
    /// It is known already, in this job or another.
    Known {
        other_job: bool,
    },
    /// It is known already at another quality and size.
    KnownSmaller {
        other_job: bool,
    },
}

/// One photo, its circumstances, and what should be said.
#[derive(Debug, Clone)]
pub struct Case {
    pub name: String,
    pub photo: MadePhoto,
    pub then: Then,
    pub around: Circumstances,
    /// Whether the ask wants the job's tag in the frame.
    pub tag_wanted: bool,
    pub grade: Grade,
    pub codes: Vec<&'static str>,
}

impl Case {
    /// Makes the photo and takes it in, completing what is known of others.
    pub fn take_in(&mut self) -> PhotoIntake {
        let mut file = make(&self.photo).unwrap();
        if self.then == Then::CutShort {
            file.truncate(file.len() * 2 / 3);
        }
        let photo =
            intake_photo_looking(file.as_slice(), &mut MemorySink::default(), TagLook::Twice).unwrap();
        if self.tag_wanted {
            self.around.tag = tag_in_frame(&photo.tags);
        }
        let known = |of: &PhotoIntake, other_job| Known {
            sha256: of.original.sha256,
            fingerprint: of.fingerprint,
            other_job,
        };
        match self.then {
            Then::Known { other_job } => self.around.known.push(known(&photo, other_job)),
            Then::KnownSmaller { other_job } => {
                let smaller = MadePhoto {
                    width: 1200,
                    height: 900,
                    quality: 50,
                    ..self.photo.clone()
                };
                self.around.known.push(known(&take_in(&smaller), other_job));
            }
            Then::Nothing | Then::CutShort => {}
        }
        photo
    }
}

fn tag_in_frame(read: &[String]) -> TagInFrame {
    let there = |tag: &str| read.iter().any(|text| text == tag);
    if there(TAG) {
        TagInFrame::Own
    } else if there(OTHER_TAG) {
        TagInFrame::OtherJob
    } else if there(FORGED_TAG) {
        TagInFrame::NotGenuine
    } else {
        TagInFrame::Missing
    }
}

pub fn take_in(photo: &MadePhoto) -> PhotoIntake {
    let file = make(photo).unwrap();
    intake_photo_looking(file.as_slice(), &mut MemorySink::default(), TagLook::Once).unwrap()
}

/// A photo with time, offset and place as a phone writes them, at the house.
pub fn plain(scene: Scene) -> MadePhoto {
    MadePhoto {
        // Limits were set on house 3; what is graded here are others.
        seed: 21,
        view: 2,
        width: 2000,
        height: 1500,
        taken_at: Some("2025-11-24T16:30:00".parse().unwrap()),
        offset: Some("-07:00".to_owned()),
        position: Some(MadePosition {
            latitude: SITE.latitude + 0.0002,
            longitude: SITE.longitude,
            altitude_m: Some(1864.0),
            error_m: Some(6.0),
            age_s: 3,
            at_utc: None,
        }),
        text: vec!["MODEL 12".to_owned(), "SERIAL 004471".to_owned()],
        ..MadePhoto::of(scene)
    }
}

pub fn utc(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// The phone at the house, half a minute after the photo.
pub fn around() -> Circumstances {
    Circumstances {
        added: HowAdded::JustTaken,
        device_time: Some(utc("2025-11-24T23:30:30Z")),
        device_offset_minutes: Some(-420),
        site: Some(SITE),
        phone: Some(PositionFix {
            position: SITE,
            altitude_m: None,
            error_m: Some(12.0),
            at: None,
        }),
        ..Circumstances::default()
    }
}
