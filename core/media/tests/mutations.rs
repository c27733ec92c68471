//! Files with bytes changed at random by a seed: whatever comes, intake answers and does not panic.
//!
//! `WYTHE_MUTATIONS` sets how many of each kind, `WYTHE_SEED` where they begin.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "this is all test"
)]

mod corpus;

use std::{env, io::Read, panic};

use flate2::{Compression, bufread::ZlibEncoder};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{Rng, SeedableRng},
};
use wythe_media::{
    Format, MemorySink, Picture, TagLook,
    grade::grade,
    intake_paper, intake_photo_looking,
    made::{MadePhoto, Scene, make},
    read_metadata, read_pdf,
    tag::{self, TagModules},
};

fn setting(name: &str, otherwise: u64) -> u64 {
    env::var(name)
        .ok()
        .map_or(otherwise, |value| value.parse().unwrap())
}

/// Runs `intake` on changed copies of `file`; a panic is told with the seed that makes it again.
fn mutate(
    kind: &str,
    file: &[u8],
    times: u64,
    within: std::ops::Range<usize>,
    intake: impl Fn(&[u8]) + panic::RefUnwindSafe,
) {
    let first = setting("WYTHE_SEED", 1);
    let times = setting("WYTHE_MUTATIONS", times);
    for seed in first..first + times {
        let changed = change(file, seed, within.clone());
        let outcome = panic::catch_unwind(|| intake(&changed));
        assert!(
            outcome.is_ok(),
            "{kind}: WYTHE_SEED={seed} WYTHE_MUTATIONS=1 panics"
        );
    }
    println!("{kind}: seeds {first} to {}", first + times - 1);
}

/// A copy with one to eight changes within a range of bytes.
fn change(file: &[u8], seed: u64, within: std::ops::Range<usize>) -> Vec<u8> {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    let mut below =
        |most: usize| usize::try_from(dice.next_u64() % u64::try_from(most.max(1)).unwrap()).unwrap();
    let mut file = file.to_vec();
    for _ in 0..1 + below(8) {
        let end = within.end.min(file.len());
        let at = within.start + below(end.saturating_sub(within.start));
        let Some(byte) = file.get_mut(at) else { break };
        match below(8) {
            0 | 1 => *byte ^= 1 << below(8),
            2 => *byte = [0, 1, 0x7F, 0x80, 0xFF, b'0', b'(', b'['][below(8)],
            3 => {
                let large = [0xFF_u8, 0xFF, 0xFF, 0xF0];
                let end = (at + 4).min(file.len());
                file[at..end].copy_from_slice(&large[..end - at]);
            }
            4 => {
                let end = (at + 1 + below(64)).min(file.len());
                file.drain(at..end);
            }
            5 => {
                let end = (at + 1 + below(64)).min(file.len());
                let again = file[at..end].to_vec();
                file.splice(at..at, again);
            }
            6 => file.truncate(at.max(16)),
            _ => {
                let from = within.start + below(end.saturating_sub(within.start + 4));
                let four: Vec<u8> = file.iter().copied().skip(from).take(4).collect();
                let end = (at + four.len()).min(file.len());
                file[at..end].copy_from_slice(&four[..end - at]);
            }
        }
    }
    file
}

fn photo() -> Vec<u8> {
    let photo = MadePhoto {
        width: 256,
        height: 192,
        tag: Some("WYTHE:1".into()),
        tag_size: 0.4,
        ..corpus::plain(Scene::OldStove)
    };
    make(&photo).unwrap()
}

fn whole(file: &[u8]) {
    if let Ok(photo) = intake_photo_looking(file, &mut MemorySink::default(), TagLook::Twice) {
        assert!(
            photo.look.is_some() || photo.original.format == Format::Heic,
            "a part of it panicked"
        );
        let graded = grade(&photo, &corpus::around());
        assert_eq!(
            graded
                .reasons
                .first()
                .map_or(wythe_media::grade::Grade::Good, |r| r.grade()),
            graded.grade
        );
    }
}

#[test]
fn jpeg() {
    let file = photo();
    mutate("JPEG", &file, 1500, 2..file.len(), whole);
    // Tables and headers are at the beginning, where most of the trouble is.
    mutate("JPEG head", &file, 1500, 2..1200, whole);
}

#[test]
fn png() {
    let png = MadePhoto {
        width: 96,
        height: 72,
        png: true,
        ..corpus::plain(Scene::Meter)
    };
    let file = make(&png).unwrap();
    mutate("PNG", &file, 500, 8..file.len(), whole);
}

#[test]
fn exif() {
    let file = photo();
    let start = file.windows(6).position(|six| six == b"Exif\0\0").unwrap();
    mutate("EXIF", &file, 20_000, start..start + 600, |file| {
        let said = read_metadata(file);
        if let Some(fix) = said.fix {
            assert!(fix.position.latitude.abs() <= 90.0 && fix.position.longitude.abs() <= 180.0);
        }
    });
}

/// A HEIC that holds nothing but its EXIF block.
fn heic() -> Vec<u8> {
    let jpeg = photo();
    let start = jpeg.windows(6).position(|six| six == b"Exif\0\0").unwrap();
    let tiff = &jpeg[start + 6..start + 600];
    let boxed = |kind: &[u8], body: &[u8]| {
        [
            &u32::try_from(body.len() + 8).unwrap().to_be_bytes()[..],
            kind,
            body,
        ]
        .concat()
    };
    let infe = boxed(b"infe", b"\x02\0\0\0\0\x01\0\0Exif\0");
    let iinf = boxed(b"iinf", &[&b"\0\0\0\0\0\x01"[..], &infe].concat());
    let item = [&[0, 0, 0, 0][..], tiff].concat();
    let length = u32::try_from(item.len()).unwrap().to_be_bytes();
    let iloc = |offset: u32| {
        let extent = [
            &b"\0\0\0\0\x44\0\0\x01\0\x01\0\0\0\x01"[..],
            &offset.to_be_bytes(),
            &length,
        ]
        .concat();
        boxed(b"iloc", &extent)
    };
    let ftyp = boxed(b"ftyp", b"heic\0\0\0\0mif1heic");
    let meta = |offset| boxed(b"meta", &[&[0, 0, 0, 0][..], &iinf, &iloc(offset)].concat());
    let offset = u32::try_from(ftyp.len() + meta(0).len() + 8).unwrap();
    [ftyp, meta(offset), boxed(b"mdat", &item)].concat()
}

#[test]
fn heic_is_read_and_changed() {
    let file = heic();
    let said = read_metadata(&file);
    assert_eq!(
        said.taken.map(|t| t.local.to_string()).as_deref(),
        Some("2025-11-24 16:30:00")
    );
    assert!(said.fix.is_some());
    let mut photo = intake_photo_looking(file.as_slice(), &mut MemorySink::default(), TagLook::Once).unwrap();
    let codes = |photo: &_| -> Vec<_> {
        grade(photo, &corpus::around())
            .reasons
            .iter()
            .map(|reason| reason.code())
            .collect()
    };
    assert_eq!(codes(&photo), ["few_pixels", "not_looked_at"]);
    let tag = Some("WYTHE:1".to_owned());
    let shown = MadePhoto {
        width: 1280,
        height: 960,
        tag,
        ..corpus::plain(Scene::OldStove)
    };
    photo.supply_preview(&make(&shown).unwrap()).unwrap();
    assert_eq!(
        (photo.tags.as_slice(), codes(&photo)),
        (&["WYTHE:1".to_owned()][..], vec!["few_pixels"])
    );
    assert!(!read_metadata(&photo.preview.unwrap().jpeg).present);
    mutate("HEIC", &file, 10_000, 16..file.len(), whole);
}

fn pack(bytes: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    ZlibEncoder::new(bytes, Compression::default())
        .read_to_end(&mut packed)
        .unwrap();
    packed
}

fn pdf() -> Vec<u8> {
    let scan = make(&MadePhoto {
        width: 64,
        height: 64,
        ..corpus::plain(Scene::Paper)
    })
    .unwrap();
    let parts = [
        "<< /Type /Pages /Kids [ 3 0 R 5 0 R ] >> ",
        "<< /Type /Page /Resources << /XObject << /I 4 0 R >> >> >> ",
    ];
    let head = format!("2 0 3 {} ", parts[0].len());
    let packed = pack((head.clone() + &parts.concat()).as_bytes());
    let mut file = b"%PDF-1.5\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n5 0 obj << /Type /Page /Rotate 90 >> endobj\n".to_vec();
    let mut stream = |head: String, body: &[u8]| {
        file.extend(head.as_bytes());
        file.extend(body);
        file.extend(b"\nendstream endobj\n");
    };
    stream(
        format!(
            "4 0 obj << /Subtype /Image /Filter /DCTDecode /Length {} >> stream\n",
            scan.len()
        ),
        &scan,
    );
    stream(
        format!(
            "9 0 obj << /Type /ObjStm /N 2 /First {} /Filter /FlateDecode /Length {} >> stream\n",
            head.len(),
            packed.len()
        ),
        &packed,
    );
    file.extend(b"trailer << /Root 1 0 R /Size 10 >>\n%%EOF");
    file
}

#[test]
fn pdf_is_read_and_changed() {
    let file = pdf();
    let found = read_pdf(&file).unwrap();
    assert_eq!((found.pages, found.scan.is_some()), (Some(2), true));
    let structure = file.iter().position(|b| *b == 0xFF).unwrap();
    mutate("PDF", &file, 5000, 5..file.len(), |file| {
        let _ = intake_paper(file, &mut MemorySink::default());
    });
    mutate("PDF head", &file, 10_000, 5..structure, |file| {
        let _ = read_pdf(file);
    });
}

#[test]
fn codes() {
    const SIDE: usize = 160;
    let modules = TagModules::of(b"WYTHE:JOB:0001:5f2c9a71e0").unwrap();
    let mut luma = vec![240_u8; SIDE * SIDE];
    for (y, row) in modules.rows().enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, dark)| **dark) {
            for n in 0..16 {
                luma[(16 + y * 4 + n / 4) * SIDE + 16 + x * 4 + n % 4] = 10;
            }
        }
    }
    mutate("QR", &luma, 6000, 0..SIDE * SIDE, |changed| {
        let mut changed = changed.to_vec();
        changed.resize(SIDE * SIDE, 128);
        let rgb = changed.iter().flat_map(|value| [*value; 3]).collect();
        let _ = tag::scan(&Picture::new(SIDE, SIDE, rgb).unwrap().grey());
    });
}

#[test]
fn what_is_no_picture_is_refused_by_each_decoder() {
    for format in [Format::Jpeg, Format::Png, Format::Heic, Format::Pdf] {
        for seed in 1..200 {
            let noise = change(&[0x5A; 512], seed, 0..512);
            assert!(Picture::decode(&noise, format).is_err());
        }
    }
}
