//! The cases, by what is wrong.

use wythe_media::{
    grade::{Grade, HowAdded},
    made::{MadePhoto, MadePosition, Scene},
};

use super::{Case, FORGED_TAG, OTHER_CODE, OTHER_TAG, SITE, TAG, Then, around, plain, utc};

struct Corpus(Vec<Case>);

impl Corpus {
    fn add(&mut self, name: &str, photo: MadePhoto, grade: Grade, codes: &[&'static str]) -> &mut Case {
        let name = format!("{name} {:?}", photo.scene);
        let (then, around) = (Then::Nothing, around());
        self.0.push(Case {
            name,
            photo,
            then,
            around,
            tag_wanted: false,
            grade,
            codes: codes.to_vec(),
        });
        self.0.last_mut().unwrap()
    }
}

pub fn cases() -> Vec<Case> {
    let mut corpus = Corpus(Vec::new());
    sound(&mut corpus);
    blurred(&mut corpus);
    lit(&mut corpus);
    sizes(&mut corpus);
    times(&mut corpus);
    places(&mut corpus);
    sources(&mut corpus);
    tags(&mut corpus);
    seen_before(&mut corpus);
    corpus.0
}

fn sound(corpus: &mut Corpus) {
    for scene in Scene::ALL {
        let photo = MadePhoto {
            width: 3000,
            height: 2250,
            ..plain(scene)
        };
        corpus.add("sound", photo, Grade::Good, &[]);
    }
    for orientation in [3, 6, 8] {
        corpus.add(
            "turned",
            MadePhoto {
                orientation,
                ..plain(Scene::RoofCap)
            },
            Grade::Good,
            &[],
        );
    }
    for blur in [0.5, 0.8] {
        corpus.add(
            "hardly blurred",
            MadePhoto {
                blur,
                ..plain(Scene::OldPlate)
            },
            Grade::Good,
            &[],
        );
    }
}

fn blurred(corpus: &mut Corpus) {
    use Scene::{Gauge, HouseFront, Meter, NewPlate, OldPlate, OldStove, Paper};
    for (scene, blur) in [
        (OldPlate, 2.0),
        (NewPlate, 2.0),
        (HouseFront, 2.0),
        (Gauge, 2.0),
        (Paper, 2.0),
        (Meter, 3.2),
    ] {
        corpus.add(
            "soft",
            MadePhoto { blur, ..plain(scene) },
            Grade::Usable,
            &["soft"],
        );
    }
    for scene in [OldPlate, OldStove, HouseFront, Gauge, Paper, Meter] {
        corpus.add(
            "blurred",
            MadePhoto {
                blur: 6.0,
                ..plain(scene)
            },
            Grade::Weak,
            &["blurred"],
        );
    }
    for scene in [OldStove, HouseFront] {
        corpus.add(
            "far out of focus",
            MadePhoto {
                blur: 30.0,
                ..plain(scene)
            },
            Grade::Weak,
            &["blurred"],
        );
    }
    for scene in [OldPlate, OldStove, Paper, Gauge] {
        corpus.add(
            "shaken",
            MadePhoto {
                shake: 24.0,
                ..plain(scene)
            },
            Grade::Weak,
            &["blurred"],
        );
    }
}

fn lit(corpus: &mut Corpus) {
    use Scene::{Meter, OldPlate, OldStove};
    for scene in [OldStove, OldPlate, Meter] {
        let exposed = |exposure| MadePhoto {
            exposure,
            ..plain(scene)
        };
        corpus.add("dark", exposed(-3.0), Grade::Usable, &["dark"]);
        corpus.add("too dark", exposed(-6.0), Grade::Poor, &["too_dark"]);
        corpus.add("bright", exposed(2.0), Grade::Usable, &["bright"]);
        corpus.add("too bright", exposed(5.0), Grade::Poor, &["too_bright"]);
    }
}

fn sizes(corpus: &mut Corpus) {
    let sized = |width, height| MadePhoto {
        width,
        height,
        ..plain(Scene::NewStove)
    };
    corpus.add("1280 x 960", sized(1280, 960), Grade::Usable, &["few_pixels"]);
    corpus.add("800 x 600", sized(800, 600), Grade::Weak, &["few_pixels"]);
    corpus.add("400 x 300", sized(400, 300), Grade::Poor, &["few_pixels"]);
    corpus
        .add("cut short", plain(Scene::HouseFront), Grade::Weak, &["cut_short"])
        .then = Then::CutShort;
}

fn times(corpus: &mut Corpus) {
    let base = || plain(Scene::Meter);
    let at = |text: &str| MadePhoto {
        taken_at: Some(text.parse().unwrap()),
        position: None,
        ..base()
    };
    let phone = "place_of_phone";

    corpus.add(
        "no time",
        MadePhoto {
            taken_at: None,
            ..base()
        },
        Grade::Weak,
        &["time_missing"],
    );
    let no_offset = MadePhoto {
        offset: None,
        ..at("2025-11-24T16:30:00")
    };
    corpus.add("no offset", no_offset, Grade::Good, &["offset_missing", phone]);
    corpus.add(
        "two hours ahead",
        at("2025-11-24T18:30:00"),
        Grade::Good,
        &["zone_fault", phone],
    );
    corpus.add(
        "an hour behind",
        at("2025-11-24T15:30:00"),
        Grade::Good,
        &["zone_fault", phone],
    );
    corpus.add(
        "40 minutes ahead",
        at("2025-11-24T17:10:00"),
        Grade::Weak,
        &["time_ahead", phone],
    );
    corpus.add(
        "a day and a bit behind",
        at("2025-11-23T09:11:00"),
        Grade::Weak,
        &["time_behind", phone],
    );
    corpus.add(
        "1980",
        at("1980-01-01T00:00:00"),
        Grade::Weak,
        &["time_impossible", phone],
    );
    let older = corpus.add(
        "from files, three days old",
        at("2025-11-21T10:17:00"),
        Grade::Good,
        &[phone],
    );
    older.around.added = HowAdded::FromFiles;
    let later = corpus.add(
        "after the office had it",
        base(),
        Grade::Weak,
        &["time_after_arrival"],
    );
    later.around.device_time = None;
    later.around.office_time = Some(utc("2025-11-24T22:12:00Z"));
    // The satellites say 23:30 UTC; the camera's zone was left an hour east.
    let fixed = |offset: Option<&str>| {
        let at_utc = Some("2025-11-24T23:29:57".parse().unwrap());
        let position = base().position.map(|place| MadePosition { at_utc, ..place });
        MadePhoto {
            offset: offset.map(str::to_owned),
            position,
            ..base()
        }
    };
    corpus.add(
        "zone left behind",
        fixed(Some("-06:00")),
        Grade::Good,
        &["zone_fault"],
    );
    let alone = corpus.add(
        "zone told by the satellites alone",
        fixed(Some("-06:00")),
        Grade::Good,
        &["zone_fault"],
    );
    alone.around.device_time = None;
    corpus.add(
        "offset from the satellites",
        fixed(None),
        Grade::Good,
        &["offset_from_fix"],
    );
    corpus.add(
        "no offset and no fix's time",
        MadePhoto {
            offset: None,
            ..base()
        },
        Grade::Good,
        &["offset_missing"],
    );
}

fn places(corpus: &mut Corpus) {
    let put = |latitude: f64, longitude: f64, error_m: f64, age_s: u32| MadePhoto {
        position: Some(MadePosition {
            latitude,
            longitude,
            altitude_m: None,
            error_m: Some(error_m),
            age_s,
            at_utc: None,
        }),
        ..plain(Scene::HouseFront)
    };
    let (north, east) = (SITE.latitude, SITE.longitude);
    let nowhere = MadePhoto {
        position: None,
        ..plain(Scene::HouseFront)
    };
    corpus.add(
        "place of the phone",
        nowhere.clone(),
        Grade::Good,
        &["place_of_phone"],
    );
    corpus
        .add("no place", nowhere, Grade::Usable, &["place_missing"])
        .around
        .phone = None;
    corpus
        .add(
            "zero, zero",
            put(0.0, 0.0, 5.0, 0),
            Grade::Usable,
            &["place_zero"],
        )
        .around
        .phone = None;
    let far = corpus.add(
        "two miles off",
        put(north + 0.03, east, 8.0, 0),
        Grade::Weak,
        &["far_from_site"],
    );
    far.around.phone = None;
    let street = corpus.add(
        "across the street",
        put(north + 0.0012, east, 8.0, 0),
        Grade::Good,
        &[],
    );
    street.around.phone = None;
    let rough = corpus.add(
        "roughly there",
        put(north + 0.004, east, 900.0, 0),
        Grade::Usable,
        &["place_rough"],
    );
    rough.around.phone = None;
    corpus.add(
        "apart from the phone",
        put(north + 0.0012, east, 5.0, 0),
        Grade::Weak,
        &["places_apart"],
    );
    corpus.add(
        "stale fix",
        put(north, east, 8.0, 1500),
        Grade::Usable,
        &["fix_stale"],
    );
}

fn sources(corpus: &mut Corpus) {
    let base = || plain(Scene::NewPlate);
    corpus.add(
        "stripped",
        MadePhoto { bare: true, ..base() },
        Grade::Weak,
        &["metadata_missing", "place_of_phone"],
    );
    let program = Some("Plain Photo Editor 3".to_owned());
    corpus.add(
        "editor",
        MadePhoto {
            software: program,
            ..base()
        },
        Grade::Weak,
        &["edited"],
    );
    let later = Some("2025-11-24T19:02:00".parse().unwrap());
    corpus.add(
        "written later",
        MadePhoto {
            written_at: later,
            ..base()
        },
        Grade::Weak,
        &["edited"],
    );
    let soon = Some("2025-11-24T16:30:02".parse().unwrap());
    corpus.add(
        "written at once",
        MadePhoto {
            written_at: soon,
            ..base()
        },
        Grade::Good,
        &[],
    );
    let png = MadePhoto {
        png: true,
        ..plain(Scene::Restrictor)
    };
    corpus.add("PNG", png, Grade::Poor, &["screenshot", "place_of_phone"]);
    let comment = Some("Screenshot".to_owned());
    corpus.add(
        "says screenshot",
        MadePhoto { comment, ..base() },
        Grade::Poor,
        &["screenshot"],
    );
    for scene in [Scene::OldStove, Scene::OldPlate, Scene::Meter, Scene::Paper] {
        let photo = MadePhoto {
            off_a_screen: true,
            width: 3000,
            height: 2250,
            ..plain(scene)
        };
        corpus.add("off a screen", photo, Grade::Weak, &["off_a_screen"]);
    }
}

fn tags(corpus: &mut Corpus) {
    let with = |scene, tag: &str| MadePhoto {
        tag: Some(tag.to_owned()),
        ..plain(scene)
    };
    for scene in [Scene::OldStove, Scene::DoorOff, Scene::BodyHoled, Scene::OnTruck] {
        corpus.add("tag", with(scene, TAG), Grade::Good, &[]).tag_wanted = true;
    }
    let small = MadePhoto {
        tag_size: 0.09,
        width: 3000,
        height: 2250,
        ..with(Scene::OldStove, TAG)
    };
    corpus.add("small tag", small, Grade::Good, &[]).tag_wanted = true;
    let wrong = [
        ("no tag", plain(Scene::OldStove), Grade::Weak, "tag_missing"),
        (
            "another code",
            with(Scene::OldStove, OTHER_CODE),
            Grade::Weak,
            "tag_missing",
        ),
        (
            "another job's tag",
            with(Scene::OldStove, OTHER_TAG),
            Grade::Poor,
            "tag_of_another_job",
        ),
        (
            "made-up tag",
            with(Scene::OldStove, FORGED_TAG),
            Grade::Poor,
            "tag_not_genuine",
        ),
    ];
    for (name, photo, grade, code) in wrong {
        corpus.add(name, photo, grade, &[code]).tag_wanted = true;
    }
}

fn seen_before(corpus: &mut Corpus) {
    let base = || plain(Scene::HingeCut);
    let same = [
        (false, "same_photo", Grade::Good),
        (true, "same_photo_in_another_job", Grade::Usable),
    ];
    for (other_job, code, smaller) in same {
        corpus.add("again", base(), Grade::Poor, &[code]).then = Then::Known { other_job };
        corpus
            .add("again, smaller", base(), smaller, &["looks_the_same"])
            .then = Then::KnownSmaller { other_job };
    }
}
