//! A job's screens, of 1,000 facts, against the limit: gate 10 ms, goal 5 ms each.
//!
//! "again" is what happens after each answer: the facts are in memory, everything else is made anew.
//! "first" is the first look after the app was opened: the facts are read from the file.

use std::io::Write as _;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use wythe_app::store::Log as _;

mod made;

use made::{Length, Outcome, told};

const GATE: Duration = Duration::from_millis(10);
const GOAL: Duration = Duration::from_millis(5);
const TURNS: usize = 60;
const LENGTH: Length = Length {
    facts: 1_000,
    photos: 60,
    pixels: (640, 480),
};

fn main() -> Outcome<ExitCode> {
    let folder = tempfile::tempdir()?;
    let (mut phone, job) = made::job(folder.path(), LENGTH)?;
    let today = wythe_app::guide::read_date("2026-03-25");
    let words = std::sync::Arc::clone(phone.words());
    let facts = phone.log().facts(job.into())?.len();
    writeln!(
        std::io::stdout(),
        "a job of {facts} facts, {TURNS} turns; gate {GATE:?}, goal {GOAL:?}"
    )?;
    let mut held = true;
    for screen in ["job", "missing", "stage/survey", "stage/chimney_top", "stage/gas"] {
        let (mut first, mut again, mut folded) = (Vec::new(), Vec::new(), Vec::new());
        for _ in 0..TURNS {
            phone.log_mut().pause()?;
            phone.log_mut().resume()?;
            for times in [&mut first, &mut again] {
                let begun = Instant::now();
                let look = phone.look(job, today)?;
                let looked = begun.elapsed();
                std::hint::black_box(look.screen(screen, &words)?);
                times.push(begun.elapsed());
                folded.push(looked);
            }
        }
        held &= told(&format!("{screen}, first"), first, GATE)?;
        held &= told(&format!("{screen}, again"), again, GATE)?;
        told("  the look alone", folded, GATE)?;
    }
    Ok(if held {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}
