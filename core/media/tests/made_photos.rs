//! Photos drawn by program: the same each time, small, different where their descriptions are.
#![cfg(feature = "made")]

use sha2::{Digest, Sha256};
use wythe_media::{
    MemorySink, PixelSize, Taken, intake_photo,
    made::{MadePhoto, MadePosition, Scene, draw, make},
};

fn small(scene: Scene) -> MadePhoto {
    MadePhoto {
        width: 400,
        height: 300,
        ..MadePhoto::of(scene)
    }
}

fn hash(photo: &MadePhoto) -> String {
    make(photo).map_or_else(
        |refused| refused.to_string(),
        |file| hex::encode(Sha256::digest(file)),
    )
}

/// The bytes are frozen, as scenarios and demonstrations name photos by hash. A drawing that is
/// changed on purpose changes these.
#[test]
fn the_same_description_gives_the_same_bytes_everywhere() {
    let plain = small(Scene::OldStove);
    let full = MadePhoto {
        seed: 5,
        view: 2,
        blur: 1.5,
        exposure: -0.5,
        orientation: 6,
        tag: Some("WYTHE:EXAMPLE".into()),
        taken_at: Some("2025-11-24T16:30:00".parse().unwrap()),
        offset: Some("-07:00".into()),
        ..small(Scene::OnTruck)
    };
    assert_eq!((hash(&plain), hash(&full)), (hash(&plain), hash(&full)));
    insta::assert_snapshot!(format!("{} {}", hash(&plain), hash(&full)), @"698d214f5429b87a5d792478797fa0df03ab7563fe92726b6c84c0176c0825e3 28575b23992b84124141818d5821e6ea865cb4c1636cbb74b4f776de85a3d97c");
}

#[test]
fn every_scene_is_several_megapixels_in_less_than_400_kb() {
    for scene in Scene::ALL {
        let file = make(&MadePhoto {
            text: vec!["MODEL 12".into()],
            ..MadePhoto::of(scene)
        })
        .unwrap();
        assert!(file.len() < 400_000, "{scene:?} has {} bytes", file.len());
        let photo = intake_photo(file.as_slice(), &mut MemorySink::default()).unwrap();
        assert_eq!(
            photo.size,
            Some(PixelSize {
                width: 3000,
                height: 2250
            })
        );
    }
}

#[test]
fn another_house_another_view_and_another_scene_are_other_pictures() {
    let base = small(Scene::OldStove);
    let others = [
        MadePhoto {
            seed: 1,
            ..base.clone()
        },
        MadePhoto {
            view: 1,
            ..base.clone()
        },
        small(Scene::NewStove),
        MadePhoto {
            tag: Some("WYTHE:EXAMPLE".into()),
            ..base.clone()
        },
    ];
    let drawn = draw(&base).unwrap();
    for other in others {
        let different = draw(&other).unwrap();
        let differing = drawn
            .rgb()
            .iter()
            .zip(different.rgb())
            .filter(|(a, b)| a.abs_diff(**b) > 24)
            .count();
        assert!(
            differing > drawn.rgb().len() / 200,
            "{differing} bytes differ for {other:?}"
        );
    }
}

#[test]
fn what_is_described_is_what_the_file_says() {
    let photo = MadePhoto {
        orientation: 8,
        taken_at: Some("2025-11-24T16:30:00".parse().unwrap()),
        offset: Some("-07:00".into()),
        position: Some(MadePosition {
            latitude: -40.123_456,
            longitude: -120.5,
            altitude_m: Some(1864.0),
            error_m: Some(4.5),
            age_s: 20,
            at_utc: None,
        }),
        software: Some("drawn".into()),
        ..small(Scene::Meter)
    };
    let taken_in = intake_photo(make(&photo).unwrap().as_slice(), &mut MemorySink::default()).unwrap();
    assert_eq!(
        taken_in.size,
        Some(PixelSize {
            width: 400,
            height: 300
        }),
        "upright"
    );
    assert!(taken_in.complete);
    let said = taken_in.metadata;
    assert_eq!(said.claimed_size, Some((300, 400)), "as stored");
    assert_eq!(
        said.taken,
        Some(Taken {
            local: photo.taken_at.unwrap(),
            offset_minutes: Some(-420)
        })
    );
    assert_eq!(said.orientation.exif(), 8);
    assert_eq!(said.software.as_deref(), Some("drawn"));
    let fix = said.fix.unwrap();
    assert!((fix.position.latitude + 40.123_456).abs() < 1e-8);
    assert!((fix.position.longitude + 120.5).abs() < 1e-8);
    assert_eq!((fix.altitude_m, fix.error_m), (Some(1864.0), Some(4.5)));
    assert_eq!(fix.at.unwrap().to_rfc3339(), "2025-11-24T23:29:40+00:00");
}

#[test]
fn a_photo_without_metadata_says_nothing() {
    let photo = MadePhoto {
        bare: true,
        ..small(Scene::Paper)
    };
    let taken_in = intake_photo(make(&photo).unwrap().as_slice(), &mut MemorySink::default()).unwrap();
    assert!(!taken_in.metadata.present && !taken_in.metadata.damaged);
    assert_eq!(taken_in.metadata.taken, None);
}

#[test]
fn a_stored_turn_shows_the_same_picture() {
    let preview = |orientation| {
        let photo = MadePhoto {
            orientation,
            ..small(Scene::HouseFront)
        };
        let taken_in = intake_photo(make(&photo).unwrap().as_slice(), &mut MemorySink::default()).unwrap();
        taken_in.preview.unwrap().jpeg
    };
    let decode = |jpeg: &[u8]| wythe_media::Picture::decode(jpeg, wythe_media::Format::Jpeg).unwrap();
    let upright = decode(&preview(1));
    for orientation in 2..=8 {
        let turned = decode(&preview(orientation));
        assert_eq!(
            (turned.width(), turned.height()),
            (400, 300),
            "orientation {orientation}"
        );
        let off: f64 = upright
            .rgb()
            .iter()
            .zip(turned.rgb())
            .map(|(a, b)| f64::from(a.abs_diff(*b)))
            .sum();
        let mean = off / upright.rgb().len() as f64;
        assert!(
            mean < 2.5,
            "orientation {orientation} is off by {mean} on average"
        );
    }
}

#[test]
fn a_preview_has_no_metadata() {
    let photo = MadePhoto {
        taken_at: Some("2025-11-24T16:30:00".parse().unwrap()),
        ..small(Scene::Gauge)
    };
    let taken_in = intake_photo(make(&photo).unwrap().as_slice(), &mut MemorySink::default()).unwrap();
    assert!(taken_in.metadata.present);
    let preview = taken_in.preview.unwrap();
    assert!(!wythe_media::read_metadata(&preview.jpeg).present);
    assert_eq!(preview.sha256, <[u8; 32]>::from(Sha256::digest(&preview.jpeg)));
}

#[test]
fn a_description_is_read_from_json_and_refused_out_of_range() {
    let photo: MadePhoto = serde_json::from_str(
        r#"{"scene": "old_stove", "taken_at": "2025-11-24T16:30:00", "offset": "-07:00", "tag": "WYTHE:1"}"#,
    )
    .unwrap();
    assert_eq!((photo.width, photo.height, photo.orientation), (3000, 2250, 1));
    for (key, value) in [
        ("blur", "90"),
        ("width", "9000"),
        ("orientation", "9"),
        ("exposure", "20"),
    ] {
        let text = format!(r#"{{"scene": "meter", "{key}": {value}}}"#);
        let refused = make(&serde_json::from_str(&text).unwrap()).unwrap_err();
        assert_eq!(refused.code(), "made_out_of_range");
        assert!(refused.to_string().starts_with(key), "{refused}");
    }
    assert!(serde_json::from_str::<MadePhoto>(r#"{"scene": "meter", "blurr": 1}"#).is_err());
}

/// The text is short, so that without its fourth mark the code would often not be read.
#[test]
fn a_tag_of_an_eighth_of_the_width_is_read_in_every_scene_and_view() {
    for scene in [Scene::OldStove, Scene::DoorOff, Scene::BodyHoled, Scene::OnTruck] {
        for view in 0..4 {
            let tag = Some("WYTHE 1a2b3c4d".to_owned());
            let photo = MadePhoto {
                seed: 21,
                view,
                tag,
                width: 1600,
                height: 1200,
                ..MadePhoto::of(scene)
            };
            let taken_in =
                intake_photo(make(&photo).unwrap().as_slice(), &mut MemorySink::default()).unwrap();
            assert_eq!(taken_in.tags, ["WYTHE 1a2b3c4d"], "{scene:?}, view {view}");
        }
    }
}
