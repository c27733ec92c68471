//! The pieces from the collar, and how well they span.

use serde::Serialize;
use uom::si::f64::Length;

use super::input::Arrangement;
use crate::form::Figure;

/// What comes out: the best candidate that spans, else the nearest.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// Whether rise and run are both met within the tolerance.
    pub spans: bool,
    /// How pieces and elbows follow one another.
    pub arrangement: Option<Arrangement>,
    /// Ids from the collar.
    pub ids: Vec<String>,
    /// Parts from the collar.
    pub parts: Vec<Part>,
    /// Pieces and elbows.
    pub part_count: usize,
    /// Elbows.
    pub elbow_count: usize,
    /// Joints, that at the collar and that at the end included.
    pub joints: usize,
    /// What is cut off.
    pub offcut: Figure<Length>,
    /// Where to cut, when anything is cut.
    pub cut: Option<Cut>,
    /// Length the telescope is set to, when there is one.
    pub adjustable_setting: Option<Figure<Length>>,
    /// What the parts cost.
    pub cost: f64,
    /// Plus is long, minus short.
    pub rise_error: Option<Figure<Length>>,
    /// Plus is long, minus short.
    pub run_error: Option<Figure<Length>>,
    /// The sizes of both errors together.
    pub miss: Option<Figure<Length>>,
    /// Screws for all joints, when the manual asks for screws.
    pub screws: Option<usize>,
    /// Seal for all joints, when the pipe's diameter is given.
    pub seal_length: Option<Figure<Length>>,
    /// Where each part runs, for a drawing.
    #[serde(skip)]
    pub path: Vec<Run>,
}

/// One part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Its name in the stock list.
    pub id: String,
    /// What it is.
    pub kind: PartKind,
    /// What it adds to its group; none for an elbow.
    pub effective_length: Option<Figure<Length>>,
    /// Length over all after the cut; sections only.
    pub overall_length: Option<Figure<Length>>,
    /// Whether it is the one that is cut.
    pub cut: bool,
}

/// What a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PartKind {
    /// A pipe section.
    Section,
    /// An elbow.
    Elbow,
    /// The telescoping section.
    Adjustable,
}

/// The cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// Which piece.
    pub id: String,
    /// Its place among the ids, from 0.
    pub position: usize,
    /// Length over all that is left.
    pub cut_to: Figure<Length>,
    /// What comes off.
    pub cut_off: Figure<Length>,
}

/// Where a part of the same place in `parts` runs: from and to, as (run, rise) from the collar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Its beginning.
    pub from: (Length, Length),
    /// Its end.
    pub to: (Length, Length),
}
