//! Scenario files: who does what, when, on which phone. Documented beside the scenarios.

use serde::Deserialize;
use toml::{Spanned, Table};
use wythe_app::media::made::MadePhoto;

use crate::trouble::Trouble;

/// A scenario.
#[derive(Debug)]
pub struct Scenario {
    pub file: String,
    pub head: Head,
    pub stores: Vec<Store>,
    pub library: Vec<LibraryEntry>,
    pub acts: Vec<(usize, Act)>,
}

/// What comes before the acts.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    pub title: String,
    pub clock: String,
    #[serde(default)]
    pub seed: u64,
    pub business: String,
    pub programme: String,
    pub job: Job,
    #[serde(default)]
    store: Vec<Spanned<Table>>,
    #[serde(default)]
    library: Vec<Spanned<Table>>,
    #[serde(default)]
    act: Vec<Spanned<Table>>,
}

/// The job that is played.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    pub label: String,
    pub address: Vec<String>,
    pub zone: String,
    pub place: String,
    #[serde(default = "letter")]
    pub paper: String,
}

fn letter() -> String {
    "letter".to_owned()
}

/// A store: the office's, or a phone's.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Store {
    pub id: String,
    pub person: String,
    pub role: String,
    #[serde(default)]
    pub office: bool,
    #[serde(default = "english")]
    pub language: String,
    /// How many seconds its clock is ahead.
    #[serde(default)]
    pub clock_ahead_s: i64,
    pub licence: Option<String>,
    pub licence_until: Option<String>,
}

fn english() -> String {
    "en".to_owned()
}

/// Something of the business's library.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LibraryEntry {
    pub sort: String,
    pub id: String,
    pub content: Table,
}

/// One thing that happens. Exactly one of the verbs is given.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Act {
    pub at: Option<String>,
    pub on: Option<String>,
    pub say: Option<String>,
    /// The refusal's code that is expected.
    pub refused: Option<String>,

    #[serde(default)]
    pub answers: Vec<(String, String)>,
    pub photo: Option<String>,
    pub paper: Option<String>,
    pub sign: Option<String>,
    pub visit: Option<String>,
    /// A move of the job: paused, resumed, handed_over, cancelled.
    pub moved: Option<String>,
    #[serde(default)]
    pub join: Vec<String>,
    pub show: Option<String>,
    pub strike: Option<String>,
    pub agree: Option<String>,
    pub keep: Option<String>,
    pub timer: Option<String>,
    pub again: Option<String>,
    pub lift: Option<String>,
    pub note: Option<String>,
    pub claim: Option<String>,
    pub add: Option<String>,
    pub expect: Option<Expect>,
    #[serde(default)]
    pub pack: bool,

    pub scene: Option<MadePhoto>,
    pub tag: Option<bool>,
    pub best: Option<String>,
    pub title: Option<String>,
    #[serde(default)]
    pub lines: Vec<String>,
    pub name: Option<String>,
    pub act: Option<String>,
    pub moment: Option<String>,
    pub weather: Option<String>,
    /// Who came too, by name.
    #[serde(default)]
    pub with: Vec<String>,
    /// With what is measured on this visit.
    #[serde(default)]
    pub instruments: Vec<String>,
    #[serde(default)]
    pub left_safe: Vec<String>,
    pub typed: Option<String>,
    pub reason: Option<String>,
    pub by: Option<String>,
    pub evidence: Option<String>,
    pub date: Option<String>,
    pub amount: Option<String>,
    pub sending: Option<u32>,
    pub number: Option<u32>,
    pub instrument: Option<String>,
    pub anyway: Option<String>,
    /// Seconds after the start at which a timer is tapped.
    #[serde(default)]
    pub taps: Vec<f64>,
    /// Seconds after the start at which it is stopped.
    pub seconds: Option<f64>,
}

/// What must be so now, for scenarios that are tests.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expect {
    /// Rows with their state: `[["before_photo", "does_not_count"]]`.
    #[serde(default)]
    pub rows: Vec<(String, String)>,
    /// Stops that stand.
    #[serde(default)]
    pub stops: Vec<String>,
    /// Stops that do not stand.
    #[serde(default)]
    pub no_stops: Vec<String>,
    /// What is missing, among other things: requirements by their id.
    #[serde(default)]
    pub missing: Vec<String>,
    /// What is missing and presses first.
    pub first: Option<String>,
    /// Whether the claim is whole.
    pub ready: Option<bool>,
    /// The day at the site for which this is looked at.
    pub today: Option<String>,
}

impl Scenario {
    /// Reads a scenario's file.
    pub fn read(file: &str, text: &str) -> Result<Self, Trouble> {
        let line_of = |at: usize| 1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count();
        let wrong = |line: usize, why: &str| Trouble::Scenario {
            file: file.to_owned(),
            place: format!("line {line}"),
            why: why.trim().to_owned(),
        };
        let head: Head = toml::from_str(text)
            .map_err(|why| wrong(why.span().map_or(1, |span| line_of(span.start)), why.message()))?;
        fn all<T: serde::de::DeserializeOwned>(
            list: &[Spanned<Table>],
            line_of: &dyn Fn(usize) -> usize,
            wrong: &dyn Fn(usize, &str) -> Trouble,
        ) -> Result<Vec<(usize, T)>, Trouble> {
            let read = |entry: &Spanned<Table>| {
                let line = line_of(entry.span().start);
                let table = entry.get_ref().clone();
                table
                    .try_into()
                    .map(|read| (line, read))
                    .map_err(|why: toml::de::Error| wrong(line, why.message()))
            };
            list.iter().map(read).collect()
        }
        let acts: Vec<(usize, Act)> = all(&head.act, &line_of, &wrong)?;
        for (line, act) in &acts {
            if act.verbs() != 1 {
                return Err(wrong(
                    *line,
                    "an act has exactly one of answers, photo, paper, sign, visit, moved, join, show, strike, agree, \
                     keep, timer, again, lift, note, claim, add, expect, pack, or only say",
                ));
            }
        }
        let stores: Vec<(usize, Store)> = all(&head.store, &line_of, &wrong)?;
        if stores.iter().filter(|(_, store)| store.office).count() != 1 {
            return Err(wrong(
                1,
                "exactly one store is the office: write office = true in it",
            ));
        }
        let library: Vec<(usize, LibraryEntry)> = all(&head.library, &line_of, &wrong)?;
        Ok(Self {
            file: file.to_owned(),
            stores: stores.into_iter().map(|(_, store)| store).collect(),
            library: library.into_iter().map(|(_, entry)| entry).collect(),
            acts,
            head,
        })
    }
}

impl Act {
    fn verbs(&self) -> usize {
        let named = [
            self.photo.is_some(),
            self.paper.is_some(),
            self.sign.is_some(),
            self.visit.is_some(),
            self.moved.is_some(),
            self.show.is_some(),
            self.strike.is_some(),
            self.agree.is_some(),
            self.keep.is_some(),
            self.timer.is_some(),
            self.again.is_some(),
            self.lift.is_some(),
            self.note.is_some(),
            self.claim.is_some(),
            self.add.is_some(),
            self.expect.is_some(),
            !self.answers.is_empty(),
            !self.join.is_empty(),
            self.pack,
        ];
        let verbs = named.into_iter().filter(|named| *named).count();
        if verbs == 0 && self.say.is_some() {
            1
        } else {
            verbs
        }
    }
}
