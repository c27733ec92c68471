//! Files that claim more than they hold: refused by name, and the largest that are taken in stay
//! within the memory that the limits name.
#![expect(clippy::unwrap_used, reason = "this is all test")]

use std::{env, fs, path::PathBuf, process::Command};

use wythe_media::{Format, MediaError, MemorySink, Picture, intake_photo, limits};

/// A JPEG of grey pixels in next to no bytes: every block is one zero bit for its mean and, if not
/// progressive, one for the end of its waves.
fn grey(width: u16, height: u16, progressive: bool, passes: usize) -> Vec<u8> {
    let [w1, w0] = width.to_be_bytes();
    let [h1, h0] = height.to_be_bytes();
    let mut jpeg = vec![0xFF, 0xD8, 0xFF, 0xDB, 0, 67, 0];
    jpeg.extend([1; 64]);
    let frame = if progressive { 0xC2 } else { 0xC0 };
    jpeg.extend([
        0xFF, frame, 0, 17, 8, h1, h0, w1, w0, 3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0,
    ]);
    for class in [0x00, 0x10] {
        jpeg.extend([0xFF, 0xC4, 0, 20, class, 1]);
        jpeg.extend([0; 15]);
        jpeg.push(0);
    }
    let blocks = usize::from(width.div_ceil(8)) * usize::from(height.div_ceil(8)) * 3;
    let bits = if progressive { blocks } else { blocks * 2 };
    for _ in 0..passes {
        let last = if progressive { 0 } else { 63 };
        jpeg.extend([0xFF, 0xDA, 0, 12, 3, 1, 0, 2, 0, 3, 0, 0, last, 0]);
        jpeg.extend(std::iter::repeat_n(0, bits.div_ceil(8)));
    }
    jpeg.extend([0xFF, 0xD9]);
    jpeg
}

fn code(file: &[u8]) -> &'static str {
    intake_photo(file, &mut MemorySink::default()).map_or_else(|refused| refused.code(), |_| "taken_in")
}

#[test]
fn a_hundred_megapixels_are_refused() {
    for (width, height) in [
        (12_000, 9_000),
        (10_000, 10_000),
        (65_000, 65_000),
        (20_000, 2_601),
        (21_000, 100),
    ] {
        for progressive in [false, true] {
            let mut jpeg = grey(width, height, progressive, 1);
            jpeg.truncate(4096);
            assert_eq!(code(&jpeg), "media_too_many_pixels", "{width} x {height}");
        }
    }
}

#[test]
fn a_progressive_picture_has_the_smaller_limit() {
    assert_eq!(code(&grey(5500, 4000, true, 1)), "media_too_many_pixels");
    assert_eq!(code(&grey(640, 480, true, 1)), "taken_in");
    assert_eq!(code(&grey(640, 480, false, 1)), "taken_in");
}

#[test]
fn thousands_of_passes_are_refused() {
    let refused = Picture::decode(&grey(640, 480, true, 3000), Format::Jpeg).unwrap_err();
    assert!(
        matches!(
            refused,
            MediaError::Undecodable { .. } | MediaError::TooMuchWork { .. }
        ),
        "{refused}"
    );
}

#[test]
fn a_file_beyond_the_limit_is_refused_while_it_is_read() {
    let endless = std::io::Read::chain(&[0xFF, 0xD8, 0xFF][..], std::io::repeat(0));
    let refused = intake_photo(endless, &mut MemorySink::default()).unwrap_err();
    assert!(matches!(refused, MediaError::TooLarge { limit } if limit == limits::PHOTO_BYTES));
}

#[test]
fn a_gigabyte_claimed_by_a_heic_box_costs_nothing() {
    let mut heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    heic.extend(b"\x3F\xFF\xFF\xFFmeta\0\0\0\0");
    let photo = intake_photo(heic.as_slice(), &mut MemorySink::default()).unwrap();
    assert!(photo.metadata.damaged && photo.preview.is_none());
}

const CHILD_FILE: &str = "WYTHE_MEDIA_CHILD_FILE";

/// Takes in one file in a process of its own, so that the peak of its memory is this intake's.
#[test]
#[ignore = "run by the test below, in a process of its own"]
fn intake_in_a_process_of_its_own() {
    let path = PathBuf::from(env::var_os(CHILD_FILE).unwrap());
    let photo = wythe_media::intake_photo_file(&path, &mut Nowhere).unwrap();
    assert!(photo.preview.is_some());
    println!("peak_kb {}", peak_kb());
}

/// Forgets the bytes, as a folder does once they are written.
struct Nowhere;

impl wythe_media::OriginalSink for Nowhere {
    fn write(&mut self, _piece: &[u8]) -> std::io::Result<()> {
        Ok(())
    }

    fn keep(&mut self, _original: &wythe_media::Original) -> std::io::Result<wythe_media::Kept> {
        Ok(wythe_media::Kept::New)
    }

    fn abandon(&mut self) {}
}

/// Highest resident memory of this process so far (Linux, proc(5): VmHWM).
fn peak_kb() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap();
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .unwrap();
    line.trim().trim_end_matches(" kB").trim().parse().unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn the_largest_pictures_stay_within_the_named_memory() {
    let folder = tempfile::tempdir().unwrap();
    for (name, width, height, progressive) in
        [("baseline", 8160, 6370, false), ("progressive", 5000, 4000, true)]
    {
        let path = folder.path().join(name);
        fs::write(&path, grey(width, height, progressive, 1)).unwrap();
        let child = Command::new(env::current_exe().unwrap())
            .args([
                "--exact",
                "intake_in_a_process_of_its_own",
                "--ignored",
                "--nocapture",
            ])
            .env(CHILD_FILE, &path)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&child.stdout);
        assert!(
            child.status.success(),
            "{said}{}",
            String::from_utf8_lossy(&child.stderr)
        );
        let peak: u64 = said
            .split_once("peak_kb ")
            .unwrap()
            .1
            .split_whitespace()
            .next()
            .unwrap()
            .parse()
            .unwrap();
        let named = (limits::PHOTO_BYTES + limits::DECODED_BYTES + limits::REDUCED_BYTES) / 1024;
        println!("{name}: {width} x {height}: {peak} kB of {named} kB");
        assert!(peak < named, "{name} took {peak} kB, {named} kB are named");
    }
}
