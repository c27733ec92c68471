//! A claim pack with 30 photos of 12 megapixels, and its check, against the limits: 2 s and 1 s, with
//! the goals 0.7 s and 0.3 s.

use std::fs::File;
use std::io::{BufReader, Write as _};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use wythe_app::PackOptions;
use wythe_app::pack::PackReader;
use wythe_app::pack::paper::PageSize;

mod made;

use made::{Length, Outcome, told};

const PACK_GATE: Duration = Duration::from_secs(2);
const PACK_GOAL: Duration = Duration::from_millis(700);
const CHECK_GATE: Duration = Duration::from_secs(1);
const CHECK_GOAL: Duration = Duration::from_millis(300);
const TURNS: usize = 7;
const LENGTH: Length = Length {
    facts: 300,
    photos: 30,
    pixels: (4_000, 3_000),
};

fn main() -> Outcome<ExitCode> {
    let folder = tempfile::tempdir()?;
    let (phone, job) = made::job(folder.path(), LENGTH)?;
    let options = PackOptions {
        reader: PackReader::Full,
        size: PageSize::Letter,
        today: wythe_app::guide::read_date("2026-03-25"),
    };
    let path = folder.path().join("claim.zip");
    let (_, _, fingerprint) = phone.business()?;
    let (mut packing, mut checking) = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        let begun = Instant::now();
        phone.pack(job, &path, &options)?;
        packing.push(begun.elapsed());
        let begun = Instant::now();
        wythe_app::pack::check(BufReader::new(File::open(&path)?), Some(fingerprint))?;
        checking.push(begun.elapsed());
    }
    writeln!(
        std::io::stdout(),
        "a pack of {} bytes, {TURNS} turns; goals {PACK_GOAL:?} and {CHECK_GOAL:?}",
        std::fs::metadata(&path)?.len()
    )?;
    let held = told("pack", packing, PACK_GATE)? & told("check", checking, CHECK_GATE)?;
    Ok(if held {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
