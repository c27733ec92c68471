//! The claim: what the PDF says and what each row of the evidence table stands on, from one job.
//!
//! Page 1 answers "can I pay this?"; then what was asked and answered, stage by stage, with its
//! photographs; the figures; the signatures with the words signed; and how to check the pack.

mod evidence;
mod first_page;
mod loading_sheet;
mod sections;
mod sign_sheet;
mod tag_sheet;
mod trim_sheet;

use std::collections::BTreeMap;
use std::sync::Arc;

use wythe_guide::figures::Figures;
use wythe_guide::{Date, Known, Programme, Readiness, Words};
use wythe_job::{Digest, PersonId, Position, TagRead};

use crate::claims::Row;
use crate::paper::{Block, Document, Foot, Level, PageSize};

pub use loading_sheet::loading_sheet;
pub use sign_sheet::{ToBeSigned, sign_sheet};
pub use tag_sheet::{Modules, tag_sheet};
pub use trim_sheet::{SheetOf, trim_sheet};

/// What a claim is made from.
pub struct ClaimInput<'c, 'k> {
    /// The job.
    pub known: &'c Known<'k>,
    /// How it stands, judged on everything that the business holds.
    pub readiness: &'c Readiness<'k>,
    /// Whether this reader is shown a row of it.
    pub sees: &'c dyn Fn(&wythe_guide::Row) -> bool,
    /// Whether this reader is asked to pay: only then is the claim judged on page 1.
    pub asks_payment: bool,
    /// The programme.
    pub programme: &'c Programme,
    /// The figures.
    pub figures: &'c [Figures],
    /// The messages, in the language of the claim.
    pub words: &'c Words,
    /// The date at the site for which it is reckoned.
    pub as_of: Date,
    /// The business's name.
    pub business: &'c str,
    /// The fingerprint of the business's key.
    pub fingerprint: String,
    /// Name and version of the program.
    pub software: &'c str,
    /// The size of the pages.
    pub size: PageSize,
    /// A short mark of what is packed, for the foot of each page.
    pub mark: String,
    /// The name of a person.
    pub name: &'c dyn Fn(PersonId) -> String,
    /// The bytes of a small picture, by its digest.
    pub picture: &'c dyn Fn(Digest) -> Option<Arc<Vec<u8>>>,
    /// Whether this reader is shown an original.
    pub shown: &'c dyn Fn(Digest) -> bool,
    /// How many metres lie between two places, and in what direction the second lies from the first:
    /// degrees clockwise from north.
    pub way: &'c dyn Fn(Position, Position) -> (f64, f64),
    /// What each text read in the job's photos is.
    pub tags: &'c BTreeMap<String, TagRead>,
}

/// The PDF's content and the rows of its evidence table.
#[must_use]
pub fn claim(input: &ClaimInput<'_, '_>) -> (Document, Vec<Row>) {
    let rows = evidence::rows(input);
    let mut blocks = first_page::blocks(input);
    blocks.extend(evidence::blocks(input, &rows));
    blocks.extend(sections::stages(input));
    blocks.extend(sections::figures(input));
    blocks.extend(sections::signatures(input));
    blocks.extend(how_to_check(input));
    let title = input
        .words
        .with("claim-title", &[("programme", &input.programme.name)]);
    let document = Document {
        title,
        language: input.words.language().tag().to_owned(),
        as_of: input.as_of.into(),
        author: input.business.to_owned(),
        creator: input.software.to_owned(),
        id: input.mark.clone(),
        size: input.size,
        foot: Foot {
            left: input.label(),
            pages: input.words.get("claim-pages"),
            right: input.words.with("claim-mark", &[("mark", &input.mark)]),
        },
        blocks,
    };
    (document, rows)
}

impl ClaimInput<'_, '_> {
    fn label(&self) -> String {
        self.known
            .job
            .opened
            .first()
            .map(|opened| opened.body.label.clone())
            .unwrap_or_default()
    }

    fn heading(&self, level: Level, id: &str) -> Block {
        Block::Heading(level, self.words.get(id))
    }

    /// A date as the reader's language writes it.
    fn date(&self, date: Date) -> String {
        self.words.date(date)
    }

    /// A date in its short form, for narrow columns.
    fn day(&self, at: wythe_job::Moment) -> String {
        wythe_guide::local_date(at, self.known.zone()).map_or_else(String::new, |date| date.to_string())
    }

    fn when(&self, at: wythe_job::Moment) -> String {
        let date = wythe_guide::local_date(at, self.known.zone());
        date.map_or_else(String::new, |date| self.date(date))
    }
}

fn how_to_check(input: &ClaimInput<'_, '_>) -> Vec<Block> {
    let words = input.words;
    vec![
        input.heading(Level::Two, "claim-check"),
        Block::Paragraph(words.get("claim-check-how").as_str().into()),
        Block::Paragraph(
            words
                .with(
                    "claim-check-whose",
                    &[("business", input.business), ("fingerprint", &input.fingerprint)],
                )
                .as_str()
                .into(),
        ),
    ]
}
