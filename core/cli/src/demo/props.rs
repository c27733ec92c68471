//! What a scenario needs around the acts: made signatures, files, wall clocks.

use std::fs;
use std::path::Path;

use wythe_app::guide::readiness::State;
use wythe_app::job::Moment;

use crate::trouble::Trouble;

/// Strokes for a made signature: a line that runs like the name, drawn by its letters.
pub fn scribble(name: &str) -> Vec<Vec<(i32, i32)>> {
    let mut strokes = Vec::new();
    let mut x = 60;
    for word in name.split_whitespace() {
        let mut stroke = Vec::new();
        for letter in word.chars() {
            let height = i32::try_from(u32::from(letter) % 97).unwrap_or_default();
            let tall = 90 + height;
            stroke.extend([
                (x, 260),
                (x + 12, 260 - tall),
                (x + 24, 250),
                (x + 32, 262 + height / 6),
            ]);
            x += 38;
        }
        strokes.push(stroke);
        x += 40;
    }
    let widest = strokes
        .iter()
        .flatten()
        .map(|(x, _)| *x)
        .max()
        .unwrap_or(1)
        .max(940);
    for point in strokes.iter_mut().flatten() {
        point.0 = point.0 * 940 / widest;
    }
    strokes
}

pub fn write(file: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let wrong = |why: std::io::Error| Trouble::file(file.display().to_string(), &why);
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder).map_err(wrong)?;
    }
    fs::write(file, bytes).map_err(wrong)
}

pub fn plain(address: &str) -> String {
    address
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect()
}

pub fn wall_clock(at: Moment) -> Option<chrono::NaiveDateTime> {
    let local = at.utc_ms.checked_add(i64::from(at.offset_min) * 60_000)?;
    chrono::DateTime::from_timestamp_millis(local).map(|at| at.naive_utc())
}

pub fn offset_text(minutes: i16) -> String {
    let sign = if minutes < 0 { '-' } else { '+' };
    format!("{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
}

/// Seconds of a timer in milliseconds; a day at most.
pub fn milliseconds(seconds: f64) -> Result<i64, Trouble> {
    let tenths = (seconds * 10.0).round();
    let written = format!("{tenths:.0}").parse::<i64>().ok();
    written
        .filter(|tenths| (0..=864_000).contains(tenths))
        .map(|tenths| tenths * 100)
        .ok_or_else(|| Trouble::Usage(format!("{seconds} s is no time for a timer")))
}

/// The word for how a row stands, as a scenario writes it.
pub fn state_code(state: State) -> &'static str {
    match state {
        State::Met => "met",
        State::Doubtful => "doubtful",
        State::NotNeeded => "not_needed",
        State::Waiting => "waiting",
        State::Missing => "missing",
        State::Disagreeing => "disagreeing",
        State::DoesNotCount => "does_not_count",
    }
}
