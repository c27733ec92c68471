use std::io::Cursor;

use chrono::{DateTime, NaiveDateTime, Utc};
use exif::{Exif, Field, In, Reader, Tag, Value};
use serde::{Deserialize, Serialize};

use crate::{
    Format, Orientation, Taken, limits,
    place::degrees,
    taken::{read_date_time, read_offset},
};

/// A place on the Earth, WGS 84.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Position {
    /// Degrees, north positive, -90 to 90.
    pub latitude: f64,
    /// Degrees, east positive, -180 to 180.
    pub longitude: f64,
}

/// A place as a satellite receiver or phone gave it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PositionFix {
    /// Where.
    pub position: Position,
    /// Height above sea level, metres.
    pub altitude_m: Option<f64>,
    /// Radius within which the device believed itself to be, metres.
    pub error_m: Option<f64>,
    /// When the fix was made.
    pub at: Option<DateTime<Utc>>,
}

/// What a photo's file says about itself (EXIF 2.32, CIPA DC-008). Nothing is guessed: what is
/// absent, blank or no sense is `None`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Metadata {
    /// Whether the file has an EXIF block at all.
    pub present: bool,
    /// Whether part of the block could not be read.
    pub damaged: bool,
    /// When the photo was taken (DateTimeOriginal, SubSecTimeOriginal, OffsetTimeOriginal).
    pub taken: Option<Taken>,
    /// When the file was last written by a program (DateTime), on the same clock.
    pub written: Option<NaiveDateTime>,
    /// Where the camera was.
    pub fix: Option<PositionFix>,
    /// How to turn the pixels.
    pub orientation: Orientation,
    /// Whether the block said how to turn them.
    pub orientation_present: bool,
    /// Whether a make or model of camera is named. Which one is not taken over.
    pub camera_named: bool,
    /// Whether an exposure time or aperture is recorded, as cameras do and screens do not.
    pub exposure_recorded: bool,
    /// The program that wrote the file, as it named itself; cut at [`limits::METADATA_TEXT`].
    pub software: Option<String>,
    /// The user comment, if it is plain ASCII; cut at [`limits::METADATA_TEXT`].
    pub comment: Option<String>,
    /// Width and height that the block says the picture has.
    pub claimed_size: Option<(u32, u32)>,
}

/// Reads the EXIF block of a JPEG, PNG or HEIC file in memory. A file without one, or with one that
/// makes no sense, gives an empty [`Metadata`]; reading never fails.
#[must_use]
pub fn read_metadata(file: &[u8]) -> Metadata {
    let mut damaged = false;
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let read = match Format::sniff(file) {
        Some(Format::Jpeg) => match exif_segment(file) {
            Some(block) => reader.read_raw(block.to_vec()),
            None => return Metadata::default(),
        },
        _ => reader.read_from_container(&mut Cursor::new(file)),
    };
    let read = read.or_else(|said| said.distill_partial_result(|_| damaged = true));
    let mut metadata = match read {
        Ok(exif) => Metadata {
            damaged,
            ..from_exif(&exif)
        },
        Err(exif::Error::NotFound(_)) => Metadata::default(),
        Err(_) => Metadata {
            damaged: true,
            ..Metadata::default()
        },
    };
    if Format::sniff(file) == Some(Format::Heic) {
        metadata.claimed_size = metadata.claimed_size.or_else(|| heic_size(file));
    }
    metadata
}

/// The largest picture that a HEIC speaks of: its image spatial extents, a box `ispe` of version and
/// flags, width and height (ISO/IEC 23008-12, 6.5.3). A picture of tiles has one for the tiles, too.
fn heic_size(heic: &[u8]) -> Option<(u32, u32)> {
    const HEAD: usize = 256 << 10;
    let head = heic.get(..HEAD).unwrap_or(heic);
    let sizes = head.array_windows::<16>().filter_map(|window| {
        let [b'i', b's', b'p', b'e', 0, 0, 0, 0, size @ ..] = window else {
            return None;
        };
        let [w0, w1, w2, w3, h0, h1, h2, h3] = size;
        let (width, height) = (
            u32::from_be_bytes([*w0, *w1, *w2, *w3]),
            u32::from_be_bytes([*h0, *h1, *h2, *h3]),
        );
        let within = |side: u32| (1..=limits::SIDE).contains(&side);
        (within(width) && within(height)).then_some((width, height))
    });
    sizes.max_by_key(|(width, height)| u64::from(*width) * u64::from(*height))
}

/// The TIFF structure in the first EXIF segment before a JPEG's pixels (EXIF 2.32, 4.7.2).
fn exif_segment(jpeg: &[u8]) -> Option<&[u8]> {
    const PIXELS_FOLLOW: u8 = 0xDA;
    const APP1: u8 = 0xE1;
    let mut rest = jpeg.get(2..)?;
    loop {
        // Segments may be filled up with 0xFF in front.
        let [0xFF, marker, after @ ..] = rest else {
            return None;
        };
        if *marker == 0xFF {
            rest = rest.get(1..)?;
            continue;
        }
        if *marker == PIXELS_FOLLOW {
            return None;
        }
        let (length, _) = after.split_first_chunk::<2>()?;
        let length = usize::from(u16::from_be_bytes(*length));
        let body = after.get(2..length)?;
        if let Some(block) = body.strip_prefix(b"Exif\0\0").filter(|_| *marker == APP1) {
            return Some(block);
        }
        rest = after.get(length..)?;
    }
}

fn from_exif(exif: &Exif) -> Metadata {
    let orientation = uint(exif, Tag::Orientation).and_then(Orientation::from_exif);
    let taken = text(exif, Tag::DateTimeOriginal)
        .and_then(|t| read_date_time(&t, text(exif, Tag::SubSecTimeOriginal).as_deref()))
        .map(|local| Taken {
            local,
            offset_minutes: text(exif, Tag::OffsetTimeOriginal).and_then(|t| read_offset(&t)),
        });
    Metadata {
        present: true,
        damaged: false,
        taken,
        written: text(exif, Tag::DateTime).and_then(|t| read_date_time(&t, None)),
        fix: read_fix(exif),
        orientation: orientation.unwrap_or_default(),
        orientation_present: orientation.is_some(),
        camera_named: field(exif, Tag::Make).is_some() || field(exif, Tag::Model).is_some(),
        exposure_recorded: field(exif, Tag::ExposureTime).is_some() || field(exif, Tag::FNumber).is_some(),
        software: text(exif, Tag::Software)
            .map(|t| cut(&t))
            .filter(|t| !t.is_empty()),
        comment: comment(exif),
        claimed_size: uint(exif, Tag::PixelXDimension).zip(uint(exif, Tag::PixelYDimension)),
    }
}

fn read_fix(exif: &Exif) -> Option<PositionFix> {
    let latitude = angle(exif, Tag::GPSLatitude, Tag::GPSLatitudeRef, ["N", "S"], 90.0)?;
    let longitude = angle(exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, ["E", "W"], 180.0)?;
    let below_sea = matches!(field(exif, Tag::GPSAltitudeRef).map(|f| &f.value),
        Some(Value::Byte(v)) if v.first() == Some(&1));
    let altitude_m = rational(exif, Tag::GPSAltitude, 0).map(|a| if below_sea { -a } else { a });
    let error_m = rational(exif, Tag::GPSHPositioningError, 0).filter(|e| *e > 0.0);
    Some(PositionFix {
        position: Position { latitude, longitude },
        altitude_m: altitude_m.filter(|a| a.abs() < 20_000.0),
        error_m,
        at: fix_time(exif),
    })
}

/// Degrees of one coordinate. Zero over zero, as some programs leave behind, is no coordinate.
fn angle(exif: &Exif, tag: Tag, reference: Tag, letters: [&str; 2], most: f64) -> Option<f64> {
    let side = text(exif, reference)?;
    let [positive, negative] = letters;
    let negative = match side.trim() {
        s if s == positive => false,
        s if s == negative => true,
        _ => return None,
    };
    let whole = rational(exif, tag, 0)?;
    let minutes = rational(exif, tag, 1).unwrap_or(0.0);
    let seconds = rational(exif, tag, 2).unwrap_or(0.0);
    let sensible = (0.0..60.0).contains(&minutes) && (0.0..60.0).contains(&seconds);
    let value = degrees(whole, minutes, seconds, negative);
    (sensible && whole >= 0.0 && value.abs() <= most).then_some(value)
}

/// GPS date and time stamps are in UTC.
fn fix_time(exif: &Exif) -> Option<DateTime<Utc>> {
    let date = text(exif, Tag::GPSDateStamp)?;
    let part = |n| rational(exif, Tag::GPSTimeStamp, n).filter(|v| (0.0..61.0).contains(v));
    let (hour, minute, second) = (part(0)?, part(1)?, part(2)?);
    let clock = format!(
        "{} {hour:02.0}:{minute:02.0}:{:02.0}",
        date.trim(),
        second.floor()
    );
    Some(read_date_time(&clock, None)?.and_utc())
}

fn field(exif: &Exif, tag: Tag) -> Option<&Field> {
    exif.get_field(tag, In::PRIMARY)
}

fn uint(exif: &Exif, tag: Tag) -> Option<u32> {
    field(exif, tag)?.value.get_uint(0)
}

fn rational(exif: &Exif, tag: Tag, index: usize) -> Option<f64> {
    let value = match &field(exif, tag)?.value {
        Value::Rational(parts) => parts.get(index)?.to_f64(),
        Value::SRational(parts) => parts.get(index)?.to_f64(),
        _ => return None,
    };
    value.is_finite().then_some(value)
}

fn text(exif: &Exif, tag: Tag) -> Option<String> {
    match &field(exif, tag)?.value {
        Value::Ascii(lines) => Some(String::from_utf8_lossy(lines.first()?).into_owned()),
        _ => None,
    }
}

/// The user comment without its eight-byte character code, if that says ASCII.
fn comment(exif: &Exif) -> Option<String> {
    match &field(exif, Tag::UserComment)?.value {
        Value::Undefined(bytes, _) => {
            let plain = bytes.strip_prefix(b"ASCII\0\0\0")?;
            Some(cut(&String::from_utf8_lossy(plain))).filter(|t| !t.is_empty())
        }
        _ => None,
    }
}

/// Printable characters only, so that a field cannot carry control characters on.
fn cut(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control())
        .take(limits::METADATA_TEXT)
        .collect::<String>()
        .trim()
        .to_owned()
}
