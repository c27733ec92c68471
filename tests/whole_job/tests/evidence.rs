//! Photos, tags and signatures across phones: what counts, and what says why it does not.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot go on stops"
)]

mod world;

use std::io::Read;
use std::path::PathBuf;

use wythe_app::guide::readiness::State;
use wythe_app::job::{JobId, PhotoTaken, TagRead, digest_of};
use wythe_app::media::grade::{GRADE_VERSION, HowAdded};
use wythe_app::media::made::{MadePhoto, Scene, make};
use wythe_app::pack::paper::PageSize;
use wythe_app::store::Log;
use wythe_app::{AddedPhoto, NewJob, PhotoOptions, Signing};

use world::{Device, World, answer, at, row, sign};

/// What these tests are about, and nothing else.
const RULES: &str = r#"id = "evidence"
name = "Evidence"
edition = "one"
grant = "1.00"
currency = "USD"
keep_years = 3

[[require]]
id = "tagged"
who = "lead"
each = "old_stove"
shows = { kind = "photo", ask = "removal.before_with_tag", tag = true }

[[require]]
id = "quote"
who = "owner"
each = "owner"
shows = { kind = "signature", ask = "plan.quote_signature" }
"#;

const PHOTO: &str = "removal.before_with_tag@old_stove:1";
const QUOTE: &str = "plan.quote_signature@owner:1";

fn world() -> World {
    World::under("evidence", RULES)
}

fn second_job(world: &mut World) -> JobId {
    let new = NewJob {
        label: "Wrenfield".into(),
        address: vec!["14 Nowhere Lane".into()],
        zone: "America/Denver".into(),
        position: None,
        programme: "evidence".into(),
    };
    world.room.open_job(&new).unwrap()
}

fn stove(tag: Option<&str>) -> MadePhoto {
    MadePhoto {
        seed: 5,
        width: 2400,
        height: 1800,
        tag: tag.map(str::to_owned),
        ..MadePhoto::of(Scene::OldStove)
    }
}

fn file(world: &World, name: &str, photo: &MadePhoto) -> PathBuf {
    let path = world.folder.path().join(name);
    std::fs::write(&path, make(photo).unwrap()).unwrap();
    path
}

fn add(world: &mut World, job: JobId, name: &str, photo: &MadePhoto) -> AddedPhoto {
    let path = file(world, name, photo);
    let options = PhotoOptions::default();
    world.room.add_photo(job, &at(PHOTO), &path, &options).unwrap()
}

fn taken(phone: &Device, job: JobId) -> PhotoTaken {
    let look = phone.look(job, None).unwrap();
    look.job.photos.last().unwrap().body.clone()
}

fn codes(added: &AddedPhoto) -> Vec<&str> {
    let reasons = added.grade.reasons.iter();
    reasons.map(|reason| reason.split(' ').next().unwrap()).collect()
}

#[test]
fn the_tag_that_one_phone_prints_counts_on_every_other() {
    let mut world = world();
    let job = world.job;
    let tag = world.roof.tag_text(job).unwrap();
    let added = add(&mut world, job, "tagged.jpg", &stove(Some(&tag)));
    assert!(
        !codes(&added).iter().any(|code| code.starts_with("tag")),
        "{:?}",
        added.grade
    );
    assert_eq!(taken(&world.room, job).tags, [tag.as_str()]);
    assert_eq!(row(&world.room, job, "tagged").state, State::Met);
    assert_eq!(world.office.trust().unwrap().read_tag(&tag, job), TagRead::Own);
}

#[test]
fn another_jobs_tag_in_the_frame_does_not_count_and_says_so() {
    let mut world = world();
    let job = world.job;
    let other = second_job(&mut world);
    let tag = world.room.tag_text(other).unwrap();
    let added = add(&mut world, job, "other.jpg", &stove(Some(&tag)));
    assert!(codes(&added).contains(&"tag_of_another_job"), "{:?}", added.grade);
    let found = row(&world.room, job, "tagged");
    assert_eq!(found.state, State::DoesNotCount);
    assert_eq!(found.why.unwrap().code, "why-other-tag");
    let none = add(&mut world, job, "none.jpg", &stove(None));
    assert!(codes(&none).contains(&"tag_missing"), "{:?}", none.grade);
    assert_eq!(row(&world.room, job, "tagged").why.unwrap().code, "why-no-tag");
}

#[test]
fn a_tag_of_another_firm_or_a_made_up_one_is_not_genuine() {
    let mut world = world();
    let job = world.job;
    let stranger = self::world();
    let theirs = stranger.office.tag_text(job).unwrap();
    // The strangers' keys come from the same seeds: only what is changed by hand is surely made up.
    let mut made_up: Vec<char> = theirs.chars().collect();
    let last = made_up.len() - 4;
    made_up[last] = if made_up[last] == '0' { '1' } else { '0' };
    let made_up: String = made_up.into_iter().collect();
    let added = add(&mut world, job, "made-up.jpg", &stove(Some(&made_up)));
    assert!(codes(&added).contains(&"tag_not_genuine"), "{:?}", added.grade);
    assert_eq!(
        row(&world.room, job, "tagged").why.unwrap().code,
        "why-tag-not-genuine"
    );
}

#[test]
fn the_tag_is_printed_in_three_sizes_on_both_papers() {
    let world = world();
    for size in [PageSize::Letter, PageSize::A4] {
        let pdf = world.room.print(world.job, "tag", size, None).unwrap().pdf;
        let summary = wythe_app::media::read_pdf(&pdf);
        assert_eq!(summary.unwrap().pages, Some(3), "{size:?}");
    }
}

#[test]
fn the_same_photo_and_one_that_looks_like_it_are_told_across_jobs() {
    let mut world = world();
    let job = world.job;
    let other = second_job(&mut world);
    add(&mut world, other, "first.jpg", &stove(None));
    let same = add(&mut world, job, "same.jpg", &stove(None));
    assert!(
        codes(&same).contains(&"same_photo_in_another_job"),
        "{:?}",
        same.grade
    );
    let smaller = MadePhoto {
        quality: 55,
        width: 1280,
        height: 960,
        ..stove(None)
    };
    let third = second_job(&mut world);
    let alike = add(&mut world, third, "smaller.jpg", &smaller);
    let looks = alike
        .grade
        .reasons
        .iter()
        .find(|reason| reason.starts_with("looks_the_same"));
    assert!(
        looks.is_some_and(|reason| reason.contains("other_job=true")),
        "{:?}",
        alike.grade
    );
}

#[test]
fn grade_version_and_preview_are_recorded_with_the_photo() {
    let mut world = world();
    let job = world.job;
    let added = add(&mut world, job, "photo.jpg", &stove(None));
    let body = taken(&world.room, job);
    assert_eq!(body.grade.as_ref().unwrap(), &added.grade);
    assert_eq!(added.grade.version, GRADE_VERSION);
    let preview = body.preview.unwrap();
    let mut bytes = Vec::new();
    let mut kept = world.room.log().originals().read(preview.digest).unwrap();
    kept.read_to_end(&mut bytes).unwrap();
    assert_eq!(digest_of(&bytes), preview.digest);
    // Graded again from what was kept, by the same version: the preview alone gives the same measures.
    let again =
        wythe_app::media::intake_photo(bytes.as_slice(), &mut wythe_app::media::MemorySink::default());
    assert_eq!(again.unwrap().size.map(|size| size.width), Some(1280));
}

#[test]
fn a_reason_for_the_best_that_could_be_had_is_recorded() {
    let mut world = world();
    let job = world.job;
    let dark = MadePhoto {
        exposure: -5.0,
        ..stove(None)
    };
    let path = file(&world, "dark.jpg", &dark);
    let options = PhotoOptions {
        best_i_can: Some("the lamp broke".into()),
        added: HowAdded::JustTaken,
        ..PhotoOptions::default()
    };
    let added = world.room.add_photo(job, &at(PHOTO), &path, &options).unwrap();
    assert_ne!(added.grade.code, "good");
    let kept = taken(&world.room, job).grade.unwrap();
    assert_eq!(kept.best_i_can.as_deref(), Some("the lamp broke"));
}

#[test]
fn a_heic_is_kept_as_it_is_and_graded_by_the_preview_that_the_phone_made() {
    let mut world = world();
    let job = world.job;
    let tag = world.room.tag_text(job).unwrap();
    let mut heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    let blind = heic.clone();
    heic.extend(b"\0\0\0\x14ispe\0\0\0\0\0\0\x0f\xc0\0\0\x0b\xd0");
    heic.extend(b"\0\0\0\x10mdat12345678");
    // One that does not even say its size is kept all the same.
    let path = world.folder.path().join("blind.heic");
    std::fs::write(&path, &blind).unwrap();
    world
        .room
        .add_photo(job, &at(PHOTO), &path, &PhotoOptions::default())
        .unwrap();
    assert_eq!(taken(&world.room, job).original.digest, digest_of(&blind));
    let path = world.folder.path().join("photo.heic");
    std::fs::write(&path, &heic).unwrap();
    let blind = world
        .room
        .add_photo(job, &at(PHOTO), &path, &PhotoOptions::default())
        .unwrap();
    assert!(codes(&blind).contains(&"not_looked_at"), "{:?}", blind.grade);
    let options = PhotoOptions {
        preview: Some(make(&stove(Some(&tag))).unwrap()),
        ..PhotoOptions::default()
    };
    let seen = world.room.add_photo(job, &at(PHOTO), &path, &options).unwrap();
    assert!(!codes(&seen).contains(&"not_looked_at"), "{:?}", seen.grade);
    let body = taken(&world.room, job);
    assert_eq!((body.width, body.height), (4032, 3024));
    assert_eq!((body.original.digest, body.tags), (digest_of(&heic), vec![tag]));
    let mut kept = Vec::new();
    let mut file = world.room.log().originals().read(body.original.digest).unwrap();
    file.read_to_end(&mut kept).unwrap();
    assert_eq!(kept, heic, "the original is byte for byte what came in");
}

#[test]
fn what_was_shown_is_what_is_signed() {
    let mut world = world();
    let job = world.job;
    answer(&mut world.room, job, "survey.fuel", "natural gas");
    let look = world.room.look(job, None).unwrap();
    let to_sign = world.room.to_sign(&look, &at(QUOTE)).unwrap();
    assert!(to_sign.summary.contains("natural gas") || to_sign.summary.contains("Natural gas"));
    // Something changes between the showing and the signing.
    answer(&mut world.room, job, "survey.fuel", "propane");
    let signing = Signing {
        shown: to_sign.shown,
        act: "declined".into(),
        name: "Tansy Featherstep".into(),
        strokes: Vec::new(),
        position: None,
        copy_given: None,
    };
    let refused = world.room.sign_off(job, &at(QUOTE), signing).unwrap_err();
    assert_eq!(refused.code(), "shown_changed");

    sign(&mut world.room, job, QUOTE, "signed").unwrap();
    let look = world.room.look(job, None).unwrap();
    let signed = &look.job.signatures.last().unwrap().body;
    let now = world.room.to_sign(&look, &at(QUOTE)).unwrap();
    assert_eq!(
        (&signed.words, signed.summary_digest),
        (&now.words, now.summary_digest)
    );
    assert_eq!(signed.consent_version, wythe_app::guide::CONSENT_VERSION);
    assert_eq!(signed.strokes[0][1].ms, 180);
    assert_eq!(signed.strokes[0][1].pressure, Some(400));
    assert!(!signed.covers.is_empty());
    assert_eq!(row(&world.room, job, "quote").state, State::Met);

    // A later change of what it covers is told, and it no longer counts.
    answer(&mut world.room, job, "survey.fuel", "natural gas");
    let found = row(&world.room, job, "quote");
    assert_eq!(found.state, State::DoesNotCount);
    assert_eq!(found.why.unwrap().code, "why-signed-an-earlier-state");
}

#[test]
fn declining_is_recorded_and_is_no_signature() {
    let mut world = world();
    let job = world.job;
    sign(&mut world.room, job, QUOTE, "declined").unwrap();
    let found = row(&world.room, job, "quote");
    assert_eq!(found.state, State::DoesNotCount);
    assert_eq!(found.why.unwrap().code, "why-declined");
    sign(&mut world.room, job, QUOTE, "signed").unwrap();
    assert_eq!(row(&world.room, job, "quote").state, State::Met);
}

#[test]
fn a_signature_on_paper_needs_its_page_and_covers_it() {
    let mut world = world();
    let job = world.job;
    assert_eq!(
        sign(&mut world.room, job, QUOTE, "on_paper").unwrap_err().code(),
        "no_signed_page"
    );
    let page = world
        .room
        .print(job, &format!("to_sign/{QUOTE}"), PageSize::A4, None)
        .unwrap()
        .pdf;
    let path = world.folder.path().join("signed.pdf");
    std::fs::write(&path, page).unwrap();
    let page = world.room.add_signed_page(job, &at(QUOTE), &path).unwrap();
    sign(&mut world.room, job, QUOTE, "on_paper").unwrap();
    assert_eq!(row(&world.room, job, "quote").state, State::Met);
    let look = world.room.look(job, None).unwrap();
    assert!(
        look.job
            .signatures
            .last()
            .unwrap()
            .body
            .covers
            .contains(&page.fact)
    );
    world.room.strike(job, vec![page.fact], "the wrong page").unwrap();
    let found = row(&world.room, job, "quote");
    assert_eq!(found.why.unwrap().code, "why-signed-paper-not-here");
}
