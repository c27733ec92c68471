use wythe_job::{Facts, Stream};

/// What lists and searches need of a stream, so that they do not fold it. Made by a [`Projector`],
/// changed in the transaction that changes the log, and never the truth: it can be made anew.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Summary {
    /// What a list shows.
    pub label: String,
    /// Where a list shows it; rows are in the order of these, byte by byte, then of their streams.
    pub sort_key: String,
    /// Whatever else a list needs, as JSON.
    pub json: String,
    /// What a search looks through, in the form in which searches are asked.
    pub search: String,
}

/// Makes summaries. The same facts must always give the same summary.
pub trait Projector: Send + Sync {
    /// Grows by one with each change to what [`Projector::project`] gives; a store that was written with
    /// another version makes its summaries anew when it is opened.
    fn version(&self) -> u32;

    /// The summary of a stream.
    fn project(&self, stream: Stream, facts: &Facts) -> Summary;
}

/// A projector that only names the stream.
#[derive(Debug, Clone, Copy, Default)]
pub struct Plain;

impl Projector for Plain {
    fn version(&self) -> u32 {
        1
    }

    fn project(&self, stream: Stream, facts: &Facts) -> Summary {
        Summary {
            label: stream.short(),
            sort_key: stream.to_string(),
            json: format!("{{\"facts\":{}}}", facts.len()),
            search: stream.to_string(),
        }
    }
}

/// One row of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Of which stream.
    pub stream: Stream,
    /// Its summary.
    pub summary: Summary,
}

/// Which rows of the list are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// Only rows after this one: the last row's sort key and stream of the page before.
    pub after: Option<(String, Stream)>,
    /// At most so many.
    pub limit: u32,
    /// Only rows whose search text holds this.
    pub search: Option<String>,
}

impl Default for Page {
    fn default() -> Self {
        Self {
            after: None,
            limit: 100,
            search: None,
        }
    }
}
