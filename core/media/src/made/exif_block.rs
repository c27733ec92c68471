use std::io::Cursor;

use chrono::{Datelike, NaiveDateTime, TimeDelta, Timelike};
use exif::{Field, In, Rational, Tag, Value, experimental::Writer};

use super::{MadeError, MadePhoto, MadePosition};
use crate::taken::read_offset;

/// The EXIF block (a TIFF structure) of a made photo; `None` if it is to have no metadata.
pub(super) fn exif_block(photo: &MadePhoto, stored: (u32, u32)) -> Result<Option<Vec<u8>>, MadeError> {
    if photo.bare {
        return Ok(None);
    }
    let fields = if photo.png {
        comment(photo)
    } else {
        all(photo, stored)
    };
    if fields.is_empty() {
        return Ok(None);
    }
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(Vec::new());
    writer
        .write(&mut block, false)
        .map_err(|said| MadeError::Encode(said.to_string()))?;
    Ok(Some(block.into_inner()))
}

fn all(photo: &MadePhoto, (width, height): (u32, u32)) -> Vec<Field> {
    let mut fields = vec![
        field(Tag::Make, ascii("Made by program")),
        field(Tag::Model, ascii("Drawn, not taken")),
        field(Tag::Orientation, Value::Short(vec![photo.orientation.into()])),
        field(Tag::ExifVersion, Value::Undefined(b"0232".to_vec(), 0)),
        field(
            Tag::ExposureTime,
            Value::Rational(vec![Rational { num: 1, denom: 60 }]),
        ),
        field(Tag::PixelXDimension, Value::Long(vec![width])),
        field(Tag::PixelYDimension, Value::Long(vec![height])),
    ];
    fields.extend(
        photo
            .software
            .as_deref()
            .map(|text| field(Tag::Software, ascii(text))),
    );
    fields.extend(
        photo
            .written_at
            .map(|at| field(Tag::DateTime, ascii(&date_time(at)))),
    );
    fields.extend(
        photo
            .taken_at
            .map(|at| field(Tag::DateTimeOriginal, ascii(&date_time(at)))),
    );
    fields.extend(
        photo
            .offset
            .as_deref()
            .map(|text| field(Tag::OffsetTimeOriginal, ascii(text))),
    );
    fields.extend(comment(photo));
    if let Some(place) = photo.position {
        fields.extend(position(place));
        fields.extend(fix_time(photo, place));
    }
    fields
}

fn comment(photo: &MadePhoto) -> Vec<Field> {
    let bytes = |text: &str| [b"ASCII\0\0\0", text.as_bytes()].concat();
    photo
        .comment
        .iter()
        .map(|text| field(Tag::UserComment, Value::Undefined(bytes(text), 0)))
        .collect()
}

fn position(place: MadePosition) -> Vec<Field> {
    let side = |negative: bool, letters: [&str; 2]| ascii(if negative { letters[1] } else { letters[0] });
    let mut fields = vec![
        field(Tag::GPSVersionID, Value::Byte(vec![2, 3, 0, 0])),
        field(Tag::GPSLatitudeRef, side(place.latitude < 0.0, ["N", "S"])),
        field(Tag::GPSLatitude, Value::Rational(angle(place.latitude))),
        field(Tag::GPSLongitudeRef, side(place.longitude < 0.0, ["E", "W"])),
        field(Tag::GPSLongitude, Value::Rational(angle(place.longitude))),
    ];
    if let Some(altitude) = place.altitude_m {
        fields.push(field(
            Tag::GPSAltitudeRef,
            Value::Byte(vec![u8::from(altitude < 0.0)]),
        ));
        fields.push(field(
            Tag::GPSAltitude,
            Value::Rational(vec![part(altitude.abs(), 100)]),
        ));
    }
    let error = place.error_m.map(|error| Value::Rational(vec![part(error, 100)]));
    fields.extend(error.map(|error| field(Tag::GPSHPositioningError, error)));
    fields
}

/// The fix's time is in UTC, so without being said it is known only if the offset is.
fn fix_time(photo: &MadePhoto, place: MadePosition) -> Vec<Field> {
    let by_offset = || {
        let offset = photo.offset.as_deref().and_then(read_offset)?;
        let before = TimeDelta::minutes(offset.into()) + TimeDelta::seconds(place.age_s.into());
        photo.taken_at?.checked_sub_signed(before)
    };
    let Some(utc) = place.at_utc.or_else(by_offset) else {
        return Vec::new();
    };
    let clock = [utc.hour(), utc.minute(), utc.second()].map(|num| Rational { num, denom: 1 });
    let date = format!("{:04}:{:02}:{:02}", utc.year(), utc.month(), utc.day());
    vec![
        field(Tag::GPSTimeStamp, Value::Rational(clock.to_vec())),
        field(Tag::GPSDateStamp, ascii(&date)),
    ]
}

/// Degrees, minutes and seconds to a hundred-thousandth of a second.
fn angle(degrees: f64) -> Vec<Rational> {
    const UNITS: f64 = 100_000.0;
    let total = (degrees.abs() * 3600.0 * UNITS).round();
    let whole = (total / (3600.0 * UNITS)).floor();
    let minutes = ((total - whole * 3600.0 * UNITS) / (60.0 * UNITS)).floor();
    let seconds = (total - whole * 3600.0 * UNITS - minutes * 60.0 * UNITS) / UNITS;
    vec![part(whole, 1), part(minutes, 1), part(seconds, 100_000)]
}

fn part(value: f64, denom: u32) -> Rational {
    Rational {
        num: whole(value * f64::from(denom)),
        denom,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range first"
)]
fn whole(value: f64) -> u32 {
    value.round().clamp(0.0, f64::from(u32::MAX)) as u32
}

fn date_time(at: NaiveDateTime) -> String {
    at.format("%Y:%m:%d %H:%M:%S").to_string()
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.bytes().filter(u8::is_ascii).collect()])
}

const fn field(tag: Tag, value: Value) -> Field {
    Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    }
}
