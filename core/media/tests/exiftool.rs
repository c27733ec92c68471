//! What is read from EXIF, compared with what `exiftool` reads from the same files.
//!
//! Needs the program (Debian: libimage-exiftool-perl). Without it the test says that it was skipped;
//! where `CI` is set it fails instead.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "this is all test")]

mod corpus;

use std::{collections::BTreeMap, fs, path::Path, process::Command};

use serde_json::Value;
use wythe_media::{
    Metadata, Taken,
    made::{MadePhoto, MadePosition, Scene, make},
    read_metadata,
};

/// What `exiftool` says of each file in a folder, by file name; `None` if it is not there.
fn exiftool(folder: &Path) -> Option<BTreeMap<String, Value>> {
    let said = Command::new("exiftool")
        .args(["-n", "-j", "-api", "QuickTimeUTC"])
        .arg(folder)
        .output()
        .ok()?;
    let files: Vec<Value> = serde_json::from_slice(&said.stdout).unwrap();
    Some(
        files
            .into_iter()
            .map(|file| (file["FileName"].as_str().unwrap().to_owned(), file))
            .collect(),
    )
}

fn photos() -> Vec<MadePhoto> {
    let small = |scene| MadePhoto {
        width: 240,
        height: 180,
        ..corpus::plain(scene)
    };
    let place = |latitude, longitude, altitude_m| {
        let position = MadePosition {
            latitude,
            longitude,
            altitude_m,
            error_m: None,
            age_s: 70,
            at_utc: None,
        };
        MadePhoto {
            position: Some(position),
            ..small(Scene::RoofCap)
        }
    };
    let mut photos: Vec<MadePhoto> = Scene::ALL.into_iter().map(small).collect();
    photos.extend((1..=8).map(|orientation| MadePhoto {
        orientation,
        ..small(Scene::Meter)
    }));
    photos.extend(["+05:45", "-03:30", "+00:00", "+14:00"].map(|offset| MadePhoto {
        offset: Some(offset.to_owned()),
        ..small(Scene::Gauge)
    }));
    // 46° 52' 19.20" in four quarters of the globe, and the ends of the ranges.
    photos.extend(
        [
            (46.872, -30.0),
            (-46.872, -30.0),
            (46.872, 150.5),
            (-46.872, 150.5),
        ]
        .map(|(n, e)| place(n, e, None)),
    );
    photos.extend(
        [(90.0, 180.0), (-90.0, -180.0), (0.000_01, -0.000_01)].map(|(n, e)| place(n, e, Some(-12.25))),
    );
    photos.push(MadePhoto {
        software: Some("drawn 1.0".into()),
        comment: Some("a note".into()),
        ..small(Scene::Paper)
    });
    photos.push(MadePhoto {
        bare: true,
        ..small(Scene::Paper)
    });
    photos.push(MadePhoto {
        png: true,
        comment: Some("Screenshot".into()),
        ..small(Scene::Paper)
    });
    photos
}

#[test]
fn fields_are_read_as_exiftool_reads_them() {
    let folder = tempfile::tempdir().unwrap();
    let mut read = BTreeMap::new();
    for (n, photo) in photos().into_iter().enumerate() {
        let file = make(&photo).unwrap();
        let name = format!("{n:02}.{}", if photo.png { "png" } else { "jpg" });
        fs::write(folder.path().join(&name), &file).unwrap();
        read.insert(name, read_metadata(&file));
    }
    let Some(said) = exiftool(folder.path()) else {
        assert!(std::env::var_os("CI").is_none(), "exiftool is not installed");
        println!("SKIPPED: exiftool is not installed, so nothing was compared");
        return;
    };
    assert!(said.len() >= 40 && said.len() == read.len());
    for (name, ours) in &read {
        compare(name, ours, &said[name]);
    }
    println!("{} files compared", read.len());
}

fn compare(name: &str, ours: &Metadata, theirs: &Value) {
    let text = |key: &str| theirs[key].as_str().map(str::to_owned);
    let number = |key: &str| theirs[key].as_f64();

    let taken = ours
        .taken
        .map(|taken| taken.local.format("%Y:%m:%d %H:%M:%S").to_string());
    assert_eq!(taken, text("DateTimeOriginal"), "{name}");
    assert_eq!(ours.taken.and_then(offset), text("OffsetTimeOriginal"), "{name}");
    assert_eq!(ours.software, text("Software"), "{name}");
    assert_eq!(ours.comment, text("UserComment"), "{name}");
    let orientation = ours
        .orientation_present
        .then(|| f64::from(ours.orientation.exif()));
    assert_eq!(orientation, number("Orientation"), "{name}");
    assert_eq!(ours.camera_named, theirs["Make"].is_string(), "{name}");

    let fix = ours.fix;
    near(
        name,
        fix.map(|fix| fix.position.latitude),
        number("GPSLatitude"),
        1e-8,
    );
    near(
        name,
        fix.map(|fix| fix.position.longitude),
        number("GPSLongitude"),
        1e-8,
    );
    near(
        name,
        fix.and_then(|fix| fix.altitude_m),
        number("GPSAltitude"),
        1e-6,
    );
    near(
        name,
        fix.and_then(|fix| fix.error_m),
        number("GPSHPositioningError"),
        1e-6,
    );
    let at = fix
        .and_then(|fix| fix.at)
        .map(|at| at.format("%Y:%m:%d %H:%M:%SZ").to_string());
    assert_eq!(at, text("GPSDateTime"), "{name}");
}

fn offset(taken: Taken) -> Option<String> {
    let minutes = taken.offset_minutes?;
    let sign = if minutes < 0 { '-' } else { '+' };
    Some(format!(
        "{sign}{:02}:{:02}",
        minutes.abs() / 60,
        minutes.abs() % 60
    ))
}

fn near(name: &str, ours: Option<f64>, theirs: Option<f64>, within: f64) {
    let same = match (ours, theirs) {
        (Some(ours), Some(theirs)) => (ours - theirs).abs() <= within,
        (ours, theirs) => ours.is_none() && theirs.is_none(),
    };
    assert!(same, "{name}: {ours:?} and {theirs:?}");
}
