//! What people type on the command line, and how answers are written.

use std::fs;
use std::path::Path;

use serde_json::Value as Json;
use wythe_app::guide::{Date, read_date};
use wythe_app::job::{Address, Moment, Position, StrokePoint};

use crate::trouble::Trouble;

/// Points of a stroke, ten milliseconds apart.
pub fn stroke_points(stroke: &[(i32, i32)]) -> Vec<StrokePoint> {
    let points = stroke.iter().zip(0u32..);
    points
        .map(|((x, y), n)| StrokePoint {
            x: *x,
            y: *y,
            ms: n.saturating_mul(10),
            pressure: None,
        })
        .collect()
}

/// The strokes of a file: each point is [x, y], or [x, y, ms, pressure] as the pad told them.
pub fn strokes(text: &str) -> Result<Vec<Vec<StrokePoint>>, String> {
    #[derive(serde::Deserialize)]
    #[serde(untagged)]
    enum Point {
        Told(i32, i32, u32, Option<u16>),
        Plain(i32, i32),
    }
    let read: Vec<Vec<Point>> = serde_json::from_str(text).map_err(|why| why.to_string())?;
    let one = |(point, n): (Point, u32)| match point {
        Point::Told(x, y, ms, pressure) => StrokePoint { x, y, ms, pressure },
        Point::Plain(x, y) => StrokePoint {
            x,
            y,
            ms: n.saturating_mul(10),
            pressure: None,
        },
    };
    Ok(read
        .into_iter()
        .map(|stroke| stroke.into_iter().zip(0..).map(one).collect())
        .collect())
}

/// JSON where it was asked for, else the text.
pub fn answer(json: bool, value: &Json, text: &str) -> String {
    if json {
        format!("{value}\n")
    } else {
        text.to_owned()
    }
}

pub fn at_address(text: &str) -> Result<Address, Trouble> {
    Ok(text.parse::<Address>().map_err(wythe_app::AppError::from)?)
}

pub fn day(text: Option<&str>) -> Result<Option<Date>, Trouble> {
    let read = |text: &str| {
        read_date(text).ok_or_else(|| Trouble::Usage(format!("{text} is no date: write it like 2026-03-31.")))
    };
    text.map(read).transpose()
}

pub fn moment(text: &str) -> Result<Moment, Trouble> {
    wythe_app::guide::read_moment(text).ok_or_else(|| {
        Trouble::Usage(format!(
            "{text} is no time: write it like 2026-03-31T10:00-07:00."
        ))
    })
}

pub fn position(text: &str) -> Result<Position, Trouble> {
    wythe_app::guide::read_place(text)
        .ok_or_else(|| Trouble::Usage(format!("{text} is no place: write it like 46.872, -113.994.")))
}

pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Trouble> {
    fs::read(path).map_err(|why| Trouble::file(path.display().to_string(), &why))
}

pub fn read_text(path: &Path) -> Result<String, Trouble> {
    fs::read_to_string(path).map_err(|why| Trouble::file(path.display().to_string(), &why))
}
