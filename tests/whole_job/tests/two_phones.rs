//! Two phones of one business, without the command line: what they recorded apart comes together in
//! any order, and makes the same pack.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

mod world;

use std::path::Path;
use std::sync::atomic::Ordering;

use wythe_app::guide::readiness::State;
use wythe_app::pack::PackReader;
use wythe_app::pack::paper::Block;
use wythe_app::pack::paper::PageSize;
use wythe_app::{AppError, PackOptions, PhotoOptions, Recording};

use world::{World, answer, at, device, named, sign, state};

/// Both phones record apart; the office takes their files in the given order.
fn joined(order: &[&str]) -> (World, Vec<u8>) {
    let mut world = World::new();
    let job = world.job;
    answer(
        &mut world.room,
        job,
        "survey.tile_inside_a@tile_section:1",
        "11 3/8 in",
    );
    answer(&mut world.room, job, "survey.fuel", "natural gas");
    let photo = world.photo(
        "in-place.jpg",
        r#"{"scene": "old_stove", "seed": 5, "width": 640, "height": 480}"#,
    );
    world
        .room
        .add_photo(
            job,
            &at("survey.stove_in_place@old_stove:1"),
            &photo,
            &PhotoOptions::default(),
        )
        .unwrap();
    answer(
        &mut world.roof,
        job,
        "survey.tile_inside_a@tile_section:1",
        "10 3/8 in",
    );
    answer(
        &mut world.roof,
        job,
        "chimney_top.height_above_roof",
        "7' 4 1/2\"",
    );
    let (room, roof) = (world.carried("room"), world.carried("roof"));
    for from in order {
        let path: &Path = if *from == "room" { &room } else { &roof };
        world.office.carry_in(path).unwrap();
    }
    world.time.store(1_772_500_000_000, Ordering::SeqCst);
    let pack = world.folder.path().join("claim.zip");
    let today = wythe_app::guide::read_date("2026-03-03");
    let options = PackOptions {
        reader: PackReader::Full,
        size: PageSize::Letter,
        today,
    };
    world.office.pack(job, &pack, &options).unwrap();
    let bytes = std::fs::read(pack).unwrap();
    (world, bytes)
}

#[test]
fn two_phones_joined_in_any_order_and_twice_make_the_same_pack() {
    let (first, pack) = joined(&["room", "roof"]);
    let (second, same) = joined(&["roof", "room", "roof", "room"]);
    assert!(pack == same, "the packs differ");
    let rows = |world: &World| {
        let look = world.office.look(world.job, None).unwrap();
        let known = look.known();
        format!("{:?}", look.readiness(&known).rows)
    };
    assert_eq!(rows(&first), rows(&second));
    let ask = "survey.tile_inside_a";
    let look = first.office.look(first.job, None).unwrap();
    let known = look.known();
    let readiness = look.readiness(&known);
    let row = readiness.rows.iter().find(|row| row.id == ask).unwrap();
    assert_eq!(row.state, State::Disagreeing, "an inch apart is no quarter inch");
}

#[test]
fn tapes_that_differ_by_an_eighth_make_no_fuss_and_the_smaller_is_used() {
    let mut world = World::new();
    let job = world.job;
    answer(
        &mut world.room,
        job,
        "survey.tile_inside_a@tile_section:1",
        "6 1/2 in",
    );
    answer(
        &mut world.roof,
        job,
        "survey.tile_inside_a@tile_section:1",
        "6 3/8 in",
    );
    let roof = world.carried("roof");
    world.room.carry_in(&roof).unwrap();
    let look = world.room.look(job, None).unwrap();
    let known = look.known();
    let used = known.answer(&at("survey.tile_inside_a@tile_section:1")).unwrap();
    let text = wythe_app::guide::show_value(used.value, wythe_app::units::DecimalSign::Point);
    assert!(text.starts_with("6 3/8 in"), "{text}");
}

#[test]
fn a_before_photo_taken_after_the_removal_is_recorded_and_does_not_count() {
    let mut world = World::new();
    let job = world.job;
    let why = Recording {
        anyway: Some("nobody was told".into()),
        ..Recording::default()
    };
    world
        .room
        .answer(job, &at("removal.disconnected@old_stove:1"), "yes", &why)
        .unwrap();
    let photo = world.photo(
        "late.jpg",
        r#"{"scene": "old_stove", "seed": 5, "width": 640, "height": 480}"#,
    );
    let added = world.room.add_photo(
        job,
        &at("survey.stove_in_place@old_stove:1"),
        &photo,
        &PhotoOptions::default(),
    );
    let added = added.unwrap();
    let look = world.room.look(job, None).unwrap();
    assert!(
        look.job.photos.iter().any(|entry| entry.fact == added.fact),
        "it is kept"
    );
    let known = look.known();
    let readiness = look.readiness(&known);
    let row = readiness
        .rows
        .iter()
        .find(|row| row.id == "before_photo")
        .unwrap();
    assert_eq!(row.state, State::DoesNotCount);
    assert_eq!(
        row.why.as_ref().map(|why| why.code.as_str()),
        Some("why-photo-after-event")
    );
}

#[test]
fn an_act_is_held_while_a_stop_stands_and_the_typed_word_stays() {
    let mut world = World::new();
    let job = world.job;
    let address = at("removal.disconnected@old_stove:1");
    let refused = world
        .room
        .answer(job, &address, "yes", &Recording::default())
        .unwrap_err();
    assert_eq!(refused.code(), "held");
    let screen = world
        .room
        .look(job, None)
        .unwrap()
        .screen("removal", world.room.words())
        .unwrap();
    let text = serde_json::to_string(&screen).unwrap();
    assert!(
        text.contains("\"draft\":\"yes\""),
        "what was typed is still there"
    );
}

#[test]
fn a_stop_closes_the_sign_off_until_a_newer_measurement_passes_and_striking_does_not_help() {
    let mut world = World::new();
    let job = world.job;
    for (address, typed) in [
        ("walk_through.screen_fitted", "yes"),
        ("walk_through.co_alarm", "yes"),
        ("lining.ends_proven", "yes"),
        ("chimney_top.cap_right_way", "yes"),
        ("gas.test_passed", "no"),
    ] {
        answer(&mut world.room, job, address, typed);
    }
    for end in ["lining.exhaust_top", "lining.exhaust_bottom"] {
        let description = format!(
            r#"{{"scene": "liner_ends", "seed": {}, "width": 640, "height": 480}}"#,
            end.len()
        );
        let photo = world.photo("end.jpg", &description);
        world
            .room
            .add_photo(job, &at(end), &photo, &PhotoOptions::default())
            .unwrap();
    }
    let sign = |world: &mut World| {
        sign(
            &mut world.room,
            job,
            "walk_through.owner_signature@owner:1",
            "signed",
        )
    };
    assert!(matches!(sign(&mut world), Err(AppError::SignOffClosed(_))));
    let failed = world
        .room
        .look(job, None)
        .unwrap()
        .job
        .to_replace(&at("gas.test_passed"));
    world.room.strike(job, failed, "it looks better without").unwrap();
    assert!(
        matches!(sign(&mut world), Err(AppError::SignOffClosed(_))),
        "striking it out lifts nothing"
    );
    answer(&mut world.room, job, "gas.test_passed", "yes");
    sign(&mut world).unwrap();
    assert_eq!(state(&world.room, job, "owner_signature"), State::Met);
    let look = world.room.look(job, None).unwrap();
    assert_eq!(
        look.job.record[&at("gas.test_passed")].len(),
        2,
        "the failed one stays in the record"
    );
    answer(&mut world.room, job, "walk_through.screen_fitted", "yes");
    assert_eq!(
        state(&world.room, job, "owner_signature"),
        State::DoesNotCount,
        "a covered answer was replaced"
    );
}

#[test]
fn a_file_of_another_business_and_a_cut_file_are_refused_and_change_nothing() {
    let mut world = World::new();
    let mut other = device(&world.time, 77);
    other
        .begin_business("Tenfold Hearth", &named("Nobody Inparticular", "office"))
        .unwrap();
    let path = world.folder.path().join("other.wythe");
    other.carry_out(&path).unwrap();
    let before = world.room.look(world.job, None).unwrap().facts.len();
    assert_eq!(world.room.carry_in(&path).unwrap_err().code(), "not_carried");
    let own = world.carried("roof");
    let bytes = std::fs::read(&own).unwrap();
    for cut in [0, 1, 3, 5, 60, bytes.len() / 2, bytes.len() - 1] {
        std::fs::write(&own, &bytes[..cut]).unwrap();
        assert!(world.room.carry_in(&own).is_err(), "cut at {cut}");
    }
    let mut flipped = bytes.clone();
    let last = flipped.len() - 40;
    flipped[last] ^= 1;
    std::fs::write(&own, &flipped).unwrap();
    let carried = world.room.carry_in(&own).unwrap();
    assert_eq!(
        carried.set_aside.len(),
        1,
        "a damaged fact is set aside and blocks nothing"
    );
    assert_eq!(world.room.look(world.job, None).unwrap().facts.len(), before);
}

#[test]
fn a_photo_that_came_without_its_picture_is_set_aside_and_comes_with_the_next_file() {
    let mut world = World::new();
    let job = world.job;
    let path = world.photo(
        "in-place.jpg",
        r#"{"scene": "old_stove", "seed": 5, "width": 640, "height": 480}"#,
    );
    let address = at("survey.stove_in_place@old_stove:1");
    world
        .roof
        .add_photo(job, &address, &path, &PhotoOptions::default())
        .unwrap();
    answer(
        &mut world.roof,
        job,
        "survey.owner_name@owner:1",
        "Wilhelmina Quarrystone",
    );
    let file = world.carried("roof");
    let whole = std::fs::read(&file).unwrap();
    let mut without = Vec::new();
    let mut rest = whole.as_slice();
    while let [a, b, c, d, ..] = *rest {
        let length = 4 + usize::try_from(u32::from_be_bytes([a, b, c, d])).unwrap();
        let (item, after) = rest.split_at(length);
        rest = after;
        let is_original = item[5] == 2;
        if !is_original {
            without.extend_from_slice(item);
        }
    }
    assert!(without.len() < whole.len());
    std::fs::write(&file, &without).unwrap();
    let carried = world.room.carry_in(&file).unwrap();
    let codes: Vec<&str> = carried.set_aside.iter().map(|(_, code)| code.as_str()).collect();
    assert_eq!(codes, ["original_missing"]);
    let holds = |world: &World| {
        let job = world.room.look(job, None).unwrap().job;
        (
            job.heads.contains_key(&at("survey.owner_name@owner:1")),
            job.photos.len(),
        )
    };
    assert_eq!(holds(&world), (true, 0), "it kept nothing else out");
    std::fs::write(&file, &whole).unwrap();
    assert_eq!(world.room.carry_in(&file).unwrap().set_aside, []);
    assert_eq!(holds(&world), (true, 1));
}

#[test]
fn a_pack_for_the_recycler_leaves_the_owner_out_and_an_erased_answer_is_in_no_pack() {
    let mut world = World::new();
    let job = world.job;
    answer(
        &mut world.room,
        job,
        "survey.owner_name@owner:1",
        "Wilhelmina Quarrystone",
    );
    answer(&mut world.room, job, "destruction.ticket_number", "T-88214");
    let pack = |world: &World, reader| {
        let path = world.folder.path().join("reader.zip");
        let today = wythe_app::guide::read_date("2026-03-03");
        world
            .room
            .pack(
                job,
                &path,
                &PackOptions {
                    reader,
                    size: PageSize::A4,
                    today,
                },
            )
            .unwrap();
        let bytes = std::fs::read(&path).unwrap();
        let report = wythe_app::pack::check_bytes(&bytes, None).unwrap();
        (bytes, report)
    };
    let says = |world: &World, reader, message: &str| {
        let today = wythe_app::guide::read_date("2026-03-03");
        let options = PackOptions {
            reader,
            size: PageSize::A4,
            today,
        };
        let word = world.room.words().get(message);
        let document = world.room.claim_document(job, &options).unwrap();
        let mut notices = document.blocks.iter();
        notices.any(|block| matches!(block, Block::Notice(notice) if notice.word == word))
    };
    let holds = |bytes: &[u8], text: &str| bytes.windows(text.len()).any(|part| part == text.as_bytes());
    let (full, _) = pack(&world, PackReader::Full);
    assert!(holds(&full, "Wilhelmina Quarrystone") && holds(&full, "T-88214"));
    let (recycler, report) = pack(&world, PackReader::Recycler);
    assert!(!holds(&recycler, "Wilhelmina Quarrystone") && holds(&recycler, "T-88214"));
    assert!(!report.left_out.is_empty(), "it says what was left out");
    assert!(says(&world, PackReader::Full, "claim-not-whole-word"));
    for verdict in ["claim-whole-word", "claim-not-whole-word"] {
        assert!(
            !says(&world, PackReader::Recycler, verdict),
            "the recycler is not asked to pay"
        );
    }
    let secret = world
        .room
        .look(job, None)
        .unwrap()
        .job
        .to_replace(&at("survey.owner_name@owner:1"));
    world
        .room
        .erase(job.into(), secret[0], "the owner asked for it")
        .unwrap();
    let (erased, report) = pack(&world, PackReader::Full);
    assert!(!holds(&erased, "Wilhelmina Quarrystone"));
    assert_eq!(report.erased, secret);
}
