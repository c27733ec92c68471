use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use super::MadeError;

/// What is seen in a made photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Scene {
    /// The house from the street, chimney above the roof.
    HouseFront,
    /// The old stove on its hearth, connected, fire lit, chimney breast behind; tag in the frame.
    OldStove,
    /// The old stove's plate; `text` is what it says.
    OldPlate,
    /// Damage that was there before: a crack in the plaster.
    Damage,
    /// The old stove with its door off and leaning beside it; tag in the frame.
    DoorOff,
    /// A hinge of the door, cut through.
    HingeCut,
    /// The old stove's body with a hole cut in it; tag in the frame.
    BodyHoled,
    /// The old plate, scored through.
    PlateDefaced,
    /// Firebrick taken out and stacked.
    FirebrickOut,
    /// The old stove on a truck; tag in the frame.
    OnTruck,
    /// The flue's top seen from above: tile, tape across.
    FlueTop,
    /// The cap on the chimney.
    RoofCap,
    /// Two liner ends at a plate, the exhaust one marked.
    LinerEnds,
    /// A still of the camera in the flue, round; `text` is what is written over it.
    FlueStill,
    /// The new stove in the same room.
    NewStove,
    /// The new stove's plate; `text` is what it says.
    NewPlate,
    /// The restrictor's scale; `text` is its setting.
    Restrictor,
    /// The gas meter; `text` is its reading.
    Meter,
    /// A pressure gauge; `text` is what is written beneath, `reading` where the hand points.
    Gauge,
    /// A CO alarm on a wall.
    CoAlarm,
    /// A sheet of paper with `text` on it, on a table.
    Paper,
}

impl Scene {
    /// All of them.
    pub const ALL: [Self; 21] = [
        Self::HouseFront,
        Self::OldStove,
        Self::OldPlate,
        Self::Damage,
        Self::DoorOff,
        Self::HingeCut,
        Self::BodyHoled,
        Self::PlateDefaced,
        Self::FirebrickOut,
        Self::OnTruck,
        Self::FlueTop,
        Self::RoofCap,
        Self::LinerEnds,
        Self::FlueStill,
        Self::NewStove,
        Self::NewPlate,
        Self::Restrictor,
        Self::Meter,
        Self::Gauge,
        Self::CoAlarm,
        Self::Paper,
    ];

    pub(super) fn number(self) -> u64 {
        Self::ALL
            .iter()
            .position(|scene| *scene == self)
            .and_then(|n| u64::try_from(n).ok())
            .unwrap_or(0)
    }
}

/// Where a made photo says it was taken. Invent it, in open ocean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadePosition {
    /// Degrees, north positive.
    pub latitude: f64,
    /// Degrees, east positive.
    pub longitude: f64,
    /// Metres above sea level.
    #[serde(default)]
    pub altitude_m: Option<f64>,
    /// The radius that the camera claims for it, metres.
    #[serde(default)]
    pub error_m: Option<f64>,
    /// How long before the photo the fix was made, seconds. Needs `taken_at` and `offset`.
    #[serde(default)]
    pub age_s: u32,
    /// When the fix was made, UTC, `2025-11-24T23:30:00`; instead of `age_s`, for a camera whose
    /// offset is wrong or missing.
    #[serde(default)]
    pub at_utc: Option<NaiveDateTime>,
}

/// The description of a made photo. Only `scene` must be said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MadePhoto {
    /// What is seen.
    pub scene: Scene,
    /// The house: the same number gives the same room and stove in each scene.
    #[serde(default)]
    pub seed: u64,
    /// The shot: another number is another photo of the same thing, held a little differently.
    #[serde(default)]
    pub view: u64,
    /// Width as seen upright, pixels, 64 to 8192.
    #[serde(default = "width")]
    pub width: u32,
    /// Height as seen upright, pixels, 64 to 8192.
    #[serde(default = "height")]
    pub height: u32,
    /// The camera's wall clock, `2025-11-24T16:30:00`. Without it the file has no time.
    #[serde(default)]
    pub taken_at: Option<NaiveDateTime>,
    /// The camera's offset from UTC, `-07:00`. Without it the file has none.
    #[serde(default)]
    pub offset: Option<String>,
    /// Where. Without it the file has no position.
    #[serde(default)]
    pub position: Option<MadePosition>,
    /// How the pixels are stored: EXIF Orientation, 1 to 8. What is seen upright stays the same.
    #[serde(default = "upright")]
    pub orientation: u8,
    /// Blur: standard deviation in pixels of the full picture, 0 to 60.
    #[serde(default)]
    pub blur: f64,
    /// Blur by movement to the side, pixels, 0 to 400.
    #[serde(default)]
    pub shake: f64,
    /// Exposure: stops brighter (positive) or darker than right, -8 to 8.
    #[serde(default)]
    pub exposure: f64,
    /// What the QR code of the tag says. Without it no tag is in the frame.
    #[serde(default)]
    pub tag: Option<String>,
    /// The tag's side as a share of the picture's width, 0.02 to 0.5.
    #[serde(default = "tag_size")]
    pub tag_size: f64,
    /// Lines of text for plates, papers and displays.
    #[serde(default)]
    pub text: Vec<String>,
    /// Where a hand or a slider stands, 0 to 1.
    #[serde(default = "reading")]
    pub reading: f64,
    /// Leave all metadata out, as messengers do.
    #[serde(default)]
    pub bare: bool,
    /// The program that the file says wrote it.
    #[serde(default)]
    pub software: Option<String>,
    /// When the file says a program last wrote it, on the camera's clock.
    #[serde(default)]
    pub written_at: Option<NaiveDateTime>,
    /// Photographed from a screen: dot pattern, frame of the device, its glow.
    #[serde(default)]
    pub off_a_screen: bool,
    /// Write a PNG, as screenshots are, with `comment` as its only metadata.
    #[serde(default)]
    pub png: bool,
    /// A user comment.
    #[serde(default)]
    pub comment: Option<String>,
    /// JPEG quality, 10 to 100.
    #[serde(default = "quality")]
    pub quality: u8,
}

const fn width() -> u32 {
    3000
}
const fn height() -> u32 {
    2250
}
const fn upright() -> u8 {
    1
}
const fn tag_size() -> f64 {
    0.13
}
const fn reading() -> f64 {
    0.5
}
const fn quality() -> u8 {
    75
}

impl MadePhoto {
    /// A photo of `scene` with everything else as if it had not been said.
    #[must_use]
    pub const fn of(scene: Scene) -> Self {
        Self {
            scene,
            seed: 0,
            view: 0,
            width: width(),
            height: height(),
            taken_at: None,
            offset: None,
            position: None,
            orientation: upright(),
            blur: 0.0,
            shake: 0.0,
            exposure: 0.0,
            tag: None,
            tag_size: tag_size(),
            text: Vec::new(),
            reading: reading(),
            bare: false,
            software: None,
            written_at: None,
            off_a_screen: false,
            png: false,
            comment: None,
            quality: quality(),
        }
    }

    pub(super) fn check(&self) -> Result<(), MadeError> {
        let sizes = 64.0..=8192.0;
        within("width", self.width.into(), &sizes, "64 to 8192")?;
        within("height", self.height.into(), &sizes, "64 to 8192")?;
        within("orientation", self.orientation.into(), &(1.0..=8.0), "1 to 8")?;
        within("quality", self.quality.into(), &(10.0..=100.0), "10 to 100")?;
        within("blur", self.blur, &(0.0..=60.0), "0 to 60 pixels")?;
        within("shake", self.shake, &(0.0..=400.0), "0 to 400 pixels")?;
        within("exposure", self.exposure, &(-8.0..=8.0), "-8 to 8 stops")?;
        within("tag_size", self.tag_size, &(0.02..=0.5), "0.02 to 0.5")?;
        within("reading", self.reading, &(0.0..=1.0), "0 to 1")?;
        if let Some(place) = self.position {
            within("position.latitude", place.latitude, &(-90.0..=90.0), "-90 to 90")?;
            within(
                "position.longitude",
                place.longitude,
                &(-180.0..=180.0),
                "-180 to 180",
            )?;
            let metres = place.altitude_m.unwrap_or(0.0);
            within(
                "position.altitude_m",
                metres,
                &(-500.0..=9000.0),
                "-500 to 9000 m",
            )?;
            within(
                "position.error_m",
                place.error_m.unwrap_or(0.0),
                &(0.0..=100_000.0),
                "0 to 100000 m",
            )?;
        }
        let offset = self.offset.as_deref();
        if let Some(text) = offset.filter(|text| crate::taken::read_offset(text).is_none()) {
            return Err(MadeError::OutOfRange {
                field: "offset",
                value: text.to_owned(),
                range: "it as -07:00",
            });
        }
        Ok(())
    }
}

fn within(
    field: &'static str,
    value: f64,
    range: &std::ops::RangeInclusive<f64>,
    words: &'static str,
) -> Result<(), MadeError> {
    if range.contains(&value) {
        return Ok(());
    }
    Err(MadeError::OutOfRange {
        field,
        value: value.to_string(),
        range: words,
    })
}
