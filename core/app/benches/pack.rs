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

use made::{Length, Outcome};

const PACK: (Duration, Duration) = (Duration::from_secs(2), Duration::from_millis(700));
const CHECK: (Duration, Duration) = (Duration::from_secs(1), Duration::from_millis(300));
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
    let mut out = std::io::stdout().lock();
    writeln!(
        out,
        "a pack of {} bytes; medians of {TURNS} turns",
        std::fs::metadata(&path)?.len()
    )?;
    let mut held = true;
    for (name, times, (gate, goal)) in [("pack", packing, PACK), ("check", checking, CHECK)] {
        let time = median(times);
        let share = time.as_secs_f64() / gate.as_secs_f64();
        held &= share <= 1.0;
        writeln!(
            out,
            "{name:>6}: {time:>10.3?}, {share:.2} of the gate {gate:?} (goal {goal:?})"
        )?;
    }
    Ok(if held {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times.get(times.len() / 2).copied().unwrap_or_default()
}
