//! Intake of a 12-megapixel photo, against its parts alone in the same run.
//!
//! The parts are what nobody could leave out: read and SHA-256, decode, reduce, encode the preview,
//! and write durably. Whole and parts take turns, as syncing a disk takes now one time and now
//! another. Gate: 1.5 times the parts; goal: 1.2 times.

use std::{
    fs::{self, File},
    hint::black_box,
    io::{self, Write},
    path::Path,
    time::{Duration, Instant},
};

use criterion::Criterion;
use image::{ExtendedColorType, codecs::jpeg::JpegEncoder};
use sha2::{Digest, Sha256};
use wythe_media::{
    FolderSink, Format, Look, Picture, Preview, intake_photo_file, limits, read_metadata, tag,
};

const GATE: f64 = 1.5;
const GOAL: f64 = 1.2;
const TURNS: usize = 25;

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

fn main() -> Outcome<()> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("photo.jpg");
    fs::write(&file, photo()?)?;
    let parts = Parts::new(&file, folder.path())?;
    let within = parts.ratio()?;
    parts.each();
    if within {
        Ok(())
    } else {
        Err("intake is beyond its gate".into())
    }
}

/// 4000 x 3000 pixels of slopes, edges and grain, about as large a file as a phone makes.
fn photo() -> Outcome<Vec<u8>> {
    const WIDE: u32 = 4000;
    const TALL: u32 = 3000;
    let mut state = 1_u32;
    let mut rgb = Vec::with_capacity(36_000_000);
    for y in 0..TALL {
        for x in 0..WIDE {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            let brick = u32::from((y % 130 < 12) || ((x + 150 * (y / 130 % 2)) % 300 < 12)) * 70;
            let value = 60 + brick + x / 60 + y / 80 + (state >> 29);
            let [.., byte] = value.min(255).to_be_bytes();
            rgb.extend([byte, byte.saturating_sub(12), byte.saturating_sub(30)]);
        }
    }
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 93).encode(&rgb, WIDE, TALL, ExtendedColorType::Rgb8)?;
    Ok(jpeg)
}

/// The file, and what each part works on.
struct Parts<'a> {
    file: &'a Path,
    folder: &'a Path,
    bytes: Vec<u8>,
    full: Picture,
    reduced: Picture,
}

impl<'a> Parts<'a> {
    fn new(file: &'a Path, folder: &'a Path) -> Outcome<Self> {
        let bytes = fs::read(file)?;
        let full = Picture::decode(&bytes, Format::Jpeg)?;
        let reduced = full.reduced_to(usize::try_from(limits::PREVIEW_SIDE)?);
        Ok(Self {
            file,
            folder,
            bytes,
            full,
            reduced,
        })
    }

    fn read_and_hash(&self) -> Outcome<()> {
        black_box(Sha256::digest(fs::read(self.file)?));
        Ok(())
    }

    fn decode(&self) -> Outcome<()> {
        black_box(Picture::decode(&self.bytes, Format::Jpeg)?);
        Ok(())
    }

    fn reduce(&self) -> Outcome<()> {
        black_box(self.full.reduced_to(usize::try_from(limits::PREVIEW_SIDE)?));
        Ok(())
    }

    fn encode(&self) -> Outcome<()> {
        black_box(Preview::of(&self.reduced)?);
        Ok(())
    }

    fn write(&self) -> Outcome<()> {
        let (passing, kept) = (self.folder.join("passing"), self.folder.join("kept"));
        let mut file = File::create(&passing)?;
        file.write_all(&self.bytes)?;
        file.sync_all()?;
        fs::rename(passing, &kept)?;
        File::open(self.folder)?.sync_all()?;
        fs::remove_file(kept)?;
        Ok(())
    }

    fn whole(&self) -> Outcome<()> {
        let originals = self.folder.join("originals");
        let mut sink = FolderSink::new(&originals)?;
        let photo = intake_photo_file(self.file, &mut sink)?;
        fs::remove_file(sink.path_of(&photo.original))?;
        Ok(())
    }

    /// Takes turns and compares medians; whether the gate holds.
    fn ratio(&self) -> Outcome<bool> {
        let names = [
            "read and SHA-256",
            "decode",
            "reduce",
            "encode",
            "write durably",
            "whole intake",
        ];
        let mut times: [Vec<Duration>; 6] = Default::default();
        for _ in 0..TURNS {
            let runs = [
                timed(|| self.read_and_hash())?,
                timed(|| self.decode())?,
                timed(|| self.reduce())?,
                timed(|| self.encode())?,
                timed(|| self.write())?,
                timed(|| self.whole())?,
            ];
            times
                .iter_mut()
                .zip(runs)
                .for_each(|(times, run)| times.push(run));
        }
        let medians = times.map(|mut runs| {
            runs.sort_unstable();
            runs.get(runs.len() / 2)
                .map_or(0.0, |median| median.as_secs_f64() * 1000.0)
        });
        let mut said = format!("photo of {} bytes, medians of {TURNS} turns\n", self.bytes.len());
        for (name, median) in names.iter().zip(medians) {
            said += &format!("{name:>18} {median:7.2} ms\n");
        }
        let [read, decode, reduce, encode, write, whole] = medians;
        let ratio = whole / (read + decode + reduce + encode + write);
        said += &format!("whole over parts {ratio:.3} (gate {GATE}, goal {GOAL})\n");
        io::stdout().write_all(said.as_bytes())?;
        Ok(ratio <= GATE)
    }

    /// What intake does beside the parts, for whoever wants to win time.
    fn each(&self) {
        let grey = self.reduced.grey();
        let mut criterion = Criterion::default().sample_size(20).configure_from_args();
        criterion.bench_function("reduce to the preview", |b| b.iter(|| self.full.reduced_to(1280)));
        criterion.bench_function("measure", |b| b.iter(|| Look::of(&grey)));
        criterion.bench_function("fingerprint", |b| b.iter(|| wythe_media::Fingerprint::of(&grey)));
        criterion.bench_function("look for tags", |b| b.iter(|| tag::scan(&grey)));
        criterion.bench_function("read metadata", |b| b.iter(|| read_metadata(&self.bytes)));
        criterion.final_summary();
    }
}

fn timed(work: impl FnOnce() -> Outcome<()>) -> Outcome<Duration> {
    let begun = Instant::now();
    work()?;
    Ok(begun.elapsed())
}
